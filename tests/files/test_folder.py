"""Outputs are exchanged whole: old ones stay when something fails, a user's own files stay always."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from wheelcad.errors import JobFileError
from wheelcad.files import folder
from wheelcad.files.folder import MANIFEST, changed, digest, scratch, staged, written_by_us


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


def test_temporary_folders_of_killed_processes_are_swept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    gone = subprocess.run([sys.executable, "-c", "import os; print(os.getpid())"], capture_output=True, check=True)
    dead, alive = f"wheelcad-at-work-{int(gone.stdout)}-a", f"wheelcad-at-work-{os.getppid()}-b"
    for name in (dead, alive, "wheelcad-mine", f"wheelcad-at-work-{int(gone.stdout)}-new"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "half.pdf").write_text("x")
        if not name.endswith("-new"):
            os.utime(tmp_path / name, (0, 0))
    with scratch() as first, scratch() as second:
        assert names(tmp_path) == {first.name, second.name, alive, "wheelcad-mine", f"{dead[:-2]}-new"}
    assert names(tmp_path) == {alive, "wheelcad-mine", f"{dead[:-2]}-new"}


def test_a_place_that_cannot_be_written_is_an_error_for_the_user(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    with pytest.raises(JobFileError, match="cannot be written"):
        build(tmp_path / "file" / "job", a="1")


# --- somebody else's files ------------------------------------------------------------------------------------------
def test_somebodys_own_manifest_is_not_ours(tmp_path: Path) -> None:
    target = tmp_path / "job"
    target.mkdir()
    (target / MANIFEST).write_text('{"name": "my web page", "files": ["a.js"]}')
    with pytest.raises(JobFileError, match="did not write it"):
        build(target, a="1")
    assert "my web page" in (target / MANIFEST).read_text()


def test_an_edited_output_is_kept_beside_the_new_one(tmp_path: Path) -> None:
    target, heard = tmp_path / "job", []
    build(target, **{"sheet.dxf": "ours"})
    (target / "sheet.dxf").write_text("mine, by hand")
    for text in ("second", "third"):
        with staged(target, heard.append) as stage:
            (stage / "sheet.dxf").write_text(text)
            (stage / MANIFEST).write_text(json.dumps({"files": [digest(stage / "sheet.dxf")]}))
    assert (target / "sheet.dxf").read_text() == "third"
    assert (target / "sheet.edited-1.dxf").read_text() == "mine, by hand"
    assert heard == ["sheet.dxf was changed since it was built: what you had is kept as sheet.edited-1.dxf"]


def test_a_file_that_is_open_is_the_same_file_afterwards(tmp_path: Path) -> None:
    target = tmp_path / "job"
    build(target, a="1")
    with (target / "notes.txt").open("w") as notes:
        notes.write("before ")
        notes.flush()
        build(target, a="2")
        notes.write("after")
    assert (target / "notes.txt").read_text() == "before after"


def test_what_is_saved_while_the_folders_change_places_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "job"
    build(target, a="1")
    (target / "notes.txt").write_text("old")
    swap = folder._exchange

    def late(stage: Path, to: Path) -> None:
        (to / "new.txt").write_text("just now")
        (to / "fresh").write_text("rewritten by an editor")
        os.replace(to / "fresh", to / "notes.txt")
        (to / "a").write_text("edited just now")
        swap(stage, to)

    monkeypatch.setattr(folder, "_exchange", late)
    build(target, a="2")
    assert (target / "new.txt").read_text() == "just now"
    assert (target / "notes.txt").read_text() == "rewritten by an editor"
    assert (target / "a").read_text() == "2"
    assert (target / "a.edited-1").read_text() == "edited just now"


def test_a_link_to_a_folder_stays_a_link(tmp_path: Path) -> None:
    real = tmp_path / "disk" / "job"
    real.mkdir(parents=True)
    link = tmp_path / "job"
    link.symlink_to(real)
    build(link, a="1")
    build(link, a="2")
    assert link.is_symlink()
    assert (real / "a").read_text() == "2"
    assert names(tmp_path / "disk") == {"job"}


def test_modes_of_the_folder_and_the_umask_are_kept(tmp_path: Path) -> None:
    target = tmp_path / "job"
    build(target, a="1")
    target.chmod(0o2770)
    with staged(target) as stage:
        (stage / "a").write_text("2")
        (stage / "a").chmod(0o600)
        (stage / MANIFEST).write_text(json.dumps({"files": [digest(stage / "a")]}))
    assert target.stat().st_mode & 0o7777 == 0o2770
    mask = os.umask(0)
    os.umask(mask)
    assert (target / "a").stat().st_mode & 0o777 == 0o666 & ~mask


def test_a_read_only_folder_and_a_file_in_its_place_are_refused(tmp_path: Path) -> None:
    target = tmp_path / "job"
    build(target, a="1")
    target.chmod(0o555)
    with pytest.raises(JobFileError, match="read-only"):
        build(target, a="2")
    target.chmod(0o755)
    assert (target / "a").read_text() == "1"
    (tmp_path / "other").write_text("a file")
    with pytest.raises(JobFileError, match="is a file where a folder"):
        build(tmp_path / "other", a="1")


def test_what_is_no_plain_file_is_not_read(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "folder").mkdir()
    (tmp_path / "device").symlink_to("/dev/zero")
    with (tmp_path / "huge").open("wb") as huge:
        huge.truncate(2**40)  # a terabyte of nothing
    entry = {"name": "x", "size": 3, "sha256": "0"}
    assert [changed(tmp_path / n, entry) for n in ("pipe", "folder", "device", "none")] == [
        "no plain file",
        "no plain file",
        "no plain file",
        "missing",
    ]
    assert changed(tmp_path / "huge", entry) == "changed since the build"


@pytest.mark.parametrize(
    "text", ["[]", "{", '{"files": 3}', '{"files": [{"name": "../x", "size": 1, "sha256": ""}]}', "[" * 9999]
)
def test_a_manifest_of_odd_shape_names_nothing(text: str, tmp_path: Path) -> None:
    (tmp_path / MANIFEST).write_text(text)
    assert written_by_us(tmp_path) == []
