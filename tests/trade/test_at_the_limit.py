"""Formulas just at, just before and just beyond the limits they name, and at sizes under one."""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
import pytest
from shapely.geometry import Point, Polygon
from shapely.ops import unary_union

from wheelcad.trade import beam, bending, cutting, drills, fits, frames, heads, plasma, printing, sensing, threads
from wheelcad.trade import rotating_stress as rotating
from wheelcad.trade import unbalance as ub
from wheelcad.trade.excitation import Order, firing_orders, inertia_orders
from wheelcad.trade.loop import Loop
from wheelcad.trade.offset import grown
from wheelcad.trade.tangent import NoTangentError, Round, hull, outline, turns
from wheelcad.trade.wall import Wall, floors_of, turns_inwards
from wheelcad.words import Words


def test_a_bar_thinner_than_a_millimetre() -> None:
    """f goes with the thickness: the 6 mm bar's 339.742 Hz, by hand."""
    assert beam.cantilever_frequency_hz(120, 50, 0.6, 200, 7850) == pytest.approx(33.9742, abs=1e-3)
    assert beam.cantilever_frequency_hz(120, 0.5, 6, 200, 7850) == pytest.approx(339.742, abs=2e-3)
    for sizes in ((120, 0, 6), (120, 50, 0), (-1, 50, 6)):
        with pytest.raises(ValueError, match="length"):
            beam.cantilever_frequency_hz(*sizes, 200, 7850)


def test_bends_at_their_limits() -> None:
    assert bending.setback(90.5, 5, 4) == 9  # beyond a right angle: the tangent square to the leg
    assert bending.setback(89.5, 5, 4) == pytest.approx(9 * math.tan(math.radians(44.75)))
    for angle in (0.5, 179.5):
        assert bending.allowance(angle, 5, 4) == pytest.approx(math.radians(angle) * (5 + bending.din6935_k(5, 4) * 2))
    assert bending.din6935_k(0.5, 0.5) == 0.65
    assert bending.din6935_k(0.3, 6) == pytest.approx(0.15)  # no sharper than a tenth of the thickness
    assert bending.din6935_k(0.9, 6) == pytest.approx(0.65 + 0.5 * math.log10(0.15))
    assert bending.least_inside_radius_mm("mild-steel", 0.5) == 0.5
    assert "to 12.7 mm" in Words("mm").text(bending.least_radius_source("mild-steel"))
    for s in (13.0, 13.9):
        assert bending.least_inside_radius_mm("mild-steel", s) == 2 * s


def test_cuts_at_their_limits() -> None:
    assert cutting.spindle_rpm(0.5, 0.5) == pytest.approx(1000 / math.pi)
    for bad in ((0, 6), (-0.5, 6), (20, 0), (20, -0.5)):
        with pytest.raises(ValueError, match="greater than nothing"):
            cutting.spindle_rpm(*bad)
    assert cutting.passes(0.5, 0.5) == 1
    assert cutting.passes(1.1, 0.1) == 11  # 1.1/0.1 is a hair over 11 in binary
    assert cutting.passes(1.12, 0.1) == 12
    for bad in ((0, 1), (1, 0), (-0.5, 1)):
        with pytest.raises(ValueError, match="greater than nothing"):
            cutting.passes(*bad)
    assert cutting.slot_pass_depth_mm(10, "mild-steel", 20.0) == 2.5
    assert cutting.slot_pass_depth_mm(10, "mild-steel", 60.0) == pytest.approx(2.5 / 4)


def test_drills_by_name_and_size() -> None:
    metric = {drill.name: drill.diameter_mm for drill in drills.metric_drills()}
    assert list(metric.values()) == pytest.approx([*(n / 10 for n in range(10, 101)), 10.5, 11, 11.5, 12, 12.5, 13])
    assert all(float(name.removesuffix(" mm")) == size for name, size in metric.items())
    inches = {drill.name: drill.diameter_mm for drill in drills.fraction_drills()}
    assert [Fraction(name.removesuffix(" in")) for name in inches] == [Fraction(n, 64) for n in range(1, 33)]
    assert all(25.4 * Fraction(name.removesuffix(" in")) == pytest.approx(size) for name, size in inches.items())
    both = drills.drills("inch")
    names = [drill.name for drill in both]
    assert names.index("1/4 in") + 1 == names.index("E")  # the same size: the fraction first
    assert [drill.diameter_mm for drill in both] == sorted(drill.diameter_mm for drill in both)
    assert drills.flute_length_mm(0.5) == 12
    assert drills.flute_length_mm(14) == 108
    for bad in (0, -1, 14.1, 15):
        with pytest.raises(ValueError, match="14 mm"):
            drills.flute_length_mm(bad)


def test_orders_at_their_limits() -> None:
    twelve = [k * 60.0 for k in range(12)]
    twelve[5] += 25  # one out of step brings half orders near the firing order
    named = {order.order: order.names for order in firing_orders(12, twelve)}
    assert named[6.0] == ("firing",)
    assert named[12.0] == ("2 × firing",)
    one = {order.order: order for order in firing_orders(1)}
    assert sorted(one) == [0.5, 1.0, 1.5]
    two = {order.order: order for order in firing_orders(2, (0.0, 315.0))}
    assert two[0.5].names == ("order 0.5",)
    assert two[0.5].falls == 1.0  # below the mean firing order nothing is lost
    assert two[1.5].falls == pytest.approx(1 / 1.5)
    near = {order.order: order.names for order in firing_orders(12, [k * 55.0 for k in range(12)])}
    assert near[6.5] == ("order 6.5",)  # 13/12 of firing, and not it
    near = {order.order: order.names for order in firing_orders(12, [k * 30.0 for k in range(12)])}
    assert (near[11.5], near[12.5]) == (("order 11.5",), ("order 12.5",))
    assert Order(1.0, 0.5).level(1.0) == 0.5
    assert Order(1.0, 0.9, inertia=0.3).level(1.0) == 1.0
    assert Order(1.0, 0.2, inertia=0.4).level(0.5) == pytest.approx(0.3)
    assert inertia_orders("single", 0.0, 1)[0].inertia == 1.0
    # a couple and a force of one order are added: 90 degree twin vee, pistons' second order is the root of two of two
    vee = {order.order: order for order in inertia_orders("vee", 90.0, 2, (1, 2), (0.0, 270.0))}
    assert vee[2.0].inertia == pytest.approx(math.sqrt(2) / 2)


def test_tolerances_at_their_steps() -> None:
    assert [fits.iso2768_m(size) for size in (1000, 1050, 2000)] == [0.8, 1.2, 1.2]
    for size in (0.49, 2001, 2100):
        with pytest.raises(ValueError, match="2000"):
            fits.iso2768_m(size)


def test_angles_at_their_limits() -> None:
    assert frames.wrap_180([180.0, 180.5, -180.0, 190.0, 539.0]).tolist() == [180.0, -179.5, 180.0, -170.0, 179.0]
    assert frames.wrap_360([360.0, -1e-12, 359.95, 720.5, -0.5]).tolist() == [0.0, 0.0, 359.95, 0.5, 359.5]
    for a, b, apart in (
        (10, 350, 20),
        (350, 10, 20),
        (0, 180, 180),
        (0, 181, 179),
        (5, 725, 0),
        (-170, 170, 20),
        (90, 1, 89),
    ):
        assert frames.apart_deg(a, b) == pytest.approx(apart)
    assert frames.turned(0, 10, 90) == pytest.approx((10, 0))
    assert frames.turned(3, 4, 30) == pytest.approx((3 * math.sqrt(3) / 2 + 2, 2 * math.sqrt(3) - 1.5))
    assert frames.sense_of("anticlockwise") == -frames.sense_of("clockwise") == -1
    with pytest.raises(ValueError, match="clockwise"):
        frames.sense_of("left")
    x, y = frames.point_at(10, [0, 90, 200], -1).T
    assert frames.angle_of(x, y, -1) == pytest.approx([0, 90, 200])
    assert (x[1], y[0]) == pytest.approx((-10, 10))


def test_screws_and_sockets_at_their_limits() -> None:
    assert heads.screw_length_mm(16 + 1e-12) == 16
    assert heads.screw_length_mm(16.05) == 20
    assert heads.screw_length_mm(0.5) == 8
    assert heads.washer_across_mm(0.5) == 1
    assert heads.across_flats_mm(0.5) == 0.75
    assert [heads.washer_thickness_mm(d) for d in (5, 6, 8, 10, 12, 14, 16, 20)] == [1, 1.6, 1.6, 2, 2.5, 2.5, 3, 3]


def test_prints_and_plates_at_their_limits() -> None:
    assert printing.shrinkage_scale() == pytest.approx(1 / 0.998)
    assert printing.shrinkage_scale(0.05) == pytest.approx(1 / 0.95)
    assert ub.hole_mass_g(0.5, 0.5, 0.5) == pytest.approx(math.pi / 4 * 0.125 * 0.5e-6)
    assert ub.hole_mass_g(0, 0, 0) == 0
    assert ub.point_length_mm(10, 0.5) == pytest.approx(5 / math.tan(math.radians(0.25)))
    for bad in (0, -1, 181):
        with pytest.raises(ValueError, match="point"):
            ub.point_length_mm(10, bad)
    assert ub.knife_edge_visible_g_mm(0.5, 0.5) == 250
    for bad in ((0, 0.5), (0.5, 0)):
        with pytest.raises(ValueError, match="greater than nothing"):
            ub.knife_edge_visible_g_mm(*bad)
    with pytest.raises(ValueError, match="greater than nothing"):
        rotating.corner_peak_mpa(10, 5, 0, 1)


def test_kerfs_at_their_limits() -> None:
    rounded = outline([Round(0, 0, 0.5), Round(30, 0, 0.5), Round(15, 20, 0.5)])
    assert grown(rounded, 2.0).area == pytest.approx(rounded.area + rounded.length * 2 + math.pi * 4)
    hollow = outline([Round(0, 0, 10), Round(60, 0, 10), Round(30, 14, 6, inside=False)])
    with pytest.raises(ValueError, match="tighter"):
        grown(hollow, 6.0)
    assert grown(hollow, 5.9).area > hollow.area


def test_short_pieces_are_closed_half_way() -> None:
    """A corner cut off by 0.2 mm: its two ends become one point midway between them."""
    loop = outline([Round(0, 0, 0), Round(40, 0, 0), Round(40, 19.8, 0), Round(39.8, 20, 0), Round(0, 20, 0)])
    corners = {(round(x, 6), round(y, 6)) for x, y, _ in loop.vertices.tolist()}
    kept = {(0, 0), (40, 0), (0, 20)}
    assert kept <= corners
    assert corners - kept in ({(39.9, 19.9)}, {(40, 19.8), (39.8, 20)})
    near = outline([Round(0, 0, 0), Round(40, 0, 0), Round(40, 20, 0), Round(39.9, 20, 0), Round(0, 20, 0)])
    assert near.area == pytest.approx(800, abs=1.5)
    assert min(edge.length for edge in near.edges()) > 0.25


def test_hull_of_many_is_that_of_shapely() -> None:
    spots = [
        (0, 0, 3),
        (20, 1, 0),
        (20, 1, 0),
        (9, -14, 6),
        (5, 5, 1),
        (-8, 12, 2),
        (-8, 12, 1),
        (0, 30, 0),
        (14, 22, 4),
    ]
    rounds = [Round(float(x), float(y), float(r)) for x, y, r in spots]
    wanted = unary_union([Point(r.x, r.y).buffer(max(r.radius, 1e-9), quad_segs=400) for r in rounds]).convex_hull
    touched = hull(rounds)
    found = Polygon(outline(touched).flatten(1e-4))
    assert found.symmetric_difference(wanted).area < 0.05
    assert touched[0].y - touched[0].radius == min(r.y - r.radius for r in rounds)
    assert sum(turns(touched)) == pytest.approx(2 * math.pi)
    assert hull([Round(0, 0, 5), Round(1, 0, 2)]) == [Round(0, 0, 5)]
    line = hull([Round(0, 0, 0), Round(10, 0, 0), Round(5, 0, 0)])
    assert {(r.x, r.y) for r in line} == {(0, 0), (10, 0)}


def test_corners_that_hardly_turn() -> None:
    """A hundred corners of 3.6 degrees are rounded; one of over 0.15 radians that points inwards is refused."""
    spots = [(50 * math.cos(math.radians(3.6 * k)), 50 * math.sin(math.radians(3.6 * k))) for k in range(100)]
    many = Loop.polygon(spots)
    assert grown(many, 2.0).area == pytest.approx(many.area + many.length * 2 + math.pi * 4, rel=1e-9)
    assert grown(many, 0.0).area == pytest.approx(many.area)
    for turn, ok in ((0.14, True), (0.156, False)):
        dip = 20 * math.tan(turn / 2)
        loop = Loop.polygon([(0, 0), (40, 0), (40, 30), (20, 30 - dip), (0, 30)])
        if ok:
            assert grown(loop, 1.0).area > loop.area
        else:
            with pytest.raises(ValueError, match="inwards"):
                grown(loop, 1.0)
    with pytest.raises(ValueError, match="not shrunk"):
        grown(many, -0.1)
    assert len(Loop.circle(0, 0, 50).flatten()) == len(Loop.circle(0, 0, 50).flatten(0.01))


def test_what_lies_just_inside_a_slanted_wall() -> None:
    slanted = [Loop.polygon([(0, 0), (30, 40), (26, 43), (-4, 3)]), Loop.polygon([(0.2, 0.1), (0.5, 0.5), (0.1, 0.6)])]
    for outline_ in (slanted[0], slanted[0].reversed(), slanted[1], slanted[1].reversed()):
        assert turns_inwards([Wall(outline_, 0, 4)]) == [False]
        assert [(f.z, f.up) for f in floors_of([Wall(outline_, 0, 4)])] == [(0, False), (4, True)]
    ring = [Wall(slanted[0], 0, 4), Wall(Loop.polygon([(10, 15), (12, 17.6), (10.5, 18.5)]), 0, 4)]
    assert turns_inwards(ring) == [False, True]
    assert [(f.z, f.outer, f.inner, f.up) for f in floors_of(ring)] == [(0, 0, (1,), False), (4, 0, (1,), True)]


def test_a_ring_smaller_than_a_millimetre_is_pulled() -> None:
    """Lamé by hand: bore 0.5, rim 1, pulled by 10: σr 10·(1 - 0.25/r²)/0.75, σθ 10·(1 + 0.25/r²)/0.75."""
    for r in (0.5, 0.75, 1.0):
        found = rotating.rim_pull(0.5, 1.0, r, 10.0)
        assert found == pytest.approx((10 / 0.75 * (1 - 0.25 / r**2), 10 / 0.75 * (1 + 0.25 / r**2)))


def test_levels_of_many_speeds_are_those_of_each() -> None:
    order = Order(2.0, 0.5, falls=0.8, inertia=0.3)
    assert order.level(0.5) == pytest.approx(0.4 + 0.3 / 4)
    assert order.levels(np.array([0.0, 0.5, 1.0])).tolist() == pytest.approx([0.4, 0.475, 0.7])
    assert order.levels(np.array([2.0])).tolist() == [1.0]


def test_a_string_that_runs_straight_past_a_circle_kept_out() -> None:
    straight = [Round(0, 0, 0), Round(10, 0, 0, inside=False), Round(20, 0, 0), Round(20, 10, 0)]
    assert turns(straight, closed=False) == pytest.approx([0.0, 0.0, math.pi / 2, 0.0])
    with pytest.raises(NoTangentError) as told:
        turns([Round(0, 0, 5), Round(30, 0, 5), Round(31, 0, 20)])
    assert (told.value.first, told.value.second) == (1, 2)


def test_a_hull_of_many_points_leaves_none_of_them_out() -> None:
    points = [Round(50 * math.cos(a), 50 * math.sin(a), 0) for a in np.linspace(0, 2 * math.pi, 200, endpoint=False)]
    assert len(hull(points)) == 200
    one = Round(3, 4, 5)
    assert hull([one, one, Round(3, 4, 5)]) == [one]
    level = [Round(x, 0, 0) for x in (0, 10)] + [Round(10 - 0.4 * k, 0.4 + k, 0) for k in range(1, 12)]
    assert set(hull([*level, Round(0, 20, 0)])) <= {*level, Round(0, 20, 0)}


def test_engagement_takes_both_at_800_where_nothing_is_said() -> None:
    m8 = threads.thread("M8")
    assert threads.engagement_mm(m8, nut_tensile_mpa=250) == threads.engagement_mm(m8, 800, 250)
    assert threads.engagement_mm(m8, 1000) == threads.engagement_mm(m8, 1000, 800)
    with pytest.raises(ValueError, match="no tolerances here"):
        threads.limits(threads.Thread(48.0, 2.0))
    for strengths in ((0, 800), (800, 0), (-1, 800)):
        with pytest.raises(ValueError, match="greater than nothing"):
            threads.engagement_mm(m8, *strengths)


def test_what_has_no_mass_has_no_unbalance() -> None:
    for bad in ((-1, 10, 5, 8, 7850), (5, 5, 5, 8, 7850), (5, 10, 0, 8, 7850), (5, 10, 361, 8, 7850),
                (5, 10, 5, 0, 7850), (5, 10, 5, 8, 0)):  # fmt: skip
        with pytest.raises(ValueError, match="annular sector"):
            ub.annular_sector(*bad)
    assert ub.annular_sector(0, 10, 360, 1, 1000)[0] == pytest.approx(0.1 * math.pi)
    assert ub.knife_edge_visible_g_mm(1.0, 0.05, level_error_mm_m=5.0) == 50.0  # without a mandrel level means nothing
    assert ub.knife_edge_visible_g_mm(1.0, 0.05, mandrel_diameter_mm=20.0) == 50.0  # nor a mandrel on level edges
    for plate in (0, -1):
        with pytest.raises(ValueError, match="thickness"):
            plasma.perpendicularity_mm(plate, 3)


def test_a_fillet_that_hardly_turns() -> None:
    slight = [Round(0, 0, 0), Round(10, 0, 0, inside=False), Round(20, -0.5, 0)]
    assert turns(slight, closed=False) == pytest.approx([0.0, -math.atan2(0.5, 10), 0.0])
    square = [Round(x, y, 0) for x, y in ((0, 0), (10, 0), (20, 0), (20, 20), (10, 20), (0, 20))]
    assert len(list(outline(square).edges())) == 4  # a point on a straight line is no corner


def test_speed_of_a_rim_and_lean_of_thin_plate() -> None:
    assert sensing.surface_speed_m_s(150, 3881) == pytest.approx(30.48, abs=5e-3)  # 100 ft/s, by hand
    assert plasma.perpendicularity_mm(0.9, 2) == pytest.approx(0.15 + 0.0063)


def test_a_block_weaker_than_the_rule_asks_for_more() -> None:
    m8 = threads.thread("M8")
    assert threads.block_engagement_mm(m8, "grey-iron", 40) == threads.engagement_mm(m8, 800, 40) > 1.5 * 8
    assert threads.block_engagement_mm(m8, "mild-steel", 800) == 8
    with pytest.raises(ValueError, match="greater than nothing"):
        ub.runout_for_unbalance_mm(5.0, 0.0)


@pytest.mark.parametrize(("start", "end"), [(10, 20), (80, 100), (-30, -10), (170, 200), (100, 350), (0, 90), (45, 44)])
@pytest.mark.parametrize("sense", [1, -1])
def test_the_box_of_an_arc_ends_where_the_arc_does(start: float, end: float, sense: int) -> None:
    """Against many points of the arc itself."""
    sweep = math.radians((end - start) % 360)
    at = math.radians(start) + np.linspace(0.0, sweep, 4001)[::sense]
    x, y = 3 + 10 * np.cos(at), 7 + 10 * np.sin(at)
    half = Loop([(x[0], y[0], sense * math.tan(sweep / 4)), (x[-1], y[-1], 0.0)])
    box = next(edge for edge in half.edges() if not edge.is_line).box
    assert box == pytest.approx((x.min(), y.min(), x.max(), y.max()), abs=1e-5)
