"""The paper gauge measured in its dots: by the project's own renderer and by another, and with faults put in."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.parts.gauge_files import gauge_of
from tests.parts.gauge_jobs import job_of, plate, random_gauge_job, turned
from wheelcad.checks.gauge_paper import check_gauge_paper, marks_of
from wheelcad.checks.paper import DPI, Dots, bar_ends, render
from wheelcad.drawing.layout import Page
from wheelcad.drawing.pdf import write_pdf
from wheelcad.errors import JobError
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.parts.gauge.design import design_gauge
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.sheet import gauge_pages
from wheelcad.parts.wheel.design import design_wheel


def pages_of(job: Job) -> tuple[GaugeDesign, tuple[Page, ...]]:
    design = gauge_of(job)
    return design, gauge_pages(job, design_wheel(job), design)


def large(**changes: Any) -> Job:
    """A ⌀290 plate wheel: two pages wide and two high."""
    wheel = {**plate()["wheel"], "outside_diameter": 290.0, "bore": 100.0}
    return job_of(**plate(wheel=wheel, pulley={"bolts": {"count": 4, "circle": 180.0, "hole": 8.4}}, **changes))


def verdicts(findings: list[Finding]) -> dict[str, str]:
    return {finding.check: finding.verdict for finding in findings}


@pytest.mark.parametrize("units", ["mm", "in"])
def test_pages_bars_ticks_and_crosses_are_where_they_should_be(units: str, tmp_path: Path) -> None:
    sections = turned() if units == "mm" else {**turned(), "units": "in", "wheel": turned()["wheel"]}
    job = job_of(**{**sections, "units": "mm"})
    if units == "in":
        job = job.model_copy(update={"units": "in"})
    design, pages = pages_of(job)
    assert design.paper.paper == ("A4" if units == "mm" else "Letter")
    write_pdf(pages, tmp_path / "gauge-paper.pdf")
    findings = check_gauge_paper(tmp_path, design)
    assert {f.verdict for f in findings} == {"pass"}
    assert {"paper-pages", "paper-size", "paper-bars", "paper-ticks", "paper-bolts", "paper-marks"} <= {
        f.check for f in findings
    }


def test_a_large_one_is_tiled_and_its_joining_crosses_found_on_both_pages(tmp_path: Path) -> None:
    design, pages = pages_of(large())
    plan = design.paper
    assert (plan.columns, plan.rows, len(pages)) == (2, 2, 4)
    write_pdf(pages, tmp_path / "gauge-paper.pdf")
    findings = check_gauge_paper(tmp_path, design)
    assert {f.verdict for f in findings} == {"pass"}
    assert "paper-joins" in {f.check for f in findings}
    for cross in plan.crosses:
        assert sum(plan.shows(tile, cross, 4.0) for tile in plan.tiles) >= 2
    for tick, _ in plan.ticks:
        assert any(plan.shows(tile, tick, 0.0) for tile in plan.tiles)


def test_neighbouring_pages_show_the_same_in_their_overlap(tmp_path: Path) -> None:
    """Laid over each other by the plan's shift, the dots of two pages agree in the strip they share."""
    design, pages = pages_of(large())
    write_pdf(pages, tmp_path / "gauge-paper.pdf")
    dots = render(tmp_path / "gauge-paper.pdf")
    left, right = design.paper.tiles[:2]
    assert left.row == right.row
    y = np.linspace(left.y0 + 20.0, left.y0 + 220.0, 3000)
    seen = []
    for x in (right.x0 + 3.0, right.x0 + 11.0):
        lines = []
        for page, tile in ((dots[0], left), (dots[1], right)):
            dx, dy = design.paper.shift(tile)
            lines.append(page.darkness(np.column_stack([np.full_like(y, x + dx), y + dy])))
        assert np.abs(lines[0] - lines[1]).mean() < 0.02
        seen.append(lines[0].max())
    assert max(seen) > 0.3  # something is drawn there


def test_another_renderer_finds_the_same(tmp_path: Path) -> None:
    """pdftoppm at 300 dots to the inch, its picture read by hand: bars and ticks within 0.15 mm."""
    design, pages = pages_of(job_of(**turned()))
    write_pdf(pages, tmp_path / "gauge-paper.pdf")
    command = ["pdftoppm", "-r", str(DPI), "-gray", str(tmp_path / "gauge-paper.pdf"), str(tmp_path / "page")]
    subprocess.run(command, check=True)
    (picture,) = tmp_path.glob("page*.pgm")
    head, rest = picture.read_bytes().split(b"\n255\n", 1)
    width, height = (int(v) for v in head.split(b"\n")[-1].split())
    page = Dots(np.frombuffer(rest, dtype=np.uint8).reshape(height, width))
    ends = [off for bar in design.paper.bars for off in bar_ends(page, bar)]
    ticks, bolts, _, which = marks_of(page, design.paper, design.paper.tiles[0])
    assert len(ends) == 8
    assert which == list(range(len(design.cover.marks)))
    assert np.abs([*ends, *ticks, *bolts]).max() < 0.15


@pytest.mark.parametrize(("units", "long"), [("mm", 100.0), ("in", 101.6)])
def test_a_bar_of_the_jobs_own_unit_stands_both_ways(units: str, long: float) -> None:
    plan = gauge_of(job_of(units=units, **turned())).paper
    level = [np.hypot(bar.b[0] - bar.a[0], bar.b[1] - bar.a[1]) for bar in plan.bars if bar.level]
    upright = [np.hypot(bar.b[0] - bar.a[0], bar.b[1] - bar.a[1]) for bar in plan.bars if not bar.level]
    assert level == pytest.approx([long])
    assert upright == pytest.approx([long])


def test_a_page_fitted_to_the_paper_fails(tmp_path: Path) -> None:
    """What a printer does that fits pages: everything at 99 %."""
    design, pages = pages_of(job_of(**turned()))
    tile = design.paper.tiles[0]
    small = [replace(g, ink=tuple(_scaled(i, 0.99) for i in g.ink)) for g in pages[0].groups]
    write_pdf(replace(pages[0], groups=tuple(small)), tmp_path / "gauge-paper.pdf")
    got = verdicts(check_gauge_paper(tmp_path, design))
    assert got["paper-bars"] == "fail"
    assert got["paper-ticks"] == "fail"
    assert tile.row == 0


def _scaled(ink: Any, factor: float) -> Any:
    if hasattr(ink, "vertices"):
        return replace(ink, vertices=tuple((x * factor, y * factor, b) for x, y, b in ink.vertices))
    return ink


def test_a_moved_tick_a_lost_one_and_a_lost_page_fail(tmp_path: Path) -> None:
    design, pages = pages_of(job_of(**turned()))
    ticks = design.paper.ticks
    (x0, y0), (x1, y1) = ticks[5]
    across = np.array([y0 - y1, x1 - x0]) / np.hypot(x1 - x0, y1 - y0)
    moved = ((x0 + 0.3 * across[0], y0 + 0.3 * across[1]), (x1 + 0.3 * across[0], y1 + 0.3 * across[1]))
    for k, changed in enumerate((moved, ((0.0, 0.0), (0.1, 0.0)))):
        other = replace(design, paper=replace(design.paper, ticks=(*ticks[:5], changed, *ticks[6:])))
        job = job_of(**turned())
        (tmp_path / str(k)).mkdir()
        write_pdf(gauge_pages(job, design_wheel(job), other), tmp_path / str(k) / "gauge-paper.pdf")
        got = verdicts(check_gauge_paper(tmp_path / str(k), design))
        assert got["paper-ticks"] == "fail"
        assert got["paper-bars"] == "pass"
    big, pages = pages_of(large())
    write_pdf(pages[:3], tmp_path / "gauge-paper.pdf")
    assert verdicts(check_gauge_paper(tmp_path, big))["paper-pages"] == "fail"


def test_a_file_that_is_no_pdf_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / "gauge-paper.pdf").write_bytes(b"nothing of the kind")
    with pytest.raises(ValueError, match="no good PDF"):
        check_gauge_paper(tmp_path, gauge_of(job_of(**turned())))


def test_the_same_job_gives_the_same_pages(tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        write_pdf(pages_of(job_of(**turned()))[1], tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_words_stay_on_the_page_and_off_each_other() -> None:
    """Every line of words lies inside the printable paper, and no two of them run into each other."""
    for job in (job_of(**turned()), large()):
        design, pages = pages_of(job)
        for page in pages:
            letters = [ink for group in page.groups for ink in group.ink if type(ink).__name__ == "Letters"]
            boxes = [ink.corners() for ink in letters]  # type: ignore[union-attr]
            for box in boxes:
                assert box.min() >= 5.0
                assert box[:, 0].max() <= page.paper.width - 5.0
                assert box[:, 1].max() <= page.paper.height - 5.0
            from shapely import Polygon

            shapes = [Polygon(box) for box in boxes]
            for i, a in enumerate(shapes):
                for b in shapes[i + 1 :]:
                    assert a.intersection(b).area < 0.01
        assert design.paper.paper == "A4"


def _alarms(seed: int, folder: Path) -> list[str]:
    """The failed findings of a random sound gauge's paper, none where the job cannot be."""
    try:
        job = random_gauge_job(seed)
        wheel = design_wheel(job)
        design = design_gauge(job, wheel)
    except JobError:
        return []
    if design is None:
        return []
    write_pdf(gauge_pages(job, wheel, design), folder / "gauge-paper.pdf")
    return [f"{seed}: {f.check} {f.measured}" for f in check_gauge_paper(folder, design) if f.verdict == "fail"]


@pytest.mark.parametrize("seed", [28, 32, 113, 5, 6])
def test_a_sound_gauge_raises_no_alarm(seed: int, tmp_path: Path) -> None:
    """28, 32 and 113: a pointer runs along an arm of a bolt's cross."""
    assert _alarms(seed, tmp_path) == []


@pytest.mark.slow
def test_two_hundred_sound_gauges_raise_no_alarm(tmp_path: Path) -> None:
    assert [alarm for seed in range(200) for alarm in _alarms(seed, tmp_path)] == []


@pytest.mark.parametrize(("off", "verdict"), [(0.1, "pass"), (0.2, "fail")])
def test_the_smallest_shift_of_a_bolt_that_is_caught(off: float, verdict: str, tmp_path: Path) -> None:
    """0.15 mm is the limit: a tenth more is seen, a third less is the printer's own."""
    design, pages = pages_of(job_of(**turned()))
    write_pdf(pages, tmp_path / "gauge-paper.pdf")
    plan = design.paper
    moved = replace(plan, bolts=tuple((x + off, y) for x, y in plan.bolts))
    got = verdicts(check_gauge_paper(tmp_path, replace(design, paper=moved)))
    assert got["paper-bolts"] == verdict
