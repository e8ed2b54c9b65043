"""The usual run tries a few faults, others each week; the slow run tries every one that was ever noticed."""

from __future__ import annotations

import datetime
import json
import os
import subprocess
import sys

import pytest

from tests.mutate.faults import faults_of, modules
from tests.mutate.kept import HERE, MOST_SLIP, ROOT, equal
from tests.mutate.known import known

SAMPLE = 12
LEAST_TRIED = 1500  # of the formulas' faults; parts and checks are sampled
GATED = ("wheelcad/trade", "wheelcad/parts", "wheelcad/checks")


def _run(*given: str) -> str:
    command = [sys.executable, "-m", "tests.mutate", *given]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        command, cwd=ROOT, env=environment, capture_output=True, text=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, f"{done.stdout[-3000:]}{done.stderr[-2000:]}"
    return done.stdout


def test_this_weeks_faults_are_noticed() -> None:
    year, week, _ = datetime.date.today().isocalendar()
    said = _run("run", *GATED, "--known", "--sample", str(SAMPLE), "--seed", str(100 * year + week))
    assert "faults noticed" in said


def test_the_kept_score_is_as_high_as_asked_and_its_survivors_are_listed() -> None:
    kept = json.loads((HERE / "result.json").read_text(encoding="utf-8"))
    for folder, row in kept["folders"].items():
        left = [one for one in kept["survivors"] if one["file"].startswith(f"{folder}/")]
        assert len(left) == row["tried"] - row["noticed"], folder
        assert row["tried"] <= row["faults"] - row["equal"], folder
    trade = kept["folders"]["wheelcad/trade"]
    assert trade["noticed"] >= (1 - MOST_SLIP) * trade["tried"]
    assert trade["tried"] >= LEAST_TRIED


def test_each_fault_that_changes_nothing_says_why() -> None:
    reasons = equal()
    assert len(reasons) >= 40
    assert all(len(why.split()) > 3 for why in reasons.values())
    there = {fault.key for path in modules(ROOT) for fault in faults_of(path, ROOT)}
    assert len([key for key in reasons if key in there]) > len(reasons) / 2  # a list that follows the code


def test_every_known_fault_is_one_that_can_be_put_in() -> None:
    rows = known()
    assert len(rows) >= 17
    for row in rows:
        text = (ROOT / row.fault.file).read_text(encoding="utf-8")
        compile(row.fault.applied(text), row.fault.file, "exec")


@pytest.mark.slow
def test_what_was_once_let_pass_is_noticed() -> None:
    assert "SURVIVED" not in _run("known")


@pytest.mark.slow
@pytest.mark.parametrize("folder", GATED)
def test_every_fault_that_was_noticed_still_is(folder: str) -> None:
    _run("run", folder, "--known")
