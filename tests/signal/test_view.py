"""What the sensor sees of the teeth: swapped wires, flat tops, first pulses, elements."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import pytest

from tests.signal.wheels import POLE, edges_of, inputs_for, job_of
from wheelcad.signal.advice import signal_findings
from wheelcad.signal.detect import differential, level_crossings, zero_crossings
from wheelcad.signal.edges import ideal_edges, passing
from wheelcad.signal.inputs import inputs_of
from wheelcad.signal.report import SURE, crossings_of, signal_of, swapped_margin
from wheelcad.signal.speed import even_speed
from wheelcad.signal.trace import cranking, scope
from wheelcad.signal.view import LEAST_SLOPE, Sight, rack_of, view_of

WIDE = 2 * math.pi * 80 / 36 - 6  # tooth of a 36-1 on r 80 with slots of 6 mm


@cache
def seen(teeth: int, missing: int, tooth_mm: float) -> Sight:
    job = job_of(4, teeth, missing, sensor=POLE)
    edges = ideal_edges(teeth, ((0.0, missing),), math.degrees(tooth_mm / 80), 80, slot_depth_mm=6.35)
    return view_of(edges, inputs_of(job, edges))


def test_the_gap_of_a_36_1_disappears_when_the_wires_are_swapped() -> None:
    """Right way round: crossings over each tooth, two pitches over the gap, and it decodes with q 1.5. Swapped: over
    slots and in the gap's middle, 1, 1.5, 1.5, 1, and it does not decode with q 1.5.
    [computed here, own scan] an earlier script, not symmetrical, had 1, 1.44, 1.55, 1; by
    symmetry the middle crossing lies in the middle."""
    view = seen(36, 1, WIDE)
    right = np.array(sorted(view.right_at))
    assert np.abs(np.diff(right)).max() == pytest.approx(2, abs=0.1)
    assert view.swapped_intervals == pytest.approx((1, 1.5, 1.5, 1), abs=0.02)
    job = job_of(4, 36, 1, sensor=POLE)
    edges = edges_of(job)
    inputs = inputs_of(job, edges)
    one = passing(edges, inputs.sensor_deg, "centre")
    assert swapped_margin(one, view, inputs, {"even": even_speed()}) < SURE


def test_the_gap_of_a_60_2_disappears_when_the_wires_are_swapped() -> None:
    job = job_of(4, 60, 2, sensor=POLE)
    signal = signal_of(job, edges_of(job, 0.6))
    assert signal.margin > 1
    assert signal.swapped_syncs is False
    assert signal.view is not None
    assert signal.view.swapped_intervals == pytest.approx((1, 2, 2, 1), abs=0.03)
    assert signal.report()["wires_swapped"]["syncs"] is False


def test_teeth_much_wider_than_the_pole_have_nothing_to_time_on() -> None:
    """[computed here, own scan] 12-1 on ⌀160, tooth 35.9, pole 4: under a tenth of the peak for 21° of crank."""
    view = seen(12, 1, 35.9)
    assert view.flat_deg == pytest.approx(21, abs=1)
    assert view.slope_share < LEAST_SLOPE
    job = job_of(4, 12, 1, sensor=POLE)
    edges = ideal_edges(12, ((0.0, 1),), math.degrees(35.9 / 80), 80, slot_depth_mm=6.35)
    finding = next(f for f in signal_findings(signal_of(job, edges).report()) if f.check == "crossing-steep")
    assert finding.verdict == "warn"
    assert view.beside_shift == 0


def test_a_36_1_of_8_mm_teeth_has_something_to_time_on() -> None:
    view = seen(36, 1, WIDE)
    assert view.slope_share > LEAST_SLOPE
    assert view.flat_deg < 2


def test_the_first_pulse_after_the_gap_is_larger() -> None:
    """Seen on published traces; [computed here, own scan] by a fifth."""
    assert seen(36, 1, WIDE).strength.beside_gap == pytest.approx(1.2, abs=0.05)


def test_a_fixed_element_stops_switching_where_the_gap_is_too_large() -> None:
    job = job_of(4, sensor={**POLE, "kind": "hall", "element": "hall-fixed", "air_gap_range": [0.5, 1.4]})
    view = view_of(edges_of(job), inputs_of(job, edges_of(job)))
    assert view.edge_shift_deg[0] is not None
    assert view.edge_shift_deg[0] < -0.6
    assert view.edge_shift_deg[1] is None


def test_a_differential_element_times_on_the_middle() -> None:
    """Sources: Machine Design, "Sensors track speed": it switches where both elements see the same field."""
    x = np.linspace(-50, 50, 2001)[:-1]
    b = np.cos(2 * np.pi * x / 10)
    rising, falling = level_crossings(x, differential(x, b, 2.5), 0.0)
    middles = np.sort(np.concatenate([rising, falling]))
    assert np.abs(middles / 5 - np.rint(middles / 5)).max() < 1e-3


def test_crossings_want_arming() -> None:
    at = np.linspace(0, 40 * np.pi, 20_001)
    volts = np.sin(at) * np.where((at > 8 * np.pi) & (at < 10 * np.pi), 0.2, 1.0)
    found = zero_crossings(at, volts, 0.35)
    assert len(found) == 19
    assert len(zero_crossings(at, volts, 0.1)) == 20
    assert len(zero_crossings(at, volts, 0.1, least=1.5)) == 0
    assert np.mod([c.at for c in found], 2 * np.pi) == pytest.approx(np.pi, abs=1e-3)


def test_the_row_has_the_gap_in_its_middle_and_at_least_eight_positions() -> None:
    for teeth, missing in ((36, 1), (60, 2), (12, 1), (36, 4)):
        edges = ideal_edges(teeth, ((33.0, missing),), 180 / teeth, 80)
        rack = rack_of(edges)
        assert rack.positions >= min(8, teeth)
        inside = [t for t in rack.teeth if abs(sum(t)) / 2 < rack.length / rack.positions * missing / 2]
        assert inside == []
        assert sum(b - a for a, b in rack.teeth) == pytest.approx(
            (rack.positions - missing) * 0.5 * rack.length / rack.positions
        )


def test_traces_are_what_a_scope_shows() -> None:
    """A pickup in shares of a peak without a point, in volts with one; a Hall sensor's levels upside down
    for iron-low."""
    job = job_of(4, sensor=POLE)
    signal = signal_of(job, edges_of(job))
    trace = scope(signal)
    assert trace is not None
    assert trace.unit == "of a tooth's peak"
    assert trace.right == pytest.approx(-trace.swapped)
    falls = zero_crossings(trace.crank_deg, trace.right, 0.35)
    assert len(falls) >= 6
    with_point = job_of(4, sensor={**POLE, "level": {"volts": 2.0, "at": "200 rpm", "gap": 0.75}})
    volts = scope(signal_of(with_point, edges_of(with_point)))
    assert volts is not None
    assert volts.unit == "V"
    assert np.allclose(volts.right, trace.right * 1.0)  # 1 V from nothing to peak at 200 rpm
    hall = job_of(4, sensor={**POLE, "kind": "hall"})
    low = scope(signal_of(hall, edges_of(hall)))
    assert low is not None
    assert set(np.unique(low.right)) == {0.0, 1.0}
    assert low.right[np.argmin(np.abs(low.crank_deg))] == 1.0  # no iron in front in the gap's middle


def test_the_cranking_trace_finds_the_gap_where_it_syncs() -> None:
    job = job_of(4)
    trace = cranking(signal_of(job, edges_of(job), field=False))
    assert trace.gap_there.sum() == 2
    assert np.array_equal(trace.gap_there, trace.gap_found)
    assert (np.diff(trace.teeth_ms) > 0).all()
    assert trace.ms[-1] == pytest.approx(2 * 60_000 / 200)
    assert trace.rpm.min() == pytest.approx(100, abs=0.5)


def test_inputs_need_engine_and_sensor() -> None:
    edges, inputs = inputs_for(cylinders=4)
    assert edges.count == 35
    assert inputs.element == "hall-selfsetting"


def test_wires_swapped_sync_half_a_gap_off_where_the_ratio_is_small() -> None:
    """Intervals 1, 1.5, 1.5, 1 by hand: with q 1.2 the first long one is a gap (1.5/1.2), no other ratio is above 1."""
    job = job_of(4, 36, 1, sensor=POLE, controller={"ratio": 1.2})
    edges = edges_of(job)
    inputs = inputs_of(job, edges)
    one = passing(edges, inputs.sensor_deg, "centre")
    margin = swapped_margin(one, seen(36, 1, WIDE), inputs, {"even": even_speed()})
    assert margin == pytest.approx(1.2, abs=0.02)


def test_crossings_beside_the_gap_are_those_of_the_field() -> None:
    """The pickup's crossings before and after the gap lie as far apart as the field has them, in degrees of crank."""
    job = job_of(4, 36, 1, sensor=POLE)
    view = view_of(edges_of(job), inputs_of(job, edges_of(job)))
    plain = passing(edges_of(job), 60, "centre")
    timed = crossings_of(plain, view)
    near = sorted(view.right_at, key=abs)[:2]
    apart = float(timed.crank_deg[0] - (timed.crank_deg[-1] - 360))
    assert apart == pytest.approx(10 * abs(near[0] - near[1]), abs=0.01)
    assert apart > 20
    assert timed.crank_deg[1:-1] == pytest.approx(plain.crank_deg[1:-1])
