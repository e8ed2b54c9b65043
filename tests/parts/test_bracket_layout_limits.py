"""Tab, holes and outline of a bracket at their limits, and how the arm's outline is judged; all by hand.

The jobs are those of bracket_jobs: a ⌀160 ring 5 thick, plate 5 thick bent about 5, 44 wide, a body of 16, holes of 9.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from tests.parts.bracket_jobs import asked_of, hole_at, in_job, l_layout, made
from wheelcad.errors import DesignError
from wheelcad.parts.bracket.feasibility import KeepOut, TabStart, Task, judge
from wheelcad.parts.bracket.flat import hand_slits
from wheelcad.parts.bracket.judge import bend_distance, bracket_findings
from wheelcad.parts.bracket.l_shape import _check_height
from wheelcad.parts.bracket.layout import TabPlan, body_hole, plan_tab, tab_corners
from wheelcad.trade.tangent import Round, turns

# the sensor's holes and the plate round them


@pytest.mark.parametrize(("sensor", "hole"), [
    ({"body_diameter": 16}, 16.3),
    ({"bolt": None, "thread": "M12x1", "body_diameter": 12}, 12.3),
    ({"bolt": None, "thread": "M12x1", "body_diameter": 11.6}, 12.1),  # the thread must go through, by a tenth
])  # fmt: skip
def test_the_body_and_its_thread_go_through_the_hole(sensor: dict[str, Any], hole: float) -> None:
    assert body_hole(asked_of(in_job(sensor=sensor)).body) == pytest.approx(hole)


def test_the_plate_round_the_sensors_holes() -> None:
    """M6 in 6.6: 1.5 holes or half a hole and 1.5 thicknesses, 10.8; round the body 8.15 and 7.5, or the flange and 1.
    The bolt 20 off: 30.8 beyond it, 23.3 to its far side."""
    asked = asked_of(in_job())
    away, towards = plan_tab(asked, -1.0, 0.0), plan_tab(asked, 1.0, 0.0)
    assert (away.body, away.bolt, away.bolt_margin) == pytest.approx((16.3, 6.6, 10.8))
    assert (away.beyond, away.inner) == pytest.approx((30.8, 8.15))
    assert (towards.beyond, towards.inner) == pytest.approx((15.65, 23.3))
    thin = asked_of(in_job(bracket={"plate": {"thickness": 2}}))
    assert plan_tab(thin, 0.0, 1.0).bolt_margin == pytest.approx(9.9)
    assert plan_tab(thin, 0.0, 1.0).beyond == pytest.approx(12.0)  # a flange of 8 + 3, and 1
    slotted = plan_tab(asked_of(in_job(bracket={"adjust_along": 4})), 0.0, 1.0)
    assert slotted.beyond == pytest.approx(17.65)


def test_without_a_bolt_nothing_is_kept_for_one() -> None:
    plan = plan_tab(asked_of(in_job(sensor={"bolt": None})), -1.0, 0.0)
    assert plan == TabPlan(plan.body, 0.0, 0.0, 0.0, 0.0, plan.beyond, plan.body / 2)
    assert [hole.name for hole in plan.holes("tab", 30.0, 0.0)] == ["body"]


def test_no_hole_lies_at_minus_nought() -> None:
    asked = asked_of(in_job())
    assert str(plan_tab(asked, -0.0, 1.0).bolt_x) == str(plan_tab(asked, 1.0, -0.0).bolt_y) == "0.0"


@pytest.mark.parametrize(("half", "boss"), [(30.0, 0), (29.9, 1), (22.0, 1)])
@pytest.mark.parametrize("way", [1.0, -1.0])
def test_a_bolt_beside_the_sensor_has_its_own_plate_where_the_tab_is_too_narrow(
    half: float, boss: int, way: float
) -> None:
    plan = TabPlan(16.3, 6.6, 0.0, way * 20.0, 10.0, 15.0, 8.0)
    assert plan.boss(15.0, half) == [Round(15.0, way * 20.0, 10.0)] * boss


@pytest.mark.parametrize(("half", "cut"), [(22.0, 7.0), (14.0, 7.0), (10.0, 5.0)])
def test_a_tabs_corners_are_cut_off_by_seven_or_half_of_half_its_width(half: float, cut: float) -> None:
    corners = [(c.x, c.y) for c in tab_corners(half)]
    assert sorted(corners) == sorted([(0, half - cut), (cut, half), (0, cut - half), (cut, -half)])


def test_an_l_keeps_half_a_thickness_straight_on_either_side_of_its_bend() -> None:
    layout = l_layout()
    [bend] = layout.bends
    assert (layout.start_x - bend.x_arm, bend.x_tab - layout.tab_start) == pytest.approx((2.5, 2.5))


@pytest.mark.parametrize(("height", "slots", "long_enough"), [(20.65, 0, True), (20.64, 0, False), (22.64, 4, False)])
def test_a_tab_is_long_enough_for_bend_margin_and_half_the_hole(height: float, slots: float, long_enough: bool) -> None:
    """Plate of 5, 5 of radius, half a thickness of plate and 8.15 of hole; half of the slots' travel besides."""
    bracket = asked_of(in_job(bracket={"adjust_along": slots})).bracket
    if long_enough:
        _check_height(bracket, height, 16.3)
    else:
        with pytest.raises(DesignError, match="leaves the tab too short"):
            _check_height(bracket, height, 16.3)


@pytest.mark.parametrize(("thickness", "least"), [(5, 10), (3, 6)])
def test_a_hole_is_wanted_two_thicknesses_off_the_bend(thickness: float, least: float) -> None:
    found = bracket_findings(made(in_job(bracket={"plate": {"thickness": thickness}})))
    assert [f.limit for f in found if f.check == "hole-to-bend"] == [least]


@pytest.mark.parametrize(("y", "distance"), [(26.5, 15.5), (26.51, math.inf), (-26.5, 15.5), (-26.51, math.inf)])
def test_a_hole_that_just_passes_a_bends_end(y: float, distance: float) -> None:
    """A bend of 44; a hole of 9 whose edge is level with its end."""
    bend = replace(l_layout().bends[0], x_tab=-10.0, x_arm=0.0)
    assert bend_distance(hole_at(20.0, y), bend) == distance


@pytest.mark.parametrize(("width", "slits"), [(22.4, []), (22.5, [7.5]), (25.5, [10.5]), (43.5, [10.5, 10.5])])
def test_a_slit_is_a_bridge_long_at_least(width: float, slits: list[float]) -> None:
    """Bridges of 7.5 in plate of 5."""
    layout = l_layout()
    bend = replace(layout.bends[0], y_from=-10.0, y_to=width - 10.0)
    found = [b[1] - a[1] for a, b in hand_slits(replace(layout, bends=(bend,)), 5.0)]
    assert found == pytest.approx(slits)


# the arm's outline


def keyhole(turn_deg: float, neck: float) -> list[Round]:
    """A head of 10 round the origin, on a foot that it is joined to by two sharp inner corners `neck` below: where a
    string that turns so far round the head comes off it."""
    slope = math.radians(turn_deg - 180) / 2
    half = (10 / math.sin(slope) - neck) * math.tan(slope)
    return [
        Round(-20.0, -60.0, 0.0), Round(20.0, -60.0, 0.0), Round(half, -neck, 0.0, inside=False),
        Round(0.0, 0.0, 10.0), Round(-half, -neck, 0.0, inside=False),
    ]  # fmt: skip


@pytest.mark.parametrize(("turn", "neck", "sound"), [(200.0, 30.0, True), (267.0, 13.0, True), (274.0, 12.8, False)])
def test_an_outline_turns_at_most_three_quarters_round_one_circle(turn: float, neck: float, sound: bool) -> None:
    """More is a string that has crossed itself, or is about to."""
    string = keyhole(turn, neck)
    assert math.degrees(turns(string)[3]) == pytest.approx(turn)
    assert (judge(plate(), string) is not None) is sound


def plate(start: TabStart | None = None, **change: Any) -> Task:
    return replace(Task(start, (), (), ((5.0, 0.0), (95.0, 0.0)), 20.0), **change)


BAR = [Round(0.0, -20.0, 0.0), Round(100.0, -20.0, 0.0), Round(100.0, 20.0, 0.0), Round(0.0, 20.0, 0.0)]


@pytest.mark.parametrize(("y", "sound"), [(40.0, True), (39.9, False), (-39.9, False), (10.0, False)])
def test_an_arm_keeps_out_of_what_turns(y: float, sound: bool) -> None:
    """A disc of 20 beside a bar whose side lies at 20."""
    made = judge(plate(keep_outs=(KeepOut(50.0, y, 20.0, "the wheel"),)), BAR)
    assert (made is not None) is sound


@pytest.mark.parametrize(("y", "sound"), [(9.2, True), (9.3, False), (-9.3, False), (30.0, False)])
def test_a_hole_is_one_and_a_fifth_of_itself_from_the_edge(y: float, sound: bool) -> None:
    """EN 1993-1-8 table 3.3: 10.8 from a hole of 9 to the side at 20."""
    for hole in (hole_at(50.0, y), hole_at(50.0, 0.0, 50.0, y), hole_at(50.0, y, 50.0, 0.0)):
        assert (judge(plate(holes=(hole,)), BAR) is not None) is sound


@pytest.mark.parametrize("start", [None, TabStart(0.5, 20.0)])
def test_a_bar_is_as_large_and_as_wide_as_it_is(start: TabStart | None) -> None:
    made = judge(plate(start), BAR if start is None else BAR[1:3])
    assert made is not None
    assert made.area == pytest.approx(4000)
    assert made.narrowest == 20.0
    wide = judge(plate(start), BAR if start is None else BAR[1:3], upto=60.0)
    assert wide is not None
    assert wide.narrowest == pytest.approx(40.0, abs=0.1)


@pytest.mark.parametrize(("aside", "joined"), [(0.0, True), (21.0, True), (21.1, False)])
def test_an_anchor_lies_in_the_plate_or_a_millimetre_beside_it(aside: float, joined: bool) -> None:
    made = judge(plate(anchors=((5.0, 0.0), (50.0, aside))), BAR)
    assert made is not None
    assert (made.narrowest == 20.0) is joined
