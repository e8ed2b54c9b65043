"""Constants and small formulas of the balance, each against a hand calculation that a changed one would miss."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import Point

from tests.conftest import demo_text
from tests.parts.balance_jobs import designed, six, turned_job
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance import walls
from wheelcad.parts.balance.initial import circle_in_disc
from wheelcad.parts.balance.marks import marks_of
from wheelcad.parts.balance.metal import metal_of, seats
from wheelcad.parts.balance.rated import rated
from wheelcad.parts.balance.runout import turned_again
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.assumed import assumed_crank_kg


def test_a_drill_keeps_a_millimetre_from_the_shoulder_beside_it() -> None:
    """The six's ring stands behind a shoulder of radius 59: an 8 mm drill fits from 64 on, and not at 63.9."""
    job = six()
    metal = metal_of(job, design_wheel(job))
    radii = np.array([63.9, 64.0, 64.1])
    found = seats(metal, radii, np.full(3, 8.0))
    ring = (found.z_top - found.z_bottom < 3.3) & found.fits
    assert ring.tolist() == [False, True, True]
    assert walls.SHOULDER.mm == 1.0


def test_the_quill_of_an_inch_shop_has_five_thousandths() -> None:
    job = parse_job(demo_text("fell-twin"), "twin.yaml")
    shop = marks_of(job, design_wheel(job))
    assert shop.depth_step_mm == pytest.approx(0.005 * 25.4)
    assert shop.radius_step_mm == pytest.approx(0.020 * 25.4)
    metric = six()
    assert marks_of(metric, design_wheel(metric)).depth_step_mm == 0.1


def test_metal_turned_off_with_its_groove() -> None:
    """A groove that is turned away counts: its ring of metal was air, here summed in thin discs."""
    found = "{length: 34, diameter: 140, groove: {width: 12, depth: 9, angle: 40 deg}}"
    job = parse_job(
        "job: t\nengine: {cylinders: 4, max_speed: 6000}\n"
        "wheel: {teeth: 36, missing: 1, outside_diameter: 120, thickness: 4, slot: {width: 5, depth: 6}}\n"
        "pulley: {bore: 25, turned: [{length: 30, diameter: 100}, wheel], "
        f"as_found: [{found}]}}\n",
        "t.yaml",
    )
    radius = np.linspace(61, 70, 200_001)
    width = 12 - 2 * (70 - radius) * math.tan(math.radians(20))
    groove = float(np.trapezoid(2 * math.pi * radius * width, radius))
    before = math.pi * 70**2 * 34 - groove
    after = math.pi * (50**2 * 30 + 60**2 * 4)
    turned = turned_again(job, design_wheel(job))
    assert turned.removed_g == pytest.approx((before - after) * 7850e-6, rel=1e-6)


def test_a_large_hub_keeps_more_round_its_bore() -> None:
    assert walls.bore_wall(20.0, keyed=True) == 3.0
    assert walls.bore_wall(56.0, keyed=True) == 7.0
    assert walls.bore_wall(56.0, keyed=False) == 3.0
    job = turned_job("wheel, {length: 20, diameter: 104}", "largest_drill: 6").model_copy()
    metal = metal_of(job, design_wheel(job))
    assert metal.keyed
    assert metal.bore_wall == 25 / 8


@pytest.mark.parametrize(("cylinders", "kg"), [(None, 5.0), (1, 5.0), (4, 14.0), (6, 20.0), (8, 26.0)])
def test_the_crank_that_is_assumed(cylinders: int | None, kg: float) -> None:
    assert assumed_crank_kg(cylinders) == kg


def test_which_mass_the_limit_counts() -> None:
    plate = parse_job(demo_text("beck-four"), "four.yaml")
    taken = rated(plate, 0.7)
    assert (taken.kg, taken.assumed, taken.alone) == (14.0, True, False)
    assert "common practice" in taken.why
    assert rated(six(), 3.2).alone
    given = six(("largest_drill: 8}", "largest_drill: 8, turns_with: 18 kg}"))
    assert (rated(given, 3.2).kg, rated(given, 3.2).assumed) == (18.0, False)
    _, balance = designed(plate)
    assert any("14 kg" in note or "mass that turns" in note for note in balance.notes)
    finding = next(f for f in balance.findings if f.check == "balance-limit")
    assert "alone would be" in finding.why
    assert balance.report()["turns_with"]["assumed"] is True


@pytest.mark.parametrize("at", [30.0, 45.0, 49.0, 52.0, 58.0])
def test_a_hole_that_leans_out_of_a_disc_against_shapely(at: float) -> None:
    """What lies of a circle of 10 at some distance within a disc of 50: its area, and its moment about the axis."""
    disc, circle = Point(0, 0).buffer(50, quad_segs=4000), Point(at, 0).buffer(10, quad_segs=4000)
    both = disc.intersection(circle)
    assert circle_in_disc(at, 10.0, 50.0) == pytest.approx((both.area, both.area * both.centroid.x), rel=1e-6)


def test_a_mark_that_the_band_begins_on_is_in_it() -> None:
    metric = six()
    shop = marks_of(metric, design_wheel(metric))
    assert shop.radii(20.5, 60.0)[0] == 20.5
    assert shop.radii(20.5 + 1e-10, 60.0)[0] == 20.5  # a hair is rounding
    assert shop.radii(20.5, 60.0)[-1] == 60.0
