"""What counts as unbalance, against integration point by point and against half-key arithmetic."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from scipy import integrate

from tests.conftest import demo_text, edited, plate_job
from tests.parts.balance_jobs import turned_job
from tests.parts.balance_oracle import Body
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.balance.initial import (
    WHOLE_PULLEY,
    InitialUnbalance,
    circle_in_disc,
    initial_unbalance,
    keyway_in_disc,
)
from wheelcad.parts.balance.metal import metal_of
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.parts.wheel.outline import wheel_outline
from wheelcad.parts.wheel.teeth import ToothGap, lay_out
from wheelcad.trade.frames import angle_of, wrap_180
from wheelcad.trade.unbalance import annular_sector

ONE_BOLT = "count: 4, circle: 80, hole: 8.4, first_at: 45 deg", "count: 1, circle: 80, hole: 8.4, first_at: 100 deg"
UNKNOWN = "radius: 66, largest_drill: 8}", "largest_drill: 10, as_found: unknown}"


def count_of(job: Job):
    wheel = design_wheel(job)
    return wheel, initial_unbalance(job, wheel, metal_of(job, wheel))


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize("gap_at", [0.0, 77.7, 200.0])
def test_the_heavy_side_is_opposite_the_gap(turns: str, gap_at: float) -> None:
    wheel, count = count_of(plate_job(gap_at=gap_at, turns=turns))
    x, y = count.vector
    assert abs(float(wrap_180(angle_of(x, y, wheel.sense) - gap_at - 180))) < 1e-9
    # and in plain x and y: a clockwise engine's angles run to the right of straight up
    side = 1 if turns == "clockwise" else -1
    assert x * side * math.sin(math.radians(gap_at)) + y * math.cos(math.radians(gap_at)) < 0


def test_a_radial_tooth_is_an_annular_sector_but_for_its_floor() -> None:
    job = plate_job(slot="{width: 6, depth: 6, sides: radial, floor: flat}")
    wheel, count = count_of(job)
    angle = wheel.pitch_deg - 2 * wheel.slot.rim_half_deg
    sector = annular_sector(74, 80, angle, 3.2, 7850)[2]
    # flat floors and the arc of the gap differ from the sector by slivers of under a tenth of a millimetre
    assert float(np.hypot(*count.vector)) == pytest.approx(sector, rel=0.03)


def test_several_gaps_add_as_vectors() -> None:
    wheel = design_wheel(plate_job(36, 1))
    one = np.array(wheel.outline.moments()[1:3])
    gaps = (ToothGap(0.0, 1), ToothGap(120.0, 1))
    teeth = lay_out(36, gaps)
    two = wheel_outline(wheel.slot, teeth.slot_centres_deg, set(teeth.gap_after), 1)
    turned = np.radians(120)
    wanted = one + np.array([[np.cos(turned), np.sin(turned)], [-np.sin(turned), np.cos(turned)]]) @ one
    assert np.array(two.moments()[1:3]) == pytest.approx(wanted, abs=1e-6)
    double = replace(wheel, teeth=teeth, outline=two)
    job = plate_job(36, 1, extra="balance: {largest_drill: 10}")
    balance = design_balance(job, double)
    assert math.hypot(*balance.before) == pytest.approx(7850e-6 * 3.2 * float(np.hypot(*wanted)), rel=1e-9)
    assert math.hypot(*balance.after) < 0.05 * math.hypot(*balance.before)
    assert all(abs(float(wrap_180(hole.at_deg - 240))) < 75 for hole in balance.holes)


def test_three_even_gaps_need_no_holes() -> None:
    wheel = design_wheel(plate_job(36, 1))
    teeth = lay_out(36, (ToothGap(0.0, 1), ToothGap(120.0, 1), ToothGap(240.0, 1)))
    outline = wheel_outline(wheel.slot, teeth.slot_centres_deg, set(teeth.gap_after), 1)
    balance = design_balance(plate_job(36, 1, extra="balance: {}"), replace(wheel, teeth=teeth, outline=outline))
    assert balance.holes == ()
    assert math.hypot(*balance.before) < 1e-6
    assert balance.figures(balance.before)["at_deg"] == 0.0
    assert {f.check: f.verdict for f in balance.findings}["balance-holes"] == "pass"


def level_moment(body: Body, radius: float, recessed: bool) -> np.ndarray:
    """(∫x, ∫y) of the metal on a level of the pulley: shapely polygons with fine facets, cut from one another."""
    here = shapely.Point(0, 0).buffer(radius, 512)
    for opening in body.openings:
        here = here.difference(opening)
    for x, y in body.bolts:
        here = here.difference(shapely.Point(x, y).buffer(body.bolt_radius, 512))
    if recessed:
        here = here.difference(shapely.Point(0, 0).buffer(body.recess[0], 512))
    return here.area * np.array([here.centroid.x, here.centroid.y])


def test_unknown_pulley_counts_bolts_and_keyway_with_half_a_key() -> None:
    text = edited(
        demo_text("tarn-six"),
        ONE_BOLT,
        ("keyway: {width: 10, depth: 3.3, at: 0 deg}", "keyway: {width: 10, depth: 3.3, at: 200 deg}"),
        UNKNOWN,
    )
    job = parse_job(text, "x.yaml")
    wheel, count = count_of(job)
    assert count.words == WHOLE_PULLEY
    assert not count.against_blank
    body = Body(job, wheel)
    # the recess of ⌀60 cuts away 10 mm of the keyway and touches no bolt; 40 mm is the whole length
    own = level_moment(body, 59, recessed=True) * 10 + level_moment(body, 59, recessed=False) * 30
    expected = own * 7200e-6 + np.array(count.key)
    pulley = sum((np.array([x, y]) for name, x, y, _ in count.parts if name != "slots and gap"), np.zeros(2))
    assert pulley == pytest.approx(expected, abs=0.02)
    # the key is steel, the keyway was iron
    assert math.hypot(*count.key) == pytest.approx(math.hypot(*count.empty_keyway) * 7850 / 7200, rel=1e-9)
    assert float(wrap_180(angle_of(*count.key, wheel.sense) - 200)) == pytest.approx(0, abs=1e-9)
    balance = design_balance(job, wheel)
    assert "as-found-unknown" in {f.check for f in balance.findings if f.verdict == "warn"}
    assert math.hypot(*balance.after) < balance.aim_g_mm


def test_known_pulley_leaves_its_own_holes_out() -> None:
    wheel, count = count_of(parse_job(demo_text("tarn-six"), "x.yaml"))
    assert [name for name, *_ in count.parts] == ["slots and gap"]
    assert count.against_blank
    assert math.hypot(*count.empty_keyway) > 50
    assert isinstance(wheel, WheelDesign)


@pytest.mark.parametrize("disc", [10.0, 35.81, 36.5, 39.0, 40.0, 41.5, 43.9, 44.19, 60.0])
def test_part_of_a_bolt_hole_within_a_recess(disc: float) -> None:
    at, radius = 40.0, 4.2

    def width(r: float) -> float:
        cosine = (r * r + at * at - radius * radius) / (2 * r * at)
        return 2 * math.acos(min(1.0, max(-1.0, cosine)))

    low, high = at - radius, min(max(disc, at - radius), at + radius)
    area = integrate.quad(lambda r: r * width(r), low, high, limit=200)[0]
    moment = integrate.quad(lambda r: 2 * r * r * math.sin(width(r) / 2), low, high, limit=200)[0]
    assert circle_in_disc(at, radius, disc) == pytest.approx((area, moment), rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("disc", [15.0, 16.5, 18.0, 19.29, 19.5, 30.0, math.inf])
def test_part_of_a_keyway_within_a_recess(disc: float) -> None:
    bore, width, floor = 16.0, 8.0, 19.3

    def top(s: float) -> float:
        limit = math.inf if math.isinf(disc) else math.sqrt(max(disc**2 - s * s, 0.0))
        return max(min(floor, limit), math.sqrt(bore**2 - s * s))

    cuts = sorted({0.0, 4.0, *([math.sqrt(disc**2 - floor**2)] if floor < disc < 19.72 else [])})
    area = moment = 0.0
    for low, high in pairwise(cuts):
        area += 2 * integrate.quad(lambda s: top(s) - math.sqrt(bore**2 - s * s), low, high)[0]
        moment += integrate.quad(lambda s: top(s) ** 2 - (bore**2 - s * s), low, high)[0]
    assert keyway_in_disc(bore, width, floor, disc) == pytest.approx((area, moment), rel=1e-7, abs=1e-7)


def test_a_small_unbalance_lies_somewhere_along_the_crank_too() -> None:
    parts = (("slots and gap", 0.0, 0.15, 2.0), ("bolt holes", 0.0, 0.05, 10.0))
    count = InitialUnbalance(parts, 1.0, 7850.0, True, (0.0, 0.0), (0.0, 0.0), "")
    assert count.plane_mm == pytest.approx((0.15 * 2 + 0.05 * 10) / 0.2)


@pytest.mark.parametrize("deep", [0.8, 0.0])
def test_what_a_shallow_recess_weighs(deep: float) -> None:
    recess = f", recess: {{diameter: 60, depth: {deep}}}" if deep else ""
    job = turned_job("wheel, {length: 20, diameter: 104}", "", recess)
    wheel, count = count_of(job)
    ring = wheel.outline.moments()[0] * 4
    bored = math.pi * 12.5**2 * 24 + math.pi * (30**2 - 12.5**2) * deep
    assert count.mass_kg == pytest.approx((ring + math.pi * 52**2 * 20 - bored) * 7850e-9)


def test_plate_counts_its_bolt_holes() -> None:
    pulley = "pulley: {bore: 20, bolts: {count: 1, circle: 90, hole: 9, first_at: 30}}"
    with_bolt = count_of(plate_job(extra=pulley))[1].vector
    without = count_of(plate_job())[1].vector
    moment = math.pi / 4 * 81 * 3.2 * 7850e-6 * 45
    a = math.radians(30)
    assert without - with_bolt == pytest.approx(moment * np.array([math.sin(a), math.cos(a)]), abs=1e-9)


def test_where_along_the_crank_a_bolt_hole_and_a_keyway_lie_that_a_recess_cuts_short() -> None:
    """A recess of ⌀84 and 10 deep over bolt holes of 8.4 on ⌀80: each level's metal by shapely, times its height."""
    text = edited(
        demo_text("tarn-six"),
        ONE_BOLT,
        UNKNOWN,
        ("recess: {diameter: 60,", "recess: {diameter: 84,"),
    )
    job = parse_job(text, "x.yaml")
    wheel, count = count_of(job)
    metal = metal_of(job, wheel)
    assert metal.recess == 42
    deep = metal.recess_depth
    circle = shapely.Point(40, 0).buffer(4.2, 4096)
    parts = {name: (math.hypot(x, y), z) for name, x, y, z in count.parts}
    for name, here in (("bolt holes", circle),):
        whole = here.area * here.centroid.x
        left = here.difference(shapely.Point(0, 0).buffer(42, 4096))
        short = left.area * left.centroid.x
        low, high = metal.z_back, metal.z_front - deep
        first = whole * (high - low) + short * deep
        lever = whole * (high**2 - low**2) / 2 + short * (metal.z_front**2 - high**2) / 2
        assert parts[name] == pytest.approx((first * 7200e-6, lever / first), rel=1e-5)
