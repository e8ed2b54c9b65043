"""Folders that somebody, or something, has been at: everything odd is told, nothing hangs or fills the memory."""

from __future__ import annotations

import json
import os
import resource
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import ROOT
from wheelcad.build import BuildResult
from wheelcad.files.folder import read_manifest
from wheelcad.on_disk import LARGEST_FILE, measurable, unchanged

KEPT = ("manifest.json",)
LIMIT = 3 * 2**30  # bytes of address space, libraries included; a file read whole would be many times that
PATIENCE_S = 240


def _huge(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(2**40)  # a terabyte of nothing


def _looped(path: Path) -> None:
    path.symlink_to(path.name)


ODD: dict[str, Callable[[Path], None]] = {
    "pipe": lambda path: os.mkfifo(path),
    "folder": lambda path: path.mkdir(),
    "device": lambda path: path.symlink_to("/dev/zero"),
    "huge": _huge,
    "loop": _looped,
    "nothing": lambda path: path.symlink_to("gone"),
}


@pytest.mark.parametrize("kind", ODD)
def test_what_cannot_be_measured_is_told_and_the_rest_is_measured(
    kind: str, built_six: BuildResult, tmp_path: Path
) -> None:
    folder = tmp_path / "tarn-six"
    shutil.copytree(built_six.folder, folder)
    for name in ("wheel.stl", "index-chart.csv"):
        (folder / name).unlink()
        ODD[kind](folder / name)
    ODD["pipe"](folder / "mine")  # no file of ours: nobody looks at it
    with measurable(folder) as (rest, findings):
        assert [(f.subject, f.verdict) for f in findings] == [("index-chart.csv", "fail"), ("wheel.stl", "fail")]
        there = {path.name for path in rest.iterdir()}
        assert there == {path.name for path in folder.iterdir()} - {"wheel.stl", "index-chart.csv", "mine"}
        assert (rest / "wheel.step").read_bytes() == (folder / "wheel.step").read_bytes()
    told = {f.subject: str(f.measured) for f in unchanged(folder, read_manifest(folder), built_six.design)}
    assert set(told) == {"wheel.stl", "index-chart.csv"}
    assert "as written" not in told.values()


def test_a_sound_folder_is_measured_as_it_is(built_six: BuildResult) -> None:
    with measurable(built_six.folder) as (folder, findings):
        assert (folder, findings) == (built_six.folder, [])
    (finding,) = unchanged(built_six.folder, read_manifest(built_six.folder), built_six.design)
    assert finding.verdict == "pass"


def test_a_file_deleted_together_with_its_entry_is_missed(built_six: BuildResult, tmp_path: Path) -> None:
    folder = tmp_path / "tarn-six"
    shutil.copytree(built_six.folder, folder)
    kept = read_manifest(folder)
    gone = ("wheel-drawing.pdf", "blank.step", "index-chart.csv", "start.html")
    for name in gone:
        (folder / name).unlink()
    kept["files"] = [entry for entry in kept["files"] if entry["name"] not in (*gone, "bracket.stl")]
    found = {f.subject: str(f.measured) for f in unchanged(folder, kept, built_six.design)}
    assert found == {**dict.fromkeys(gone, "neither here nor in manifest.json"), "bracket.stl": "not in manifest.json"}


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ({"name": "/dev/zero"}, "no name of a file"),
        ({"name": "../job.yaml"}, "no name of a file"),
        ({"name": "pipe"}, "no plain file"),
        ({"name": "folder"}, "no plain file"),
        ({"name": "huge", "size": 2**40, "sha256": "0"}, "more than any file of ours"),
        ({"name": ""}, "no plain file"),
        (17, "missing"),
        ([], "missing"),
        ({"name": "wheel.stl"}, "changed since the build"),
    ],
)
def test_odd_manifests_are_told_and_nothing_hangs(
    built_six: BuildResult, tmp_path: Path, entry: object, said: str
) -> None:
    for kind in ("pipe", "folder", "huge"):
        ODD[kind](tmp_path / kind)
    shutil.copy(built_six.folder / "wheel.stl", tmp_path)
    finding = unchanged(tmp_path, {"files": [entry]}, built_six.design)[0]
    assert finding.verdict == "fail"
    assert said in str(finding.measured)
    assert unchanged(tmp_path, {"files": "none"}, built_six.design)[0].verdict == "fail"


def test_nothing_of_ours_is_near_the_limit(built: BuildResult) -> None:
    assert max(path.stat().st_size for path in built.folder.iterdir()) < LARGEST_FILE / 8


def checked(folder: Path) -> subprocess.CompletedProcess[str]:
    """`wheelcad check` of a folder in little memory, ended when it takes too long."""

    def little() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (LIMIT, LIMIT))

    return subprocess.run(
        [sys.executable, "-m", "wheelcad", "check", str(folder), "--json"],
        cwd=folder.parent,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=PATIENCE_S,
        preexec_fn=little,
    )


@pytest.mark.slow
@pytest.mark.parametrize("kind", ODD)
def test_check_of_a_folder_where_everything_is_odd(kind: str, built_six: BuildResult, tmp_path: Path) -> None:
    folder = tmp_path / "tarn-six"
    shutil.copytree(built_six.folder, folder)
    ours = sorted(path.name for path in folder.iterdir() if path.name not in KEPT)
    for name in ours:
        (folder / name).unlink()
        ODD[kind](folder / name)
    done = checked(folder)
    assert done.returncode == 1, done.stderr
    failed = {finding["subject"] for finding in json.loads(done.stdout)["findings"] if finding["verdict"] == "fail"}
    assert set(ours) <= failed


@pytest.mark.slow
@pytest.mark.parametrize("kind", ODD)
def test_check_of_a_folder_whose_manifest_is_odd(kind: str, built_six: BuildResult, tmp_path: Path) -> None:
    folder = tmp_path / "tarn-six"
    shutil.copytree(built_six.folder, folder)
    (folder / "manifest.json").unlink()
    ODD[kind](folder / "manifest.json")
    done = checked(folder)
    assert done.returncode == 2
    assert "no manifest.json with a job in it" in done.stdout
