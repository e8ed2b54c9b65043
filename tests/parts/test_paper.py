"""Paper and units of the drawings: what the job asks for, and nothing overlaps on any of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.conftest import demo_text
from wheelcad.drawing.ink import Letters, letters_box
from wheelcad.drawing.layout import compose, overlaps
from wheelcad.drawing.model import Line, Sheet, View
from wheelcad.errors import JobError
from wheelcad.job.reader import parse_job
from wheelcad.packet.sheets import drawing_sheets
from wheelcad.parts.bracket.paper_sheet import bracket_pages
from wheelcad.parts.common.paper import page_paper
from wheelcad.parts.common.sheets import drawing_units, laid_out, papers_for
from wheelcad.parts.design import design_job


def sheets_of(name: str, lines: str) -> dict[str, Sheet]:
    """All drawings of a demo with lines added at the top of its job file."""
    return drawing_sheets(design_job(parse_job(demo_text(name) + "\n" + lines)))


@pytest.mark.parametrize(
    ("lines", "papers", "page"),
    [
        ("units: mm", ("A4", "A3"), "A4"),
        ("units: in", ("Letter", "Tabloid"), "Letter"),
        ("units: in\npaper: A3", ("A4", "A3"), "A4"),
        ("units: mm\npaper: A4", ("A4",), "A4"),
        ("units: mm\npaper: Letter", ("Letter",), "Letter"),
        ("units: mm\npaper: Tabloid", ("Letter", "Tabloid"), "Letter"),
    ],
)
def test_paper_follows_the_job(lines: str, papers: tuple[str, ...], page: str) -> None:
    text = "job: a\nwheel: {teeth: 36, missing: 1, outside_diameter: 160 mm, thickness: 3 mm, "
    job = parse_job(f"{text}slot: {{width: 6 mm, depth: 6 mm}}}}\n{lines}\n")
    assert papers_for(job) == papers
    assert page_paper(job) == page


def test_another_paper_is_an_error() -> None:
    with pytest.raises(JobError) as caught:
        parse_job(demo_text("tarn-six") + "\npaper: B5\n")
    assert "A4" in str(caught.value)
    assert "Tabloid" in str(caught.value)


@pytest.mark.parametrize(
    ("name", "lines", "largest"),
    [
        ("tarn-six", "paper: A4", "A4"),
        ("fell-twin", "paper: Letter", "Letter"),
        ("tarn-six", "dimensions: dual", "A3"),
        ("fell-twin", "paper: A3\ndimensions: dual", "A3"),
    ],
)
def test_nothing_overlaps_on_the_paper_asked_for(name: str, lines: str, largest: str) -> None:
    sheets = sheets_of(name, lines)
    assert {"wheel", "bracket"} <= set(sheets)
    for sheet in sheets.values():
        pages = laid_out(sheet)
        assert overlaps(pages) == [], sheet.name
        assert {page.paper.name for page in pages} <= {"A4", largest}
        assert min(placed.scale for page in pages for placed in page.views) >= 0.2
        shown = [placed.name for page in pages for placed in page.views]
        assert sorted(shown) == sorted(view.name for view in sheet.views)


def test_what_cannot_be_read_on_a_small_sheet_takes_the_large_one() -> None:
    sheet = sheets_of("tarn-six", "paper: A4")["wheel"]
    wide = replace(sheet, views=(View("bar", (Line((0, 0), (40000, 0)),)),))
    with pytest.raises(ValueError, match="no standard scale"):
        compose(wide)
    long = replace(sheet, views=(View("bar", (Line((0, 0), (30000, 0)),)),))
    assert {page.paper.name for page in laid_out(long)} == {"A3"}


def test_dual_dimensions_say_both() -> None:
    sheet = sheets_of("tarn-six", "dimensions: dual")["wheel"]
    texts = [group.measure.text for group in compose(sheet)[0].groups if group.measure]
    assert any("160 [6.299" in text for text in texts), texts
    assert sheet.units == drawing_units(parse_job(demo_text("tarn-six") + "\ndimensions: dual\n")) == "dual"


@pytest.mark.parametrize("name", ["tarn-six", "fell-twin", "beck-four"])
def test_no_words_run_off_the_paper(name: str) -> None:
    """Headings with job, marks and part are long on a Letter sheet: they then take smaller letters."""
    design = design_job(parse_job(demo_text(name)))
    assert design.bracket is not None
    for page in bracket_pages(design.bracket, design.job, design.marks):
        boxes = [letters_box(i) for group in page.groups for i in group.ink if isinstance(i, Letters)]
        assert boxes
        assert max(box[2] for box in boxes) <= page.paper.width - 5
        assert min(box[0] for box in boxes) >= 5
