"""Bodies of walls: which floors close them, and which way each wall turns."""

from __future__ import annotations

import math

import pytest

from wheelcad.trade.loop import Loop
from wheelcad.trade.wall import Wall, floors_of, turns_inwards


def square(half: float, x: float = 0.0) -> Loop:
    return Loop.polygon([(x - half, -half), (x + half, -half), (x + half, half), (x - half, half)])


def test_a_plate_with_a_hole_and_a_pocket() -> None:
    walls = [Wall(square(10), 0, 4), Wall(square(2, -5), 0, 4), Wall(square(2, 5), 3, 4)]
    assert turns_inwards(walls) == [False, True, True]
    floors = list(floors_of(walls))
    assert [(f.z, f.outer, f.inner, f.up) for f in floors] == [
        (0, 0, (1,), False),
        (3, 2, (), True),
        (4, 0, (1, 2), True),
    ]


def test_an_island_in_a_pocket_has_its_own_top() -> None:
    walls = [Wall(square(10), 0, 4), Wall(square(6), 3, 4), Wall(square(2), 3, 4)]
    assert turns_inwards(walls) == [False, True, False]
    top = [f for f in floors_of(walls) if f.z == 4]
    assert sorted((f.outer, f.inner) for f in top) == [(0, (1,)), (2, ())]
    pocket = [f for f in floors_of(walls) if f.z == 3]
    assert [(f.outer, f.inner, f.up) for f in pocket] == [(1, (2,), True)]


@pytest.mark.parametrize("step", [2.6, 3.0, 3.4])
def test_a_bore_through_a_plate_and_a_boss_looks_inwards_wherever_the_step_lies(step: float) -> None:
    """The bore is 6 high: a boss of 3 ends half-way up it, where neither boss nor plate has metal."""
    walls = [Wall(square(10), step, 6), Wall(square(6), 0, step), Wall(square(2), 0, 6)]
    assert turns_inwards(walls) == [False, False, True]


def test_a_stepped_post_has_a_ledge_that_looks_up_and_a_cup_one_that_looks_down() -> None:
    post = list(floors_of([Wall(square(10), 0, 2), Wall(square(6), 2, 5)]))
    assert [(f.z, f.outer, f.inner, f.up) for f in post] == [(0, 0, (), False), (2, 0, (1,), True), (5, 1, (), True)]
    cup = list(floors_of([Wall(square(10), 0, 5), Wall(square(6), 0, 3)]))
    assert [(f.z, f.outer, f.inner, f.up) for f in cup] == [(0, 0, (1,), False), (3, 1, (), False), (5, 0, (), True)]


def test_walls_that_close_nothing_are_refused() -> None:
    with pytest.raises(ValueError, match="no floor"):
        list(floors_of([Wall(square(4), 0, 2), Wall(square(4), 2, 5)]))


@pytest.mark.parametrize("turn_deg", range(0, 360, 15))
@pytest.mark.parametrize("clockwise", [False, True])
def test_a_thin_plate_with_a_hole_whichever_way_it_lies(turn_deg: int, clockwise: bool) -> None:
    """What lies inside a wall is asked beside its longest edge, which may run any way."""
    c, s = math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))

    def bar(long: float, wide: float) -> Loop:
        corners = [(c * x - s * y, s * x + c * y) for x, y in ((0, 0), (long, 0), (long, wide), (0, wide))]
        return Loop.polygon(corners[::-1] if clockwise else corners)

    walls = [Wall(bar(30, 8), 0, 2), Wall(bar(30, 8).moved(100, 0), 0, 3)]
    assert turns_inwards(walls) == [False, False]
    assert [(f.z, f.outer, f.inner, f.up) for f in floors_of(walls)] == [
        (0, 0, (), False), (0, 1, (), False), (2, 0, (), True), (3, 1, (), True)
    ]  # fmt: skip


def test_what_stands_between_the_arms_of_a_u_stands_outside_of_it() -> None:
    """Seen to its right, the post has one whole arm, and from the left arm there are both."""
    u = Loop.polygon([(0, 0), (30, 0), (30, 20), (20, 20), (20, 5), (10, 5), (10, 20), (0, 20)])
    walls = [Wall(u, 0, 2), Wall(square(2, 15).moved(0, 12), 0, 2), Wall(square(2, 5).moved(0, 12), 0, 2)]
    assert turns_inwards(walls) == [False, False, True]
