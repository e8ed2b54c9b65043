"""Outlines of lines and arcs, by hand and against shapely and numpy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon

from wheelcad.trade.loop import Edge, Loop, arc_bulge

QUARTER = math.tan(math.pi / 8)  # bulge of a quarter circle, anticlockwise


def dense(loop: Loop) -> Polygon:
    return Polygon(loop.flatten(1e-5))


# an L with a rounded inner and an outer corner of other radii, off the origin
SHAPE = Loop(
    [(3, 2, 0), (15, 2, QUARTER), (18, 5, 0), (18, 9, 0), (13, 9, -QUARTER), (9, 13, 0), (9, 20, 0), (3, 20, 0)]
)
HALF = Loop([(10, 0, 1.0), (-10, 0, 0.0)])


def test_an_edge_by_hand() -> None:
    line = Edge(1, 2, 4, 6, 0.0)
    assert line.is_line
    assert (line.chord, line.length, line.sweep, line.radius) == (5, 5, 0, math.inf)
    assert line.middle == (2.5, 4)
    assert line.distance(1, 2) == 0
    assert line.distance(7, 10) == 5  # beyond its end
    assert line.distance(-2, -2) == 5  # before its start
    assert line.distance(2.5 + 4, 4 - 3) == pytest.approx(5)
    with pytest.raises(ValueError, match="no centre"):
        _ = line.centre
    assert line.points(0.1).tolist() == [[1, 2]]
    arc = Edge(12, 3, 2, 13, QUARTER)  # about (2, 3), radius 10
    assert not arc.is_line
    assert arc.sweep == pytest.approx(math.pi / 2)
    assert arc.radius == pytest.approx(10)
    assert arc.centre == pytest.approx((2, 3))
    assert arc.middle == pytest.approx((2 + 10 / math.sqrt(2), 3 + 10 / math.sqrt(2)))
    assert arc.length == pytest.approx(5 * math.pi)
    assert arc.distance(2, 3) == pytest.approx(10)
    assert arc.distance(2 + 3, 3 + 4) == pytest.approx(5)
    assert arc.distance(2 + 30, 3 + 40) == pytest.approx(40)
    assert arc.distance(12, -1) == pytest.approx(4)  # past its start
    assert arc.distance(-1, 13) == pytest.approx(3)  # past its end
    back = Edge(2, 13, 12, 3, -QUARTER)
    assert back.centre == pytest.approx((2, 3))
    assert back.sweep == pytest.approx(-math.pi / 2)
    assert back.distance(2 + 3, 3 + 4) == pytest.approx(5)
    assert back.distance(12, -1) == pytest.approx(4)
    assert Edge(0, 0, 1, 0, 1e-13).is_line
    assert not Edge(0, 0, 1, 0, 0.05).is_line
    assert arc_bulge(math.pi / 2) == pytest.approx(QUARTER)
    assert Edge(5, 5, 5, 5, 0.0).distance(8, 9) == 5
    assert Edge(0, 0, 0.1, 0, 0.0).distance(0.05, 1) == 1


@pytest.mark.parametrize("bulge", [0.05, QUARTER, 1.0, 1.7, -0.3, -1.0, -2.2])
def test_points_of_an_arc_lie_on_it_and_as_near_as_asked(bulge: float) -> None:
    arc = Edge(3, -2, 8, 4, bulge)
    for tolerance in (0.5, 0.01, 1e-4):
        points = np.vstack([arc.points(tolerance), [[8, 4]]])
        assert points[0].tolist() == pytest.approx([3, -2])
        assert np.hypot(*(points - arc.centre).T) == pytest.approx(arc.radius)
        steps = np.diff(np.unwrap(np.arctan2(*(points - arc.centre).T[::-1])))
        assert steps.sum() == pytest.approx(arc.sweep)
        assert np.all(steps * arc.sweep > 0)
        gap = arc.radius * (1 - np.cos(np.abs(steps) / 2))
        assert gap.max() <= max(
            tolerance * (1 + 1e-6), arc.radius * (1 - math.cos(math.pi / 4)) if tolerance > arc.radius else 0
        )
        if len(points) > 4:
            fewer = arc.radius * (1 - math.cos(abs(arc.sweep) / (len(points) - 2) / 2))
            assert fewer > tolerance  # and no more points than it takes
    way = LineString(np.vstack([arc.points(1e-7), [[8, 4]]]))
    for x, y in ((0, 0), (5, 1), (9, 9), (3, -2), (-4, 7), (6, -6)):
        assert arc.distance(x, y) == pytest.approx(way.distance(Point(x, y)), abs=1e-5)
    assert arc.length == pytest.approx(way.length, rel=1e-6)


def test_a_large_tolerance_still_turns_by_quarters() -> None:
    assert len(Loop.circle(0, 0, 1).flatten(5.0)) == 4
    assert len(Loop.circle(0, 0, 1).flatten(1.0)) == 4
    assert len(Edge(0, 0, 1, 0, 0.01).points(0.5)) == 1


@pytest.mark.parametrize("loop", [SHAPE, HALF, Loop.circle(30, -7, 4), Loop.slot(2, 3, 12, -5, 6), SHAPE.reversed()])
def test_moments_against_shapely_and_a_sum_of_triangles(loop: Loop) -> None:
    area, mx, my, polar = loop.moments()
    shape = dense(loop)
    sign = 1 if area > 0 else -1
    assert abs(area) == pytest.approx(shape.area, rel=1e-5)
    assert (mx / area, my / area) == pytest.approx((shape.centroid.x, shape.centroid.y), rel=1e-5, abs=1e-5)
    points = loop.flatten(1e-5)
    after = np.roll(points, -1, axis=0)
    cross = points[:, 0] * after[:, 1] - after[:, 0] * points[:, 1]
    squares = (points**2 + points * after + after**2).sum(axis=1)
    assert polar == pytest.approx(float((cross * squares).sum()) / 12, rel=1e-5)
    assert polar * sign > 0
    assert loop.length == pytest.approx(shape.length, rel=1e-5)
    assert loop.area == area
    assert loop.bounds() == pytest.approx(shape.bounds, abs=2e-3)
    for x, y in (
        (4, 3),
        (13, 7),
        (30, -7),
        (0, 5),
        (8.9, 19.9),
        (9.1, 19.9),
        (17.9, 4),
        (17.9, 2.2),
        (0.3, 0.2),
        (31, 40),
    ):
        assert loop.contains(x, y) == shape.contains(Point(x, y))
        assert loop.distance(x, y) == pytest.approx(shape.exterior.distance(Point(x, y)), abs=2e-3)


def test_moments_by_hand() -> None:
    area, mx, my, polar = HALF.moments()  # half a disc of radius 10, above the x axis
    assert (area, mx) == pytest.approx((50 * math.pi, 0))
    assert my == pytest.approx(2 / 3 * 1000)
    assert polar == pytest.approx(math.pi * 10**4 / 4)
    area, mx, my, polar = Loop.polygon([(1, 1), (4, 1), (4, 3), (1, 3)]).moments()
    assert (area, mx, my) == (6, 15, 12)
    assert polar == pytest.approx((4**3 - 1) / 3 * 2 + (3**3 - 1) / 3 * 3)
    circle = Loop.circle(3, 4, 2)
    assert circle.moments() == pytest.approx(
        (4 * math.pi, 12 * math.pi, 16 * math.pi, math.pi * 2**4 / 2 + 25 * 4 * math.pi)
    )


def test_a_slot_by_hand() -> None:
    slot = Loop.slot(0, 0, 30, 40, 8)
    assert slot.area == pytest.approx(50 * 8 + 16 * math.pi)
    assert slot.length == pytest.approx(100 + 8 * math.pi)
    assert slot.distance(15, 20) == pytest.approx(4)
    assert slot.contains(-2, -2)
    assert not slot.contains(-3, -3)
    assert Loop.slot(5, 6, 5, 6, 8).moments() == pytest.approx(Loop.circle(5, 6, 4).moments())
    assert len(Loop.slot(0, 0, 0.05, 0, 8)) == 4


def test_turned_moved_and_run_the_other_way() -> None:
    assert SHAPE.reversed().area == pytest.approx(-SHAPE.area)
    assert SHAPE.oriented() is SHAPE
    small = Loop.polygon([(0, 0), (0.5, 0), (0, 0.5)])
    assert small.oriented() is small
    assert SHAPE.oriented(anticlockwise=False).area == pytest.approx(-SHAPE.area)
    assert SHAPE.reversed().oriented().area == pytest.approx(SHAPE.area)
    for made, want in (
        (SHAPE.moved(5, -3), affinity.translate(dense(SHAPE), 5, -3)),
        (SHAPE.rotated(33), affinity.rotate(dense(SHAPE), 33, origin=(0, 0))),
        (SHAPE.mirrored_x(), affinity.scale(dense(SHAPE), -1, 1, origin=(0, 0))),
        (SHAPE.reversed(), dense(SHAPE)),
    ):
        assert dense(made).symmetric_difference(want).area < 1e-3
    assert SHAPE.mirrored_x().area == pytest.approx(SHAPE.area)
    assert list(SHAPE.edges()) == list(SHAPE.segments())
    assert [e.bulge for e in SHAPE.edges()] == SHAPE.vertices[:, 2].tolist()
    ends = [(e.x1, e.y1) for e in SHAPE.edges()]
    assert ends == [(e.x0, e.y0) for e in [*list(SHAPE.edges())[1:], next(iter(SHAPE.edges()))]]


def test_what_is_no_loop() -> None:
    for bad in ([(0, 0, 0)], [(0, 0), (1, 1)], []):
        with pytest.raises(ValueError, match="two vertices"):
            Loop(bad)
    assert len(Loop([(0, 0, 1), (1, 0, 1)])) == 2
    with pytest.raises(ValueError, match="read-only"):
        SHAPE.vertices[0, 0] = 1.0


def test_extent_is_exact_where_an_arc_reaches_furthest() -> None:
    """A slot of width 20 from 0 to 40 turned 30° by hand: its ends' circles reach 10 beyond their centres."""
    c, s = math.cos(math.pi / 6), math.sin(math.pi / 6)
    loop = Loop.slot(0, 0, 40 * c, 40 * s, 20)
    assert loop.extent() == pytest.approx((40 * c + 20, 40 * s + 20), abs=1e-12)
    assert loop.reversed().extent() == pytest.approx(loop.extent(), abs=1e-12)
    assert Loop.circle(3, 4, 5).extent() == pytest.approx((10, 10), abs=1e-12)
    assert Loop.polygon([(0, 0), (4, 0), (0, 3)]).extent() == (4, 3)
