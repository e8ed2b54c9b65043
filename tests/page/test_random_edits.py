"""Edits at random, each held against what the command line says of the very text that then stands there."""

from __future__ import annotations

import json
import random
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from wheelcad.errors import JobError
from wheelcad.job.reader import load_job
from wheelcad.page.figures import design_figures
from wheelcad.page.form import rows_of, section_names
from wheelcad.page.session import Session, State
from wheelcad.parts.design import design_job

ROOT = Path(__file__).parents[2]
JUNK = (
    "",
    "x",
    "-1",
    "0",
    "1e9",
    "3/16 in",
    "12 deg",
    "[1, 2]",
    "{a: 1}",
    "yes",
    "clockwise",
    '"',
    "# no",
    "a: b",
    "½ in",
)


def random_edit(state: State, dice: random.Random) -> tuple[tuple[str | int, ...], str]:
    rows = [row for name in section_names() for row in rows_of(name, state) if row.kind == "value"]
    row = dice.choice(rows)
    if dice.random() < 0.25:
        return row.key, dice.choice(JUNK)
    if row.words:
        return row.key, dice.choice(row.words)
    number, _, unit = (row.text or "10").partition(" ")
    try:
        return row.key, f"{float(number) * dice.choice((0.9, 0.98, 1.02, 1.1, 1.5)):.4g} {unit}".strip()
    except ValueError:
        return row.key, row.text or "1"


def said_of(path: Path) -> tuple[list[str], list[str], list[tuple[str, str]]]:
    """Faults, findings and numbers of a file, from nothing but its text."""
    try:
        design = design_job(load_job(path))
    except JobError as error:
        return [str(fault) for fault in error.faults], [], []
    return [], [repr(f) for f in design.findings], [(f.name, f.text) for f in design_figures(design)]


def run(job_file: Path, edits: int, seed: int, commands: int) -> None:
    dice = random.Random(seed)
    session = Session(job_file)
    apart = job_file.parent / "apart"
    apart.mkdir()
    beside = apart / job_file.name
    for number in range(edits):
        key, value = random_edit(session.state, dice)
        if dice.random() < 0.3 and session.state.faults:
            state = session.undo().result()
        else:
            state = session.set(key, value).result()
        beside.write_text(state.text)
        faults, findings, figures = said_of(beside)
        here = [str(fault).replace(str(job_file), str(beside)) for fault in state.faults]
        assert here == faults, (number, key, value)
        if not faults:
            assert [repr(f) for f in state.findings] == findings, (number, key, value)
            assert [(f.name, f.text) for f in state.figures if f.name in dict(figures)] == figures
        if state.job is not None:
            assert job_file.read_text() == state.text
        if number < commands:
            _as_the_command_says(beside, state)
    session.close()


def _as_the_command_says(path: Path, state: State) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "wheelcad", "check", str(path), "--json"],
        cwd=path.parent, env={"PYTHONPATH": str(ROOT), "PATH": ""}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    told = json.loads(done.stdout)
    if state.faults:
        assert len(told["faults"]) == len(state.faults)
        assert [one["key"] for one in told["faults"]] == [fault.dotted for fault in state.faults]
    else:
        assert [one["check"] for one in told["findings"]] == [str(f.check) for f in state.findings]


def test_a_few_random_edits_equal_the_command_line(tmp_path: Path) -> None:
    run(Path(shutil.copy(ROOT / "configs" / "tarn-six.yaml", tmp_path)), edits=3, seed=3, commands=1)


@pytest.mark.slow
@pytest.mark.parametrize(("name", "edits"), [("tarn-six", 80), ("fell-twin", 60), ("beck-four", 60)])
def test_two_hundred_random_edits_equal_the_command_line(tmp_path: Path, name: str, edits: int) -> None:
    run(Path(shutil.copy(ROOT / "configs" / f"{name}.yaml", tmp_path)), edits, seed=len(name), commands=5)
