"""Every cutting file of a bracket re-read by two readers that are not the writer: the library's (ours chains it) and
a plain one that knows nothing but group codes (DXF reference, R2000). And LibreCAD opens it."""

from __future__ import annotations

import math
import os
import subprocess
from pathlib import Path

import pytest

from tests.parts.bracket_jobs import along_job, flat_job, in_job, made
from wheelcad.checks.cut_files import check_cut_files
from wheelcad.files.dxf import CutPath, write_cut_dxf
from wheelcad.files.dxf_reader import read_cut_dxf
from wheelcad.job.models import Job
from wheelcad.parts.bracket.cutting import cut_layers
from wheelcad.trade.loop import Loop

MARKS = "job 0123abcd plan 4567ef"
PLASMA = {"plasma": {"kerf": 1.4}}
JOBS: dict[str, Job] = {
    "L, by hand, gussets, drilled holes": in_job(bracket={"bends": "hand", "gusset": True, "width": 50}, shop=PLASMA),
    "L, bend marks": in_job(shop={"plasma": {"kerf": 1.4, "bend_marks": True}}),
    "Z": along_job(shop=PLASMA),
    "flat": flat_job(),
}


def length_of(path: CutPath) -> float:
    """Length of a cut, mm."""
    return sum(edge.length for edge in path.edges())


class Plain:
    """A DXF by its group codes alone."""

    def __init__(self, path: Path) -> None:
        lines = path.read_bytes().decode("ascii").splitlines()
        pairs = [(int(code), value.strip()) for code, value in zip(lines[::2], lines[1::2], strict=True)]
        self.comments = [value for code, value in pairs if code == 999]
        self.head: dict[str, list[str]] = {}
        self.entities: list[tuple[str, str, dict[int, float]]] = []
        section, name = "", ""
        for k, (code, value) in enumerate(pairs):
            if code == 2 and pairs[k - 1] == (0, "SECTION"):
                section = value
            elif (code, value) == (0, "ENDSEC"):
                section = ""
            elif section == "HEADER" and code == 9:
                name = value
                self.head[name] = []
            elif section == "HEADER" and code != 0:
                self.head[name].append(value)
            elif section == "ENTITIES" and code == 0:
                self.entities.append((value, "", {}))
            elif section == "ENTITIES" and self.entities and code == 8:
                kind, _, numbers = self.entities[-1]
                self.entities[-1] = (kind, value, numbers)
            elif section == "ENTITIES" and self.entities and 10 <= code < 60:
                self.entities[-1][2][code] = float(value)

    def lengths(self) -> dict[str, float]:
        """Length of what is cut by layer, words left out."""
        out: dict[str, float] = {}
        for kind, layer, n in self.entities:
            if kind == "LINE":
                more = math.hypot(n[11] - n[10], n[21] - n[20])
            elif kind == "ARC":
                more = math.radians((n[51] - n[50]) % 360.0) * n[40]
            elif kind == "CIRCLE":
                more = 2 * math.pi * n[40]
            else:
                continue
            out[layer] = out.get(layer, 0.0) + more
        return out

    def box(self) -> tuple[float, float, float, float]:
        xs, ys = [], []
        for kind, _, n in self.entities:
            if kind == "LINE":
                xs += [n[10], n[11]]
                ys += [n[20], n[21]]
            elif kind in ("ARC", "CIRCLE"):
                start, sweep = (n[50], (n[51] - n[50]) % 360.0) if kind == "ARC" else (0.0, 360.0)
                turns = [start, start + sweep, *(a for a in range(0, 720, 90) if start < a < start + sweep)]
                xs += [n[10] + n[40] * math.cos(math.radians(a)) for a in turns]
                ys += [n[20] + n[40] * math.sin(math.radians(a)) for a in turns]
        return min(xs), min(ys), max(xs), max(ys)


@pytest.mark.parametrize("name", JOBS)
def test_two_readers_see_what_was_designed(name: str, tmp_path: Path) -> None:
    design = made(JOBS[name])
    path = tmp_path / "bracket-flat.dxf"
    write_cut_dxf(path, cut_layers(design), MARKS)
    plain, ours = Plain(path), read_cut_dxf(path)
    assert plain.head["$ACADVER"] == ["AC1015"]
    assert plain.head["$INSUNITS"] == ["4"]
    assert {kind for kind, _, _ in plain.entities} <= {"LINE", "ARC", "CIRCLE", "TEXT"}
    assert ("TEXT" in {kind for kind, _, _ in plain.entities}) == design.bend_marks
    assert plain.comments[0] == f"wheelcad {MARKS}"
    assert plain.head["$CUSTOMPROPERTYTAG"] == ["wheelcad"]
    assert plain.head["$CUSTOMPROPERTY"] == [MARKS]
    # extents, and everything near the origin in the first quadrant
    box = plain.box()
    low, high = (tuple(float(v) for v in plain.head[key][:2]) for key in ("$EXTMIN", "$EXTMAX"))
    assert (*low, *high) == pytest.approx(box, abs=1e-6)
    assert ours.extents == pytest.approx(box, abs=1e-6)
    assert 0 <= min(box[:2]) <= max(box[:2]) < 50
    # how far the torch goes, by layer
    outline = design.outline.length + sum(gusset.nested.length for gusset in design.gussets)
    holes = sum(math.pi * h.diameter + 2 * h.travel for h in design.holes if not h.drill)
    slits = sum(math.dist(*slit) for slit in design.slits)
    lengths = plain.lengths()
    for layer, wanted in (("OUTLINE", outline), ("HOLES", holes), ("SLIT", slits)):
        assert lengths.get(layer, 0.0) == pytest.approx(wanted, abs=1e-5)
        loops = sum(loop.length for loop in ours.loops.get(layer, []))
        circles = sum(2 * math.pi * circle.radius for circle in ours.circles.get(layer, []))
        assert loops + circles + sum(length_of(p) for p in ours.paths.get(layer, [])) == pytest.approx(wanted, abs=1e-5)
    # a cross never reaches past the hole that is drilled on it
    drilled = [hole.diameter for hole in design.holes if hole.drill]
    crosses = [length_of(path) for path in ours.paths.get("MARK", [])]
    assert bool(drilled) == bool(crosses)
    assert max(crosses, default=0.0) <= 0.6001 * min(drilled, default=math.inf)
    assert {f.verdict for f in check_cut_files(tmp_path, [path.name], MARKS, frozenset())} == {"pass"}


def test_librecad_opens_it(tmp_path: Path) -> None:
    """`librecad dxf2pdf`, a program of its own with a reader of its own (libdxfrw): comment and property do no harm."""
    write_cut_dxf(tmp_path / "cut.dxf", cut_layers(made(JOBS["L, by hand, gussets, drilled holes"])), MARKS)
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path)}
    command = ["librecad", "dxf2pdf", "-a", "-k", "-o", str(tmp_path / "cut.pdf"), str(tmp_path / "cut.dxf")]
    subprocess.run(command, env=env, check=True, capture_output=True, timeout=120)
    data = (tmp_path / "cut.pdf").read_bytes()
    assert data.startswith(b"%PDF")
    assert len(data) > 2000


@pytest.mark.parametrize("fault", ["marks", "no marks", "property", "far", "old kind", "extents"])
def test_faults_of_a_cutting_file_are_seen(fault: str, tmp_path: Path) -> None:
    design, path = made(JOBS["Z"]), tmp_path / "bracket-flat.dxf"
    at = (500.0, 20.0) if fault == "far" else None
    write_cut_dxf(path, cut_layers(design, at=at), "" if fault == "no marks" else MARKS)
    text = path.read_text("ascii")
    if fault == "marks":
        text = text.replace("4567ef", "000000")
    elif fault == "property":
        text = text.replace(f"  1\n{MARKS}\n", "  1\njob ffffffff\n")
    elif fault == "extents":
        head, rest = text.split("$EXTMAX\n", 1)
        lines = rest.split("\n")
        lines[1] = "1.0"
        text = f"{head}$EXTMAX\n" + "\n".join(lines)
    elif fault == "old kind":
        text = text.replace("AC1015", "AC1027")
    path.write_text(text, "ascii")
    failed = {str(f.check) for f in check_cut_files(tmp_path, [path.name], MARKS, frozenset()) if f.verdict == "fail"}
    wanted = {"marks": "file-marks", "no marks": "file-marks", "property": "file-marks", "far": "near-origin",
              "old kind": "plain-entities", "extents": "extents"}  # fmt: skip
    assert failed == {wanted[fault]}


def test_pieces_in_any_order_and_way_are_chained(tmp_path: Path) -> None:
    """A square in four lines, shuffled and turned about, is one loop; a spur on it stays an open cut."""
    square = [((0, 0), (9, 0)), ((9, 9), (9, 0)), ((0, 9), (0, 0)), ((9, 9), (0, 9))]
    pieces = [CutPath(((*a, 0.0), (*b, 0.0))) for a, b in square]
    write_cut_dxf(tmp_path / "a.dxf", {"OUTLINE": pieces})
    [loop] = read_cut_dxf(tmp_path / "a.dxf").loops["OUTLINE"]
    assert isinstance(loop, Loop)
    assert loop.area == pytest.approx(81)
    write_cut_dxf(tmp_path / "b.dxf", {"OUTLINE": [*pieces, CutPath(((0, 0, 0.0), (-5, 0, 0.0)))]})
    branched = read_cut_dxf(tmp_path / "b.dxf")
    assert [length_of(path) for path in branched.paths["OUTLINE"]] == pytest.approx([5])
