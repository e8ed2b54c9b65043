"""Where the bend's line ends beside a mount: which fillet the arm's corner takes, and what is told where none goes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.parts.bracket_jobs import hole_at
from wheelcad.parts.bracket import arm
from wheelcad.parts.bracket.arm import NoArmError, _cornered, bosses, with_corners
from wheelcad.parts.bracket.feasibility import TabStart, Task
from wheelcad.trade.tangent import NoTangentError, Round, hull
from wheelcad.words import Words


@pytest.mark.parametrize(("side", "half"), [(-1, 22.225), (1, 22.225)])
def test_a_fillet_that_lies_over_the_next_margin_s_far_side_gives_way_to_a_smaller(side: int, half: float) -> None:
    """Two ends of a slot at (66.7, 47.3) and (60.7, 47.3) with 14.6 round them; fillets at 44.87, from 22.225 up.

    Of 8 (centre 30.2 up): the margin's edge is 8.68 off, and the tangent between them would have to come back from
    beyond x = 60.7; of 6: it does not. Both clear it.
    """
    start = TabStart(44.868, half)
    margins = hull([Round(x, side * y, 14.6) for x, y in ((66.7, 47.3), (60.7, 47.3))] + [Round(80, 0, 16.7)])
    string = with_corners(start, margins)
    fillet = string[-1] if side > 0 else string[0]
    assert fillet == Round(44.868, side * (half + 6.0), 6.0, inside=False)


def test_mounts_whose_common_edge_runs_over_the_corners_are_told_how_far_to_go() -> None:
    """Holes of 9 at (13, ±40): the plate's edge 10.8 before them runs 2.2 from the corners (0, ±22), that take 3."""
    start, holes = TabStart(0.0, 22.0), (hole_at(13, -40), hole_at(13, 40))
    task = Task(start, holes, (), (), 30.0)
    with pytest.raises(NoArmError) as caught:
        _cornered(task, start, bosses(holes, (), 1.2))
    said = Words("mm").text(caught.value.reason)
    assert "comes to 2.2 mm from the end of the bend line" in said
    assert said.endswith("the corner takes 3 mm: move the mounts 0.8 mm away from the bend")
    assert caught.value.mount == 0
    clear = (hole_at(13.81, -40), hole_at(13.81, 40))
    assert _cornered(replace(task, holes=clear), start, bosses(clear, (), 1.2))[0].radius == 3.0


@pytest.mark.parametrize("side", [-1, 1])
def test_a_fillet_clears_the_margin_beside_it_and_not_only_the_one_behind(side: int) -> None:
    """A margin of 8 at (12, 32): √(144 + 25) = 13 from a fillet of 5 at (0, 27), which is just what both take, so one
    of 4 it is. The next margin, at (60, 45), would let the fillet of 5 through."""
    margins = hull([Round(12, side * 32, 8), Round(60, side * 45, 14), Round(90, 0, 15)])
    string = with_corners(TabStart(0.0, 22.0), margins)
    ends = string if side < 0 else string[::-1]
    assert ends[0] == Round(0.0, side * 26.0, 4.0, inside=False)
    assert ends[1] == Round(12, side * 32, 8)


def test_a_smaller_fillet_is_not_taken_before_the_holes_margins_gave_way() -> None:
    margins = hull([Round(66.7, 47.3, 14.6), Round(60.7, 47.3, 14.6), Round(80, 0, 16.7)])
    with pytest.raises(NoTangentError):
        with_corners(TabStart(44.868, 22.225), margins, smaller=False)


def test_a_mount_at_just_the_distance_it_takes_is_not_too_near() -> None:
    """A hole of 9 and a fillet take 13.8; it is 13.8 from the corner (0, 22): the plate's edge is told."""
    start, hole = TabStart(0.0, 22.0), hole_at(13.8, 22.0)
    said, number = arm._too_near(Task(start, (hole,), (), (), 30.0), start, bosses([hole], (), 1.2))
    assert Words("mm").text(said).startswith("is so placed that the plate round the mounts comes to 3 mm from")
    assert number == 0
    near = hole_at(13.79, 22.0)
    said, _ = arm._too_near(Task(start, (near,), (), (), 30.0), start, bosses([near], (), 1.2))
    assert "lies 13.8 mm from the end" in Words("mm").text(said)


@pytest.mark.parametrize(("x", "told"), [(0.0, 13.8), (5.0, 8.8), (13.0, 0.8)])
def test_mounts_moved_as_far_as_is_told_leave_room_for_the_corners(x: float, told: float) -> None:
    """Holes of 9 at ±40: the plate 10.8 before them, covering the corners or not, goes to 3 beyond the bend line."""
    start, holes = TabStart(0.0, 22.0), (hole_at(x, -40), hole_at(x, 40))
    task = Task(start, holes, (), (), 30.0)
    with pytest.raises(NoArmError) as caught:
        _cornered(task, start, bosses(holes, (), 1.2))
    assert Words("mm").text(caught.value.reason).endswith(f"move the mounts {told} mm away from the bend")
    moved = (hole_at(x + told + 0.01, -40), hole_at(x + told + 0.01, 40))
    assert _cornered(replace(task, holes=moved), start, bosses(moved, (), 1.2))[0].radius == 3.0
