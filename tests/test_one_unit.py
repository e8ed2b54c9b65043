"""One unit a document: what a build in inches leaves for a person holds no millimetres, and one in mm no inches."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import ROOT
from tests.unit_jobs import INCH_SIX, INCHES, METRIC, texts_of
from wheelcad import terminal
from wheelcad.build import build_job
from wheelcad.job.reader import load_job, parse_job
from wheelcad.parts.chart import chart_output
from wheelcad.parts.design import design_job
from wheelcad.parts.options.table import options_of
from wheelcad.parts.options.text import options_text
from wheelcad.words import Words, unwritten


def _built(path: Path, out: Path) -> list[tuple[str, str]]:
    result = build_job(path, out, fem=False)
    said = [("terminal", line) for line in terminal.summary(result, colour=False, width=110).split("\n")]
    said += [("chart", line) for line in chart_output(path).split("\n")]
    said += [("options", line) for line in options_text(options_of(load_job(path))).split("\n")]
    said += [("report", finding.why) for finding in result.findings if False]
    return [*texts_of(result.folder), *said]


def _offending(said: list[tuple[str, str]], pattern: object) -> list[str]:
    return sorted({f"{name}: {text}" for name, text in said if pattern.search(text)})  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", ["moss-six", "fell-twin"])
def test_an_inch_job_holds_no_millimetres(name: str, tmp_path: Path) -> None:
    path = tmp_path / f"{name}.yaml"
    path.write_text(INCH_SIX if name == "moss-six" else (ROOT / "configs" / f"{name}.yaml").read_text("utf-8"), "utf-8")
    said = _built(path, tmp_path)
    assert len(said) > 500
    assert not [f"{name}: {text}" for name, text in said if unwritten(text)]
    assert _offending(said, METRIC) == []


def test_a_metric_job_holds_no_inches(tmp_path: Path) -> None:
    said = _built(ROOT / "configs" / "beck-four.yaml", tmp_path)
    assert len(said) > 500
    assert not [f"{name}: {text}" for name, text in said if unwritten(text)]
    assert _offending(said, INCHES) == []


def test_the_findings_of_an_inch_job_are_told_in_inches() -> None:
    words = Words("in")
    for text in (INCH_SIX, (ROOT / "configs" / "fell-twin.yaml").read_text("utf-8")):
        for finding in design_job(parse_job(text)).findings:
            told = f"{finding.measured_in(words)} {finding.limit_in(words)} {words.text(finding.why)}"
            assert not METRIC.search(told), told
