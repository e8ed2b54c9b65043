"""Five brackets on paper: every line of their pages measured back, by two renderers, and with faults put in."""

from __future__ import annotations

import itertools
import math
import subprocess
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import shapely

from tests.parts.bracket_jobs import along_job, flat_job, in_job, made
from tests.unit_jobs import INCH_SIX
from wheelcad.checks.bracket_paper import _no_cross, _places, check_bracket_paper
from wheelcad.checks.paper import DPI, Dots
from wheelcad.drawing.layout import Page
from wheelcad.drawing.pdf import write_pdf
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.paper import PAPER_FILE, card_off, plan_paper
from wheelcad.parts.bracket.paper_sheet import bracket_pages
from wheelcad.parts.common.paper import CROSS

FIVE: dict[str, Job] = {
    "L, bent by hand, with gussets": in_job(bracket={"bends": "hand", "gusset": True, "width": 50}),
    "L, pressed, anticlockwise, in inches": in_job(
        engine={"turns": "anticlockwise"},
        bracket={"mounts": [{"x": -150, "y": 60, "hole": 9}, {"x": -150, "y": 110, "hole": 9}]},
    ).model_copy(update={"units": "in"}),
    "Z": along_job(),
    "flat": flat_job(),
    "long, over several pages": in_job(
        bracket={"mounts": [{"x": 320, "y": 60, "hole": 9}, {"x": 320, "y": 140, "hole": 11}]}
    ),
}


def written(job: Job, folder: Path) -> BracketDesign:
    design = made(job)
    write_pdf(bracket_pages(design, job), folder / PAPER_FILE)
    return design


def of(findings: list[Finding], check: str) -> list[Finding]:
    return [finding for finding in findings if finding.check == check]


@pytest.mark.parametrize("name", FIVE)
def test_every_line_is_where_it_should_be_within_a_tenth(name: str, tmp_path: Path) -> None:
    design = written(FIVE[name], tmp_path)
    findings = check_bracket_paper(tmp_path, design)
    assert {finding.verdict for finding in findings} == {"pass"}
    lines = of(findings, "bracket-paper-lines")
    assert len(lines) == 2
    for finding in lines:
        assert isinstance(finding.measured, float)
        assert finding.measured <= finding.limit == 0.1
    several = max(len(part.tiling.tiles) for part in plan_paper(design)) > 1
    assert bool(of(findings, "bracket-paper-joins")) == several
    for part in plan_paper(design):  # nothing is judged by a handful of places
        shapes = [line.shape for line in part.lines]
        drawn = shapely.STRtree([*shapes, *(shapely.Polygon(label.corners()) for label in part.labels)])
        for number, line in enumerate(part.lines):
            assert len(_places(shapes, number, drawn)[0]) or line.shape.length < 4.0


def test_the_flat_on_paper_is_the_flat_that_is_cut(tmp_path: Path) -> None:
    """Read with another renderer (pdftoppm): the outline's own corners, from the design's numbers."""
    design = written(FIVE["flat"], tmp_path)
    flat = plan_paper(design)[0]
    command = ["pdftoppm", "-r", str(DPI), "-gray", str(tmp_path / PAPER_FILE), str(tmp_path / "page")]
    subprocess.run(command, check=True)
    pages = [_dots(path) for path in sorted(tmp_path.glob("page*.pgm"))]
    tile = flat.tiling.tiles[0]
    dx, dy = flat.tiling.shift(tile)
    body = design.hole("body")
    offs = []
    for k in range(24):  # across the body's hole, all round
        a = math.radians(15 * k + 7)
        at = body.x0 + body.diameter / 2 * math.cos(a) + dx, body.y0 + body.diameter / 2 * math.sin(a) + dy
        offs += pages[0].nearest_lines(np.array([at]), np.array([math.cos(a), math.sin(a)])).tolist()
    assert np.abs(offs).max() < 0.1


def _dots(path: Path) -> Dots:
    head, rest = path.read_bytes().split(b"\n255\n", 1)
    width, height = (int(v) for v in head.split(b"\n")[-1].split())
    return Dots(np.frombuffer(rest, dtype=np.uint8).reshape(height, width))


def _changed(pages: tuple[Page, ...], change: Any) -> tuple[Page, ...]:
    return tuple(
        replace(page, groups=tuple(replace(g, ink=tuple(change(ink) for ink in g.ink)) for g in page.groups))
        for page in pages
    )


def _scaled(ink: Any) -> Any:
    if hasattr(ink, "vertices"):
        return replace(ink, vertices=tuple((x * 0.99, y * 0.99, b) for x, y, b in ink.vertices))
    return ink


def test_a_page_fitted_to_the_paper_fails(tmp_path: Path) -> None:
    design = made(FIVE["Z"])
    write_pdf(_changed(bracket_pages(design, FIVE["Z"]), _scaled), tmp_path / PAPER_FILE)
    findings = check_bracket_paper(tmp_path, design)
    assert of(findings, "bracket-paper-bars")[0].verdict == "fail"
    assert {f.verdict for f in of(findings, "bracket-paper-lines")} == {"fail"}


@pytest.mark.parametrize("what", ["hole", "fold", "mount", "outline"])
def test_what_lies_a_fifth_of_a_millimetre_off_fails(what: str, tmp_path: Path) -> None:
    """The pages of a bracket whose one line lies elsewhere, held against the true one."""
    job = FIVE["Z"]
    design = made(job)
    other = design
    if what == "hole":
        holes = [replace(h, x0=h.x0 + 0.2, x1=h.x1 + 0.2) if h.use == "body" else h for h in design.holes]
        other = replace(design, holes=tuple(holes))
    elif what == "fold":
        first = design.bends[0]
        other = replace(design, bends=(replace(first, x_arm=first.x_arm + 0.4), *design.bends[1:]))
    elif what == "mount":
        (x, y), *rest = design.mount_points
        other = replace(design, mount_points=((x, y + 0.2), *rest))
    else:
        other = replace(design, outline=design.outline.moved(0.0, 0.2))
    write_pdf(bracket_pages(other, job), tmp_path / PAPER_FILE)
    failed = [f.verdict for f in of(check_bracket_paper(tmp_path, design), "bracket-paper-lines")]
    assert "fail" in failed
    assert failed.count("fail") == 1  # and the other drawing is left in peace


def test_a_lost_line_and_a_lost_page_fail(tmp_path: Path) -> None:
    job = FIVE["L, bent by hand, with gussets"]
    design = made(job)
    without = tuple(hole for hole in design.holes if hole.use != "bolt")
    write_pdf(bracket_pages(replace(design, holes=without), job), tmp_path / PAPER_FILE)
    [flat, pattern] = of(check_bracket_paper(tmp_path, design), "bracket-paper-lines")
    assert flat.verdict == "fail"
    assert "bolt" in flat.why
    assert pattern.verdict == "pass"
    pages = bracket_pages(design, job)
    write_pdf(pages[:-1], tmp_path / PAPER_FILE)
    [finding] = check_bracket_paper(tmp_path, design)
    assert (finding.check, finding.verdict) == ("bracket-paper-pages", "fail")


def test_how_far_card_is_from_plate() -> None:
    """Folded sharp on the line: the card's leg to the seat is allowance / 2, the plate's r + t; and r the other way."""
    design = made(in_job())
    bend, t = design.bends[0], design.thickness
    along, out = card_off(design)
    assert along == pytest.approx(bend.inside_radius + t - bend.allowance / 2, abs=1e-6)
    assert out == pytest.approx(-(bend.inside_radius - bend.allowance / 2), abs=1e-6)
    assert card_off(made(flat_job())) == pytest.approx((t, 0.0), abs=1e-6)


def test_a_file_that_is_no_pdf_is_refused_in_words(tmp_path: Path) -> None:
    (tmp_path / PAPER_FILE).write_bytes(b"nothing of the kind")
    with pytest.raises(ValueError, match="no good PDF"):
        check_bracket_paper(tmp_path, made(FIVE["flat"]))


def test_the_same_job_gives_the_same_pages(tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        write_pdf(bracket_pages(made(FIVE["Z"]), FIVE["Z"]), tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_crosses_where_rows_and_columns_meet_do_not_run_into_each_other(tmp_path: Path) -> None:
    """Six Letter pages: two crosses 0.7 mm apart once could not be told from one, and a sound job failed."""
    design = written(parse_job(INCH_SIX), tmp_path)
    for part in plan_paper(design):
        crosses = part.tiling.crosses
        assert all(math.dist(a, b) > 2 * CROSS for a, b in itertools.combinations(crosses, 2))
    assert [f.check for f in check_bracket_paper(tmp_path, design) if f.verdict == "fail"] == []


@pytest.mark.parametrize(("away", "good"), [(7.35, False), (7.45, True), (8.0, True)])
def test_lines_are_measured_clear_of_joining_crosses(away: float, good: bool) -> None:
    """A cross reaches 4 mm: once and a half that, and the 1.4 mm in which a line is looked for."""
    part = cast(Any, SimpleNamespace(tiling=SimpleNamespace(crosses=[(200.0, 5.0), (10.0, 20.0)])))
    assert _no_cross(part, (10.0 + 0.6 * away, 20.0 - 0.8 * away)) == good


@pytest.mark.parametrize(("away", "alone"), [(0.5, False), (1.28, False), (1.32, True), (3.0, True)])
def test_a_line_is_measured_where_it_stands_alone(away: float, alone: bool) -> None:
    """Nothing else 0.9 mm to each side, nor within 0.4 mm of that."""
    lines = [shapely.LineString([(0.0, y), (20.0, y)]) for y in (0.0, away)]
    assert (len(_places(lines, 0, shapely.STRtree(lines))[0]) > 3) == alone
