"""One unit a document: what a build in inches leaves for a person holds no millimetres, and one in mm no inches."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import ROOT, edited
from tests.unit_jobs import INCH_SIX, INCHES, METRIC, texts_of
from wheelcad import terminal
from wheelcad.build import BuildResult, build_job
from wheelcad.job.reader import load_job, parse_job
from wheelcad.packet.hand_work import hand
from wheelcad.parts.chart import chart_output
from wheelcad.parts.design import design_job
from wheelcad.parts.options.table import options_of
from wheelcad.parts.options.text import options_text
from wheelcad.words import Words, unwritten


def _said(result: BuildResult, path: Path) -> list[tuple[str, str]]:
    said = [("terminal", line) for line in terminal.summary(result, colour=False, width=110).split("\n")]
    said += [("chart", line) for line in chart_output(path).split("\n")]
    said += [("options", line) for line in options_text(options_of(load_job(path))).split("\n")]
    return [*texts_of(result.folder), *said]


def _offending(said: list[tuple[str, str]], pattern: object) -> list[str]:
    return sorted({f"{name}: {text}" for name, text in said if pattern.search(text)})  # type: ignore[attr-defined]


def _holds_none_of(pattern: object, said: list[tuple[str, str]]) -> None:
    assert len(said) > 500
    assert not [f"{name}: {text}" for name, text in said if unwritten(text)]
    assert _offending(said, pattern) == []


def test_an_inch_job_holds_no_millimetres(tmp_path: Path) -> None:
    path = tmp_path / "moss-six.yaml"
    path.write_text(INCH_SIX, "utf-8")
    _holds_none_of(METRIC, _said(build_job(path, tmp_path, fem=False), path))


@pytest.mark.parametrize(("name", "pattern"), [("fell-twin", METRIC), ("beck-four", INCHES)])
def test_a_demo_speaks_its_own_unit(name: str, pattern: object, built_demo: Callable[[str], BuildResult]) -> None:
    _holds_none_of(pattern, _said(built_demo(name), ROOT / "configs" / f"{name}.yaml"))


def test_the_findings_of_an_inch_job_are_told_in_inches() -> None:
    words = Words("in")
    for text in (INCH_SIX, (ROOT / "configs" / "fell-twin.yaml").read_text("utf-8")):
        for finding in design_job(parse_job(text)).findings:
            told = f"{finding.measured_in(words)} {finding.limit_in(words)} {words.text(finding.why)}"
            assert not METRIC.search(told), told


def test_the_sheet_of_hand_work_speaks_inches_alone() -> None:
    table = INCH_SIX[INCH_SIX.index("  rotary_table:") : INCH_SIX.index("  printer:")]
    by_hand = edited(INCH_SIX, (table, "  slots_by: hand\n"), ("  readout: yes\n", ""))
    pages = list(hand(design_job(parse_job(by_hand))))
    assert len(pages) >= 2
    said = Words("in").text(json.dumps([page.blocks for page in pages], ensure_ascii=False))
    assert "more than 0.0079 in is filed" in said
    assert not METRIC.search(said), METRIC.search(said)
