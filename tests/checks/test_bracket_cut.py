"""A bracket's cutting file piece by piece: lines, outlines, holes, marks and slits, within a thousandth and beyond."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from wheelcad.checks import bracket
from wheelcad.files.dxf import CutCircle, CutFile, CutPath
from wheelcad.findings import Finding
from wheelcad.parts.bracket.model import Hole
from wheelcad.trade.loop import Edge, Loop
from wheelcad.words import Words

PLATE = Loop.polygon([(0.0, 0.0), (20.0, 0.0), (20.0, 12.0), (0.0, 12.0)])
CLOCKWISE = Loop.polygon([(30.0, 0.0), (30.0, 4.0), (35.0, 4.0), (35.0, 0.0)])
GUSSET = Loop.polygon([(30.0, 0.0), (35.0, 0.0), (35.0, 4.0), (30.0, 4.0)])
ROUND = Hole("mount", "arm", 5.0, 6.0, 5.0, 6.0, 4.0, mount=1)
SLOT = Hole("mount", "arm", 10.0, 3.0, 13.0, 7.0, 2.0, mount=2)
DRILLED = Hole("bolt", "arm", 17.0, 9.0, 17.0, 9.0, 1.5, drill=True)


def path(*points: tuple[float, ...]) -> CutPath:
    return CutPath(tuple((p[0], p[1], p[2] if len(p) > 2 else 0.0) for p in points))


def design(**more: Any) -> Any:
    given = {"outline": PLATE, "gussets": (), "holes": (ROUND, SLOT, DRILLED), "slits": (), "compensate_kerf": 0.0}
    return SimpleNamespace(**(given | more))


def verdicts(findings: Any) -> dict[str, list[str]]:
    out: dict[str, list[str]] = {}
    for finding in findings:
        out.setdefault(str(finding.check), []).append(finding.verdict)
    return out


def said(finding: Finding) -> str:
    return Words().text(str(finding.measured))


# --- lines ------------------------------------------------------------------------------------------------------------
def test_everything_that_is_cut_is_a_line() -> None:
    """A plate, a circle as two halves, a slit of two pieces, one of them round; marks are not cut."""
    cut = CutFile(4, loops={"OUTLINE": [PLATE]}, circles={"HOLES": [CutCircle(5.0, 6.0, 2.0)]},
                  paths={"SLIT": [path((1, 1), (2, 1, 0.5), (4, 1))], "MARK": [path((0, 0), (9, 9))]})  # fmt: skip
    edges = list(bracket._edges(cut))
    assert [edge.chord for edge in edges] == pytest.approx([20, 12, 20, 12, 4, 4, 1, 2])
    assert edges[-1] == Edge(2.0, 1.0, 4.0, 1.0, 0.5)


@pytest.mark.parametrize(
    ("extra", "doubled", "shortest", "good"),
    [
        ([], 0, 12.0, [True, True]),
        ([path((5, 0), (5.105, 0))], 1, 0.105, [False, True]),
        ([path((1, 1), (1.1, 1))], 0, 0.1, [True, True]),
        ([path((1, 1), (1, 1.099))], 0, 0.099, [True, False]),
        ([path((30, 0), (31, 0)), path((31, 0), (30, 0)), path((30, 0), (30.5, 0))], 3, 0.5, [False, True]),
    ],
)
def test_lines_twice_and_too_short(extra: list[CutPath], doubled: int, shortest: float, good: list[bool]) -> None:
    twice, short = bracket._lines(CutFile(4, loops={"OUTLINE": [PLATE]}, paths={"SLIT": extra}))
    assert (twice.measured, short.measured) == (doubled, shortest)
    assert [twice.verdict == "pass", short.verdict == "pass"] == good


@pytest.mark.parametrize(
    ("other", "same"),
    [
        (Edge(0.0, 0.01, 20.0, 0.01, 0.0), False),  # a hundredth apart
        (Edge(2.0, 0.0095, 9.0, -0.0095, 0.0), True),
        (Edge(15.0, 0.0, 25.0, 0.0, 0.0), False),  # runs on
        (Edge(0.0, 0.0, 20.0, 0.0, 0.001), True),  # a bow that leaves it by a hundredth at its middle alone
        (Edge(0.0, 0.0, 20.0, 0.0, 0.00115), True),  # 0.0097 at three tenths, 0.0115 at the middle
        (Edge(0.0, 0.0, 20.0, 0.0, 0.00122), False),  # 0.0102 at three tenths
        (Edge(0.0, 0.0, 20.0, 0.005, -0.00078), False),  # 0.0080 at three tenths, 0.0101 at seven
    ],
)
def test_a_line_along_another(other: Edge, same: bool) -> None:
    """A bow of half the bulge times the chord at its middle; at three tenths it is 4 · 0.3 · 0.7 of that."""
    line = Edge(0.0, 0.0, 20.0, 0.0, 0.0)
    assert bracket._same(line, other) == bracket._same(other, line) == same


# --- where it lies ----------------------------------------------------------------------------------------------------
def test_a_file_is_moved_back_into_the_flat_s_own_frame() -> None:
    cut = CutFile(4, loops={"OUTLINE": [PLATE.moved(7.0, -3.0)]}, circles={"HOLES": [CutCircle(12.0, 3.0, 2.0)]},
                  paths={"SLIT": [path((8, -1), (9, 0, 0.5))]})  # fmt: skip
    moved = bracket._in_flat(cut, design(sheet_place=(7.0, -3.0)))
    assert moved.loops["OUTLINE"][0].vertices.tolist() == PLATE.vertices.tolist()
    assert moved.circles["HOLES"] == [CutCircle(5.0, 6.0, 2.0)]
    assert moved.paths["SLIT"] == [path((1, 2), (2, 3, 0.5))]


def outlines(loops: list[Loop], **more: Any) -> tuple[list[Loop], dict[str, list[str]], list[Finding]]:
    cut = CutFile(4, loops={"OUTLINE": loops, "HOLES": more.pop("holes", [])}, paths=more.pop("paths", {}))
    found, findings = bracket._outlines(cut, design(**more))
    return found, verdicts(findings), findings


def test_outlines_of_a_plate_and_its_gusset() -> None:
    loops, found, _ = outlines([GUSSET, PLATE], gussets=(GUSSET,))
    assert loops == [PLATE, GUSSET]
    assert {verdict for each in found.values() for verdict in each} == {"pass"}
    assert outlines([GUSSET, PLATE])[1]["outlines"] == ["fail"]
    assert outlines([PLATE], gussets=(GUSSET,))[1]["outlines"] == ["fail"]


@pytest.mark.parametrize("layer", ["OUTLINE", "HOLES"])
def test_an_outline_left_open(layer: str) -> None:
    _, found, (left, *_) = outlines([PLATE], paths={layer: [path((0, 0), (1, 0))], "SLIT": [path((0, 0), (1, 0))]})
    assert (found["open-outlines"], left.measured) == (["fail"], 1)
    both = {"OUTLINE": [path((0, 0), (1, 0))], "HOLES": [path((0, 0), (1, 0))]}
    assert outlines([PLATE], paths=both)[2][0].measured == 2


def test_outlines_that_cross() -> None:
    across = Loop.polygon([(19.0, 5.0), (25.0, 5.0), (25.0, 8.0), (19.0, 8.0)])
    knot = Loop.polygon([(30.0, 0.0), (35.0, 4.0), (35.0, 0.0), (30.0, 5.0)])
    assert outlines([PLATE, GUSSET, across])[1]["simple-outlines"] == ["fail"]
    assert outlines([PLATE, knot])[1]["simple-outlines"] == ["fail"]
    assert outlines([PLATE, GUSSET])[1]["simple-outlines"] == ["pass"]


def test_which_way_outlines_and_holes_run() -> None:
    tiny = Loop.polygon([(30.0, 0.0), (30.5, 0.0), (30.5, 0.5), (30.0, 0.5)])
    for loops, holes, good, words in (
        ([PLATE, tiny], [], "pass", "2 of 2 outlines anticlockwise"),
        ([PLATE, CLOCKWISE], [], "fail", "1 of 2 outlines anticlockwise"),
        ([PLATE], [CLOCKWISE], "fail", "1 of 1 outline anticlockwise"),
    ):
        found = {str(f.check): f for f in outlines(loops, holes=holes)[2]}["orientation"]
        assert (found.verdict, said(found)) == (good, words)


@pytest.mark.parametrize(("more", "good"), [(0.0, True), (0.0031, True), (-0.0031, True), (0.0033, False)])
def test_the_flat_s_area(more: float, good: bool) -> None:
    """A thousandth of a millimetre all along its outline of 64 mm; of a strip as long as the plate is."""
    wider = Loop.polygon([(0.0, 0.0), (20.0, 0.0), (20.0, 12.0 + more), (0.0, 12.0 + more)])
    found = {str(f.check): f for f in outlines([GUSSET, wider])[2]}["flat-area"]
    assert found.measured == pytest.approx(abs(more) * 20, abs=1e-6)
    assert (found.limit, found.verdict) == (pytest.approx(0.064, abs=1e-5), "pass" if good else "fail")
    assert Words().text(found.why).startswith(f"outline {240 + 20 * more:.2f}".rstrip("0").rstrip("."))


def test_the_area_of_holes_and_what_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """A circle and a slot come off the plate, and a hole left to the drill by its planned size."""
    cut = CutFile(4, loops={"OUTLINE": [GUSSET, PLATE], "HOLES": [SLOT.loop]},
                  circles={"HOLES": [CutCircle(5.0, 6.0, 2.0)]})  # fmt: skip
    holes = math.pi * 4 + (math.pi + 5 * 2)
    assert bracket._hole_area(cut) == pytest.approx(holes)
    areas: list[float] = []
    made: list[str] = []
    monkeypatch.setattr(bracket, "read_cut_dxf", lambda path: made.append(str(path)) or cut)
    monkeypatch.setattr(bracket, "check_folded", lambda folder, design, area: areas.append(area) or [])
    monkeypatch.setattr(bracket, "_compensated", lambda *given: [])
    asked = design(sheet_place=(0.0, 0.0), gussets=(GUSSET,), bend_marks=False)
    assert verdicts(bracket.check_bracket(Path("made"), asked))["hole-count"] == ["pass"]
    assert areas == pytest.approx([240.0 - holes - math.pi * 1.5**2 / 4])
    assert made == [str(Path("made") / bracket.FLAT)]


@pytest.mark.parametrize(("kerf", "asked"), [(0.0, 0), (0.9, 1)])
def test_the_compensated_file_is_looked_at_where_there_is_one(
    kerf: float, asked: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[Any] = []
    cut = CutFile(4, loops={"OUTLINE": [PLATE]})
    monkeypatch.setattr(bracket, "read_cut_dxf", lambda path: cut)
    monkeypatch.setattr(bracket, "check_folded", lambda *given: [])
    monkeypatch.setattr(bracket, "_compensated", lambda *given: seen.append(given) or [])
    list(bracket.check_bracket(Path("made"), design(sheet_place=(0, 0), bend_marks=False, compensate_kerf=kerf)))
    assert len(seen) == asked


PIECES = Loop.circle(30.0, 20.0, 10.0), Loop.circle(60.0, 20.0, 4.0)


@pytest.mark.parametrize(
    ("grown", "outline"), [(0.7, "pass"), (0.719, "pass"), (0.721, "fail"), (0.681, "pass"), (0.679, "fail")]
)
@pytest.mark.parametrize(("narrower", "holes"), [(1.4, "pass"), (1.4009, "pass"), (1.3989, "fail"), (0.0, "fail")])
def test_outlines_half_a_kerf_out_and_holes_a_kerf_narrower(
    grown: float, outline: str, narrower: float, holes: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A plate and a gusset, in any order, of which the plate is grown by so much; a kerf of 1.4."""
    loops = {"OUTLINE": [Loop.circle(60.0, 20.0, 4.7), Loop.circle(30.0, 20.0, 10.0 + grown)],
             "HOLES": [Loop.slot(10.0, 3.0, 13.0, 7.0, 2.0 - narrower)]}  # fmt: skip
    cut = CutFile(4, loops=loops, circles={"HOLES": [CutCircle(5.0, 6.0, 2.0 - narrower / 2)]})
    monkeypatch.setattr(bracket, "read_cut_dxf", lambda path: cut)
    gussets = (SimpleNamespace(nested=PIECES[1]),)
    made = design(sheet_place=(0.0, 0.0), outline=PIECES[0], gussets=gussets, compensate_kerf=1.4)
    found = bracket._compensated(Path("made"), made)
    assert [f.verdict for f in found] == [outline, holes]
    assert found[0].measured == pytest.approx(abs(grown - 0.7), abs=1e-4)


def test_a_compensated_file_with_too_few_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    cut = CutFile(4, loops={"OUTLINE": [Loop.circle(30.0, 20.0, 10.7)]}, circles={"HOLES": [CutCircle(5.0, 6.0, 1.3)]})
    monkeypatch.setattr(bracket, "read_cut_dxf", lambda path: cut)
    gussets = (SimpleNamespace(nested=PIECES[1]),)
    made = design(sheet_place=(0.0, 0.0), outline=PIECES[0], gussets=gussets, compensate_kerf=1.4)
    assert [f.verdict for f in bracket._compensated(Path("made"), made)] == ["fail", "fail"]


# --- holes, marks and slits -------------------------------------------------------------------------------------------
def hole_file(circle: CutCircle, *slots: Loop, marks: tuple[CutPath, ...] = ()) -> CutFile:
    return CutFile(4, loops={"HOLES": list(slots)}, circles={"HOLES": [circle]}, paths={"MARK": list(marks)})


def test_what_is_found_for_holes() -> None:
    """A slot by its two round ends, whose radii may differ; what has three is none."""
    tapered = Loop([(10, 2, 0), (16, 1, 1), (16, 5, 0), (10, 4, 1)])
    three = Loop([(0, 0, 0.5), (4, 0, 0.5), (2, 3, 0.5)])
    found = bracket._found_holes(hole_file(CutCircle(5.0, 6.0, 2.0), tapered, three))
    assert [(h.x0, h.y0, h.x1, h.y1, h.diameter) for h in found] == [(5, 6, 5, 6, 4), (16, 3, 10, 3, 3)]


@pytest.mark.parametrize(
    ("ends", "off"),
    [
        ((10.0, 3.0, 13.0, 7.0), 0.0),
        ((13.0, 7.0, 10.0, 3.0), 0.0),  # the other way round
        ((10.3, 3.4, 13.0, 7.0), 0.5),
        ((10.0, 3.0, 12.4, 6.2), 1.0),
        ((13.3, 6.6, 10.0, 3.0), 0.5),
        ((13.0, 7.0, 10.6, 3.8), 1.0),
    ],
)
def test_how_far_a_slot_lies_off(ends: tuple[float, ...], off: float) -> None:
    assert bracket._miss(Hole("found", "", *ends, 2.0), SLOT) == pytest.approx(off, abs=1e-12)


@pytest.mark.parametrize(("off", "good"), [(0.0, "pass"), (0.00095, "pass"), (-0.00105, "fail")])
def test_a_hole_s_place_and_size(off: float, good: str) -> None:
    place = hole_file(CutCircle(5.0 + off, 6.0, 2.0), Loop.slot(13.0, 7.0 + off, 10.0, 3.0, 2.0))
    size = hole_file(CutCircle(5.0, 6.0, 2.0 + off / 2), Loop.slot(10.0, 3.0, 13.0, 7.0, 2.0 + off))
    for cut, check in ((place, "hole-place"), (size, "hole-size")):
        found = list(bracket._hole_findings(cut, design(holes=(ROUND, SLOT)), PLATE))
        assert [f.subject for f in found[1::2]] == ["bracket-flat.dxf, mount 1", "bracket-flat.dxf, mount 2"]
        assert [f.verdict for f in found if f.check == check] == [good] * 2
        assert {f.verdict for f in found if f.check != check} == {"pass"}


def test_as_many_holes_as_are_wanted_all_inside() -> None:
    circle, slot = CutCircle(5.0, 6.0, 2.0), SLOT.loop
    for cut, good, words in (
        (hole_file(circle, slot), "pass", "2 holes"),
        (hole_file(circle), "fail", "1 hole"),
        (hole_file(circle, slot, slot.moved(3.0, 0.0)), "fail", "3 holes"),
        (hole_file(CutCircle(-5.0, 6.0, 2.0), slot), "fail", "2 holes"),
        (hole_file(circle, Loop([(10, 3, 0.5), (14, 3, 0.5), (12, 6, 0.5)])), "fail", "2 holes"),
    ):
        found = next(bracket._hole_findings(cut, design(), PLATE))
        assert (found.verdict, said(found)) == (good, words)
    gone = list(bracket._hole_findings(CutFile(4), design(holes=(ROUND,)), PLATE))
    assert [(f.verdict, said(f)) for f in gone] == [("fail", "0 holes"), ("fail", "missing")]


def cross(x: float, y: float) -> tuple[CutPath, CutPath]:
    return path((x - 2, y), (x + 2, y)), path((x, y - 2), (x, y + 2))


@pytest.mark.parametrize(
    ("marks", "good"),
    [
        (cross(17.0, 9.0), "pass"),
        (cross(17.0, 9.00095), "pass"),
        (cross(17.0, 9.00105), "fail"),
        (cross(17.0, 9.0)[:1], "fail"),  # one line is no cross
        ((*cross(17.0, 9.0), path((16, 8), (18, 10))), "fail"),
        ((), "fail"),
    ],
)
def test_a_cross_where_the_drill_begins(marks: tuple[CutPath, ...], good: str) -> None:
    (found,) = bracket._mark_findings(CutFile(4, paths={"MARK": list(marks)}), design())
    assert (found.verdict, found.subject) == (good, "bracket-flat.dxf, bolt")
    assert said(found) == ("crossed lines at each centre" if good == "pass" else "1 centre(s) unmarked")


def test_a_cross_a_thousandth_off_is_another(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bracket, "SIZE_LIMIT", 0.25)
    (found,) = bracket._mark_findings(CutFile(4, paths={"MARK": list(cross(17.25, 9.0))}), design())
    assert found.verdict == "fail"


SLITS = (((3.0, 1.0), (3.0, 4.0)), ((3.0, 8.0), (3.0, 11.0)))


@pytest.mark.parametrize(
    ("paths", "closed", "off", "good"),
    [
        (SLITS, [], 0.0, ["pass", "pass"]),
        (SLITS[::-1], [], 0.0, ["pass", "pass"]),
        ((SLITS[0], ((3.0, 8.00095), (3.0, 11.0))), [], 0.00095, ["pass", "pass"]),
        ((SLITS[0], ((3.00105, 8.0), (3.0, 11.0))), [], 0.00105, ["pass", "fail"]),
        ((SLITS[0],), [], 7.0, ["fail", "fail"]),
        ((*SLITS, SLITS[0]), [], 0.0, ["fail", "pass"]),
        (SLITS, [PLATE], 0.0, ["fail", "pass"]),
    ],
)
def test_slits_are_single_open_cuts(paths: Any, closed: list[Loop], off: float, good: list[str]) -> None:
    cut = CutFile(4, loops={"SLIT": closed}, paths={"SLIT": [path(*ends) for ends in paths]})
    found = bracket._slit_findings(cut, design(slits=SLITS))
    assert [f.verdict for f in found] == good
    assert found[1].measured == pytest.approx(off, abs=1e-6)


def test_no_slits() -> None:
    assert bracket._slit_findings(CutFile(4), design()) == []
    number, place = bracket._slit_findings(CutFile(4, paths={"SLIT": [path(*SLITS[0])]}), design())
    assert (number.verdict, place.measured) == ("fail", 0.0)
    number, place = bracket._slit_findings(CutFile(4), design(slits=SLITS))
    assert (number.verdict, place.measured) == ("fail", math.inf)
