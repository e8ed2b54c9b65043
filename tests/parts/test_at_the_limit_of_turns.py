"""Turns, marks and edges where one rounds up to the next, and passes that no hole or mark helps."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from tests.parts.gauge_files import gauge_of
from tests.parts.gauge_jobs import job_of, turned
from wheelcad.parts.indexing.settings import TurnTable
from wheelcad.parts.wheel.passes import gap_angles, spread


def table(circles: tuple[int, ...], step: Fraction = Fraction(1, 10)) -> TurnTable:
    """90:1, 4 degrees a turn, a dial of tenths."""
    return TurnTable(ratio=90, dial_step=step, circles=circles, one_circle=None)


def test_a_dial_that_rounds_up_stays_in_the_turn_that_the_pin_is_in() -> None:
    """3.99 degrees: the dial says 4.0, which is a whole turn; the plate says 399 holes of 400 in the turn before."""
    made = table((400,)).setting(Fraction(399, 100))
    assert (made.turns, made.dial, made.error) == (0, 4, Fraction(1, 100))
    assert (made.circle, made.holes) == (400, 399)
    plain = table(()).setting(Fraction(399, 100))
    assert (plain.turns, plain.dial, plain.error) == (1, 0, Fraction(1, 100))
    further = table((400,)).setting(Fraction(40) + Fraction(399, 100))
    assert (further.turns, further.dial) == (10, 4)
    assert table((400,)).reached(further) == 44


def test_passes_across_a_gap_lie_evenly_where_no_grid_serves() -> None:
    thirds = gap_angles(Fraction(10), Fraction(20), 10 / 3, ())
    assert thirds == (Fraction(40, 3), Fraction(50, 3))
    assert gap_angles(Fraction(0), Fraction(10), 10.0, ()) == ()
    assert gap_angles(Fraction(0), Fraction(10), 9.9, ()) == (5,)
    assert gap_angles(Fraction(0), Fraction(10), 2.4, ()) == (2, 4, 6, 8)


def test_passes_across_a_gap_lie_on_the_first_grid_that_is_fine_enough() -> None:
    assert gap_angles(Fraction(0), Fraction(10), 5.0, (Fraction(1),)) == (5,)  # exactly as far apart as allowed
    assert gap_angles(Fraction(0), Fraction(10), 4.0, (Fraction(5), Fraction(1))) == (3, 7)
    # thirds of 7 lie at 2.5 and 4.5, too far from 0: quarters do
    assert gap_angles(Fraction(0), Fraction(7), 2.4, (Fraction(1, 2),)) == (2, Fraction(7, 2), 5)


EVENLY = [(0.0, 10.0, 5.0, [0, 5, 10]), (0.0, 10.0, 4.9, [0, 10 / 3, 20 / 3, 10]), (2.0, 2.0, 1.0, [2])]
EVENLY += [(-1.0, 1.0, 9.0, [-1, 1])]


@pytest.mark.parametrize(("low", "high", "step", "places"), EVENLY)
def test_places_no_further_apart_than_asked(low: float, high: float, step: float, places: list[float]) -> None:
    assert spread(low, high, step) == pytest.approx(places)


@pytest.mark.parametrize("style", ["outline", "windows", "comb"])
def test_where_a_gauges_marks_begin_and_end(style: str) -> None:
    """Half a slot before and behind the middle of each; the wheel's own outline has no edge where the gap begins."""
    made = gauge_of(job_of(**turned(gauge={"thickness": 3.0, "hole_allowance": 0.2, "style": style})))
    edges = made.mark_edges_deg()
    middles = np.array([mark.at_deg for mark in made.cover.marks])
    assert len(middles) == 24
    half = made.body.style.slot.half_deg(made.mark_radius)
    assert (edges[:, 1] - edges[:, 0]) % 360 == pytest.approx(np.full(len(edges), 2 * half))
    assert (middles - edges[:, 0]) % 360 == pytest.approx(np.full(len(edges), half))
    assert ((edges >= 0) & (edges < 360)).all()
    cut = made.mark_edges_cut()
    assert cut.shape == edges.shape
    assert (~cut).sum() == (2 if style == "outline" else 0)
    if style == "outline":  # the gap lies at 30 degrees: behind one mark and before the next
        before, behind = middles[~cut[:, 1]], middles[~cut[:, 0]]
        assert float(before[0]) % 360 < 30 < float(behind[0]) % 360
