"""The gap map, its best place, and what odd fire and counting change."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.signal.wheels import edges_of, inputs_for, job_of
from wheelcad.job.models import Job
from wheelcad.signal.edges import passing
from wheelcad.signal.gapmap import GapMap, clearances_deg, cranking_speed, dip_limit, gap_map
from wheelcad.signal.inputs import inputs_of
from wheelcad.signal.sparks import worst_error_by_place


def mapped(job: Job) -> GapMap:
    edges = edges_of(job)
    found = gap_map(edges, inputs_of(job, edges))
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("cylinders", "odd", "even"),
    [(6, [0, 90, 240, 330, 480, 570], [0, 120, 240, 360, 480, 600]), (2, [0, 270], [0, 360])],
)
def test_odd_fire_has_a_map_of_its_own(cylinders: int, odd: list[float], even: list[float]) -> None:
    """A 90/150 V6 and a 270/450 twin."""
    one, other = mapped(job_of(cylinders, angles=odd)), mapped(job_of(cylinders, angles=even))
    assert np.abs(one.margin - other.margin).max() > 0.1
    # even fire repeats with the firing, and so over half of the six's 120 degrees it does not; odd fire as little
    assert np.roll(other.margin, 720 // cylinders) == pytest.approx(other.margin, abs=1e-6)
    assert np.abs(np.roll(one.margin, 60) - one.margin).max() > 0.1


def test_where_the_list_of_firings_begins_changes_nothing() -> None:
    """The same engine told from cylinder 3 on, and from cylinder 1 on: map and sparks are the same."""
    one = job_of(6, order=[1, 4, 3, 6, 5, 2], angles=[0, 90, 240, 330, 480, 570])
    other = job_of(6, order=[3, 6, 5, 2, 1, 4], angles=[0, 90, 240, 330, 480, 570])
    inputs = [inputs_of(job, edges_of(job)) for job in (one, other)]
    assert inputs[0].order == inputs[1].order == (1, 4, 3, 6, 5, 2)
    assert inputs[0].firing_deg == inputs[1].firing_deg
    assert mapped(one).margin == pytest.approx(mapped(other).margin, abs=1e-9)
    assert mapped(one).spark_error_deg == pytest.approx(mapped(other).spark_error_deg, abs=1e-9)


def test_the_best_place_is_the_greatest_margin_and_of_equals_the_clearest() -> None:
    found = mapped(job_of(4))
    assert found.margin[found.best] >= found.margin.max() - 1e-4
    equals = np.flatnonzero(found.margin > found.margin[found.best] - 1e-6)
    assert found.clear_deg[found.best] == pytest.approx(found.clear_deg[equals].max())


def test_cutting_the_gap_at_the_best_place_brings_what_the_map_says() -> None:
    job = job_of(2, 24, angles=[0, 270], gap_at=120)
    found = mapped(job)
    for moved in (
        job_of(2, 24, angles=[0, 270], gap_at=(60 - found.best) % 360),
        job_of(2, 24, angles=[0, 270], gap_at=120, sensor={"at": (120 + found.best) % 360}),
    ):
        again = mapped(moved)
        assert again.here_deg == pytest.approx(found.best, abs=1e-6)
        assert again.margin == pytest.approx(found.margin, abs=1e-6)


def test_clearance_by_hand() -> None:
    """Four cylinders, advance 5 to 40, no dwell, 60-2: windows from 320 to 355 and 140 to 175; a gap of 18° about
    330 lies within, 19° deep: 10° to the window's nearer end and half of 18°."""
    job = job_of(4, 60, 2, engine={"dwell": 0})
    edges = edges_of(job)
    clear = clearances_deg(edges, inputs_of(job, edges))
    assert clear[330] == pytest.approx(-19)
    assert clear[150] == pytest.approx(-19)
    assert clear[0] == pytest.approx(5 - 9)
    assert clear[70] == pytest.approx(140 - 70 - 9, abs=1e-9)


def test_every_gap_must_be_clear() -> None:
    """Four cylinders, no dwell: a second gap 120° behind in the wheel passes 120° later, into the window at 140 to
    175."""
    gaps = [{"at": 0, "missing": 1}, {"at": 240, "missing": 1}]
    job = job_of(4, gaps=gaps, engine={"dwell": 0})
    edges = edges_of(job)
    clear = clearances_deg(edges, inputs_of(job, edges))
    assert clear[40] == pytest.approx(160 - 157.5 - 35 / 2 - 20 / 2)  # the second gap's middle at 160
    alone = job_of(4, engine={"dwell": 0})
    assert clearances_deg(edges_of(alone), inputs_of(alone, edges_of(alone)))[40] == pytest.approx(40 + 360 - 355 - 10)


def test_the_dip_limit_is_where_the_margin_is_one() -> None:
    edges, inputs = inputs_for(cylinders=6)
    one = passing(edges, inputs.sensor_deg, inputs.on, inputs.gap_deg)
    limit = dip_limit(one, inputs, np.zeros(1))
    assert limit is not None
    here = (60 - 0) % 360
    for dip, syncs in ((limit + 0.005, True), (limit - 0.005, False)):
        found = gap_map(edges, inputs, cranking_speed(inputs, dip))
        assert found is not None
        assert bool(found.margin[here] > 1) == syncs
    anywhere = dip_limit(one, inputs, np.arange(360.0))
    assert anywhere is not None
    assert anywhere <= limit


@pytest.mark.parametrize(
    ("cylinders", "teeth", "missing", "passes", "expected"),
    [(2, 12, 1, 90, 5.0), (2, 12, 1, 330, 9.8), (4, 60, 2, 330, 0.7)],
)
def test_sparks_come_off_by_what_an_earlier_script_found(
    cylinders: int, teeth: int, missing: int, passes: float, expected: float
) -> None:
    """[computed here, own scan] dip .5, asked 10° before TDC: a 12-1 on a twin is 5.0° early, 9.8° where the gap passes
    at 330 so that the spark falls into it; a 60-2 on a four 0.7°."""
    edges, inputs = inputs_for(
        cylinders=cylinders, teeth=teeth, missing=missing, gap_at=(60 - passes) % 360,
        sensor={"delay": 0, "times_on": "centre"}, controller={"filter": 0},
        engine={"cranking_dip": 0.5, "advance": {"cranking": 10, "least": 5, "most": 40}},
    )  # fmt: skip
    one = passing(edges, inputs.sensor_deg, inputs.on, inputs.gap_deg)
    errors = worst_error_by_place(inputs, one, cranking_speed(inputs), np.zeros(1))
    assert errors[0] == pytest.approx(expected, abs=0.1)


def test_no_gap_no_map() -> None:
    edges, inputs = inputs_for(cylinders=4, teeth=12, missing=0)
    assert gap_map(edges, inputs) is None
    assert math.isinf(clearances_deg(edges, inputs)[0])


def test_a_cycle_more_on_every_firing_changes_nothing() -> None:
    """720 degrees are a whole four-stroke cycle: speeds, map and sparks are the same."""
    edges, inputs = inputs_for(cylinders=6, angles=[0, 90, 240, 330, 480, 570])
    later = replace(inputs, firing_deg=tuple(angle + 720 for angle in inputs.firing_deg))
    one, other = gap_map(edges, inputs), gap_map(edges, later)
    assert one is not None
    assert other is not None
    assert other.margin == pytest.approx(one.margin, abs=1e-9)
    assert other.spark_error_deg == pytest.approx(one.spark_error_deg, abs=1e-6)
    assert np.array_equal(other.clear_deg, one.clear_deg)
