"""`check` tells what the build found of a bracket's stiffness, about the file that is there; faults put in."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.parts.bracket_jobs import in_job
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
