"""Outputs are whole whatever happens to a build: killed, out of room, two at once."""

from __future__ import annotations

import hashlib
import json
import os
import random
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.conftest import ROOT

JOB = (
    "job: small\nengine: {{turns: clockwise, max_speed: {speed}}}\n"
    "wheel: {{teeth: 12, missing: 1, outside_diameter: 80, thickness: 4, bore: 20, slot: {{width: 8, depth: 6}}}}\n"
)
COMMAND = [sys.executable, "-m", "wheelcad.cli", "build", "small.yaml", "--quiet", "--no-packet"]
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT)}


def build(folder: Path, speed: int) -> subprocess.CompletedProcess[str]:
    """Build the small job, whose bytes change with the speed."""
    (folder / "small.yaml").write_text(JOB.format(speed=speed))
    return subprocess.run(COMMAND, cwd=folder, env=ENVIRONMENT, capture_output=True, encoding="utf-8", check=False)


def speed_of_whole(folder: Path) -> int:
    """Hold every file against the manifest; the speed of the job that the outputs belong to."""
    outputs = folder / "outputs" / "small"
    manifest = json.loads((outputs / "manifest.json").read_text(encoding="utf-8"))
    names = {path.name for path in outputs.iterdir()} - {"manifest.json", "mine.txt"}
    assert names == {entry["name"] for entry in manifest["files"]}
    for entry in manifest["files"]:
        assert hashlib.sha256((outputs / entry["name"]).read_bytes()).hexdigest() == entry["sha256"], entry["name"]
    assert (outputs / "mine.txt").read_text() == "mine"
    return int(json.loads((outputs / "report.json").read_text(encoding="utf-8"))["balance"]["max_speed_rpm"])


def ready(folder: Path) -> float:
    """A first build with a file of the user's own in it; the seconds it took."""
    start = time.perf_counter()
    done = build(folder, 3000)
    assert done.returncode == 0, done.stderr
    (folder / "outputs" / "small" / "mine.txt").write_text("mine")
    return time.perf_counter() - start


def kill_at_random_moments(folder: Path, times: int, seed: int) -> None:
    """Kill builds at random moments of their life and look at what stands there after each."""
    seconds = ready(folder)
    moments = random.Random(seed)
    held = 3000
    for number in range(times):
        speed = 3001 + number
        (folder / "small.yaml").write_text(JOB.format(speed=speed))
        process = subprocess.Popen(COMMAND, cwd=folder, env=ENVIRONMENT, start_new_session=True)
        time.sleep(moments.uniform(0.0, 1.1 * seconds))
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
        found = speed_of_whole(folder)
        assert found in (held, speed)
        held = found
    assert build(folder, 5000).returncode == 0
    assert speed_of_whole(folder) == 5000
    assert {path.name for path in (folder / "outputs").iterdir()} == {"small"}


def test_a_killed_build_leaves_the_old_outputs_whole(tmp_path: Path) -> None:
    kill_at_random_moments(tmp_path, 2, seed=1)


@pytest.mark.slow
def test_fifty_killed_builds_leave_the_old_outputs_whole(tmp_path: Path) -> None:
    kill_at_random_moments(tmp_path, 50, seed=2)


def test_a_build_that_runs_out_of_room_changes_nothing(tmp_path: Path) -> None:
    ready(tmp_path)
    (tmp_path / "small.yaml").write_text(JOB.format(speed=4000))

    def little_room() -> None:  # no file of this process and its children may grow beyond 20 kB
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))

    done = subprocess.run(
        COMMAND,
        cwd=tmp_path,
        env=ENVIRONMENT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        preexec_fn=little_room,
    )
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert "written" in done.stderr or "kernel" in done.stderr
    assert speed_of_whole(tmp_path) == 3000
    assert {path.name for path in (tmp_path / "outputs").iterdir()} == {"small"}


def test_two_builds_at_once_end_with_one_whole_set(tmp_path: Path) -> None:
    ready(tmp_path)
    (tmp_path / "small.yaml").write_text(JOB.format(speed=4000))
    first = subprocess.Popen(COMMAND, cwd=tmp_path, env=ENVIRONMENT)
    time.sleep(1.5)  # it has read its job by then or not: either is one whole set
    (tmp_path / "small.yaml").write_text(JOB.format(speed=4500))
    second = subprocess.Popen(COMMAND, cwd=tmp_path, env=ENVIRONMENT)
    assert first.wait() == 0
    assert second.wait() == 0
    assert speed_of_whole(tmp_path) in (4000, 4500)
    assert {path.name for path in (tmp_path / "outputs").iterdir()} == {"small"}


def test_a_folder_that_cannot_be_written_is_said_in_one_message(tmp_path: Path) -> None:
    (tmp_path / "outputs").write_text("a file where a folder should be")
    done = build(tmp_path, 3000)
    assert done.returncode == 2
    assert "outputs" in done.stderr
    assert "Traceback" not in done.stderr
    assert (tmp_path / "outputs").read_text() == "a file where a folder should be"
