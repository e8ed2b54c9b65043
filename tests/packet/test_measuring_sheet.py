"""The measuring sheet: letters where the keys are, a blank or the job's value beside each, the guesses marked."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from tests.conftest import DEMOS, ROOT, demo_text
from wheelcad.errors import JobError
from wheelcad.job.explain import letters
from wheelcad.job.measuring import MEASURES, PICTURES
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.job.starter import starter_text
from wheelcad.packet.measuring_pictures import pictures
from wheelcad.packet.measuring_sheet import gap_advice, make_sheet, sheet_data
from wheelcad.packet.sketch import BALLOON, Sketch
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.signal.report import signal_of
from wheelcad.trade.frames import angle_of, sense_of


def drawn(job: Job) -> dict[str, Sketch]:
    """The job's pictures."""
    return pictures(job, design_wheel(job))


def data_of(text: str, filled: bool) -> dict[str, Any]:
    """What the sheet's template is given for a job's text."""
    job = parse_job(text)
    return sheet_data(job, filled, drawn(job))


@pytest.mark.parametrize("name", DEMOS)
def test_letters_sit_where_the_keys_are(name: str) -> None:
    job = parse_job(demo_text(name))
    made = drawn(job)
    pulley, sensor, sense = job.pulley, job.sensor, sense_of(job.engine.turns if job.engine else "clockwise")
    assert pulley is not None
    assert pulley.bolts is not None
    assert sensor is not None
    front = made["B"].anchors
    if pulley.bore is not None:
        assert math.hypot(*front["B1"]) == pytest.approx(pulley.bore / 2)
    circle = pulley.bolts.circle / 2
    assert [math.hypot(*front[label]) for label in ("B6", "B7")] == pytest.approx([circle, circle])
    holes = [(pulley.bolts.first_at + 360 / pulley.bolts.count * i) % 360 for i in range(pulley.bolts.count)]
    assert min(abs(float(angle_of(*front["B7"], sense)) - hole) for hole in holes) < 1e-6
    if pulley.bolts.first_at % 360:
        half_way = float(angle_of(*front["B8"], sense))
        assert 0 < half_way < pulley.bolts.first_at % 360  # on the arc from the TDC line to the first bolt
    mounts = job.bracket.mounts if job.bracket is not None else ()
    if len(mounts) > 1:
        assert made["E"].anchors["E2"] == (mounts[0].given_x, mounts[0].given_y)
        assert made["E"].anchors["E5"] == (mounts[1].given_x, mounts[1].given_y)
    assert math.hypot(*made["G"].anchors["G3"]) == pytest.approx(job.wheel.outside_diameter / 2)
    assert math.hypot(*made["G"].anchors["G4"]) == pytest.approx(job.wheel.outside_diameter / 2 - job.wheel.slot.depth)


@pytest.mark.parametrize("name", DEMOS)
def test_every_letter_of_a_job_is_drawn_on_the_page_and_apart_from_the_others(name: str) -> None:
    job = parse_job(demo_text(name))
    for letter, sketch in drawn(job).items():
        assert all(label[0] == letter and label in letters() for label in sketch.anchors)
        text = sketch.svg()
        for label in sketch.anchors:
            assert text.count(f">{label}</text>") == 1
        import re

        at = re.findall(r"<circle cx='([0-9.-]+)' cy='([0-9.-]+)' r='2.9'", text)
        places = [(float(x), float(y)) for x, y in at]
        for x, y in places:
            assert -BALLOON <= x <= sketch.width + BALLOON
            assert -BALLOON <= y <= sketch.height + BALLOON
        close = [(a, b) for i, a in enumerate(places) for b in places[:i] if math.dist(a, b) < BALLOON]
        assert not close, (letter, close)


def test_the_gap_goes_where_the_gap_map_says() -> None:
    """The blank sheet's rule gives the starters' own gap; a job's sheet names the best clear place of its own map."""
    blank = gap_advice(None)
    for cylinders in (1, 4, 6, 8, 12):
        job = parse_job(starter_text(cylinders))
        assert job.sensor is not None
        less = float(re.search(rf"\b{cylinders}: ([0-9.]+)", blank)[1])  # type: ignore[index]
        assert (job.sensor.at - less - job.wheel.gap_at) % 360 == pytest.approx(0)
    job = parse_job(demo_text("fell-twin"))
    assert job.sensor is not None
    rows = signal_of(job, designed_edges(design_wheel(job), job.sensor), field=False).report()["gap_map"]
    at = float(re.search(r"gap_at: ([0-9.]+) deg", gap_advice(job))[1])  # type: ignore[index]
    row = rows[round(job.sensor.at - at) % 360]
    assert row["clear_deg"] >= 0
    assert row["margin"] == max(other["margin"] for other in rows if other["clear_deg"] >= 0)
    assert f"margin {row['margin']:.2f}" in gap_advice(job)
    assert "G5 = E1 less" in gap_advice(parse_job(starter_text(4).replace("  missing: 1\n", "  missing: 0\n")))


def test_the_starters_pictures_hold_every_letter() -> None:
    shown = {
        label
        for text in (starter_text(), starter_text(form="plate"), demo_text("tarn-six"))
        for sketch in drawn(parse_job(text)).values()
        for label in sketch.anchors
    }
    assert shown == set(letters())


def test_a_blank_sheet_asks_for_everything(tmp_path: Path) -> None:
    path = make_sheet(None, tmp_path)
    text = "\n".join(page.extract_text() for page in PdfReader(path).pages)
    said = " ".join(text.split())
    for title in PICTURES.values():
        assert title in said
    data = data_of(starter_text(), filled=False)
    rows = [row for group in data["groups"] for row in group["rows"]]
    assert {row["label"] for row in rows} - {""} == {m.label for m in MEASURES if m.label} - {"G6"}
    assert not any(row["value"] or row["invented"] for row in rows)
    for words in ("piston stop", "inches", "licensed", "bolt-4", "G5 = E1 less"):
        assert words in said


def test_a_jobs_numbers_are_printed_in_and_the_guesses_marked(tmp_path: Path) -> None:
    job = tmp_path / "shed.yaml"
    job.write_text(starter_text(given={"pulley.bore": "31.5"}), encoding="utf-8")
    make_sheet(job, tmp_path)
    data = data_of(job.read_text("utf-8"), filled=True)
    rows = {row["label"]: row for group in data["groups"] for row in group["rows"] if row["label"]}
    assert (rows["B1"]["value"], rows["B1"]["invented"]) == ("31.5 mm", False)
    assert (rows["B6"]["value"], rows["B6"]["invented"]) == ("80 mm", True)
    asked = {row["asks"]: row["value"] for row in data["groups"][0]["rows"]}
    assert asked["Firing order, such as 1-3-4-2"] == "[1, 3, 4, 2]"
    text = " ".join(page.extract_text() for page in PdfReader(tmp_path / "measuring-sheet.pdf").pages)
    assert "guess: measure" in text
    assert "31.5 mm" in text


def test_the_same_job_gives_the_same_bytes(tmp_path: Path) -> None:
    demo = ROOT / "configs" / "fell-twin.yaml"
    assert make_sheet(demo, tmp_path / "a").read_bytes() == make_sheet(demo, tmp_path / "b").read_bytes()


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(JobError, match="file"):
        make_sheet(None, tmp_path / "file")
