"""The bracket's checks must see faults put in on purpose, each named by the check that should find it."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from tests.parts.bracket_jobs import along_job, hand_bent, in_job
from tests.unit_jobs import INCH_SIX
from wheelcad.checks.bracket import _compensated, check_bracket
from wheelcad.checks.bracket_folded import _angles, _expected, _pick, _thickness, plane_faces, separate_bodies
from wheelcad.checks.bracket_step import check_step, step_faces
from wheelcad.files.dxf import CutCircle, CutEntity, CutPath, CutText, write_cut_dxf
from wheelcad.files.step import write_step
from wheelcad.files.stl import read_stl, write_triangles
from wheelcad.files.stl_writer import write_stl
from wheelcad.job.reader import parse_job
from wheelcad.parts.bracket.cutting import compensated_name, cut_layers
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import Bend, BracketDesign
from wheelcad.parts.bracket.solid import bracket_solid
from wheelcad.parts.design import design_job
from wheelcad.trade.loop import Loop

Shapes = dict[str, list[CutEntity]]


@pytest.fixture(scope="module")
def design() -> BracketDesign:
    return hand_bent()


@pytest.fixture(scope="module")
def stl(design: BracketDesign, tmp_path_factory: pytest.TempPathFactory) -> bytes:
    path = tmp_path_factory.mktemp("stl") / "bracket.stl"
    write_stl(path, bracket_solid(design))
    return path.read_bytes()


def failed(folder: Path, design: BracketDesign) -> set[str]:
    return {finding.check for finding in check_bracket(folder, design) if finding.verdict == "fail"}


def test_what_was_written_right_passes(design: BracketDesign, stl: bytes, tmp_path: Path) -> None:
    (tmp_path / "bracket.stl").write_bytes(stl)
    write_cut_dxf(tmp_path / "bracket-flat.dxf", cut_layers(design))
    findings = list(check_bracket(tmp_path, design))
    assert [finding for finding in findings if finding.verdict != "pass"] == []
    assert {"hole-place", "slits", "centre-mark", "flat-length", "bend-angle", "air-gap"} <= {f.check for f in findings}


def hole_missing(shapes: Shapes) -> None:
    shapes["HOLES"].pop()


def hole_moved(shapes: Shapes) -> None:
    loop = shapes["HOLES"][1]
    assert isinstance(loop, Loop)
    shapes["HOLES"][1] = loop.moved(0.05, 0)


def hole_small(shapes: Shapes) -> None:
    circle = shapes["HOLES"][0]
    assert isinstance(circle, Loop)
    x, y = circle.vertices[:, :2].mean(axis=0).tolist()
    shapes["HOLES"][0] = CutCircle(x, y, 8.1)


def hole_doubled(shapes: Shapes) -> None:
    shapes["HOLES"].append(shapes["HOLES"][0])


def line_doubled(shapes: Shapes) -> None:
    outline = shapes["OUTLINE"][0]
    assert isinstance(outline, Loop)
    edge = max((e for e in outline.edges() if e.is_line), key=lambda e: e.length)
    part = [(edge.x0 + s * (edge.x1 - edge.x0), edge.y0 + s * (edge.y1 - edge.y0), 0.0) for s in (0.2, 0.7)]
    shapes["SLIT"].append(CutPath(tuple(part)))


def outline_open(shapes: Shapes) -> None:
    outline = shapes["OUTLINE"][0]
    assert isinstance(outline, Loop)
    shapes["OUTLINE"][0] = CutPath(tuple(tuple(row) for row in outline.vertices.tolist()))


def outline_backwards(shapes: Shapes) -> None:
    outline = shapes["OUTLINE"][0]
    assert isinstance(outline, Loop)
    shapes["OUTLINE"][0] = outline.reversed()


def gusset_on_the_plate(shapes: Shapes) -> None:
    gusset = shapes["OUTLINE"][1]
    assert isinstance(gusset, Loop)
    shapes["OUTLINE"][1] = gusset.moved(-60, 20)


def gusset_lost(shapes: Shapes) -> None:
    shapes["OUTLINE"].pop()


def tiny_step(shapes: Shapes) -> None:
    outline = shapes["OUTLINE"][0]
    assert isinstance(outline, Loop)
    rows = outline.vertices.tolist()
    k = next(i for i, edge in enumerate(outline.edges()) if edge.is_line and edge.length > 5)
    edge = list(outline.edges())[k]
    share = 0.04 / edge.length
    rows.insert(k + 1, [edge.x0 + share * (edge.x1 - edge.x0), edge.y0 + share * (edge.y1 - edge.y0), 0.0])
    shapes["OUTLINE"][0] = Loop(rows)


def words_in_it(shapes: Shapes) -> None:
    shapes["TEXT"] = [CutText(5, 5, "BEND UP")]


def slit_joined_up(shapes: Shapes) -> None:
    first, second = shapes["SLIT"]
    assert isinstance(first, CutPath)
    assert isinstance(second, CutPath)
    shapes["SLIT"] = [CutPath((first.vertices[0], second.vertices[1]))]


def mark_missing(shapes: Shapes) -> None:
    shapes["MARK"].pop()


DXF_FAULTS: list[tuple[Callable[[Shapes], None], set[str]]] = [
    (hole_missing, {"hole-count", "hole-place"}),
    (hole_moved, {"hole-place"}),
    (hole_small, {"hole-size"}),
    (hole_doubled, {"doubled-lines", "hole-count"}),
    (line_doubled, {"doubled-lines", "slits"}),
    (outline_open, {"open-outlines", "outlines"}),
    (outline_backwards, {"orientation"}),
    (gusset_on_the_plate, {"simple-outlines"}),
    (gusset_lost, {"outlines"}),
    (tiny_step, {"micro-segments"}),
    (words_in_it, {"layers"}),
    (slit_joined_up, {"slits", "slit-place"}),
    (mark_missing, {"centre-mark"}),
]


@pytest.mark.parametrize(("spoil", "expected"), DXF_FAULTS, ids=[spoil.__name__ for spoil, _ in DXF_FAULTS])
def test_faults_of_the_cutting_file_are_seen(
    spoil: Callable[[Shapes], None], expected: set[str], design: BracketDesign, stl: bytes, tmp_path: Path
) -> None:
    (tmp_path / "bracket.stl").write_bytes(stl)
    shapes = cut_layers(design)
    spoil(shapes)
    write_cut_dxf(tmp_path / "bracket-flat.dxf", shapes)
    assert expected <= failed(tmp_path, design)


def test_inches_are_seen(design: BracketDesign, stl: bytes, tmp_path: Path) -> None:
    (tmp_path / "bracket.stl").write_bytes(stl)
    path = tmp_path / "bracket-flat.dxf"
    write_cut_dxf(path, cut_layers(design))
    text = path.read_text(encoding="utf-8").replace("\r\n", "\n")
    assert "$INSUNITS\n 70\n4\n" in text
    path.write_text(text.replace("$INSUNITS\n 70\n4\n", "$INSUNITS\n 70\n1\n"), encoding="utf-8")
    assert failed(tmp_path, design) == {"units"}


@pytest.mark.parametrize("off", [0.2, -0.2])
def test_a_wrong_allowance_is_seen(off: float, stl: bytes, design: BracketDesign, tmp_path: Path) -> None:
    """The flat of a bracket whose bend was given another allowance, against the folded solid of the right one."""
    wrong = dataclasses.replace(
        design, outline=Loop([(x if x < 60 else x + off, y, b) for x, y, b in design.outline.vertices.tolist()])
    )
    (tmp_path / "bracket.stl").write_bytes(stl)
    write_cut_dxf(tmp_path / "bracket-flat.dxf", cut_layers(wrong))
    assert "flat-length" in failed(tmp_path, design)


def refolded(design: BracketDesign, bend: Bend, folder: Path) -> None:
    """The solid as it comes out when the bend is made otherwise than designed."""
    arm, tab = design.regions
    moved = dataclasses.replace(tab, frame=arm.frame.beyond(bend, design.thickness))
    write_stl(folder / "bracket.stl", bracket_solid(dataclasses.replace(design, regions=(arm, moved), bends=(bend,))))


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"angle_deg": 89.5}, {"bend-angle", "tab-square"}),
        ({"inside_radius": 5.2}, {"tab-face", "air-gap", "flat-length"}),
        ({"up": False}, {"folded-hole"}),
    ],
)
def test_a_wrong_fold_is_seen(
    change: dict[str, float | bool], expected: set[str], design: BracketDesign, tmp_path: Path
) -> None:
    write_cut_dxf(tmp_path / "bracket-flat.dxf", cut_layers(design))
    refolded(design, dataclasses.replace(design.bends[0], **change), tmp_path)
    assert expected <= failed(tmp_path, design)


def test_a_mirrored_solid_is_seen(design: BracketDesign, stl: bytes, tmp_path: Path) -> None:
    (tmp_path / "bracket.stl").write_bytes(stl)
    write_cut_dxf(tmp_path / "bracket-flat.dxf", cut_layers(design))
    triangles = read_stl(tmp_path / "bracket.stl") * np.array([-1.0, 1.0, 1.0])
    write_triangles(tmp_path / "bracket.stl", triangles[:, ::-1])
    assert {"tab-face", "folded-hole"} <= failed(tmp_path, design)


def test_thinner_plate_is_seen(design: BracketDesign, tmp_path: Path) -> None:
    write_cut_dxf(tmp_path / "bracket-flat.dxf", cut_layers(design))
    thinner = design_bracket(in_job(bracket={"gusset": True, "plate": {"thickness": 4.9}}))
    assert thinner is not None
    write_stl(tmp_path / "bracket.stl", bracket_solid(thinner))
    assert "thickness" in failed(tmp_path, design)


def test_a_lost_gusset_is_seen(design: BracketDesign, tmp_path: Path) -> None:
    write_cut_dxf(tmp_path / "bracket-flat.dxf", cut_layers(design))
    write_stl(tmp_path / "bracket.stl", bracket_solid(dataclasses.replace(design, gussets=design.gussets[:1])))
    assert failed(tmp_path, design) == {"bodies"}


def test_bodies_that_touch_in_a_point_are_two() -> None:
    corner = np.array([[[0, 0, 0], [0, 1, 0], [1, 0, 0]], [[0, 0, 0], [1, 0, 0], [0, 0, 1]],
                       [[0, 0, 0], [0, 0, 1], [0, 1, 0]], [[1, 0, 0], [0, 1, 0], [0, 0, 1]]], dtype=float)  # fmt: skip
    assert len(separate_bodies(np.vstack([corner, -corner[:, ::-1]]))) == 2
    assert len(separate_bodies(corner)) == 1
    with pytest.raises(ValueError, match="empty"):
        separate_bodies(np.zeros((0, 3, 3)))


def test_z_and_bend_marks_pass_too(tmp_path: Path) -> None:
    design = design_bracket(along_job(bracket={"bends": "hand"}, shop={"plasma": {"kerf": 1.4, "bend_marks": True}}))
    assert design is not None
    shapes = cut_layers(design)
    assert len(shapes["TEXT"]) == 2
    assert [text.text.split()[2] for text in shapes["TEXT"] if isinstance(text, CutText)] == ["UP", "DOWN"]
    write_cut_dxf(tmp_path / "bracket-flat.dxf", shapes)
    write_stl(tmp_path / "bracket.stl", bracket_solid(design))
    assert [f for f in check_bracket(tmp_path, design) if f.verdict != "pass"] == []


def test_the_compensated_file_is_measured_too(stl: bytes, tmp_path: Path) -> None:
    job = in_job(bracket={"bends": "hand", "gusset": True}, shop={"plasma": {"kerf": 1.4, "compensate": True}})
    design = design_bracket(job)
    assert design is not None
    (tmp_path / "bracket.stl").write_bytes(stl)
    write_cut_dxf(tmp_path / "bracket-flat.dxf", cut_layers(design))
    write_cut_dxf(tmp_path / compensated_name(1.4), cut_layers(design, 1.4))
    findings = list(check_bracket(tmp_path, design))
    assert [finding for finding in findings if finding.verdict != "pass"] == []
    assert {"kerf-outline", "kerf-holes"} <= {finding.check for finding in findings}
    for wrong in (0.0, 1.2):
        write_cut_dxf(tmp_path / compensated_name(1.4), cut_layers(design, wrong))
        assert failed(tmp_path, design) == {"kerf-outline", "kerf-holes"}


def test_kerf_compensation_grows_outsides_and_shrinks_holes(design: BracketDesign) -> None:
    plain, grown = cut_layers(design), cut_layers(design, 1.4)
    for before, after in zip(plain["OUTLINE"], grown["OUTLINE"], strict=True):
        assert isinstance(before, Loop)
        assert isinstance(after, Loop)
        assert after.area > before.area + 0.69 * before.length
    for before, after in zip(plain["HOLES"], grown["HOLES"], strict=True):
        assert isinstance(before, Loop)
        assert isinstance(after, Loop)
        (x0, y0, x1, y1), (u0, v0, u1, v1) = before.bounds(), after.bounds()
        assert (u0 - x0, v0 - y0, x1 - u1, y1 - v1) == pytest.approx((0.7,) * 4, abs=2e-3)
    assert grown["SLIT"] == plain["SLIT"]
    assert math.isclose(sum(1 for _ in plain["MARK"]), 2)


# --- bracket.step ---------------------------------------------------------------------------------------------------
def step_findings(design: BracketDesign, solid: BracketDesign, folder: Path) -> dict[str, set[str]]:
    """Verdicts by check of `solid` written as STEP, read again and held against `design`."""
    write_step(folder / "bracket.step", bracket_solid(solid), "bracket")
    out: dict[str, set[str]] = {}
    for finding in check_step(step_faces(folder / "bracket.step"), design):
        out.setdefault(finding.check, set()).add(finding.verdict)
    return out


def test_the_step_file_is_measured(design: BracketDesign, tmp_path: Path) -> None:
    assert set().union(*step_findings(design, design, tmp_path).values()) == {"pass"}
    z = design_bracket(along_job(bracket={"mount_face": 2.5 + 0.8 + 24 - 5 - 12}))
    assert z is not None
    found = step_findings(z, z, tmp_path)
    assert set().union(*found.values()) == {"pass"}
    assert {"step-thickness", "step-bend-angle", "step-bend-radius", "step-tab-face"} <= set(found)


def test_a_wrong_step_file_is_seen(design: BracketDesign, tmp_path: Path) -> None:
    thinner = design_bracket(in_job(bracket={"gusset": True, "plate": {"thickness": 4.9}}))
    assert thinner is not None
    assert step_findings(design, thinner, tmp_path)["step-thickness"] == {"fail"}
    arm, tab = design.regions
    bend = dataclasses.replace(design.bends[0], angle_deg=89.9)
    moved = dataclasses.replace(tab, frame=arm.frame.beyond(bend, design.thickness))
    found = step_findings(design, dataclasses.replace(design, regions=(arm, moved), bends=(bend,)), tmp_path)
    assert found["step-bend-angle"] == {"fail"}
    assert found["step-tab-face"] == {"fail"}
    bend = dataclasses.replace(design.bends[0], inside_radius=5.1)
    moved = dataclasses.replace(tab, frame=arm.frame.beyond(bend, design.thickness))
    found = step_findings(design, dataclasses.replace(design, regions=(arm, moved), bends=(bend,)), tmp_path)
    assert found["step-bend-radius"] == {"fail"}
    assert step_findings(design, dataclasses.replace(design, gussets=()), tmp_path)["bodies"] == {"fail"}
    assert [finding.verdict for finding in check_step((), design)] == ["fail"]


EDGES: dict[str, dict[str, object]] = {
    "sharp inside": {"plate": {"inside_radius": 0}},
    "thick plate whose holes are all drilled": {
        "plate": {"thickness": 8, "inside_radius": 8},
        "mount_face": -40,
        "width": 60,
    },
    "thin plate": {"plate": {"thickness": 1.5, "inside_radius": 1.5}},
    "no travel": {"adjust": 0},
    "slots along the crank": {"adjust_along": 6},
    "one mount": {"mounts": [{"x": 150, "y": 85, "hole": 11}]},
    "eight mounts": {
        "mounts": [{"x": 130 + 20 * (k % 2), "y": 40 + 15 * (k // 2), "hole": 5} for k in range(8)],
        "adjust": 2,
    },
}


@pytest.mark.parametrize("name", list(EDGES))
@pytest.mark.parametrize("shape", ["L", "Z"])
def test_odd_brackets_are_measured_right(name: str, shape: str, tmp_path: Path) -> None:
    job = (in_job if shape == "L" else along_job)(bracket=EDGES[name], shop={"plasma": {"kerf": 1.5}})
    design = design_bracket(job)
    assert design is not None
    assert design.shape == shape
    write_cut_dxf(tmp_path / "bracket-flat.dxf", cut_layers(design))
    write_stl(tmp_path / "bracket.stl", bracket_solid(design))
    assert [f for f in check_bracket(tmp_path, design) if f.verdict != "pass"] == []
    assert set().union(*step_findings(design, design, tmp_path).values()) == {"pass"}


def test_holes_of_half_a_thousandth_more_raise_no_alarm(tmp_path: Path) -> None:
    """17.7625 less a kerf of 1.397 mm lies between two thousandths: a sound inch job once failed on the rounding."""
    design = design_job(parse_job(INCH_SIX)).bracket
    assert design is not None
    write_cut_dxf(tmp_path / "bracket-flat.dxf", cut_layers(design))
    name = compensated_name(design.compensate_kerf)
    write_cut_dxf(tmp_path / name, cut_layers(design, design.compensate_kerf))
    verdict = {f.check: f.verdict for f in _compensated(tmp_path, design)}
    assert verdict == {"kerf-outline": "pass", "kerf-holes": "pass"}
    wide = dataclasses.replace(design.holes[0], diameter=design.holes[0].diameter + 0.002)
    spoilt = dataclasses.replace(design, holes=(wide, *design.holes[1:]))
    write_cut_dxf(tmp_path / name, cut_layers(spoilt, design.compensate_kerf))
    assert {f.check: f.verdict for f in _compensated(tmp_path, design)}["kerf-holes"] == "fail"


@pytest.mark.parametrize("lost", [0, 1])
def test_a_side_without_a_plane_face_is_named(lost: int, stl: bytes, design: BracketDesign, tmp_path: Path) -> None:
    """One side of the arm, and of the tab in turn, not plane: found missing, and nothing measured from the other."""
    (tmp_path / "bracket.stl").write_bytes(stl)
    faces = plane_faces(separate_bodies(read_stl(tmp_path / "bracket.stl"))[0])
    assert {f.verdict for check in (_thickness, _angles) for f in check(faces, design)} == {"pass"}
    for region in design.regions:
        gone = _pick(faces, *_expected(region, design.thickness, lost == 0))
        left = [face for face in faces if face is not gone and not 25 <= face.area <= 200]
        found = [f for f in _thickness(left, design) if f.subject.endswith(region.name)]
        assert [(f.verdict, f.measured) for f in found] == [("fail", "no plane face found")]
        assert {f.verdict for f in _angles(left, design)} == {"fail" if lost == 0 else "pass"}
