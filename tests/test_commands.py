"""The commands as a user types them: names, help, version, quiet, JSON, several jobs at once."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import ROOT
from wheelcad.errors import JobFileError
from wheelcad.job.found import find_job

SMALL = (
    "job: {name}\nengine: {{turns: clockwise, max_speed: 3000}}\n"
    "wheel: {{teeth: 12, missing: 1, outside_diameter: 80, thickness: 4, bore: 20, slot: {{width: 8, depth: 6}}}}\n"
)
FAILS = (  # a sensor that cannot follow its teeth
    "sensor: {kind: hall, at: 300, air_gap: 0.8, max_tooth_rate: 200 Hz}\n"
)


def wheelcad(*arguments: str, cwd: Path) -> subprocess.CompletedProcess[str]:
    """Run `python -m wheelcad` in a folder."""
    env = {**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "80"}
    command = [sys.executable, "-m", "wheelcad", *arguments]
    return subprocess.run(command, cwd=cwd, env=env, capture_output=True, text=True, encoding="utf-8", check=False)


def test_a_job_is_found_by_its_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("configs").mkdir()
    Path("configs/beech.yaml").touch()
    Path("ash.yml").touch()
    assert find_job("ash") == Path("ash.yml")
    assert find_job("beech") == Path("configs/beech.yaml")
    Path("beech.yaml").touch()
    assert find_job("beech") == Path("beech.yaml")
    assert find_job("none.yaml") == Path("none.yaml"), "its reader says that it is not there"
    with pytest.raises(JobFileError) as caught:
        find_job("beach")
    said = str(caught.value)
    for word in ("beach.yaml", "configs/beach.yaml", "did you mean beech?"):
        assert word in said


def test_help_version_and_completion(tmp_path: Path) -> None:
    short, long = wheelcad("-h", cwd=tmp_path), wheelcad("--help", cwd=tmp_path)
    assert short.returncode == 0
    assert short.stdout == long.stdout
    assert "--install-completion" in short.stdout
    assert "YAML job file" in short.stdout
    assert wheelcad("build", "-h", cwd=tmp_path).stdout.count("--replace") == 1
    version = wheelcad("--version", cwd=tmp_path)
    assert version.returncode == 0
    assert version.stdout.split()[0] == "wheelcad"
    assert version.stdout.split()[1][0].isdigit()


def test_check_before_a_build_looks_the_job_through(tmp_path: Path) -> None:
    (tmp_path / "small.yaml").write_text(SMALL.format(name="small"))
    done = wheelcad("check", "small", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "build it first with: wheelcad build small.yaml" in done.stdout
    assert "11 teeth" in done.stdout
    assert {path.name for path in tmp_path.iterdir()} == {"small.yaml"}
    (tmp_path / "small.yaml").write_text(SMALL.format(name="small") + FAILS)
    assert wheelcad("check", "small", "--quiet", cwd=tmp_path).returncode == 1
    (tmp_path / "small.yaml").write_text(SMALL.format(name="small").replace("teeth: 12", "teeth: 2"))
    wrong = wheelcad("check", "small", cwd=tmp_path)
    assert wrong.returncode == 2
    assert "wheel.teeth" in wrong.stderr


def test_several_jobs_each_have_their_say(tmp_path: Path) -> None:
    """One that is wrong takes nothing from the others, nor its word from them."""
    for name in ("good", "bad", "fails"):
        (tmp_path / f"{name}.yaml").write_text(SMALL.format(name=name) + (FAILS if name == "fails" else ""))
    (tmp_path / "bad.yaml").write_text(SMALL.format(name="bad").replace("teeth: 12", "teeth: 2"))
    done = wheelcad("build", "good", "bad", "fails", "--no-packet", "--no-fem", cwd=tmp_path)
    assert done.returncode == 2
    assert "bad.yaml:3:" in done.stderr
    assert "nothing was written" not in done.stdout + done.stderr
    for name in ("good", "fails"):
        assert f"written to outputs/{name}" in done.stdout
        assert f"next: open outputs/{name}/start.html" in done.stdout
    assert {path.name for path in (tmp_path / "outputs").iterdir()} == {"good", "fails"}
    quiet = wheelcad("check", "outputs/fails", "--quiet", cwd=tmp_path)
    assert (quiet.returncode, quiet.stdout) == (1, "")
    assert quiet.stderr.startswith("fails: fail: sensor, tooth-rate:")
    stranger = tmp_path / "outputs" / "good" / "mine.txt"
    stranger.write_text("mine")
    files = json.loads((tmp_path / "outputs" / "good" / "manifest.json").read_text(encoding="utf-8"))["files"]
    checked = wheelcad("check", "outputs/good", cwd=tmp_path)
    assert f"{len(files) + 1} files measured again" in checked.stdout, "a stranger's file is not counted"
    asked = wheelcad("build", "good", "bad", "--json", "--no-packet", "--no-fem", cwd=tmp_path)
    assert asked.returncode == 2
    good, bad = json.loads(asked.stdout)
    assert good["job"]["name"] == "good"
    assert bad["faults"][0]["key"] == "wheel.teeth"


def test_a_full_disk_under_the_answer_is_told(tmp_path: Path) -> None:
    (tmp_path / "small.yaml").write_text(SMALL.format(name="small"))
    with open("/dev/full", "w", encoding="utf-8") as full:
        command = [sys.executable, "-m", "wheelcad", "check", "small"]
        env = {**os.environ, "PYTHONPATH": str(ROOT)}
        done = subprocess.run(
            command, cwd=tmp_path, env=env, stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 2
    assert "cannot be printed: No space left" in done.stderr
    assert "Traceback" not in done.stderr
    assert "mistake" not in done.stderr
