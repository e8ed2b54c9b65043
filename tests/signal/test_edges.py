"""Teeth as arrays: order of passing, gaps, wheels that run off centre."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.signal.wheels import POLE, inputs_for, off_centre
from wheelcad.signal.detect import half_swing, refined, seen_edge_mm, zero_crossings
from wheelcad.signal.edges import Edges, first_gap, gaps_in, ideal_edges, passing, steps_between


def test_the_first_tooth_after_the_gap_is_the_next_lower_one() -> None:
    """36-1, gap at 0, sensor at 310: tooth 1 is centred at -10, passes at 320, its leading edge (greater angle)
    first."""
    edges = ideal_edges(36, ((0.0, 1),), 4.0, 80.0)
    assert passing(edges, 310, "centre").crank_deg[0] == pytest.approx(320)
    assert passing(edges, 310, "leading").crank_deg[0] == pytest.approx(318)
    assert passing(edges, 310, "trailing").crank_deg[0] == pytest.approx(322)
    one = passing(edges, 310, "leading")
    assert list(one.steps[:3]) == [2, 1, 1]
    assert np.diff(one.crank_deg) == pytest.approx(10)
    assert one.nominal_deg == pytest.approx(one.crank_deg)


@pytest.mark.parametrize("gap_at", [0.0, 3.0, 359.0, 187.5])
def test_gaps_are_found_where_they_were_put(gap_at: float) -> None:
    edges = ideal_edges(36, ((gap_at, 2), (gap_at + 120 - 5, 1)), 4.0, 80.0)
    found = gaps_in(edges)
    assert sorted((round(g.at_deg, 6), g.missing) for g in found) == sorted(
        [(round(gap_at % 360, 6), 2), (round((gap_at + 115) % 360, 6), 1)]
    )
    widest, near = first_gap(edges), first_gap(edges, gap_at + 110)
    assert widest is not None
    assert near is not None
    assert (widest.missing, near.missing) == (2, 1)


def test_a_wheel_without_a_gap_starts_with_the_first_tooth_after_tdc() -> None:
    edges = ideal_edges(12, ((5.0, 0),), 10.0, 80.0)
    assert edges.count == 12
    assert first_gap(edges) is None
    assert passing(edges, 0.0, "centre").crank_deg[0] == pytest.approx(10.0)  # the tooth at 350


def test_steps_of_a_badly_cut_wheel_follow_the_pattern() -> None:
    """Teeth off by half a pitch and more still count as the pattern's; with one lost they are rounded."""
    centres = 10.0 * np.arange(1, 36)
    rough = centres + np.where(np.arange(35) % 7 == 3, 5.5, 0.0)
    assert list(steps_between(rough, 36, (1,))) == [1] * 34 + [2]
    assert list(steps_between(np.delete(centres, 16), 36, (1,))) == [1] * 15 + [2] + [1] * 17 + [2]


@pytest.mark.parametrize(("e", "r"), [(0.1, 75.0), (0.5, 80.0), (2.0, 60.0)])
def test_off_centre_is_off_by_asin_of_e_over_r(e: float, r: float) -> None:
    """The geometry, to 1e-6 relative; facts: e .1, r 75 gives .0764°."""
    edges = ideal_edges(360, ((0.0, 1),), 0.5, r)
    deviation = []
    for towards in np.arange(0, 360, 0.05):
        moved = off_centre(edges, e, float(towards))
        deviation.append(np.abs(moved.from_deg - edges.from_deg).max())
        if len(deviation) > 40:
            break
    worst = max(deviation)
    assert worst <= math.degrees(math.asin(e / r)) * (1 + 1e-12)
    assert worst == pytest.approx(math.degrees(math.asin(e / r)), rel=1e-6)


def test_what_is_no_wheel_is_refused() -> None:
    one = np.array([1.0])
    with pytest.raises(ValueError, match="at least two teeth"):
        Edges(36, (1,), one, one + 1, 80, 6, 6, 80)
    two = np.array([1.0, 11.0])
    with pytest.raises(ValueError, match="beyond its first"):
        Edges(36, (1,), two, two, 80, 6, 6, 80)
    with pytest.raises(ValueError, match="narrower than the pitch"):
        ideal_edges(36, ((0.0, 1),), 10.0, 80.0)
    with pytest.raises(ValueError, match="less than the radius"):
        off_centre(ideal_edges(36, ((0.0, 1),), 4.0, 80.0), 80.0, 0.0)


@pytest.mark.parametrize("element", ["pole", "hall-selfsetting"])
def test_off_centre_through_an_element_is_still_asin_of_e_over_r(element: str) -> None:
    """Within 1 per cent: run-out turns the teeth by asin(e/r)·sin, and changes the air gap by e·cos, which moves a
    crossing over a tooth's middle not at all and an edge that sets its own level by little (a quarter turn apart, so
    that it adds by squares)."""
    from wheelcad.signal.detect import slope_of
    from wheelcad.signal.view import rack_of, solved

    e, r, gap = 0.1, 80.0, 0.75
    sensor = POLE if element == "pole" else {**POLE, "kind": "hall", "element": element}
    _, inputs = inputs_for(cylinders=4, sensor=sensor)
    assert inputs.element == element
    pitch_mm = 2 * math.pi * r / 36
    # over 8 mm a pickup's signal is so flat that its middle wanders with anything: half a pitch for it
    tooth = pitch_mm / 2 if element == "pole" else pitch_mm - 6.0
    rack = rack_of(ideal_edges(36, ((0.0, 1),), math.degrees(tooth / r), r, slot_depth_mm=6.35))
    pitch = rack.length / rack.positions

    def seen_mm(at_gap: float) -> float:
        """Where the element sees tooth 3 pitches from the gap's middle: its middle, or its far edge."""
        found = solved(rack, 4.0, at_gap)
        x, curve = refined(found.x, found.pole if element == "pole" else found.tip)
        if element == "pole":
            falls = zero_crossings(x, slope_of(x, curve), 0.1)
            return min((c.at for c in falls), key=lambda at: abs(at - 3 * pitch))
        level = half_swing(curve[np.abs(x - 3 * pitch) < pitch / 2])
        edge = seen_edge_mm(x, curve, level, 3 * pitch, tooth / 2)
        assert edge is not None
        return 3 * pitch + tooth / 2 + edge[1]

    plain = seen_mm(gap)
    # steepest change of the seen place with the gap, as run-out changes it to both sides
    wanders = (seen_mm(gap + e) - seen_mm(gap - e)) / 2
    assert plain > 3 * pitch - 0.5
    at = np.radians(np.arange(0.0, 360.0, 1.0))
    errors = np.degrees(np.arcsin(e / r) * np.sin(at) + wanders / r * np.cos(at))
    assert np.abs(errors).max() == pytest.approx(math.degrees(math.asin(e / r)), rel=0.01)
