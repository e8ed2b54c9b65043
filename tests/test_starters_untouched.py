"""Starters as `new` writes them draw no warning, whatever was answered; built whole for six of them."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

import wheelcad
from wheelcad.build import build_job
from wheelcad.job.answers import hard_to_tell
from wheelcad.job.invented import invented_keys
from wheelcad.job.reader import parse_job
from wheelcad.job.starter import starter_text
from wheelcad.job.starter_text import PASSES
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.signal.advice import signal_findings
from wheelcad.signal.report import signal_of

ALL = list(
    itertools.product(
        (1, 2, 3, 4, 6, 8, 12), ("mm", "in"), ("turned-down", "plate"), ("cw", "acw"), ("hall", "reluctance")
    )
)
SIX = [
    (4, "mm", "turned-down", "cw", "hall"),
    (6, "mm", "plate", "acw", "reluctance"),
    (8, "in", "turned-down", "cw", "hall"),
    (2, "in", "plate", "cw", "hall"),
    (1, "mm", "plate", "cw", "hall"),
    (3, "in", "turned-down", "acw", "reluctance"),
]
Answers = tuple[int, str, str, str, str]


def text_of(answers: Answers) -> str:
    cylinders, units, form, direction, sensor = answers
    return starter_text(cylinders, units=units, form=form, direction=direction, sensor=sensor)


def warned(findings: object) -> list[str]:
    return [f"{f.subject} {f.check}: {f.why}" for f in findings if f.verdict in ("warn", "fail")]  # type: ignore[attr-defined]


@pytest.mark.parametrize("answers", ALL[::8])
def test_no_starter_draws_a_warning_before_it_is_built(answers: Answers) -> None:
    job = parse_job(text_of(answers), "starter.yaml")
    assert warned(wheelcad.design_job(job).findings) == []
    assert len(invented_keys(job.source)) > 30


@pytest.mark.slow
@pytest.mark.parametrize("answers", ALL)
def test_no_starter_at_all_draws_a_warning(answers: Answers) -> None:
    assert warned(wheelcad.design_job(parse_job(text_of(answers), "starter.yaml")).findings) == []


@pytest.mark.slow
@pytest.mark.parametrize("answers", SIX)
def test_six_starters_build_without_a_warning(answers: Answers, tmp_path: Path) -> None:
    _builds(answers, tmp_path)


def test_the_usual_starter_builds_without_a_warning(tmp_path: Path) -> None:
    _builds(SIX[0], tmp_path, whole=False)


def _builds(answers: Answers, folder: Path, whole: bool = True) -> None:
    path = folder / "starter.yaml"
    path.write_text(text_of(answers), encoding="utf-8")
    result = build_job(path, folder / "outputs", packet=whole, fem=whole)
    assert warned(result.findings) == []
    assert result.verdict in ("pass", "note")


@pytest.mark.parametrize("cylinders", sorted(PASSES))
@pytest.mark.parametrize("sensor", ["hall", "reluctance"])
def test_the_gap_passes_where_no_other_place_is_much_better(cylinders: int, sensor: str) -> None:
    design = wheelcad.design_job(parse_job(starter_text(cylinders, sensor=sensor), "starter.yaml"))
    assert design.job.sensor is not None
    report = signal_of(design.job, designed_edges(design.wheel, design.job.sensor), field=False).report()
    clear = [row for row in report["gap_map"] if row["clear_deg"] >= 0] or report["gap_map"]
    best = max(row["margin"] for row in clear)
    assert report["sync"]["margin"] >= min(1.2, best - 0.025)
    assert report["sync"]["margin"] > 1.05, "a starter starts"


@pytest.mark.parametrize("cylinders", [2, 4, 6, 8, 10, 12])
def test_a_gap_of_one_tooth_is_called_hard_to_tell_where_the_map_says_so(cylinders: int) -> None:
    design = wheelcad.design_job(parse_job(starter_text(cylinders, "36-1"), "starter.yaml"))
    assert design.job.sensor is not None
    report = signal_of(design.job, designed_edges(design.wheel, design.job.sensor), field=False).report()
    best = max(row["margin"] for row in report["gap_map"])
    assert (hard_to_tell(1, cylinders) != "") == (best < 1.1)
    assert hard_to_tell(2, cylinders) == ""
    if best < 1:  # and the finding names a pattern that is found
        assert report["instead"]["margin"] > 1.2
        (told,) = [f for f in signal_findings(report) if f.check == "sync-margin"]
        assert f"a {report['instead']['pattern']} wheel is found" in told.why
    else:
        assert report["instead"] is None
