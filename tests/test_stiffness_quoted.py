"""`check` tells what the build found of a bracket's stiffness, about the file that is there; faults put in."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import ROOT
from tests.parts.bracket_jobs import in_job
from wheelcad.build import build_job, check_folder
from wheelcad.files.folder import digest
from wheelcad.parts.design import Design, design_job
from wheelcad.stiffness import BRACKET, quoted

TOLD = {
    "check": "first-frequency",
    "subject": BRACKET,
    "measured": 430.7,
    "unit": "Hz",
    "limit": "inf",
    "verdict": "warn",
    "why": "as told",
    "source": "finite elements",
}


@pytest.fixture(scope="module")
def design() -> Design:
    return design_job(in_job())


def built(folder: Path, **stiffness: Any) -> dict[str, Any]:
    """A folder as a build leaves it, as far as this is about it."""
    (folder / BRACKET).write_text("a solid")
    told = {"checks": ["first-frequency"], "of_file": digest(folder / BRACKET), "frequencies_hz": [465.0]} | stiffness
    other = TOLD | {"subject": "bracket design"}
    report = {"bracket": {"stiffness": told}, "findings": [TOLD, other, TOLD | {"check": "gap-lost"}]}
    (folder / "report.json").write_text(json.dumps(report))
    return told


def test_the_build_is_quoted_with_the_hash_of_its_file(tmp_path: Path, design: Design) -> None:
    told = built(tmp_path)
    found = quoted(design, tmp_path)
    (finding,) = found.findings
    assert (finding.check, finding.measured, finding.verdict) == ("first-frequency", 430.7, "warn")
    assert str(told["of_file"]["sha256"])[:12] in finding.source
    assert found.report == told


def test_another_file_is_not_quoted_about(tmp_path: Path, design: Design) -> None:
    built(tmp_path)
    (tmp_path / BRACKET).write_text("another solid")
    found = quoted(design, tmp_path)
    assert found.report is None
    assert [(f.check, f.verdict) for f in found.findings] == [("stiffness", "warn")]
    assert "--fem" in found.findings[0].why


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"bracket": {"stiffness": 3}}', '{"bracket": {"stiffness": {}}}'])
def test_a_report_that_says_nothing_sound_is_a_warning(tmp_path: Path, design: Design, text: str) -> None:
    built(tmp_path)
    (tmp_path / "report.json").write_text(text)
    assert [(f.check, f.verdict) for f in quoted(design, tmp_path).findings] == [("stiffness", "warn")]


def test_a_build_without_finite_elements_has_nothing_to_quote(tmp_path: Path, design: Design) -> None:
    (tmp_path / BRACKET).write_text("a solid")
    (tmp_path / "report.json").write_text('{"bracket": {}, "findings": []}')
    assert quoted(design, tmp_path).findings == ()


@pytest.mark.slow
def test_a_whole_build_and_both_kinds_of_check_tell_the_same(tmp_path: Path) -> None:
    """Quoted from the build, solved again from the file that is there, and a figure altered in the report."""
    made = build_job(ROOT / "configs" / "tarn-six.yaml", tmp_path, packet=False)
    folder = tmp_path / "tarn-six"
    told = made.report["bracket"]["stiffness"]
    for fem in (False, True):
        found = check_folder(folder, fem=fem)
        assert [f for f in found.findings if f.verdict == "fail"] == []
        again = found.report["bracket"]["stiffness"]
        assert again["frequencies_hz"] == told["frequencies_hz"]
        assert again["first_frequency_range_hz"] == pytest.approx(told["first_frequency_range_hz"], rel=1e-6)
    report = json.loads((folder / "report.json").read_text())
    report["bracket"]["stiffness"]["frequencies_hz"][0] += 50.0
    (folder / "report.json").write_text(json.dumps(report))
    assert "report.json" in {f.subject for f in check_folder(folder).findings if f.verdict == "fail"}
