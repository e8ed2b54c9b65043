"""A real wheel's own errors in the timing budget, in place of those that were assumed."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from tests.conftest import ROOT
from tests.measure.wheels import nominal_slots
from wheelcad.cli import app
from wheelcad.measure.command import MeasureAsked, Measured, measure

SIX = ROOT / "configs" / "tarn-six.yaml"


def measured(path: Path, slots: np.ndarray, job: Path | None = SIX) -> Measured:
    path.write_text("slot_deg\n" + "\n".join(f"{slot:.4f}" for slot in slots) + "\n")
    return measure(MeasureAsked((path,), job, None if job else "36-1"))


def test_a_wheel_without_errors_leaves_marks_and_light_alone(tmp_path: Path) -> None:
    found = measured(tmp_path / "a.csv", nominal_slots(36, 1)).budget
    assert found is not None
    left = {row["source"] for row in found["shares"] if row["share_after"] > 1e-6}
    assert "dial of the rotary table" not in left
    assert "centring on the table" not in left
    assert "reading the timing light" in left


def test_a_slip_is_in_the_figure_of_the_cylinders_it_times(tmp_path: Path) -> None:
    """From cut 19 on everything 2 degrees ahead: half the teeth, and so the cylinders that fire past them, come 2
    degrees early or late against cylinder 1, whatever the light says; by hand, the figure of a cylinder on the other
    half is that of the sound wheel with 2 degrees more of what is known."""
    sound = measured(tmp_path / "a.csv", nominal_slots(36, 1)).budget
    slots = nominal_slots(36, 1)
    slots[18:] += 2.0
    slipped = measured(tmp_path / "b.csv", slots).budget
    assert sound is not None
    assert slipped is not None
    before = {row["cylinder"]: row["after_95_deg"] for row in sound["per_cylinder"]}
    after = {row["cylinder"]: row["after_95_deg"] for row in slipped["per_cylinder"]}
    changed = [c for c in before if abs(after[c] - before[c]) > 0.5]
    assert 2 <= len(changed) < 6
    assert 1 not in changed
    assert max(after.values()) > max(before.values()) + 1.0
    assert slipped["after_trim_95_deg"] == pytest.approx(max(after.values()))


def test_the_command_says_it_and_gives_it(tmp_path: Path) -> None:
    found = measured(tmp_path / "a.csv", nominal_slots(36, 1))
    assert any("own errors a spark is within ±" in line for line in found.lines())
    ran = CliRunner().invoke(app, ["measure", str(tmp_path / "a.csv"), "--job", str(SIX), "--json"])
    assert ran.exit_code == 0, ran.output
    assert json.loads(ran.stdout)["budget"]["after_trim_95_deg"] > 0


def test_without_a_job_there_is_none(tmp_path: Path) -> None:
    found = measured(tmp_path / "a.csv", nominal_slots(36, 1), None)
    assert found.budget is None
    assert not any("own errors" in line for line in found.lines())
