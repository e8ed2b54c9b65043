"""Written drawings held against other programs: a DXF auditor, LibreCAD, poppler and a PDF reader of another make.

Sources: ISO 5457 (sheet sizes), ISO 128-2 (widths in the ratio 2:1, dash lengths in multiples of the width; from
memory), AutoCAD DXF reference ($INSUNITS 4 = mm; from memory).
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import ezdxf
import pytest

from tests.drawing.trial import trial_sheet
from wheelcad.drawing.dxf import write_dxf
from wheelcad.drawing.layout import compose
from wheelcad.drawing.pdf import write_pdf
from wheelcad.files.dxf import write_cut_dxf
from wheelcad.job.models import Job
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.blank.sheet import blank_sheet
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.sheet import wheel_sheet
from wheelcad.trade.layers import CHAIN, DASHED, DOUBLE_CHAIN, LAYERS, dashes_mm
from wheelcad.trade.loop import Loop


def needs(program: str) -> pytest.MarkDecorator:
    """Skip where a program is not installed."""
    return pytest.mark.skipif(shutil.which(program) is None, reason=f"{program} is not installed")


def run(*command: str, cwd: Path | None = None) -> str:
    """A program's output; it must end well."""
    env = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        command, cwd=cwd, env=env, capture_output=True, text=True, encoding="utf-8", check=True, timeout=120
    )
    return done.stdout


@pytest.fixture
def drawings(demo: Job, tmp_path: Path) -> list[Path]:
    """DXF and PDF of a demo's wheel and blank, the trial sheet in dual units, and a cutting file."""
    wheel, blank = design_wheel(demo), design_blank(demo)
    balance = design_balance(demo, wheel)
    sheets = [wheel_sheet(demo, wheel, blank, balance), trial_sheet("dual")]
    if blank is not None:
        sheets.append(blank_sheet(demo, blank, balance.runout_limit_mm, balance.runout_by))
    for sheet in sheets:
        pages = compose(sheet)
        write_dxf(pages, tmp_path / f"{sheet.name}.dxf")
        write_pdf(pages, tmp_path / f"{sheet.name}.pdf")
    write_cut_dxf(tmp_path / "cut.dxf", {"OUTLINE": [Loop.slot(0, 0, 40, 0, 20)], "HOLES": [Loop.circle(0, 0, 5)]})
    return sorted(tmp_path.iterdir())


def test_the_auditor_finds_no_error_and_mends_nothing(drawings: list[Path]) -> None:
    files = [p for p in drawings if p.suffix == ".dxf"]
    assert len(files) >= 3
    for path in files:
        audit = ezdxf.readfile(path).audit()
        assert audit.errors == [], path.name
        assert audit.fixes == [], path.name


@needs("librecad")
def test_librecad_opens_and_prints_every_dxf(drawings: list[Path]) -> None:
    for path in (p for p in drawings if p.suffix == ".dxf"):
        folder = path.parent / f"cad-{path.stem}"
        folder.mkdir()
        shutil.copy(path, folder)
        run("librecad", "dxf2pdf", "-a", "-k", path.name, cwd=folder)
        printed = folder / f"{path.stem}.pdf"
        assert printed.stat().st_size > 2000, path.name
        if path.stem != "cut" and shutil.which("pdftoppm"):
            run("pdftoppm", "-r", "20", "-gray", "-singlefile", str(printed), str(folder / "page"))
            assert (folder / "page.pgm").read_bytes().count(b"\xff") > 1000


@needs("pdffonts")
def test_pdf_fonts_are_embedded_subsets(drawings: list[Path]) -> None:
    for path in (p for p in drawings if p.suffix == ".pdf"):
        rows = run("pdffonts", str(path)).splitlines()[2:]
        assert rows
        for row in rows:
            name, *_ = row.split()
            embedded, subset, unicode = row.split()[-5:-2]
            assert re.fullmatch(r"[A-Z]{6}\+DejaVuSansCondensed(-Bold)?", name), row
            assert (embedded, subset, unicode) == ("yes", "yes", "yes"), row


@needs("pdftotext")
def test_pdf_text_is_text(drawings: list[Path]) -> None:
    wheel = next(p for p in drawings if p.name == "wheel.pdf")
    text = run("pdftotext", "-layout", str(wheel), "-")
    for words in ("Crank trigger wheel", "General tolerances", "ISO 2768-m", "TDC line", "⌀", "Caution"):
        assert words in text, words


@needs("pdfinfo")
def test_pdf_pages_have_the_paper_they_name(demo: Job, drawings: list[Path]) -> None:
    metric = ((210, 297), (420, 297))
    inch = ((216, 279), (279, 216), (432, 279))  # Letter and Tabloid, for a job in inches
    for path in (p for p in drawings if p.suffix == ".pdf"):
        size = re.search(r"Page size:\s+([\d.]+) x ([\d.]+) pts", run("pdfinfo", str(path)))
        assert size is not None
        mm = tuple(round(float(v) * 25.4 / 72) for v in size.groups())
        own = path.name == "wheel.pdf" and demo.units == "in"
        assert mm in (inch if own else metric), path.name


def test_line_widths_and_dashes() -> None:
    """ISO 128-2, from memory: wide to narrow 2:1; long dash 24 d, dash 12 d, gap 3 d, dot 0.5 d."""
    assert LAYERS["OUTLINE"].width_mm == 2 * LAYERS["CENTRE"].width_mm
    assert dashes_mm(CHAIN, 0.25) == (6.0, 0.75, 0.125, 0.75)
    assert dashes_mm(DASHED, 0.25) == (3.0, 0.75)
    assert dashes_mm(DOUBLE_CHAIN, 0.25) == (6.0, 0.75, 0.125, 0.75, 0.125, 0.75)
    names = "OUTLINE HOLES SLIT BEND MARK DIM CENTRE HIDDEN HATCH FRAME TEXT"
    assert " ".join(LAYERS) == names
