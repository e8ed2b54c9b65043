"""Outputs are exchanged whole: old ones stay when something fails, a user's own files stay always."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from wheelcad.errors import JobFileError
from wheelcad.files.folder import MANIFEST, digest, staged, written_by_us


def build(target: Path, **files: str) -> None:
    """Write files and a manifest that names them."""
    with staged(target) as stage:
        for name, text in files.items():
            (stage / name).write_text(text)
        entries = [digest(path) for path in sorted(stage.iterdir())]
        (stage / MANIFEST).write_text(json.dumps({"files": entries}))


def names(folder: Path) -> set[str]:
    """What is in a folder, hidden things too."""
    return {path.name for path in folder.iterdir()}


def test_a_second_build_replaces_what_we_wrote_and_nothing_else(tmp_path: Path) -> None:
    target = tmp_path / "outputs" / "job"
    build(target, a="1", b="1")
    (target / "notes.txt").write_text("mine")
    (target / "photos").mkdir()
    (target / "photos" / "one.jpg").write_text("mine too")
    build(target, a="2")
    assert names(target) == {"a", MANIFEST, "notes.txt", "photos"}
    assert (target / "a").read_text() == "2"
    assert (target / "notes.txt").read_text() == "mine"
    assert (target / "photos" / "one.jpg").read_text() == "mine too"
    assert names(target.parent) == {"job"}
    assert set(written_by_us(target)) == {"a", MANIFEST}


def test_a_failed_build_leaves_the_old_outputs_and_no_litter(tmp_path: Path) -> None:
    target = tmp_path / "job"
    build(target, a="1")
    with pytest.raises(RuntimeError), staged(target) as stage:
        (stage / "a").write_text("half")
        raise RuntimeError("the kernel gave up")
    assert (target / "a").read_text() == "1"
    assert names(tmp_path) == {"job"}


def test_a_users_file_is_never_overwritten(tmp_path: Path) -> None:
    target = tmp_path / "job"
    target.mkdir()
    (target / "a").write_text("mine")
    with pytest.raises(JobFileError, match="did not write it"):
        build(target, a="ours")
    assert (target / "a").read_text() == "mine"
    assert names(tmp_path) == {"job"}


def test_the_litter_of_a_killed_build_is_cleared_by_the_next(tmp_path: Path) -> None:
    target = tmp_path / "job"
    gone = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True)
    dead = int(gone.stdout)
    (tmp_path / f".wheelcad-job-{dead}").mkdir()
    (tmp_path / f".wheelcad-job-{dead}" / "half").write_text("x")
    (tmp_path / f".wheelcad-job-{os.getppid()}").mkdir()  # a build that still runs
    build(target, a="1")
    assert names(tmp_path) == {"job", f".wheelcad-job-{os.getppid()}"}


def test_a_place_that_cannot_be_written_is_an_error_for_the_user(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(JobFileError, match="cannot be written"):
        build(tmp_path / "file" / "job", a="1")
