"""Strings drawn round circles, held against shapely's hulls of the same circles."""

from __future__ import annotations

import math
import random

import pytest
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

from wheelcad.trade.loop import Loop
from wheelcad.trade.tangent import SMALLEST, NoTangentError, Round, around, heading_from, hull, outline, turns


def discs(rounds: list[Round]) -> Polygon:
    return unary_union([Point(r.x, r.y).buffer(max(r.radius, 1e-6), quad_segs=200) for r in rounds])


def some(rng: random.Random, count: int, low: float = -50.0) -> list[Round]:
    return [Round(rng.uniform(low, 90), rng.uniform(-50, 50), rng.choice([0.0, 3.0, 10.0, 25.0])) for _ in range(count)]


@pytest.mark.parametrize("seed", range(60))
def test_hull_is_the_convex_hull(seed: int) -> None:
    rounds = some(random.Random(seed), 2 + seed % 6)
    touched = hull(rounds)
    if len(touched) == 1:
        assert discs(rounds).within(Point(touched[0].x, touched[0].y).buffer(touched[0].radius + 1e-3, quad_segs=400))
        return
    loop = outline(touched)
    wanted = discs(rounds).convex_hull
    assert loop.area == pytest.approx(wanted.area, abs=0.3 + 1e-4 * wanted.area)
    assert Polygon(loop.flatten(1e-3)).symmetric_difference(wanted).area < 0.5 + 2e-4 * wanted.area


def test_two_equal_circles_by_hand() -> None:
    # two ⌀20 circles 50 apart: a slot of area 50·20 + π·10²
    loop = outline(hull([Round(0, 0, 10), Round(50, 0, 10)]))
    assert loop.area == pytest.approx(1000 + math.pi * 100, rel=1e-12)
    assert loop.length == pytest.approx(100 + 20 * math.pi, rel=1e-12)


def test_a_large_circle_can_be_touched_twice() -> None:
    rounds = [Round(0, 0, 20), Round(25, 0, 2), Round(-25, 0, 2)]
    touched = hull(rounds)
    assert sum(item.radius == 20 for item in touched) == 2
    assert sum(turns(touched)) == pytest.approx(2 * math.pi)


@pytest.mark.parametrize("seed", range(60))
def test_string_from_edge_to_edge_encloses_everything(seed: int) -> None:
    rng = random.Random(seed)
    rounds = [
        Round(rng.uniform(20, 90), rng.uniform(-50, 50), rng.choice([3.0, 10.0, 15.0])) for _ in range(1 + seed % 5)
    ]
    string = around(Round(0, -10, 0), hull(rounds), Round(0, 10, 0))
    polygon = Polygon(outline(string).flatten(1e-3))
    assert polygon.is_valid
    assert polygon.buffer(0.2).contains(discs(rounds))
    assert polygon.within(unary_union([discs(rounds), Polygon([(0, -10), (0, 10), (1, 0)])]).convex_hull.buffer(0.01))


def test_a_disc_kept_out_stays_out() -> None:
    disc = Round(25, 12, 8, inside=False)
    loop = outline([Round(0, 0, 10), Round(50, 0, 10), disc])
    polygon = Polygon(loop.flatten(1e-3))
    assert polygon.distance(Point(25, 12)) == pytest.approx(8, abs=2e-3)
    # without it the plate would cover the disc's lower part
    assert Polygon(outline([Round(0, 0, 10), Round(50, 0, 10)]).flatten(1e-3)).contains(Point(25, 9))


def test_overlapping_neighbours_are_refused() -> None:
    with pytest.raises(NoTangentError):
        outline([Round(0, 0, 10), Round(50, 0, 10), Round(45, 5, 10, inside=False)])


@pytest.mark.parametrize("turn_deg", [0.05, 0.5, 1.0])
def test_no_piece_is_too_short_to_cut(turn_deg: float) -> None:
    # a nearly straight side rounded with 8 mm would be an arc of some hundredths of a mm
    y = 60 * math.tan(math.radians(turn_deg))
    loop = outline([Round(0, 0, 0), Round(60, 8, 8), Round(120, -y, 0), Round(60, 60, 0)])
    assert min(edge.length for edge in loop.edges()) >= SMALLEST


@pytest.mark.parametrize("corners", [3, 4, 7])
def test_corners_rounded_too_little_are_drawn_sharp(corners: int) -> None:
    """Each arc is shorter than SMALLEST, so the outline is the polygon round the circles."""
    radius = 0.9 * SMALLEST * corners / (2 * math.pi)
    spots = [2 * math.pi * k / corners for k in range(corners)]
    loop = outline([Round(40 * math.cos(a), 40 * math.sin(a), radius) for a in spots])
    sharp = 40 + radius / math.cos(math.pi / corners)
    assert len(loop.vertices) == corners
    assert [math.hypot(x, y) for x, y, _ in loop.vertices.tolist()] == pytest.approx([sharp] * corners)


@pytest.mark.parametrize("slope_deg", [3.0 * k + 0.1 for k in range(40)])
def test_points_in_a_line_make_no_turn(slope_deg: float) -> None:
    """Rounding may turn a hair to the right, which is no turn and not a whole one; the corners turn as drawn."""
    c, s = math.cos(math.radians(slope_deg)), math.sin(math.radians(slope_deg))
    square = [(0, 0), (0.1, 0), (0.3, 0), (1, 0), (1, 0.7), (1, 1), (0.9, 1), (0, 1), (0, 0.3)]
    made = turns([Round(c * x - s * y, s * x + c * y, 0) for x, y in square])
    quarter = math.pi / 2
    assert made == pytest.approx([quarter, 0, 0, quarter, 0, quarter, 0, quarter, 0])


def test_points_a_hair_apart_have_a_direction() -> None:
    assert turns([Round(0, 0, 0), Round(0.05, 0, 0), Round(0, 0.05, 0)]) == pytest.approx(
        [math.pi / 2, 3 * math.pi / 4, 3 * math.pi / 4]
    )
    with pytest.raises(NoTangentError):
        turns([Round(0, 0, 0), Round(0, 0, 0), Round(0, 0.05, 0)])


@pytest.mark.parametrize("turn_deg", [0, 30, 135])
def test_a_straight_piece_too_short_to_cut_is_closed_half_way(turn_deg: float) -> None:
    """Two rounded corners 0.2 mm of straight apart: the arcs meet in its middle; a sharp corner moves there whole."""
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))

    def turned(x: float, y: float) -> tuple[float, float]:
        return c * x - s * y, s * x + c * y

    def has(loop: Loop, x: float, y: float) -> bool:
        return any(math.dist(vertex[:2], turned(x, y)) < 1e-9 for vertex in loop.vertices.tolist())

    arcs = outline([Round(*turned(x, y), r) for x, y, r in ((0, 5, 5), (0.2, 5, 5), (0.1, 40, 0))])
    assert has(arcs, 0.1, 0)
    assert not any(has(arcs, x, 0) for x in (0, 0.2))
    one = outline([Round(*turned(x, y), r) for x, y, r in ((0, 5, 5), (0.2, 0, 0), (0.2, 40, 0), (-5, 40, 0))])
    assert has(one, 0.1, 0)
    assert not any(has(one, x, 0) for x in (0, 0.2))
    before = outline([Round(*turned(x, y), r) for x, y, r in ((-0.2, 0, 0), (0, 5, 5), (5, 40, 0), (-0.2, 40, 0))])
    assert has(before, -0.1, 0)
    assert not any(has(before, x, 0) for x in (0, -0.2))
    for loop in (arcs, one, before):
        rows = [tuple(row[:2]) for row in loop.vertices.tolist()]
        assert len({(round(x, 9), round(y, 9)) for x, y in rows}) == len(rows)
        assert min(edge.length for edge in loop.edges()) >= SMALLEST - 0.1


@pytest.mark.parametrize(("a", "b", "heading"), [
    (10.0, 5.0, math.pi / 2), (5.0, 10.0, -math.pi / 2),  # touching inside: square to the line of centres
    (10.0, 5.0 - 2e-12, math.pi / 2), (5.0 - 2e-12, 10.0, -math.pi / 2),  # but for rounding
    (10.0, 4.8, None), (4.8, 10.0, None), (10.0, 2.0, None), (10.0, 10.0, 0.0),
])  # fmt: skip
def test_a_tangent_leaves_a_circle_that_does_not_hold_the_other(a: float, b: float, heading: float | None) -> None:
    """Centres 5 apart."""
    assert heading_from(Round(0, 0, a), Round(5, 0, b)) == (None if heading is None else pytest.approx(heading))


@pytest.mark.parametrize("rounds", [
    [(0, 5, 5), (0.2, 5, 5), (0.1, 40, 0)], [(0, 5, 5), (0.2, 0, 0), (0.2, 40, 0), (-5, 40, 0)],
    [(-0.2, 0, 0), (0, 0, 0), (5, 40, 0), (-0.2, 40, 0)],
    [(0, 0, 0), (50, 0, 0), (100, 2, 0), (100, 40, 0), (0, 40, 0)],
])  # fmt: skip
def test_an_outline_is_the_same_whichever_circle_is_named_first(rounds: list[tuple[float, float, float]]) -> None:
    """Short pieces between the last and the first as well; a corner of two degrees stays one."""
    seen = set()
    for k in range(len(rounds)):
        loop = outline([Round(*each) for each in rounds[k:] + rounds[:k]])
        corners = sorted((round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y, _ in loop.vertices.tolist())
        assert len(set(corners)) == len(corners)
        seen.add(tuple(corners))
    assert len(seen) == 1
    assert len(seen.pop()) == len(rounds) + sum(r > 0 for _, _, r in rounds) - (rounds[1][0] < 1)


def test_a_string_goes_from_corner_to_corner_and_begins_at_the_lowest() -> None:
    """At the right one of two; points in a line between corners are not stopped at; what stands out a little is."""
    square = [Round(x, y, 0) for x, y in ((-1, -1), (1, 0.2), (1, -1), (1, 1), (-1, 1))]
    assert [(item.x, item.y) for item in hull(square)] == [(1, -1), (1, 1), (-1, 1), (-1, -1)]
    assert hull([Round(0, 0, 10), Round(5, 0, 5.05)]) == [Round(0, 0, 10), Round(5, 0, 5.05)]
    assert hull([Round(0, 0, 10), Round(5, 0, 4.95)]) == [Round(0, 0, 10)]
