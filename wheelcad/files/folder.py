"""A folder of outputs written whole or not at all.

Files are written into a folder beside the target and the two are exchanged in one step, so that a build that is
killed or fails leaves what stood there before. What wheelcad did not write (the old manifest says what it did) comes
along untouched, as the same file and no copy, so that a program that has it open goes on writing to it; what it wrote
and somebody changed since is kept beside the new one.
"""

from __future__ import annotations

import contextlib
import ctypes
import hashlib
import json
import os
import shutil
import stat
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from wheelcad.errors import Fault, JobFileError

MANIFEST = "manifest.json"
LARGEST_MANIFEST = 16 * 2**20  # bytes: ours hold a few thousand
CHUNK = 2**20
SWEPT_AFTER_S = 600.0  # no work of ours leaves a temporary folder untouched for as long
_MARK = ".wheelcad-"
_SCRATCH = "wheelcad-at-work-"
_AT_FDCWD = -100
_RENAME_EXCHANGE = 2

Say = Callable[[str], None]
Held = dict[str, tuple[int, int, int]]  # name -> inode, size and time of writing


@contextlib.contextmanager
def staged(target: Path, say: Say = lambda _: None) -> Iterator[Path]:
    """A fresh folder to write into; moved to `target` when the block ends well, removed when it does not.

    A target that is a link is followed: the folder it names is exchanged. `say` hears what was kept aside.
    JobFileError when the place cannot be written.
    """
    target = target.resolve()
    parent = target.parent
    try:
        parent.mkdir(parents=True, exist_ok=True)
        _writable(target)
        _clear_litter(parent)
        stage = parent / f"{_MARK}{target.name}-{os.getpid()}"
        shutil.rmtree(stage, ignore_errors=True)
        stage.mkdir()
        if target.is_dir():  # set-group-id folders hand their group on to what is made in them
            shutil.copymode(target, stage)
    except OSError as error:
        raise JobFileError(Fault(f"cannot be written: {error.strerror}", file=str(target))) from None
    try:
        yield stage
        _settle(stage, target, say)
    except OSError as error:
        raise JobFileError(Fault(f"cannot be written: {error.strerror or error}", file=str(target))) from None
    finally:
        shutil.rmtree(stage, ignore_errors=True)


def _writable(target: Path) -> None:
    """JobFileError for a file in the folder's place, or a folder that was made read-only (which binds even root)."""
    if target.exists() and not target.is_dir():
        raise JobFileError(Fault("is a file where a folder of outputs should be: rename it", file=str(target)))
    if target.is_dir() and not target.stat().st_mode & 0o222:
        raise JobFileError(Fault("is read-only: make it writable, or build elsewhere with --out", file=str(target)))


def _settle(stage: Path, target: Path, say: Say) -> None:
    """Bring the user's own files over and exchange the folders under a lock on their parent."""
    usual = 0o666 & ~_umask()
    for path in stage.iterdir():
        path.chmod(usual)  # some libraries write through private temporary files
    with _locked(target.parent):
        if not target.exists():
            os.rename(stage, target)
            return
        held = _bring(stage, target, say)
        _exchange(stage, target)
        for path in sorted(stage.iterdir()):  # the old folder now: what was saved in it since it was looked at
            if held.get(path.name) != _state(path):
                _moved(path, target, say)


def _bring(stage: Path, target: Path, say: Say) -> Held:
    """Link what is not ours into the stage, and what is ours but was changed under another name; what was seen."""
    entries = {entry["name"]: entry for entry in _entries(target)}
    ours = set(written_by_us(target))
    held: Held = {}
    for path in sorted(target.iterdir()):
        held[path.name] = _state(path)
        if path.name in ours:
            if path.name in entries and changed(path, entries[path.name]) and path.is_file():
                name = _free_name(path, stage)
                _linked(path, stage / name)
                say(f"{path.name} was changed since it was built: what you had is kept as {name}")
        elif (stage / path.name).exists():
            message = "is in the way: wheelcad did not write it and will not replace it; move or rename it"
            raise JobFileError(Fault(message, file=str(path)))
        else:
            _linked(path, stage / path.name)
    return held


def _moved(path: Path, target: Path, say: Say) -> None:
    """A file that was saved while the folders changed places, brought to where it was meant."""
    name = path.name
    if (target / name).exists() and name in written_by_us(target):
        name = _free_name(path, target)
        say(f"{path.name} was changed during the build: what you had is kept as {name}")
    elif path.is_dir() and (target / name).is_dir():
        shutil.copytree(path, target / name, symlinks=True, dirs_exist_ok=True)
        return
    os.replace(path, target / name)


def _free_name(path: Path, folder: Path) -> str:
    """wheel-drawing.edited-1.dxf, or the next number that is free."""
    number = 1
    while (name := f"{path.stem}.edited-{number}{path.suffix}") and (
        (folder / name).exists() or (path.parent / name).exists()
    ):
        number += 1
    return name


def _linked(path: Path, to: Path) -> None:
    """The same file or folder under another name; a copy where the system has no such links."""
    if path.is_dir() and not path.is_symlink():
        shutil.copytree(path, to, symlinks=True, copy_function=_link)
    else:
        _link(path, to)


def _link(path: str | Path, to: str | Path) -> None:
    try:
        os.link(path, to, follow_symlinks=False)
    except OSError:
        shutil.copy2(path, to, follow_symlinks=False)


def _state(path: Path) -> tuple[int, int, int]:
    found = path.lstat()
    return found.st_ino, found.st_size, found.st_mtime_ns


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _exchange(stage: Path, target: Path) -> None:
    """Swap two folders, in one step where the system can."""
    if sys.platform.startswith("linux"):
        libc = ctypes.CDLL(None, use_errno=True)
        if hasattr(libc, "renameat2"):
            done = libc.renameat2(_AT_FDCWD, os.fsencode(stage), _AT_FDCWD, os.fsencode(target), _RENAME_EXCHANGE)
            if done == 0:
                return
    aside = stage.with_name(stage.name + "-old")
    os.rename(target, aside)
    os.rename(stage, target)
    os.rename(aside, stage)


@contextlib.contextmanager
def _locked(folder: Path) -> Iterator[None]:
    """Hold an exclusive lock on a folder where the system has such locks."""
    try:
        import fcntl
    except ImportError:  # not a POSIX system
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def _clear_litter(parent: Path) -> None:
    """Remove stages of builds whose process is gone; put back a target that was moved aside when it was killed."""
    for stage in parent.glob(f"{_MARK}*-*"):
        name, _, pid = stage.name.removeprefix(_MARK).removesuffix("-old").rpartition("-")
        if not pid.isdigit() or _alive(int(pid)):
            continue
        if stage.name.endswith("-old") and not (parent / name).exists():
            os.rename(stage, parent / name)
        else:
            shutil.rmtree(stage, ignore_errors=True)


@contextlib.contextmanager
def scratch() -> Iterator[Path]:
    """A temporary folder of this process; what processes that were killed have left is swept."""
    for left in Path(tempfile.gettempdir()).glob(f"{_SCRATCH}*"):
        pid = left.name.removeprefix(_SCRATCH).split("-")[0]
        with contextlib.suppress(OSError):  # somebody else sweeps as well, or may not
            old = (
                time.time() - left.lstat().st_mtime > SWEPT_AFTER_S
            )  # the process may be of another machine or container
            if pid.isdigit() and old and int(pid) != os.getpid() and not _alive(int(pid)):
                shutil.rmtree(left, ignore_errors=True)
    with tempfile.TemporaryDirectory(prefix=f"{_SCRATCH}{os.getpid()}-") as name:
        yield Path(name)


def _alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return pid != os.getpid()


def read_manifest(folder: Path) -> dict[str, Any]:
    """manifest.json of a folder; {} when there is none that can be read."""
    path = folder / MANIFEST
    try:
        if not plain_file(path) or path.stat().st_size > LARGEST_MANIFEST:
            return {}
        data = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return data if isinstance(data, dict) else {}


def _entries(folder: Path) -> list[dict[str, Any]]:
    """What the manifest says of each file: name, size and hash; nothing where it is no manifest of ours."""
    files = read_manifest(folder).get("files")
    if not isinstance(files, list):
        return []
    good = [
        entry
        for entry in files
        if isinstance(entry, dict)
        and isinstance(entry.get("name"), str)
        and Path(entry["name"]).name == entry["name"]
        and {"size", "sha256"} <= entry.keys()
    ]
    return good if len(good) == len(files) else []


def written_by_us(folder: Path) -> list[str]:
    """Names of the files in a folder that its manifest says wheelcad wrote, the manifest included.

    A manifest.json of another shape is somebody's own file, and says nothing.
    """
    names = [str(entry["name"]) for entry in _entries(folder)]
    return [*names, MANIFEST] if names else []


def plain_file(path: Path) -> bool:
    """Whether it is a file that can be read to its end: no folder, pipe or device, by link or by name."""
    try:
        return stat.S_ISREG(path.stat().st_mode)
    except (OSError, ValueError):
        return False


def digest(path: Path) -> dict[str, object]:
    """Name, size in bytes and SHA-256 of a file, read in pieces."""
    found, size = hashlib.sha256(), 0
    with path.open("rb") as file:
        while piece := file.read(CHUNK):
            found.update(piece)
            size += len(piece)
    return {"name": path.name, "size": size, "sha256": found.hexdigest()}


def changed(path: Path, entry: dict[str, Any]) -> str:
    """What is wrong with a file, against its manifest entry: missing, no plain file, changed since the build; or ""."""
    if not path.exists() and not path.is_symlink():
        return "missing"
    if not plain_file(path):
        return "no plain file"
    same_size = path.stat().st_size == entry.get("size")  # what has another size need not be read, however large
    return "" if same_size and digest(path)["sha256"] == entry.get("sha256") else "changed since the build"
