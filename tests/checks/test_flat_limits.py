"""Cutting files by hand: TDC lines, bolt circles, crosses, bends and extents that are just right and just wrong."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from wheelcad.checks import cut_files, cut_shapes, wheel_flat
from wheelcad.files.dxf import CutCircle, CutFile, CutPath, CutText
from wheelcad.findings import Finding
from wheelcad.parts.bracket.model import Bend, Hole
from wheelcad.trade.loop import Loop
from wheelcad.words import Words

Floats = np.ndarray[Any, np.dtype[np.float64]]
Point = tuple[float, float]


def line(a: Point, *more: Point) -> CutPath:
    """A mark from point to point."""
    return CutPath(tuple((x, y, 0.0) for x, y in (a, *more)))


def turned(x: float, y: float, degrees: float) -> Point:
    """A point turned anticlockwise about the axis."""
    a = math.radians(degrees)
    return x * math.cos(a) - y * math.sin(a), x * math.sin(a) + y * math.cos(a)


def radial(marks: list[CutPath]) -> int:
    return len(list(wheel_flat.radial_lines(CutFile(4, paths={"MARK": marks}))))


@pytest.mark.parametrize(
    ("mark", "points"),
    [
        (line((0.0, 20.0), (0.0, 50.0)), True),
        (line((30.0, 40.0), (12.0, 16.0)), True),
        (line((0.00096, 20.0), (0.00096, 50.0)), True),  # passes the axis a thousandth aside
        (line((0.00104, 20.0), (0.00104, 50.0)), False),
        (line((-0.00104, 20.0), (-0.00104, 50.0)), False),
        (line((0.0, 20.0), (0.0, 30.0), (0.0, 50.0)), False),  # bent
        (line((-10.0, 0.0), (20.0, 0.0)), False),  # through the axis
        (line((0.0, -0.00048), (0.0, 50.0)), True),  # by half a thousandth
        (line((0.0, -0.00052), (0.0, 50.0)), False),
        (line((0.0015, 20.0), (0.0015, 20.05)), False),  # short, and as far aside
        (line((40.0, 3.0), (50.0, 4.0)), False),
    ],
)
def test_which_lines_point_at_the_axis(mark: CutPath, points: bool) -> None:
    assert radial([mark]) == points


@pytest.mark.parametrize(("off", "arm"), [(0.0, True), (0.0096, True), (0.0104, False)])
@pytest.mark.parametrize("way", [(1.0, 0.0), (0.0, 1.0), (-0.6, 0.8)])
def test_the_arms_of_a_cross_are_no_tdc_line(off: float, way: Point, arm: bool) -> None:
    """Two lines across each other in their middles."""
    x, y = off * way[0], 30.0 + off * way[1]
    assert radial([line((0.0, 28.0), (0.0, 32.0)), line((x - 2.0, y), (x + 2.0, y))]) == (0 if arm else 1)


def tdc(*ends: tuple[Point, Point], sense: int = 1) -> Finding:
    """The finding on the TDC line among these marks."""
    bare = cast(Any, SimpleNamespace(wheel=SimpleNamespace(sense=sense), job=None))
    return wheel_flat._one("wheel-flat.dxf", CutFile(4, paths={"MARK": [line(*pair) for pair in ends]}), bare)[0]


@pytest.mark.parametrize("off", [0.00096, 0.00104, -0.00096, -0.00104])
@pytest.mark.parametrize("sense", [1, -1])
def test_the_tdc_line_to_a_thousandth_of_a_degree(off: float, sense: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """The nearest of the lines there to straight up."""
    monkeypatch.setattr(wheel_flat, "bolt_centres", lambda job: np.zeros((1, 2)))
    mark = turned(0.0, 50.0, off), turned(0.0, 20.0, off)
    found = tdc(mark, (turned(0.0, 50.0, 70.0), turned(0.0, 20.0, 70.0)), sense=sense)
    assert found.measured == pytest.approx(abs(off), abs=1.1e-6)
    assert (found.verdict == "pass") == (abs(off) < 0.001)
    down = tdc((turned(0.0, -50.0, off), turned(0.0, -20.0, off)), sense=sense)
    assert down.measured == pytest.approx(180.0, abs=0.01)
    assert tdc(((5.0, 20.0), (5.0, 50.0))).measured == "no line points at the axis"
    slanted = tdc(((0.0, 20.0), (0.0005, 50.0)))  # read at its first end
    assert slanted.measured == 0.0


# --- bolts ---------------------------------------------------------------------------------------------------------
SQUARE = np.array([turned(40.0, 0.0, a) for a in (10.0, 100.0, 190.0, 280.0)])
UNEVEN = np.array([turned(40.0, 0.0, a) for a in (10.0, 110.0, 190.0, 280.0)])


def fits(bolts: Floats, holes: Floats, marks: list[CutPath]) -> Finding:
    """In how many ways a plate with these holes goes on to those bolts."""
    cut = CutFile(4, circles={"HOLES": [CutCircle(x, y, 3.0) for x, y in holes.tolist()]}, paths={"MARK": marks})
    return wheel_flat._one_way("wheel-flat.dxf", cut, bolts, [m for m in marks if len(m.vertices) == 2])


UP = line((0.0, 20.0), (0.0, 50.0))


@pytest.mark.parametrize(
    ("bolts", "marks", "said", "good"),
    [
        (SQUARE, [UP], "4 ways by the holes, 1 by the marks", True),
        (SQUARE, [], "4 ways by the holes, 4 by the marks", False),
        (SQUARE, [UP, line((0.0, -20.0), (0.0, -50.0))], "4 ways by the holes, 2 by the marks", False),
        (UNEVEN, [], "1 way by the holes, 1 by the marks", True),
        (SQUARE[[0, 2]], [UP], "2 ways by the holes, 1 by the marks", True),
    ],
)
def test_ways_in_which_a_plate_goes_on(bolts: Floats, marks: list[CutPath], said: str, good: bool) -> None:
    found = fits(bolts, bolts, marks)
    assert Words().text(str(found.measured)) == said
    assert (found.verdict == "pass") == good


@pytest.mark.parametrize(("off", "there"), [(0.0096, True), (-0.0096, True), (0.0104, False)])
@pytest.mark.parametrize("axis", [0, 1])
@pytest.mark.parametrize("crossed", [False, True])
def test_bolt_places_are_seen_within_a_hundredth(off: float, axis: int, crossed: bool, there: bool) -> None:
    """As holes, or as crosses to drill on."""
    places = SQUARE.copy()
    places[2, axis] += off
    if crossed:
        marks = [line((x - 2.0, y), (x + 2.0, y)) for x, y in places.tolist()]
        cut = CutFile(4, paths={"MARK": marks})
    else:
        cut = CutFile(4, circles={"HOLES": [CutCircle(x, y, 3.0) for x, y in places.tolist()]})
    seen = wheel_flat.holes_seen(cut, SQUARE)
    assert len(seen) == (4 if there else 3)
    assert seen.tolist() == [SQUARE[n].tolist() for n in range(4) if there or n != 2]
    found = fits(SQUARE, SQUARE[:3], [UP])
    assert (found.verdict, found.measured) == ("fail", "3 of 4 bolt places found")
    assert wheel_flat.holes_seen(CutFile(4), SQUARE).shape == (0, 2)


def test_turns_that_bring_holes_onto_bolts() -> None:
    """Three holes of four fit four bolts in as many ways; those of an uneven circle in one; none for none."""
    assert wheel_flat.turns_onto(SQUARE[:3], SQUARE) == pytest.approx([0.0, 90.0, 180.0, 270.0], abs=1e-5)
    assert wheel_flat.turns_onto(UNEVEN, UNEVEN) == [0.0]
    assert wheel_flat.turns_onto(UNEVEN[1:2], UNEVEN) == pytest.approx([0.0, 80.0, 170.0, 260.0], abs=1e-5)
    assert wheel_flat.turns_onto(SQUARE[:0], SQUARE) == []


# --- extents, place, marks -----------------------------------------------------------------------------------------
BOX = Loop.polygon([(3.0, 4.0), (23.0, 4.0), (23.0, 16.0), (3.0, 16.0)])


def checked(cut: CutFile, monkeypatch: pytest.MonkeyPatch, about: frozenset[str] = frozenset()) -> dict[str, Finding]:
    monkeypatch.setattr(cut_files, "read_cut_dxf", lambda path: cut)
    found = cut_files.check_cut_files(Path(), ["x.dxf"], "job 1 plan 2", about)
    return {str(f.check): f for f in found}


def cut(**said: Any) -> CutFile:
    """A sound cutting file of one box."""
    given: dict[str, Any] = {
        "loops": {"OUTLINE": [BOX]}, "version": "AC1015", "kinds": ("LINE",), "extents": (3.0, 4.0, 23.0, 16.0),
        "marks": ("job 1 plan 2", "job 1 plan 2"),
    }  # fmt: skip
    return CutFile(4, **{**given, **said})


@pytest.mark.parametrize("side", range(4))
@pytest.mark.parametrize("off", [0.0096, -0.0096, 0.0104, -0.0104])
def test_the_head_s_box_to_a_hundredth(side: int, off: float, monkeypatch: pytest.MonkeyPatch) -> None:
    extents = [3.0, 4.0, 23.0, 16.0]
    extents[side] += off
    found = checked(cut(extents=tuple(extents)), monkeypatch)
    assert found["extents"].measured == pytest.approx(abs(off), abs=1e-6)
    assert (found["extents"].verdict == "pass") == (abs(off) < 0.01)
    assert {f.verdict for check, f in found.items() if check != "extents"} == {"pass"}
    said = Words().text(checked(cut(), monkeypatch)["extents"].why)
    assert said.endswith("20 × 12 mm") or said.endswith("20 mm × 12 mm")


@pytest.mark.parametrize(
    ("x", "y", "off"),
    [(49.0, 3.0, 49.0), (0.0, 50.0, 50.0), (0.0, 52.0, 52.0), (-0.001, 3.0, math.inf), (3.0, -1.0, math.inf)],
)
def test_parts_begin_within_50_mm_of_the_origin(
    x: float, y: float, off: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    given = cut(loops={"OUTLINE": [BOX.moved(x - 3.0, y - 4.0)]}, extents=(x, y, x + 20.0, y + 12.0))
    found = checked(given, monkeypatch)
    assert found["near-origin"].measured == off
    assert (found["near-origin"].verdict == "pass") == (off <= 50.0)
    assert "near-origin" not in checked(given, monkeypatch, frozenset({"x.dxf"}))
    none = checked(cut(extents=None), monkeypatch)
    assert ("near-origin" in none, none["extents"].measured) == (False, math.inf)


def test_a_box_round_all_that_is_cut_or_marked() -> None:
    """A loop, a circle of 5 mm about (40, 2), and a mark on to 60 mm."""
    given = cut(circles={"HOLES": [CutCircle(40.0, 2.0, 5.0), CutCircle(10.0, 10.0, 8.0)]})
    assert cut_files.bounds_of(given) == (2.0, -3.0, 45.0, 18.0)
    marked = cut(paths={"MARK": [line((-2.0, 9.0), (60.0, 9.0))]})
    assert cut_files.bounds_of(marked) == (-2.0, 4.0, 60.0, 16.0)
    assert cut_files.bounds_of(CutFile(4)) is None


@pytest.mark.parametrize(
    ("said", "wrong"),
    [
        ({"version": "AC1009"}, "plain-entities"),
        ({"kinds": ("LINE", "SPLINE")}, "plain-entities"),
        ({"kinds": ("LINE", "TEXT"), "texts": {"MARK": [CutText(0, 0, "x")]}}, "plain-entities"),
        ({"kinds": ("LINE", "TEXT")}, "plain-entities"),
        ({"kinds": ("LINE", "TEXT"), "texts": {"TEXT": [CutText(0, 0, "x")]}}, None),
        ({"marks": ("job 1 plan 2", "")}, "file-marks"),
        ({"marks": ("", "job 1 plan 2")}, "file-marks"),
        ({"marks": ("job 1 plan 3", "job 1 plan 3")}, "file-marks"),
    ],
)
def test_plain_entities_and_marks(said: dict[str, Any], wrong: str | None, monkeypatch: pytest.MonkeyPatch) -> None:
    found = checked(cut(**said), monkeypatch)
    assert {check for check, f in found.items() if f.verdict == "fail"} == ({wrong} if wrong else set())


def test_marks_that_differ_are_both_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    one = "job 1 plan 2"
    assert checked(cut(), monkeypatch)["file-marks"].measured == one
    assert checked(cut(marks=(one, "")), monkeypatch)["file-marks"].measured == f"comment {one}, property none"
    (tmp_path / "a.dxf").write_bytes(b"1\n" + one.encode() + b"\n")
    (found,) = cut_files.check_drawing_marks(tmp_path, ["a.dxf"], one)
    assert found.verdict == "pass"
    (other,) = cut_files.check_drawing_marks(tmp_path, ["a.dxf"], "job 1")
    assert other.verdict == "fail"


# --- the bracket's flat --------------------------------------------------------------------------------------------
BEND = Bend(30.0, 40.0, -25.0, 25.0, 90.0, True, 5.0, 9.0, 8.0)


@pytest.mark.parametrize(
    ("a", "b", "on"),
    [
        ((35.0, -25.0), (35.0, 25.0), True),
        ((35.00096, -20.0), (35.0, 20.0), True),
        ((35.00104, -20.0), (35.0, 20.0), False),
        ((35.0, -20.0), (34.99896, 20.0), False),
        ((35.0, -25.00096), (35.0, 25.00096), True),
        ((35.0, -25.00104), (35.0, 20.0), False),
        ((35.0, -20.0), (35.0, 25.00104), False),
    ],
)
def test_a_bend_line_lies_in_the_middle_of_its_bend(a: Point, b: Point, on: bool) -> None:
    """The flat lies 100, 7 off on its sheet."""
    path = line((a[0] + 100.0, a[1] + 7.0), (b[0] + 100.0, b[1] + 7.0))
    assert cut_shapes._lies_on(path, BEND, 100.0, 7.0) == on


def bends(paths: list[CutPath], words: list[str]) -> Finding:
    second = Bend(60.0, 70.0, -25.0, 25.0, 85.0, False, 4.0, 9.0, 8.0)
    made = cast(Any, SimpleNamespace(sheet_place=(100.0, 7.0), bends=(BEND, second)))
    held = CutFile(4, paths={"BEND": paths}, texts={"TEXT": [CutText(0.0, 0.0, word) for word in words]})
    (found,) = cut_shapes._bends("bracket-flat.dxf", held, made)
    return found


FIRST, SECOND = (line((100.0 + x, -13.0), (100.0 + x, 27.0)) for x in (35.0, 65.0))
WORDS = ["BEND 2 DOWN 85 R4", "BEND 1 UP 90 R5"]


@pytest.mark.parametrize(
    ("paths", "words", "said"),
    [
        ([FIRST, SECOND], WORDS, "2 lines, 0 astray; BEND 1 UP 90 R5; BEND 2 DOWN 85 R4"),
        ([FIRST], WORDS, "1 lines, 0 astray; BEND 1 UP 90 R5; BEND 2 DOWN 85 R4; no line for bend 2"),
        ([FIRST, FIRST], [], "2 lines, 0 astray; no words; no line for bend 2"),
        ([SECOND, line((102.0, 0.0), (102.0, 9.0))], WORDS[:1], "2 lines, 1 astray; BEND 2 DOWN 85 R4"),
        ([], WORDS, "0 lines, 0 astray; BEND 1 UP 90 R5; BEND 2 DOWN 85 R4; no line for bend 1, 2"),
    ],
)
def test_bends_have_their_lines_and_words(paths: list[CutPath], words: list[str], said: str) -> None:
    found = bends(paths, words)
    assert found.measured == said
    assert (found.verdict == "pass") == (paths == [FIRST, SECOND])


@pytest.mark.parametrize(("wide", "arm"), [(4.0, 1.2), (6.0, 1.8), (8.0, 2.0)])
def test_crosses_to_drill_on(wide: float, arm: float) -> None:
    """At a round hole's centre one, at a slot's two: arms of 2 mm, or of so little that the drill takes them off."""
    one = Hole("mount", "plate", 10.0, 20.0, 10.0, 20.0, wide)
    assert np.array(cut_shapes._cross(one)) == pytest.approx(
        np.array([[[10 - arm, 20], [10 + arm, 20]], [[10, 20 - arm], [10, 20 + arm]]])
    )
    two = Hole("mount", "plate", 15.0, 20.0, 10.0, 20.0, wide)
    assert [pair[0][0] for pair in cut_shapes._cross(two)] == pytest.approx([10 - arm, 10, 15 - arm, 15])


def test_holes_lie_on_the_sheet_less_the_kerf() -> None:
    """A slot from 10 to 15 mm, 8 wide; one that is drilled is not cut."""
    cut_one = Hole("mount", "plate", 10.0, 20.0, 15.0, 20.0, 8.0)
    drilled = Hole("bolt", "plate", 50.0, 20.0, 50.0, 20.0, 2.0, drill=True)
    made = cast(Any, SimpleNamespace(sheet_place=(100.0, 7.0), holes=(cut_one, drilled)))
    (loop,) = cut_shapes._holes(made, 1.5)
    assert loop.bounds() == pytest.approx((110.0 - 3.25, 27.0 - 3.25, 115.0 + 3.25, 27.0 + 3.25))


@pytest.mark.parametrize("kerf", [0.0, 0.8])
def test_a_bracket_s_pieces_lie_on_their_sheet(kerf: float, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """100, 7 off; with the kerf allowed for in a file of its own, whose holes are smaller by it."""
    read: list[Path] = []
    asked: list[Any] = []
    monkeypatch.setattr(cut_shapes, "read_cut_dxf", lambda path: read.append(path) or CutFile(4))
    monkeypatch.setattr(cut_shapes, "compensated_name", lambda kerf: "kerf.dxf")
    monkeypatch.setattr(
        cut_shapes, "check_shapes", lambda name, cut, wanted: asked.append(wanted) or [name, "two", "three"]
    )
    monkeypatch.setattr(cut_shapes, "check_flat", lambda name, cut, wanted: list("abcdef"))
    hole = Hole("mount", "plate", 10.0, 20.0, 15.0, 20.0, 8.0)
    drilled = Hole("bolt", "plate", 50.0, 30.0, 50.0, 30.0, 4.0, drill=True)
    made = SimpleNamespace(
        sheet_place=(100.0, 7.0), outline=BOX, gussets=(SimpleNamespace(nested=BOX.moved(50.0, 0.0)),),
        holes=(hole, drilled), bend_marks=False, compensate_kerf=kerf,
    )  # fmt: skip
    found = cut_shapes.check_bracket_flats(tmp_path, cast(Any, made))
    first = asked[0]
    assert [loop.bounds()[:2] for loop in first.outlines] == [(103.0, 11.0), (153.0, 11.0)]
    assert first.holes[0].bounds() == pytest.approx((106.0, 23.0, 119.0, 31.0))
    assert np.array(first.marks) == pytest.approx(
        np.array([[[148.8, 37.0], [151.2, 37.0]], [[150.0, 35.8], [150.0, 38.2]]])
    )
    if kerf:
        assert read == [tmp_path / "bracket-flat.dxf", tmp_path / "kerf.dxf"]
        assert found == ["bracket-flat.dxf", "two", "three", "a", "b", "c", "two", "three"]
        assert asked[1].holes[0].bounds() == pytest.approx((106.4, 23.4, 118.6, 30.6))
    else:
        assert (read, found) == ([tmp_path / "bracket-flat.dxf"], ["bracket-flat.dxf", "two", "three"])


def test_a_cam_s_cutting_file(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(cut_shapes, "read_cut_dxf", lambda path: path)
    monkeypatch.setattr(cut_shapes, "check_flat", lambda name, cut, wanted: [cut, wanted.outlines])
    cam = cast(Any, SimpleNamespace(outline=BOX, openings=()))
    assert cut_shapes.check_cam_flat(tmp_path, cam) == [tmp_path / "cam-flat.dxf", (BOX,)]
