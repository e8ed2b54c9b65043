"""Cutting files of a plate wheel carry the TDC line, and their bolts fit one way; seeded faults are seen."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from tests.conftest import demo_text
from wheelcad.checks.cut_files import check_drawing_marks
from wheelcad.checks.wheel_flat import check_wheel_flat
from wheelcad.drawing.dxf import write_dxf
from wheelcad.findings import Finding
from wheelcad.job.reader import parse_job
from wheelcad.packet.sheets import _wheel, drawing_sheets
from wheelcad.parts.common.sheets import laid_out
from wheelcad.parts.design import Design, design_job

FILES = ("wheel-flat.dxf", "wheel-finished.dxf")


def written(folder: Path, demo: str, more: tuple[str, str] = ("", "")) -> Design:
    design = design_job(parse_job(demo_text(demo).replace(*more)))
    for name, write in _wheel(design):
        write(folder / name)
    return design


def verdicts(found: list[Finding]) -> dict[tuple[str, str], str]:
    return {(finding.subject, finding.check): finding.verdict for finding in found}


@pytest.mark.parametrize("demo", ["fell-twin", "beck-four"])
@pytest.mark.parametrize("marks", [False, True])
def test_both_files_carry_the_line_and_fit_one_way(demo: str, marks: bool, tmp_path: Path) -> None:
    more = ("  missing:", "  marks: {tdc: notch, degrees: [5, 10, 20]}\n  missing:") if marks else ("", "")
    design = written(tmp_path, demo, more)
    found = check_wheel_flat(tmp_path, FILES, design)
    assert verdicts(found) == {(name, check): "pass" for name in FILES for check in ("flat-tdc", "bolts-one-way")}
    bolts = design.job.pulley.bolts.count  # type: ignore[union-attr]
    assert {f"{bolts} ways by the holes, 1 by the marks"} == {f.measured for f in found if f.check == "bolts-one-way"}


def spoil(path: Path, change: str) -> None:
    doc = ezdxf.readfile(path)
    space = doc.modelspace()
    radial = [e for e in space.query("LINE[layer=='MARK']") if abs(e.dxf.start.x) < 1e-6 and abs(e.dxf.end.x) < 1e-6]
    line = max(radial, key=lambda e: abs(e.dxf.start.y - e.dxf.end.y))
    if change == "line away":
        space.delete_entity(line)
    elif change == "line turned":
        from ezdxf.math import Matrix44

        line.transform(Matrix44.z_rotate(0.0004))
    else:
        space.delete_entity(next(e for e in space.query("CIRCLE[layer=='HOLES']") if abs(e.dxf.center.x) > 1))
    doc.saveas(path)


@pytest.mark.parametrize(
    ("change", "wrong"),
    [
        ("line away", {"flat-tdc", "bolts-one-way"}),
        ("line turned", {"flat-tdc"}),
        ("hole away", {"bolts-one-way"}),
    ],
)
def test_what_is_wrong_is_seen(change: str, wrong: set[str], tmp_path: Path) -> None:
    design = written(tmp_path, "beck-four")
    spoil(tmp_path / "wheel-finished.dxf", change)
    found = check_wheel_flat(tmp_path, ["wheel-finished.dxf"], design)
    assert {f.check for f in found if f.verdict == "fail"} == wrong


def test_a_drawing_of_another_job_is_seen(tmp_path: Path) -> None:
    design = design_job(parse_job(demo_text("fell-twin")))
    sheet = drawing_sheets(design)["adapter"]
    write_dxf(laid_out(sheet), tmp_path / "adapter-drawing.dxf")
    (found,) = check_drawing_marks(tmp_path, ["adapter-drawing.dxf"], design.marks)
    assert found.verdict == "pass"
    (other,) = check_drawing_marks(tmp_path, ["adapter-drawing.dxf"], "job 00000000 plan 000000")
    assert other.verdict == "fail"
