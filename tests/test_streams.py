"""Streams that are closed, full, or gone, and consoles of old code pages: the work is done, and the code says so."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import ROOT

SMALL = (
    "job: small\ntitle: Ein Rad \u2300 80\nengine: {turns: clockwise, max_speed: 3000}\n"
    "wheel: {teeth: 12, missing: 1, outside_diameter: 80, thickness: 4, bore: 20, slot: {width: 8, depth: 6}}\n"
    "shop: {rotary_table: {ratio: 40, dial_step: 0.05 deg}}\n"
)
BUILD = "build small.yaml --no-packet"
ENDS = {  # what the shell does to the streams -> what the command ends with
    "> /dev/full": (2, "cannot be printed: No space left"),
    ">&-": (0, ""),
    "2>&-": (0, ""),
    "<&- >&- 2>&-": (0, ""),
    "| true": (0, ""),
}


def shell(command: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """A command line of ours in a shell; the code is that of wheelcad itself."""
    (folder / "small.yaml").write_text(SMALL, encoding="utf-8")
    words, _, streams = command.partition(" @ ")
    line = f"{sys.executable} -m wheelcad {words} {streams}; exit ${{PIPESTATUS[0]}}"
    env = {**os.environ, "PYTHONPATH": str(ROOT), **environment}
    return subprocess.run(
        ["bash", "-c", line], cwd=folder, env=env, capture_output=True, encoding="utf-8", errors="replace", check=False
    )


def well_ended(done: subprocess.CompletedProcess[str], code: int, said: str) -> None:
    assert done.returncode == code, done.stderr
    assert said in done.stderr
    for word in ("Traceback", "mistake", "Exception", "untouched", "nothing was written"):
        assert word not in done.stdout + done.stderr


@pytest.mark.parametrize("streams", ENDS)
def test_the_chart_whatever_becomes_of_its_streams(streams: str, tmp_path: Path) -> None:
    well_ended(shell(f"chart small.yaml @ {streams}", tmp_path), *ENDS[streams])


@pytest.mark.slow
@pytest.mark.parametrize("streams", ENDS)
@pytest.mark.parametrize("command", [BUILD, "check small.yaml", "options small.yaml", "schema", "explain pulley.bore"])
def test_any_command_whatever_becomes_of_its_streams(command: str, streams: str, tmp_path: Path) -> None:
    well_ended(shell(f"{command} @ {streams}", tmp_path), *ENDS[streams])
    manifest = tmp_path / "outputs" / "small" / "manifest.json"
    if command == BUILD:  # the files are there and whole, whether that could be told or not
        assert {entry["name"] for entry in json.loads(manifest.read_text("utf-8"))["files"]} | {"manifest.json"} == {
            path.name for path in manifest.parent.iterdir()
        }


@pytest.mark.parametrize("encoding", ["cp437", "cp1252", "ascii"])
def test_a_console_of_an_old_code_page_shows_what_it_can(encoding: str, tmp_path: Path) -> None:
    done = shell("check small.yaml", tmp_path, PYTHONIOENCODING=encoding)
    well_ended(done, 0, "")
    assert "Ein Rad" in done.stdout
    assert "11 teeth" in done.stdout


@pytest.mark.slow
@pytest.mark.parametrize("encoding", ["cp437", "cp1252", "ascii"])
def test_a_build_on_a_console_of_an_old_code_page(encoding: str, tmp_path: Path) -> None:
    done = shell(BUILD, tmp_path, PYTHONIOENCODING=encoding)
    well_ended(done, 0, "")
    assert "files written to outputs/small" in done.stdout
