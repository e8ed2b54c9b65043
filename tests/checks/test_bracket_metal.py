"""A folded bracket's metal: sections of a part, ends of bends and over all, by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import shapely

from tests.checks.test_bracket_folded import PLAIN, UPRIGHT, block
from wheelcad.checks import bracket_metal as metal
from wheelcad.parts.bracket.model import Bend, Frame
from wheelcad.trade.loop import Loop
from wheelcad.words import Words

Floats = np.ndarray[Any, np.dtype[np.float64]]
SIDES = np.array([[[20, 12], [0, 12]], [[0, 12], [0, 0]], [[0, 0], [20, 0]]], dtype=float)  # the bend is at x = 20
PLATE = Loop.polygon([(0.0, 0.0), (20.0, 0.0), (20.0, 12.0), (0.0, 12.0)])


def off(segments: Floats, monkeypatch: pytest.MonkeyPatch, bends: tuple[float, ...] = (20.0,)) -> float:
    heights: list[float] = []
    monkeypatch.setattr(metal, "section_segments", lambda triangles, z: heights.append(z) or (segments, None))
    found = metal._off(np.zeros((0, 3, 3)), PLAIN, 5.0, shapely.box(0, 0, 20, 12), [], bends)
    assert heights == [2.5]
    return found


def test_a_border_along_a_bend_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    assert off(SIDES, monkeypatch) == pytest.approx(0.0)
    assert off(SIDES, monkeypatch, ()) == pytest.approx(6.0)


def test_a_side_that_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    """Looked for every two millimetres at least: 13 mm in seven steps, of which the third is the furthest off."""
    sides = np.array([[[20, 0], [20, 13]], [[20, 13], [0, 13]], [[0, 0], [20, 0]]], dtype=float)
    monkeypatch.setattr(metal, "section_segments", lambda triangles, z: (sides, None))
    found = metal._off(np.zeros((0, 3, 3)), PLAIN, 5.0, shapely.box(0, 0, 20, 13), [], ())
    assert found == pytest.approx(3 * 13 / 7)


def test_a_section_goes_on_into_the_bend(monkeypatch: pytest.MonkeyPatch) -> None:
    """By pieces that begin a little beyond its line."""
    more = np.array([[[20.04, 12], [19, 12]], [[19, 0], [20.04, 0]], [[20.04, 0], [20.04, 12]]], dtype=float)
    assert off(np.concatenate([SIDES, more]), monkeypatch) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("x", [0.3, -0.3])
def test_metal_that_is_too_much_or_missing(x: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """A rib of 0.3 out of one side, or into it: either way the border is so far from it."""
    ribbed = np.array([[[0, 12], [0, 8]], [[0, 8], [x, 6]], [[x, 6], [0, 4]], [[0, 4], [0, 0]]], dtype=float)
    found = off(np.concatenate([SIDES[:1], SIDES[2:], ribbed]), monkeypatch)
    assert found == pytest.approx(0.3 if x > 0 else 0.3 * 2 / math.hypot(2, 0.3))


@pytest.mark.parametrize(("x", "on"), [(19.951, True), (20.049, True), (19.95, False), (20.0505, False), (30.0, True)])
def test_what_lies_on_a_bend_s_line(x: float, on: bool) -> None:
    points = np.array([[x, 3.0], [7.0, 20.0]])
    assert metal._on(points, (20.0, 30.0)).tolist() == [on, False]
    assert metal._on(np.array([[0.05, 20.0]]), (0.0,)).tolist() == [False]


def test_every_part_with_its_own_holes_and_every_gusset_by_its_number(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[Any] = []
    monkeypatch.setattr(metal, "inside", lambda loop: loop)
    monkeypatch.setattr(metal, "_extent", lambda *given: "extent")
    monkeypatch.setattr(metal, "_off", lambda *given: seen.append(given[1:]) or 0.0)
    regions = [SimpleNamespace(name=name, frame=f"{name}'s frame", loop=f"{name}'s loop") for name in ("arm", "tab")]
    holes = [SimpleNamespace(region=name, loop=n) for n, name in enumerate(("arm", "tab", "arm"))]
    gussets = [SimpleNamespace(frame=f"frame {n}", loop=f"loop {n}", thickness=3.0) for n in (1, 2)]
    bends = [SimpleNamespace(x_tab=12.0, x_arm=20.0)]
    design = SimpleNamespace(regions=regions, holes=holes, gussets=gussets, bends=bends, thickness=5.0)
    *found, last = metal.check_bracket_metal("any.stl", np.zeros((0, 3, 3)), cast(Any, design))
    assert last == "extent"
    assert [f.subject for f in found] == [f"any.stl, {name}" for name in ("arm", "tab", "gusset 1", "gusset 2")]
    assert seen == [
        ("arm's frame", 5.0, "arm's loop", [0, 2], (12.0, 20.0)),
        ("tab's frame", 5.0, "tab's loop", [1], (12.0, 20.0)),
        ("frame 1", 3.0, "loop 1", [], ()),
        ("frame 2", 3.0, "loop 2", [], ()),
    ]


@pytest.mark.parametrize(
    ("off", "measured", "verdict"),
    [
        ((0.0, 0.0, 0.0), 0.0, "pass"),
        ((0.019, 0.0, 0.0), 0.019, "pass"),  # twice the limit of the mesh
        ((0.0, -0.021, 0.0), 0.021, "fail"),
        ((0.0, 0.0, 0.021), 0.021, "fail"),
    ],
)
def test_over_all(off: tuple[float, float, float], measured: float, verdict: str) -> None:
    """A plate of 4 mm and a gusset of 3 that stands out of it, in the engine's frame."""
    region = SimpleNamespace(frame=PLAIN, loop=PLATE)
    gusset = SimpleNamespace(frame=Frame((5.0, 6.0, 4.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)),
                             loop=Loop.polygon([(0.0, 0.0), (9.0, 0.0), (0.0, 9.0)]), thickness=3.0)  # fmt: skip
    design = SimpleNamespace(regions=(region,), gussets=(gusset,), bends=(), thickness=4.0)
    triangles = np.concatenate([block(20, 12, 4, (10.0, 6.0, 2.0)), block(9, 3, 9, (9.5, 4.5, 8.5))]) + np.array(off)
    found = metal._extent("any.stl", triangles, cast(Any, design), 0.01)
    assert (found.measured, found.verdict) == (pytest.approx(measured, abs=1e-9), verdict)
    assert Words().text(found.why) == "over all 20 mm × 12 mm × 13 mm, in the engine's frame"


@pytest.mark.parametrize("up", [True, False])
def test_the_outsides_of_a_bend(up: bool) -> None:
    """60 degrees about a line 3 mm off the side it turns towards: from where the arm ends, round to where the tab's
    frame begins, at both ends of the line."""
    bend = Bend(12.0, 20.0, -7.0, 11.0, 60.0, up, 3.0, 8.0, 2.0)
    design = SimpleNamespace(bends=(bend,), regions=(SimpleNamespace(frame=UPRIGHT),), thickness=4.0)
    found = [UPRIGHT.back(points) for points in metal._bends(cast(Any, design))]
    tab = UPRIGHT.beyond(bend, 4.0)
    expected = [(3.0, -7.0), (3.0, 11.0), (7.0, -7.0), (7.0, 11.0)]
    for (radius, y), flat in zip(expected, found, strict=True):
        side = 4.0 if (radius == 3.0) == up else 0.0  # the side it turns towards is the inside
        assert flat[0] == pytest.approx([20.0, y, side])
        assert tab.back(UPRIGHT.points(flat[-1])) == pytest.approx([12.0, y, side], abs=1e-9)
        assert flat[:, 1] == pytest.approx(np.full(len(flat), y))
        middle = np.array([20.0, 7.0 if up else -3.0])
        assert np.hypot(*(flat[:, [0, 2]] - middle).T) == pytest.approx(np.full(len(flat), radius))
        steps = np.hypot(*np.diff(flat[:, [0, 2]], axis=0).T)
        assert steps.max() == pytest.approx(steps.min())
