"""The arm's outline at its limits: margins, fillets, waists, mounts by the bend; by hand from lengths and triangles.

The jobs are those of bracket_jobs: a ⌀160 ring 5 thick, plate 5 thick bent about 5, 44 wide, a body of 16, holes of 9.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from tests.parts.bracket_jobs import hole_at, in_job, l_layout
from wheelcad.errors import DesignError
from wheelcad.parts.bracket import arm
from wheelcad.parts.bracket.arm import (
    NoArmError,
    _best,
    _cornered,
    _corners,
    _waisted,
    _ways_round,
    _with_waist,
    arm_string,
    bosses,
    with_corners,
)
from wheelcad.parts.bracket.feasibility import Judgement, KeepOut, TabStart, Task, judge
from wheelcad.parts.bracket.flat_pattern import _check_holes, _check_mounts
from wheelcad.trade.tangent import Round
from wheelcad.words import Words

# the arm's outline


@pytest.mark.parametrize(("room", "margin"), [(20.0, 14.4), (14.3, 14.3), (10.81, 10.81), (10.79, None)])
def test_the_plate_round_a_hole_is_what_turning_parts_leave(room: float, margin: float | None) -> None:
    """1.6 diameters of 9 where there is room, never under 1.2."""
    slot = hole_at(100, 0, 105, 0)
    keep = KeepOut(105 + room + 30, 0.0, 30.0, "the wheel")
    if margin is None:
        with pytest.raises(NoArmError) as caught:
            bosses([hole_at(0, 0), slot], [keep], 1.6)
        assert caught.value.mount == 1
        assert "10.8 mm from" in Words("mm").text(caught.value.reason)
        assert "0.01 mm too close" in Words("mm").text(caught.value.reason)
    else:
        found = bosses([hole_at(0, 0), slot], [keep], 1.6)
        assert [(r.x, r.y) for r in found] == [(0, 0), (100, 0), (105, 0)]
        assert [r.radius for r in found] == pytest.approx([14.4, margin, margin])


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize(("turn", "half", "y", "radius", "inside"), [
    (0.0, 22.0, 22.0, 0.0, True),
    (2 * math.pi, 22.0, 22.0, 0.0, True),
    (0.05, 22.0, 14.0, 8.0, True),
    (3.1, 22.0, 14.0, 8.0, True),
    (1.0, 10.0, 5.0, 5.0, True),
    (math.pi, 22.0, 30.0, 8.0, False),
    (3.2, 22.0, 30.0, 8.0, False),
    (2 * math.pi - 0.05, 22.0, 30.0, 8.0, False),
])  # fmt: skip
def test_the_corner_where_the_tab_ends(
    turn: float, half: float, y: float, radius: float, inside: bool, side: int
) -> None:
    """Straight on: a point. Inwards: rounded by 8, or half of a narrow tab's half. Outwards: a fillet of 8."""
    first = next(_corners(TabStart(50.0, half), side, turn, Round(150, 0, 10)))
    assert first == Round(50.0, side * y, radius, inside)


@pytest.mark.parametrize(("x", "y", "margin", "radius"), [
    (10.0, 22.0, 4.79, 8.0), (10.0, 22.0, 4.82, 6.0), (10.0, 22.0, 5.7, 5.0), (10.0, 22.0, 6.5, 4.0),
    (9.0, 23.0, 6.1, 3.0),
    (12.0, 25.0, 5.0, 6.0),  # 13 is just what 8 and 5 are: not clear
])  # fmt: skip
def test_a_fillet_is_the_largest_that_clears_the_next_margin(x: float, y: float, margin: float, radius: float) -> None:
    """From 8 above the corner at 22 to (10, 22) it is √164 = 12.81; of 6: 11.66; of 5: 11.18; of 4: 10.77."""
    for at in (0.0, 50.0):
        found = next(_corners(TabStart(at, 22.0), 1, 4.0, Round(at + x, y, margin)))
        assert found == Round(at, 22.0 + radius, radius, inside=False)


def test_a_margin_over_the_corner_leaves_no_fillet() -> None:
    assert [*_corners(TabStart(0.0, 22.0), 1, 4.0, Round(4.0, 24.0, 6.0))] == []


def test_a_mount_over_the_corner_is_named_with_what_it_needs() -> None:
    """The second, whose slot ends 3 and 4 from the upper corner: 5; the hole of 9 and a fillet take 10.8 + 3."""
    start = TabStart(0.0, 22.0)
    holes = (hole_at(90, 0), hole_at(20, 26, 3, 26))
    task = Task(start, holes, (), (), 30.0)
    with pytest.raises(NoArmError, match="from the end of the bend line") as caught:
        _cornered(task, start, bosses(holes, (), 1.6))
    said = Words("mm").text(caught.value.reason)
    assert "lies 5 mm from" in said
    assert "takes 13.8 mm" in said
    assert caught.value.mount == 1


@pytest.mark.parametrize(("a", "b", "long"), [
    (Round(0, 0, 0), Round(100, 0, 0), 100),
    (Round(0, 0, 0), Round(80, 0, 0), 80),
    (Round(0, 0, 0), Round(79.9, 0, 0), None),
    (Round(0, 60, 0), Round(79.9, 60, 0), None),
    (Round(0, 10, 10), Round(100, 30, 30), 100),
    (Round(0, -8, 8, inside=False), Round(90, 20, 20), 90),
])  # fmt: skip
@pytest.mark.parametrize("share", [0.08, 0.03])
@pytest.mark.parametrize("turned", [0.0, 35.0, 200.0])
def test_a_waist_is_an_arc_over_seven_tenths_of_the_straight_side(
    a: Round, b: Round, long: float | None, share: float, turned: float
) -> None:
    """The side runs along y = 0, plate above it; the disc reaches up into it by the share of its chord. So it does
    wherever the side lies and whichever way it points."""
    c, s = math.cos(math.radians(turned)), math.sin(math.radians(turned))
    there = [replace(r, x=7 + c * r.x - s * r.y, y=-9 + s * r.x + c * r.y) for r in (a, b)]
    found = _with_waist([Round(0, 0, 1), *there, Round(1, 0, 1)], 1, share)
    if long is None:
        assert found is None
        return
    assert found is not None
    assert [*found[:2], *found[3:]] == [Round(0, 0, 1), *there, Round(1, 0, 1)]
    disc = found[2]
    assert not disc.inside
    x, y = c * (disc.x - 7) + s * (disc.y + 9), -s * (disc.x - 7) + c * (disc.y + 9)
    assert x == pytest.approx(long / 2)
    assert y + disc.radius == pytest.approx(share * 0.7 * long)
    assert math.sqrt(disc.radius**2 - y**2) == pytest.approx(0.7 * long / 2)


def plate(wide: float, neck: float, half: float = 20.0, long: float = 100.0) -> tuple[Task, list[Round]]:
    """An arm that leaves a tab of 2 half and is `wide` over a straight length of 100, a hole near its end."""
    start, x0, x1 = TabStart(0.0, half), 5.0, 5.0 + long
    string = [Round(x0, -wide / 2, 0), Round(x1, -wide / 2, 0), Round(x1, wide / 2, 0), Round(x0, wide / 2, 0)]
    return Task(start, (hole_at(x1 - 15, 0),), (), ((0.5, 0.0), (x1 - 15, 0.0)), neck), string


@pytest.mark.parametrize(("wide", "depths"), [
    (50.9, [5.6, 5.6]),  # 39.7 are left
    (50.5, [5.6, 3.5]),  # two of the deepest would leave 39.3
    (48.5, [5.6, 2.1]),
    (46.8, [5.6]),
    (45.3, [5.6]),
    (45.09, [3.5]),  # 39.49 would be left of 40
    (44.9, [3.5]),
    (42.8, [2.1]),
    (41.4, []),
])  # fmt: skip
def test_waists_are_the_deepest_that_leave_the_arm_its_width(wide: float, depths: list[float]) -> None:
    """0.08, 0.05 and 0.03 of a chord of 70. The arm is 40 wide at the bend, and may lose half a millimetre of that."""
    task, string = plate(wide, 30.0)
    found = [disc for disc in _waisted(task, string) if disc.radius > 0]
    assert [disc.y > 0 for disc in found] == ([False, True] if len(depths) == 2 else [True] * len(depths))
    deep = [disc.radius - abs(disc.y) + wide / 2 for disc in found]
    assert deep == pytest.approx(depths[::-1])


@pytest.mark.parametrize(("left", "waists"), [(39.5, 2), (39.4375, 0)])
def test_a_waist_may_cost_just_half_a_millimetre(monkeypatch: pytest.MonkeyPatch, left: float, waists: int) -> None:
    task, string = plate(50.0, 30.0)
    monkeypatch.setattr(arm, "judge", lambda task, s, upto: Judgement(1.0, 40.0 if s == string else left))
    assert sum(not item.inside for item in _waisted(task, string)) == waists


@pytest.mark.parametrize(("neck", "sound"), [(39.99, True), (40.05, False)])
def test_an_arm_as_wide_as_its_neck_is_sound(neck: float, sound: bool) -> None:
    task, string = plate(40.0, neck)
    if sound:
        assert _best(task, [string]) == string
    else:
        with pytest.raises(NoArmError, match="the least"):
            _best(task, [string])


@pytest.mark.parametrize(("turned", "sound"), [(265.0, True), (275.0, False)])
def test_an_outline_turns_three_quarters_round_a_circle_at_most(turned: float, sound: bool) -> None:
    """A disc of 100 at the end of a tab of 44: its sides come to it at half of what the turn has over 180."""
    lean = math.radians((turned - 180) / 2)
    far = (100 - 22 * math.cos(lean)) / math.sin(lean)  # from the corners, at which the turn out to it begins
    start = TabStart(0.0, 22.0)
    string = [Round(0.0, -22.0, 0.0, inside=False), Round(far, 0.0, 100.0), Round(0.0, 22.0, 0.0, inside=False)]
    task = Task(start, (hole_at(far, 0),), (), ((0.5, 0.0), (far, 0.0)), 40.0)
    assert (judge(task, string) is not None) is sound


@pytest.mark.parametrize(("beside", "sound"), [(0.05, True), (0.07, False)])
def test_an_arm_keeps_off_what_turns(beside: float, sound: bool) -> None:
    """Three times the 0.02 that chords are off is let through."""
    task, string = plate(50.0, 40.0)
    keep = KeepOut(50.0, 25.0 + 30.0 - beside, 30.0, "the wheel")
    assert (judge(replace(task, keep_outs=(keep,)), string) is not None) is sound


@pytest.mark.parametrize(("y", "sound"), [(14.2, True), (14.3, False), (-14.2, True), (-14.3, False), (26.0, False)])
def test_a_hole_has_1_2_diameters_to_the_edge(y: float, sound: bool) -> None:
    """25 - 10.8 = 14.2, and 0.06 let through; the slot's other end lies well inside."""
    task, string = plate(50.0, 40.0)
    found = judge(replace(task, holes=(hole_at(60, 0, 60, y),)), string)
    assert (found is not None) is sound
    if found:
        assert found.area == pytest.approx(50 * 100 + (40 + 50) / 2 * 5.5)
        assert found.narrowest == 40.0


# mounts by the bend


@pytest.mark.parametrize(("hole", "words"), [
    ((7.0, 0, 12, 0), ""),  # 7 less 4.5 is the 2.5 it needs
    ((12, 0, 6.9, 0), "ends 2.4 mm short of the bent metal, and needs 2.5 mm of plate; it has to be 0.1 mm further"),
    ((3, 0, 3, 0), "reaches 1.5 mm into the bent metal, and needs 2.5 mm of plate; it has to be 4 mm further"),
    ((-20, 35.9, -20, 40), ""),  # beside the bend line's end: 22 + 10.8 + 3
    ((-20, -40, -20, -35.9), ""),
    ((-20, 35.7, -20, 40), "into"),
    ((-20, 40, -20, 35.7), "into"),
    ((-43.9, 40, -43.9, 40), ""),  # no further back than the width
    ((-44.1, 40, -44.1, 40), "into"),
])  # fmt: skip
def test_a_mount_lies_before_the_bend_or_beside_it(hole: tuple[float, ...], words: str) -> None:
    layout = l_layout()
    bracket = in_job().bracket
    assert bracket is not None
    x = layout.bends[0].x_arm
    mounts = (hole_at(100, 0), hole_at(x + hole[0], hole[1], x + hole[2], hole[3]))
    if not words:
        _check_mounts(replace(layout, mounts=mounts), bracket)
        return
    with pytest.raises(NoArmError) as caught:
        _check_mounts(replace(layout, mounts=mounts), bracket)
    assert words in Words("mm").text(caught.value.reason)
    assert caught.value.mount == 1


@pytest.mark.parametrize(("apart", "ok"), [(11.5, True), (11.4, False)])
def test_two_holes_leave_half_a_thickness_between_them(apart: float, ok: bool) -> None:
    """9 and 9 wide: 11.5 apart leaves 2.5 of 5."""
    layout = replace(l_layout(), mounts=(hole_at(100, 0, 105, 0), replace(hole_at(105 + apart, 0), mount=2)))
    if ok:
        _check_holes(layout, 5.0)
        return
    with pytest.raises(DesignError) as caught:
        _check_holes(layout, 5.0)
    [fault] = caught.value.faults
    assert fault.dotted == "bracket.mounts[1]"
    assert "2.4 mm of plate" in Words("mm").text(fault.message)
    assert "2.5 mm or more" in Words("mm").text(fault.allowed or "")


def test_an_arm_has_1_6_diameters_of_plate_round_a_hole_where_there_is_room() -> None:
    hole = hole_at(100, 0)
    task = Task(TabStart(0.0, 22.0), (hole,), (), ((0.5, 0.0), (100.0, 0.0)), 25.0)
    assert [r.radius for r in arm_string(task) if (r.x, r.y) == (100, 0)] == pytest.approx([14.4])


@pytest.mark.parametrize(("away", "margin"), [(13.0, 13.0), (10.9, 10.9)])
def test_and_less_where_something_turns_beside_it(away: float, margin: float) -> None:
    keep = KeepOut(100.0, 60.0 + away, 60.0, "the wheel")
    task = Task(TabStart(0.0, 22.0), (hole_at(100, 0),), (keep,), ((0.5, 0.0), (100.0, 0.0)), 15.0)
    assert [r.radius for r in arm_string(task) if (r.x, r.y) == (100, 0)] == pytest.approx([margin])


def test_an_arm_that_finds_no_way_is_tried_with_less_round_its_holes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before a corner beside the bend gets a smaller fillet; without a bend there is no such corner."""
    tried: list[tuple[float, bool]] = []

    def none(task: Task, tab: object, factor: float, smaller: bool) -> list[Round]:
        tried.append((factor, smaller))
        raise NoArmError("no way")

    monkeypatch.setattr(arm, "_string", none)
    for start in (None, TabStart(0.0, 22.0)):
        with pytest.raises(NoArmError, match="no way"):
            arm_string(Task(start, (), (), (), 25.0))
    largest = [(1.6, False), (1.4, False), (1.2, False)]
    assert tried == [*largest, *largest, (1.6, True), (1.4, True), (1.2, True)]


def test_an_elbow_lies_beyond_the_bend_as_wide_as_nearly_all_of_the_tab(monkeypatch: pytest.MonkeyPatch) -> None:
    given: list[list[Round]] = []

    def noted(task: Task, start: TabStart, margins: list[Round], smaller: bool) -> list[Round]:
        given.append(list(margins))
        return with_corners(start, margins[:1])

    monkeypatch.setattr(arm, "_cornered", noted)
    arm_string(Task(TabStart(10.0, 20.0), (hole_at(110, 0),), (), ((10.5, 0.0), (110.0, 0.0)), 25.0))
    plain, elbowed = given
    assert plain == [Round(110, 0, 14.4)]
    assert elbowed == [Round(110, 0, 14.4), Round(29.0, 0.0, 19.0)]


def test_an_arm_led_round_what_turns_is_30_or_45_wide_there() -> None:
    keep = KeepOut(50.0, 60.0, 40.0, "the wheel")
    plain = [Round(0, -20, 0), Round(100, 0, 14), Round(0, 20, 0)]
    ways = list(_ways_round(Task(TabStart(0.0, 20.0), (), (keep,), (), 25.0), plain))
    disc = Round(50.0, 60.0, 40.0, inside=False)
    assert [way for way in ways if len(way) == 4] == [[*plain[:at], disc, *plain[at:]] for at in (1, 2)]
    banded = [way for way in ways if len(way) == 5]
    assert [item.radius for way in banded for item in way if item.inside and item.y == 60.0] == [70.0, 85.0] * 2
    assert [way.index(disc) for way in banded] == [1, 1, 3, 3]
    closed = list(_ways_round(Task(None, (), (keep,), (), 25.0), plain))
    assert [way.index(disc) for way in closed if len(way) == 4] == [1, 2, 3]


def test_a_margin_that_is_just_the_least_will_do() -> None:
    [margin] = bosses([hole_at(0, 0, d=10.0)], [KeepOut(42.0, 0.0, 30.0, "the wheel")], 1.6)
    assert margin.radius == 12.0
    with pytest.raises(NoArmError) as caught:
        bosses([hole_at(0, 0, d=10.0)], [KeepOut(25.0, 0.0, 30.0, "the wheel")], 1.6)
    said = Words("mm").text(caught.value.reason)
    assert said.startswith("lies 0 mm from")
    assert "17 mm too close" in said


@pytest.mark.parametrize(("plain", "ways", "best", "said"), [
    ([(90, 30.0), (50, 40.0)], [], 1, ""),  # the first that is sound
    ([(50, 30.0)], [(90, 40.0), (80, 45.0), (60, 39.95), (85, 50.0)], 81, ""),  # the smallest way round that is
    ([(50, 30.0)], [(90, 40.0), (90, 45.0)], 80, ""),  # of two as large the first
    ([(50, 30.0), None], [None, (90, 39.95), (60, 20.0)], None, "leave 39.95 mm of plate; 40 mm is the least"),
    ([None], [None], None, "leave 0 mm of plate"),
    ([(50, 39.95), (60, 12.0)], [], None, "leave 39.95 mm of plate"),
    ([(50, 39.95)], [(60, 12.0)], None, "leave 39.95 mm of plate"),
])  # fmt: skip
def test_which_of_the_outlines_is_taken(
    monkeypatch: pytest.MonkeyPatch, plain: list[Any], ways: list[Any], best: int | None, said: str
) -> None:
    """By area and narrowest width; None for what is no good at all. An outline is its number, ways from 80."""
    verdicts = {n: row and Judgement(*row) for n, row in [*enumerate(plain), *enumerate(ways, 80)]}
    monkeypatch.setattr(arm, "judge", lambda task, string: verdicts[string[0].x])
    monkeypatch.setattr(arm, "_ways_round", lambda task, string: [[Round(80 + n, 0, 1)] for n in range(len(ways))])
    turning = KeepOut(0, 0, 30.0, "the wheel"), KeepOut(0, 0, 20.0, "the pulley")
    task = Task(None, (), turning, (), 40.0)
    strings = [[Round(n, 0, 1)] for n in range(len(plain))]
    if best is not None:
        assert _best(task, strings)[0].x == best
        return
    with pytest.raises(NoArmError) as caught:
        _best(task, strings)
    assert said in Words("mm").text(caught.value.reason)
    assert caught.value.reason.startswith("the wheel and the pulley stand in the way")
    assert "included 30 mm round the axis" in Words("mm").text(caught.value.reason)


@pytest.mark.parametrize("side", [1, -1])
def test_either_corner_looks_at_the_margin_beside_it(side: int) -> None:
    """From 4 above the corner at 22 to (12, 34) it is 14.4, more than 10 and 4; of 5 it is 13.9. The other is far."""
    near, far = Round(12.0, side * 34.0, 10.0), Round(100.0, side * -60.0, 14.0)
    string = with_corners(TabStart(0.0, 22.0), [near, far] if side < 0 else [far, near])
    assert [item.radius for item in (string[0], string[-1])] == ([4.0, 8.0] if side < 0 else [8.0, 4.0])
    assert not string[0].inside
    assert not string[-1].inside
