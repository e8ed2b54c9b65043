"""Pairs of correction holes where their choices turn: walls, angles, shares, and the figure that ranks them."""

from __future__ import annotations

import math
import warnings
from typing import Any

import numpy as np
import pytest
from scipy.stats import gamma, norm

from tests.parts.hole_searches import STEEL, hole, sought
from wheelcad.parts.balance.candidates import (
    walls_hold,
)
from wheelcad.parts.balance.spread import figure, likely, spread
from wheelcad.parts.balance.through import (
    _clear_of_bolts,
    equal_pairs,
    in_plane,
    several_pairs,
    unequal_pairs,
)
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.trade.drills import Drill


@pytest.mark.parametrize("at", [0.0, 37.0, 90.0])
def test_two_holes_keep_their_wall_whichever_way_they_lie(at: float) -> None:
    """Two of ⌀6 in one line from the axis: 6 and 3 of wall between their middles."""
    metal = sought().metal
    for apart, holds in ((9.0, True), (8.99, False)):
        two = [hole(at, r=45.0), hole(at, r=45.0 + apart)]
        assert walls_hold(metal, two) == holds


def test_holes_of_two_sizes_keep_the_wall_of_the_larger_or_a_floor_between_them() -> None:
    """Of ⌀6 and ⌀10 in one line: 3 and 5 to their edges and half the larger drill between them, 13 in all; or 2 mm
    from where the one ends to where the other, 4 long, begins."""
    metal, first = sought().metal, hole(0.0, r=45.0)
    for apart, down, holds in ((13.0, 0.0, True), (12.99, 0.0, False), (9.0, 6.0, True), (9.0, 5.99, False)):
        second = CorrectionHole(0.0, 45.0 + apart, 10.0, 2.0 - down, -2.0 - down)
        for two in ([first, second], [second, first]):
            assert walls_hold(metal, two) == holds


def test_pairs_side_by_side_keep_their_wall() -> None:
    """Two pairs of ⌀6 at 60 mm, 9 apart: the inner at half a step from the heavy line; the outer trims the amount."""
    base = sought()
    one = math.pi / 4 * 36 * 4 * STEEL * 60
    step = 2 * (math.degrees(math.asin(4.5 / 60)) + 0.05)
    inner = 2 * one * math.cos(math.radians(step / 2))

    def halves(outer: float, **more: Any) -> list[float] | None:
        wanted = sought(amount=inner + 2 * one * math.cos(math.radians(outer)), **more)
        return _clear_of_bolts(wanted, wanted.grids[0], 1, 2)

    assert base.grids[0].taken_through[1] == pytest.approx(one)
    assert halves(1.5 * step) == pytest.approx([step / 2, 1.5 * step])
    assert halves(40.0) == pytest.approx([step / 2, 40])
    assert halves(74.9) == pytest.approx([step / 2, 74.9])
    assert halves(75.1) is None
    assert halves(1.5 * step - 0.05) is None
    at = math.radians(180 + 40)
    assert halves(40.0, bolts=((60 * math.sin(at), 60 * math.cos(at), 3.0),)) is None


def test_pairs_move_outwards_past_a_bolt_by_half_degrees() -> None:
    """A bolt hole of ⌀6 on the heavy line keeps 3 + 3 + 3 mm from a drill of 6: 8.6 degrees at 60 mm."""
    base = sought(bolts=((0.0, -60.0, 3.0),))
    one, step = base.grids[0].taken_through[1], 2 * (math.degrees(math.asin(4.5 / 60)) + 0.05)
    keep = 2 * math.degrees(math.asin(4.5 / 60))
    first = step / 2
    while first < keep:
        first += 0.5
    outer = first + step + 7
    amount = 2 * one * sum(math.cos(math.radians(half)) for half in (first, outer))
    found = sought(amount=amount, bolts=((0.0, -60.0, 3.0),))
    assert _clear_of_bolts(found, found.grids[0], 1, 2) == pytest.approx([first, outer])


def test_unequal_pairs_close_their_triangle() -> None:
    """What each proposal takes out adds up to the amount along the heavy line, and to nothing across it."""
    asked = sought(amount=80.0)
    [kind] = unequal_pairs(asked, relaxed=True)
    assert kind.good.any()
    for i in np.flatnonzero(kind.good).tolist():
        wanted = kind.wanted(i)
        assert wanted is not None
        parts = [w.cells.taken_through[w.cell] * np.exp(1j * math.radians(w.off_deg)) for w in wanted]
        assert sum(parts) == pytest.approx(80)
        assert wanted[0].cell != wanted[1].cell


def test_cells_that_take_out_too_little_bring_no_warning() -> None:
    """Two holes of ⌀6 at 50 mm take out 2 x 44.4 g·mm: asked for 93, those at 60 are left and nothing is told."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        [kind] = equal_pairs(sought(amount=93.0, drills=(Drill("6.0 mm", 6.0),)), relaxed=True)
    assert kind.good.tolist() == [False, True]


def test_more_pairs_only_where_all_of_them_together_are_enough() -> None:
    """Two pairs of ⌀6 at 50 and 60 mm could take out 178 and 213 g·mm at the very most."""
    one = math.pi / 4 * 36 * 4 * STEEL
    for amount, good in ((150.0, [True, True]), (4 * one * 50 * 1.05, [False, True]), (4 * one * 60, [False, False])):
        [kind] = several_pairs(sought(amount=amount, drills=(Drill("6.0 mm", 6.0),)), 2, relaxed=True)
        assert kind.good.tolist() == good


def test_metal_near_enough_to_the_unbalances_plane() -> None:
    """100 g·mm and 300 g·mm² of couple: 3 mm from z = 5, on either side."""
    z = np.array([1.9, 2.0, 5.0, 8.0, 8.1])
    asked = sought(plane_mm=5.0, couple_limit=300.0)
    assert in_plane(asked, z, relaxed=False).tolist() == [False, True, True, True, False]
    assert in_plane(asked, z, relaxed=True).all()
    assert in_plane(sought(plane_mm=5.0), z, relaxed=False).all()


@pytest.mark.parametrize("small", [1.0, 1e-4])
@pytest.mark.parametrize(
    ("doubtful", "one", "off", "r", "d", "depth"),
    [
        (90.0, (60.0, 60.0), (40.0, -40.0), (60.0, 60.0), (6.0, 6.0), (math.inf, math.inf)),
        (90.0, (70.0, 50.0), (30.0, -55.0), (60.0, 40.0), (6.0, 8.0), (math.inf, math.inf)),
        (300.0, (70.0, 50.0), (70.0, -20.0), (60.0, 40.0), (9.0, 4.0), (3.0, 9.0)),
        (0.0, (10.0, 30.0), (70.0, -70.0), (20.0, 70.0), (3.0, 3.0), (2.0, 2.5)),
    ],
)
def test_the_figure_that_ranks_against_moments_and_a_gamma_quantile(
    small: float, doubtful: float, one: Any, off: Any, r: Any, d: Any, depth: Any
) -> None:
    """Errors as vectors: their mean and covariance, by them mean and variance of the square (moments of a quadratic
    form, any textbook), and the 95 % quantile of the gamma distribution that has both. Places 0.2 mm, over size 0 to
    0.1, depth 0.1 and metal 1 %: the module's own, common practice, no source; what is even has its width²/12."""
    mean, covariance = np.zeros(2), np.zeros((2, 2))

    def err(vector: np.ndarray, width: float) -> None:
        nonlocal covariance
        covariance = covariance + np.outer(vector, vector) * width**2 / 12

    err(np.array([doubtful * small, 0.0]), 0.02)
    ways = [np.array([math.cos(math.radians(a)), math.sin(math.radians(a))]) for a in off]
    for u, way, radius in zip(one, ways, r, strict=True):
        err(u * small * way, 0.02)
        for axis in np.eye(2):
            err(u * small / radius * axis, 0.4)
    for grows, width, middle in (
        ([2 * u * small / size * way for u, size, way in zip(one, d, ways, strict=True)], 0.1, 0.05),
        ([u * small / deep * way for u, deep, way in zip(one, depth, ways, strict=True)], 0.2, 0.0),
    ):
        mean = mean + sum(grows) * middle
        for vector in [sum(grows)] if len(set(d)) == 1 else grows:
            err(vector, width)
    square = mean @ mean + np.trace(covariance)
    variance = 2 * np.trace(covariance @ covariance) + 4 * mean @ covariance @ mean
    by_gamma = math.sqrt(gamma.ppf(0.95, square**2 / variance, scale=variance / square))
    arrays = [np.array([value], dtype=float) for value in (np.array(one) * small, off, r, d, depth)]
    found = float(likely(doubtful * small, *arrays)[0])
    assert found == pytest.approx(by_gamma, rel=0.008)
    # Wilson and Hilferty: the cube root of a gamma variable of this shape is nearly normal
    wide = variance / square**2 / 9
    assert found**2 == pytest.approx(square * (1 - wide + norm.ppf(0.95) * math.sqrt(wide)) ** 3, rel=1e-4)


def test_more_pairs_that_take_out_too_little_bring_no_warning_either() -> None:
    """Two pairs of ⌀6 at 50 mm, the inner near the heavy line: 0.05 more than the outer can give on it."""
    [grid] = sought(drills=(Drill("6.0 mm", 6.0),)).grids
    one, step = float(grid.taken_through[0]), 2 * (float(grid.least_half[0]) + 0.05)
    inner = 2 * one * math.cos(math.radians(step / 2))
    for share, good in ((1.05, False), (0.05, True)):
        asked = sought(amount=inner + share * 2 * one, drills=(Drill("6.0 mm", 6.0),), radii=np.array([50.0]))
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            [kind] = several_pairs(asked, 2, relaxed=True)
        assert kind.good.tolist() == [good]
    halves = np.array([step / 2, math.degrees(math.acos(0.05))])
    off = np.array([[*halves, *-halves]])
    arrays = (np.full(off.shape, value) for value in (one, 50.0, 6.0, math.inf))
    first, *rest = arrays
    alone = likely(asked.doubtful, first, off, *rest)
    assert kind.figure == pytest.approx(2 * alone)  # it stands outside the range, so after all that fit at once


def test_pairs_that_stand_clear_of_each_other_come_before_those_to_be_moved() -> None:
    """Two pairs of ⌀6 at 50 mm, the inner half a step from the heavy line: the outer from a step and a half on."""
    [grid] = sought(drills=(Drill("6.0 mm", 6.0),)).grids
    one, step = float(grid.taken_through[0]), 2 * (float(grid.least_half[0]) + 0.05)
    for outer, times in ((1.5 * step + 0.01, 1), (1.5 * step - 0.01, 2)):
        halves = np.array([step / 2, outer])
        amount = 2 * one * float(np.cos(np.radians(halves)).sum())
        asked = sought(amount=amount, drills=(Drill("6.0 mm", 6.0),), radii=np.array([50.0]))
        [kind] = several_pairs(asked, 2, relaxed=True)
        off = np.array([[*halves, *-halves]])
        first, *rest = (np.full(off.shape, value) for value in (one, 50.0, 6.0, math.inf))
        assert kind.figure == pytest.approx(times * likely(asked.doubtful, first, off, *rest))


def test_errors_are_drawn_evenly_and_95_of_a_hundred_lie_below_the_figure() -> None:
    """One of fifty draws from each fiftieth of direction and of size; lengths of 0 to 100."""
    _, further = spread(np.zeros(2), np.zeros(2), [], STEEL, 1, draws=50)
    assert further.shape == (50, 2)
    assert (np.floor(np.sort(further, axis=0) * 50) == np.arange(50)[:, None]).all()
    lengths = np.arange(101.0)
    assert figure(np.stack([lengths * 0.6, lengths * -0.8], axis=1)) == pytest.approx(95)
