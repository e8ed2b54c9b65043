"""Walled bodies as kernel solids: volumes against hand reckoning, validity, one body."""

from __future__ import annotations

import math

import pytest

from wheelcad.files.brep import figures
from wheelcad.files.walled import walled_solid
from wheelcad.trade.loop import Loop
from wheelcad.trade.wall import Wall


def square(half: float, x: float = 0.0) -> Loop:
    return Loop.polygon([(x - half, -half), (x + half, -half), (x + half, half), (x - half, half)])


def test_a_cup_with_holes_and_engraving() -> None:
    walls = [
        Wall(Loop.circle(0, 0, 30), -6, 4),
        Wall(Loop.circle(0, 0, 20), -6, 0),
        Wall(Loop.circle(10, 0, 3), 0, 3.5),
        Wall(Loop.circle(10, 0, 3.4), 3.5, 4),
        Wall(square(2, -8), 3, 4),
    ]
    got = figures(walled_solid(walls))
    wanted = math.pi * (900 * 10 - 400 * 6 - 9 * 3.5 - 3.4**2 * 0.5) - 16
    assert got.volume == pytest.approx(wanted, rel=1e-9)
    assert got.valid
    assert got.solids == 1


def test_a_leaning_window_is_a_frustum() -> None:
    walls = [Wall(square(20), 0, 5), Wall(square(4), 0, 1), Wall(square(4.5), 1, 5, square(6.5))]
    got = figures(walled_solid(walls))
    frustum = 4 / 3 * (81 + 169 + math.sqrt(81 * 169))
    assert got.volume == pytest.approx(1600 * 5 - 64 - frustum, rel=1e-9)
    assert got.valid


def test_the_outline_may_run_either_way() -> None:
    loop = square(5)
    assert figures(walled_solid([Wall(loop.reversed(), 0, 2)])).volume == pytest.approx(200)


def test_a_leaning_wall_needs_its_corners() -> None:
    with pytest.raises(ValueError, match="corners"):
        walled_solid([Wall(square(5), 0, 2, Loop.polygon([(-3, -3), (3, -3), (0, 3)]))])
