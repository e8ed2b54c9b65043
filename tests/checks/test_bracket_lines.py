"""Lines of a bracket's flat one by one: which are the same, which cross, which were grown for the kerf."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from tests.parts.bracket_jobs import hand_bent
from wheelcad.checks import bracket
from wheelcad.checks.bracket import _at, _compensated, _outlines, _same
from wheelcad.checks.bracket_folded import separate_bodies
from wheelcad.files.dxf import CutFile, write_cut_dxf
from wheelcad.parts.bracket.cutting import compensated_name, cut_layers
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.trade.loop import Edge, Loop
from wheelcad.words import Words


@pytest.fixture(scope="module")
def design() -> BracketDesign:
    return hand_bent()


LONG = Edge(0.0, 0.0, 20.0, 0.0, 0.0)
HALF_ROUND = Edge(13.0, 2.0, -7.0, 2.0, 1.0)  # radius 10 about (3, 2)


def _on_round(radius: float, begin: float, end: float) -> Edge:
    (x0, y0), (x1, y1) = ((3 + radius * math.cos(a), 2 + radius * math.sin(a)) for a in map(math.radians, (begin, end)))
    return Edge(x0, y0, x1, y1, math.tan(math.radians(end - begin) / 4))


@pytest.mark.parametrize(("off", "same"), [(0.0, True), (0.0095, True), (0.0105, False), (0.3, False)])
def test_edges_a_hundredth_apart_are_one(off: float, same: bool) -> None:
    pairs = [(LONG, Edge(3.0, off, 9.0, -off, 0.0)), (HALF_ROUND, _on_round(10.0 + off, 20.0, 100.0))]
    for a, b in pairs:
        assert _same(a, b) == _same(b, a) == same


def test_points_along_an_edge() -> None:
    assert _at(Edge(1.0, 2.0, 5.0, 10.0, 0.0), 0.25) == pytest.approx((2.0, 4.0))
    turned = math.radians(20 + 0.3 * 80)
    expected = (3 + 10 * math.cos(turned), 2 + 10 * math.sin(turned))
    assert _at(_on_round(10.0, 20.0, 100.0), 0.3) == pytest.approx(expected)


def test_an_outline_without_an_inside_runs_neither_way(design: BracketDesign) -> None:
    there_and_back = Loop.polygon([(0.0, 0.0), (8.0, 0.0), (4.0, 0.0)])
    assert there_and_back.area == 0
    _, found = _outlines(CutFile(4, loops={"OUTLINE": [design.outline, there_and_back]}), design)
    (turn,) = [finding for finding in found if finding.check == "orientation"]
    assert (turn.verdict, Words().text(str(turn.measured))) == ("fail", "1 of 2 outlines anticlockwise")


@pytest.mark.parametrize(("off", "bodies"), [(0.000004, 1), (0.00003, 2)])
def test_corners_that_single_precision_tells_apart_are_one(off: float, bodies: int) -> None:
    corners = np.array([[0, 0, 0], [0, 1, 0], [1, 0, 0], [0, 0, 1]], dtype=float)
    body = corners[np.array([[0, 1, 2], [0, 2, 3], [0, 3, 1], [2, 1, 3]])]
    body[3] += off
    assert len(separate_bodies(body)) == bodies


@pytest.mark.parametrize(("allowed", "good"), [(0.03, True), (0.0, False)])
def test_an_outline_that_was_not_grown_fails_for_the_thinnest_kerf(
    allowed: float, good: bool, design: BracketDesign, tmp_path: Path
) -> None:
    """Half of three hundredths is nearer than lines are told apart by, so its area tells."""
    write_cut_dxf(tmp_path / compensated_name(0.03), cut_layers(design, allowed))
    thin: Any = SimpleNamespace(
        compensate_kerf=0.03, sheet_place=design.sheet_place, outline=design.outline, gussets=design.gussets, holes=()
    )
    (outline,) = [f for f in _compensated(tmp_path, thin) if f.check == "kerf-outline"]
    assert outline.verdict == ("pass" if good else "fail")


@pytest.mark.parametrize(("room", "apart"), [(0.009, True), (-0.001, False)])
def test_outlines_that_come_within_a_hundredth_do_not_cross(room: float, apart: bool, design: BracketDesign) -> None:
    """A cog of 360 tips of 10 mm in a hollow that is so much larger: arcs are not made straight so roughly."""
    turn = np.radians(np.arange(720) / 2)
    reach = np.where(np.arange(720) % 2 == 0, 10.0, 9.5)
    cog = Loop.polygon([(x, y) for x, y in zip(reach * np.cos(turn), reach * np.sin(turn), strict=True)])
    hollow = 10.0 + room
    corners = [(hollow, -0.5), (20.0, -0.5), (20.0, 25.0), (-20.0, 25.0), (-20.0, -0.5), (-hollow, -0.5)]
    around = Loop([*((x, y, 0.0) for x, y in corners), (-hollow, 0.0, -1.0), (hollow, 0.0, 0.0)])
    assert around.area > 0
    _, found = _outlines(CutFile(4, loops={"OUTLINE": [around, cog]}), design)
    (simple,) = [finding for finding in found if finding.check == "simple-outlines"]
    assert (simple.verdict == "pass") == apart


def test_the_design_s_own_outline_is_not_a_grown_one(design: BracketDesign, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the last bit, where no file has rounded it."""
    own = [design.outline, *(gusset.nested for gusset in design.gussets)]
    cut = CutFile(4, loops={"OUTLINE": own})
    monkeypatch.setattr(bracket, "read_cut_dxf", lambda path: cut)
    monkeypatch.setattr(bracket, "_in_flat", lambda cut, design: cut)
    thin: Any = SimpleNamespace(compensate_kerf=0.03, outline=own[0], gussets=design.gussets, holes=())
    (outline,) = [f for f in _compensated(Path("anywhere"), thin) if f.check == "kerf-outline"]
    assert outline.verdict == "fail"
