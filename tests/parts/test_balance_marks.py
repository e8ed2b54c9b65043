"""Angles, depths and radii that a shop can set."""

from __future__ import annotations

import random

import numpy as np
import pytest

from wheelcad.parts.balance.marks import ShopSteps, usable_drills
from wheelcad.trade.indexing import dial_setting


@pytest.mark.parametrize(("ratio", "step"), [(40, 0.05), (40, 0.4), (90, 1 / 60), (72, 1 / 60), (60, 0.25), (7, 0.1)])
def test_angles_are_those_of_the_rotary_table(ratio: int, step: float) -> None:
    draw = random.Random(1)
    for _ in range(200):
        zero, at = draw.uniform(0, 360), draw.uniform(-360, 720)
        shop = ShopSteps(zero, ratio, step, 0.1, 0.5)
        from_zero = (at - zero) % 360
        exact = from_zero + dial_setting(from_zero, ratio, step).error_deg
        found = (shop.nearest(at) - zero) % 360
        off = abs((found - exact + 180) % 360 - 180)
        assert off < 1e-8
        assert abs((shop.nearest(at) - at + 180) % 360 - 180) <= step / 2 + 1e-8
        assert len(set(shop.around(at))) == len(shop.around(at)) >= 2


def test_the_marks_on_either_side_of_the_nearest() -> None:
    """Of tenths: the nearest first, then the one before and the one after it."""
    shop = ShopSteps(0.0, None, 0.1, 0.1, 0.5)
    for at, nearest in ((10.045, 10.0), (10.051, 10.1), (10.0, 10.0)):
        assert shop.around(at) == pytest.approx([nearest, nearest - 0.1, nearest + 0.1])


def test_depths_and_radii() -> None:
    shop = ShopSteps(0.0, None, 0.1, 0.1, 0.5)
    np.testing.assert_allclose(shop.depth_up(np.array([1.0, 1.01, 1.1])), [1.0, 1.1, 1.1])
    np.testing.assert_allclose(shop.depth_near(np.array([1.04, 1.06])), [1.0, 1.1])
    radii = shop.radii(20.2, 60.1)
    assert radii[0] == 20.5
    assert radii[-1] == 60.0
    np.testing.assert_allclose(np.diff(radii), 0.5)
    narrow = shop.radii(50.0, 51.0)
    assert len(narrow) >= 8
    assert narrow.min() >= 50
    assert narrow.max() <= 51
    assert len(shop.radii(60, 50)) == 0


def test_drills_that_are_used() -> None:
    assert [drill.diameter_mm for drill in usable_drills("metric", 3.2, 3.0)] == pytest.approx([3.0, 3.1, 3.2])
    assert [drill.diameter_mm for drill in usable_drills("metric", 1.1, 3.0)] == pytest.approx([1.0, 1.1])
    assert usable_drills("metric", 0.5, 3.0) == ()
