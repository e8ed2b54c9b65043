"""Cutting files and the gauge's marks against the design: a few pieces by hand, within their tolerance and beyond."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from wheelcad.checks import gauge_over_wheel as over
from wheelcad.checks.flats import FlatWanted, apart, check_head, check_shapes
from wheelcad.files.dxf import CutCircle, CutFile, CutPath, CutText
from wheelcad.findings import Finding
from wheelcad.trade.loop import Loop
from wheelcad.words import Words


def said(finding: Finding) -> str:
    return Words().text(str(finding.measured))


SQUARE = Loop.polygon([(0.0, 0.0), (20.0, 0.0), (20.0, 12.0), (0.0, 12.0)])
TURNED = Loop.polygon([(20.0, 12.0), (0.0, 12.0), (0.0, 0.0), (20.0, 0.0)])  # the same, from another corner
LINE = (3.0, 4.0), (6.0, 8.0)


def marks(*ends: tuple[tuple[float, float], ...]) -> list[CutPath]:
    return [CutPath(tuple((x, y, 0.0) for x, y in path)) for path in ends]


def shapes(outlines: list[Loop], *paths: CutPath, **more: Any) -> list[Finding]:
    """Outlines and marks of a cutting file against the square and one mark."""
    cut = CutFile(4, loops={"OUTLINE": outlines}, paths={"MARK": list(paths)}, **more)
    outline, holes, marked = check_shapes("any.dxf", cut, FlatWanted((SQUARE,), (), (LINE,)))
    assert (holes.measured, holes.verdict) == (0.0, "pass")  # none of none
    return [outline, marked]


@pytest.mark.parametrize(("off", "good"), [(0.0, True), (0.00095, True), (-0.00095, True), (0.00105, False)])
@pytest.mark.parametrize("corner", range(4))
def test_one_corner_off_its_place(corner: int, off: float, good: bool) -> None:
    """Of the outline along its side, and of a mark's end."""
    points = TURNED.vertices[:, :2].copy()
    points[corner, corner % 2] += off
    mark = ((3.0, 4.0 + off), (6.0, 8.0)) if corner < 2 else ((6.0, 8.0), (3.0 - off, 4.0))
    for found in shapes([Loop.polygon(points.tolist())], *marks(mark)):
        assert (found.measured, found.verdict) == (pytest.approx(abs(off), abs=1e-9), "pass" if good else "fail")


def test_outlines_lie_apart_by_the_worst_of_either() -> None:
    notched = Loop.polygon([(0, 0), (20, 0), (20, 12), (11, 12), (10, 9), (9, 12), (0, 12)])
    assert apart([SQUARE], [notched]) == apart([notched], [SQUARE]) == pytest.approx(3.0)
    other = Loop.circle(50.0, 0.0, 2.0)
    assert apart([SQUARE, other], [SQUARE]) == apart([SQUARE], [SQUARE, other]) == pytest.approx(32.0)
    assert apart([SQUARE, other], [other, TURNED]) == pytest.approx(0.0, abs=1e-12)
    assert apart([], []) == 0.0
    assert apart([SQUARE], []) == apart([], [SQUARE]) == math.inf


@pytest.mark.parametrize(
    ("outlines", "words"),
    [
        ([], "0 outlines, 0 not closed, 0 run clockwise"),
        ([SQUARE, TURNED], "2 outlines, 0 not closed, 0 run clockwise"),
        ([Loop.polygon([(0, 0), (0, 12), (20, 12), (20, 0)])], "1 outline, 0 not closed, 1 run clockwise"),
        ([Loop.polygon([(0, 0), (20, 0), (5, 0)])], "1 outline, 0 not closed, 1 run clockwise"),  # nothing inside
    ],
)
def test_outlines_that_are_not_as_wanted(outlines: list[Loop], words: str) -> None:
    outline, mark = shapes(outlines, *marks(LINE))
    assert (said(outline), outline.verdict, mark.verdict) == (words, "fail", "pass")


def test_the_smallest_hole_has_an_inside() -> None:
    hole = CutCircle(5.0, 5.0, 0.2)
    cut = CutFile(4, circles={"HOLES": [hole]})
    _, found, none = check_shapes("any.dxf", cut, FlatWanted((), (Loop.circle(5.0, 5.0, 0.2005),)))
    assert (found.measured, found.verdict) == (pytest.approx(0.0005, abs=1e-6), "pass")
    assert (none.measured, none.verdict) == (0.0, "pass")
    _, found, _ = check_shapes("any.dxf", CutFile(4, loops={"HOLES": [SQUARE]}, paths={"HOLES": marks(LINE)}),
                               FlatWanted((), (SQUARE,)))  # fmt: skip
    assert said(found) == "1 hole, 1 not closed, 0 run clockwise"


@pytest.mark.parametrize(
    ("paths", "circles", "words"),
    [
        ([], [], "0 marks, 0 closed"),
        ([LINE, LINE], [], "2 marks, 0 closed"),
        ([(LINE[0], (4.0, 4.0), LINE[1])], [], "2 marks, 0 closed"),  # one path of two pieces
        ([LINE], [CutCircle(0.0, 0.0, 1.0)], "1 mark, 1 closed"),
    ],
)
def test_marks_that_are_not_as_wanted(paths: Any, circles: list[CutCircle], words: str) -> None:
    outline, mark = shapes([TURNED], *marks(*paths), circles={"MARK": circles})
    assert (outline.verdict, said(mark), mark.verdict) == ("pass", words, "fail")


def test_each_mark_has_its_own_nearest_and_the_worst_counts() -> None:
    wanted = (LINE, ((0.0, 0.0), (1.0, 0.0)), ((9.0, 9.0), (9.0, 7.0)))
    found = marks((LINE[1], LINE[0]), ((9.0, 7.0), (9.3, 9.4)), ((0.1, 0.0), (1.0, 0.2)))
    mark = check_shapes("any.dxf", CutFile(4, paths={"MARK": found}), FlatWanted((), (), wanted))[2]
    assert (mark.measured, mark.verdict) == (pytest.approx(0.5), "fail")


def test_unit_layers_and_what_no_table_follows() -> None:
    words = CutText(0.0, 0.0, "UP")
    sound = CutFile(4, loops={"OUTLINE": [SQUARE]}, texts={"TEXT": [words]})
    allowed = frozenset({"OUTLINE", "TEXT"})
    assert [f.verdict for f in check_head("any.dxf", sound, allowed)] == ["pass"] * 3
    spoilt = CutFile(1, loops={"0": [SQUARE]}, texts={"OUTLINE": [words], "TEXT": []}, strange=("0: SPLINE",))
    assert [(said(f), f.verdict) for f in check_head("any.dxf", spoilt, allowed)] == [
        ("$INSUNITS 1", "fail"), ("0, words on OUTLINE", "fail"), ("0: SPLINE", "fail")
    ]  # fmt: skip


# --- the gauge laid over the wheel ------------------------------------------------------------------------------------
def laid_over(
    marks_at: list[list[float]], begins: list[float], ends: list[float], monkeypatch: Any, **more: Any
) -> Any:
    """Where marks lie past slots that begin and end there; a mark is 4 degrees wide, a slot 6. Cuts 3, 7, ..."""
    seen: list[Any] = []
    monkeypatch.setattr(over, "read_stl", lambda path: path.name)
    monkeypatch.setattr(over, "section_segments", lambda body, z: seen.append((body, z)) or ("cut", "normals"))
    monkeypatch.setattr(
        over, "circle_crossings", lambda *given: seen.append(given) or (np.array(ends), np.array(begins))
    )
    monkeypatch.setattr(over, "measure_marks", lambda body, design: np.array(marks_at))
    gaps = more.get("gaps", [(False, False)] * len(marks_at))
    cover = [SimpleNamespace(number=3 + 4 * k, gap_before=a, gap_after=b) for k, (a, b) in enumerate(gaps)]
    design = SimpleNamespace(
        mark_radius=70.0,
        sense=-1,
        body=SimpleNamespace(style=SimpleNamespace(slot=SimpleNamespace(half_deg=lambda radius: 2.0))),
        wheel_slot=SimpleNamespace(half_deg=lambda radius: 3.0),
        mark_edges_cut=lambda: np.array(more.get("cut", [(True, True)] * len(marks_at))),
        cover=SimpleNamespace(marks=cover),
    )
    (found,) = over.check_gauge_over_wheel(Path("made"), cast(Any, design))
    assert seen == [("wheel.stl", 0.0), ("cut", "normals", 70.0, -1)]
    return found


@pytest.mark.parametrize(
    ("off", "verdict", "words"),
    [
        (0.0, "pass", "2 marks over their slots"),
        (0.0195, "pass", "2 marks over their slots"),
        (0.021, "fail", "off at cut 7"),
        (-0.021, "fail", "off at cut 7"),
    ],
)
def test_middles_of_marks_over_middles_of_slots(
    off: float, verdict: str, words: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One of them across the TDC line, where the slot begins before it and the mark after it."""
    found = laid_over([[88.0, 92.0], [0.5 + off, 4.5 + off]], [87.0, 359.5], [93.0, 5.5], monkeypatch)
    assert (found.measured, found.verdict) == (pytest.approx(abs(off), abs=1e-9), verdict)
    assert Words().text(found.why) == f"gauge.stl laid over wheel.stl: {words}"


def test_just_as_far_off_as_is_allowed_is_over_its_slot(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(over, "OVERLAY_LIMIT_DEG", 0.25)
    found = laid_over([[88.25, 92.25]], [87.0], [93.0], monkeypatch)
    assert (found.measured, found.verdict) == (0.25, "pass")
    assert "off at" not in found.why


@pytest.mark.parametrize("side", [0, 1])
def test_beside_the_gap_the_other_side_tells(side: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The gap has taken one side of the slot, and the gauge has cut one side of its mark: half of each width tells."""
    own, wheel = [[88.0, 92.0]], [87.0, 93.0]
    own[0][side] = 60.0  # where it would mislead
    wheel[side] = 40.0
    there = [(side != 0, side != 1)]
    gone = [(side == 0, side == 1)]
    found = laid_over(own, [wheel[0]], [wheel[1]], monkeypatch, cut=there, gaps=gone)
    assert found.measured == pytest.approx(0.0, abs=1e-9)


def test_a_wheel_without_slots_is_under_no_gauge(monkeypatch: pytest.MonkeyPatch) -> None:
    found = laid_over([[88.0, 92.0]], [], [], monkeypatch)
    assert (found.verdict, "off at cut 3" in Words().text(found.why)) == ("fail", True)
