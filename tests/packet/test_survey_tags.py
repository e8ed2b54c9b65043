"""survey-tags.pdf measured on its own raster, and survey-tags.json against it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

pytest.importorskip("cv2")

from tests.conftest import DEMOS, demo_text
from wheelcad.job.reader import parse_job
from wheelcad.packet.survey_tags import write_survey_tags
from wheelcad.survey.detect import find_tags
from wheelcad.survey.sheetfile import printed, read_sheet
from wheelcad.survey.tags import plan_tags

DPI = 300


def pages_of(pdf: Path) -> list[np.ndarray]:
    document = pypdfium2.PdfDocument(str(pdf))
    return [np.asarray(document[k].render(scale=DPI / 72).to_pil().convert("L")) for k in range(len(document))]


@pytest.mark.parametrize("name", DEMOS)
def test_every_tag_is_printed_where_the_file_says(name: str, tmp_path: Path) -> None:
    pdf, file = write_survey_tags(parse_job(demo_text(name)), tmp_path)
    data = json.loads(file.read_text(encoding="utf-8"))
    assert set(data) == {"page_mm", "tags"}
    pages = pages_of(pdf)
    found = {}
    for k, page in enumerate(pages):
        high, wide = page.shape
        tags = find_tags(np.ascontiguousarray(page))
        for number, corners in zip(tags.numbers.tolist(), tags.corners, strict=True):
            x = (corners[:, 0] + 0.5) / wide * data["page_mm"][0]
            y = data["page_mm"][1] - (corners[:, 1] + 0.5) / high * data["page_mm"][1]
            found[number] = (k + 1, np.stack([x, y], 1))
    assert len(found) == len(data["tags"])
    for tag in data["tags"]:
        assert set(tag) == {"id", "dictionary", "page", "on", "corners_page_mm", "corners_mm"}
        page, corners = found[tag["id"]]
        assert page == tag["page"]
        assert np.abs(corners - tag["corners_page_mm"]).max() < 0.03  # a third of a pixel of this raster


def test_the_bars_are_as_long_as_they_say(tmp_path: Path) -> None:
    job = parse_job(demo_text("tarn-six"))
    sheet = plan_tags(job, "A4")
    pdf, _ = write_survey_tags(job, tmp_path)
    for page in pages_of(pdf):
        high, wide = page.shape
        per_mm = wide / sheet.page_mm[0]
        foot = page[high - int(20 * per_mm) :] < 100
        row = foot[int(np.argmax(foot.sum(axis=1)))]
        level = np.flatnonzero(row)
        left = page[:, : int(18 * per_mm)] < 100
        column = left[:, int(np.argmax(left.sum(axis=0)))]
        upright = np.flatnonzero(column)
        # from stroke to stroke is measured between the middles of the end strokes, half a line's width in from the ends
        for ends, length in ((level, 150.0), (upright, 200.0)):
            measured = (ends[-1] - ends[0] + 1) / per_mm
            assert measured == pytest.approx(length, abs=0.5)


def test_the_same_job_gives_the_same_bytes_and_reads_back_as_planned(tmp_path: Path) -> None:
    job = parse_job(demo_text("tarn-six"))
    first = [path.read_bytes() for path in write_survey_tags(job, tmp_path)]
    assert [path.read_bytes() for path in write_survey_tags(job, tmp_path)] == first
    back, planned = read_sheet(tmp_path / "survey-tags.json"), printed(plan_tags(job, "A4"))
    assert back.on == planned.on
    assert back.pieces == ("disc", "m1", "m2", "thing-1", "thing-2", "thing-3", "thing-4")
    for number, corners in planned.corners_mm.items():
        assert np.allclose(back.corners_mm[number], corners, atol=1e-6)


@pytest.mark.parametrize("name", DEMOS)
def test_nothing_on_the_sheet_lies_on_anything_else(name: str) -> None:
    import shapely

    sheet = plan_tags(parse_job(demo_text(name)), "A4")
    disc = sheet.pieces[0]
    holes = [shapely.Point(x, y).buffer(d / 2) for x, y, d in sheet.bolt_holes]
    holes.append(shapely.Point(0, 0).buffer(disc.hole_mm / 2))
    own = [shapely.Polygon(tag.corners_mm) for tag in sheet.tags if tag.on == "disc"]
    rim = shapely.Point(0, 0).buffer(disc.size_mm / 2)
    assert len(own) >= 6
    for k, square in enumerate(own):
        assert rim.contains(square)
        assert min(square.distance(hole) for hole in holes) >= 2.9
        assert all(square.distance(other) > 2.0 for other in own[:k])  # white enough between to be told apart
    for piece in sheet.pieces[1:]:
        card = shapely.box(*(-piece.size_mm / 2,) * 2, *(piece.size_mm / 2,) * 2)
        hole = shapely.Point(0, 0).buffer(piece.hole_mm / 2)
        for tag in sheet.tags:
            if tag.on == piece.name:
                assert card.contains(shapely.Polygon(tag.corners_mm))
                assert hole.distance(shapely.Polygon(tag.corners_mm)) > 1.0


def test_two_jobs_have_different_tags_and_a_job_keeps_its_own() -> None:
    text = demo_text("tarn-six")
    first = plan_tags(parse_job(text), "A4")
    again = plan_tags(parse_job(text.replace("air_gap: 0.8", "air_gap: 0.9")), "A4")
    other = plan_tags(parse_job(text.replace("job: tarn-six", "job: tarn-six-b")), "A4")
    assert [tag.number for tag in first.tags] == [tag.number for tag in again.tags]
    assert not {tag.number for tag in first.tags} & {tag.number for tag in other.tags}
    assert max(tag.number for tag in [*first.tags, *other.tags]) < 1000


def test_an_inch_job_has_bars_in_inches_on_letter(tmp_path: Path) -> None:
    from pypdf import PdfReader

    job = parse_job(demo_text("fell-twin"))
    assert job.units == "in"
    pdf, file = write_survey_tags(job, tmp_path)
    said = "\n".join(page.extract_text() for page in PdfReader(pdf).pages)
    assert "6.000 in from stroke to stroke" in said
    assert " mm" not in said
    assert json.loads(file.read_text(encoding="utf-8"))["page_mm"] == [215.9, 279.4]
