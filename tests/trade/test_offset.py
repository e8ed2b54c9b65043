"""Outlines grown by half a kerf, held against Steiner's formula and against the distance of every point."""

from __future__ import annotations

import math

import numpy as np
import pytest

from wheelcad.trade.loop import Loop
from wheelcad.trade.offset import grown
from wheelcad.trade.tangent import Round, hull, outline


@pytest.mark.parametrize("by", [0.3, 0.7, 2.0])
def test_area_grows_as_steiner_says(by: float) -> None:
    # Source: Steiner's formula for convex outlines, A + L·d + π·d²
    for loop in (
        Loop.polygon([(0, 0), (40, 0), (40, 10), (0, 30)]),
        outline(hull([Round(0, 0, 5), Round(60, 10, 12), Round(20, 40, 0)])),
        Loop([(10, 0, 1), (-10, 0, 0)]),  # half a disc: its arc ends in corners
    ):
        assert grown(loop, by).area == pytest.approx(loop.area + loop.length * by + math.pi * by**2, rel=1e-9)


def test_every_point_lies_that_far_off() -> None:
    loop = outline([Round(0, 0, 10), Round(60, 0, 12), Round(30, 14, 6, inside=False)])
    moved = grown(loop, 0.7)
    distances = [loop.distance(x, y) for x, y in moved.flatten(0.005)]
    assert np.abs(np.array(distances) - 0.7).max() < 0.006
    assert moved.area > loop.area


def test_a_slight_hollow_corner_needs_no_radius() -> None:
    loop = Loop.polygon([(0, 0), (60, 0), (60, 20), (30, 19), (0, 20)])
    moved = grown(loop, 0.7)
    distances = [loop.distance(x, y) for x, y in moved.flatten(0.005)]
    assert np.abs(np.array(distances) - 0.7).max() < 0.01


def test_what_a_torch_cannot_follow_is_refused() -> None:
    tight = outline([Round(0, 0, 10), Round(60, 0, 10), Round(30, 3, 0.5, inside=False)])
    with pytest.raises(ValueError, match="tighter"):
        grown(tight, 0.7)
    half_round = Loop([(-5, 0, 0), (5, 0, 0), (5, 4, 0), (1, 4, -1), (-1, 4, 0), (-5, 4, 0)])  # a hollow of radius 1
    with pytest.raises(ValueError, match="tighter"):
        grown(half_round, 1.0)
    with pytest.raises(ValueError, match="inwards"):
        grown(Loop.polygon([(0, 0), (40, 0), (20, 10), (40, 30), (0, 30)]), 0.7)
    with pytest.raises(ValueError, match="grown"):
        grown(tight, -1)
