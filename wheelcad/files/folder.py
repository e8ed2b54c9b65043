"""A folder of outputs written whole or not at all.

Files are written into a folder beside the target and the two are exchanged in one step, so that a build that is
killed or fails leaves what stood there before. What wheelcad did not write (the old manifest says what it did)
comes along untouched.
"""

from __future__ import annotations

import contextlib
import ctypes
import hashlib
import json
import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from wheelcad.errors import Fault, JobFileError

MANIFEST = "manifest.json"
_MARK = ".wheelcad-"
_AT_FDCWD = -100
_RENAME_EXCHANGE = 2


@contextlib.contextmanager
def staged(target: Path) -> Iterator[Path]:
    """A fresh folder to write into; moved to `target` when the block ends well, removed when it does not.

    JobFileError when the place cannot be written.
    """
    parent = target.parent
    try:
        parent.mkdir(parents=True, exist_ok=True)
        _clear_litter(parent, target.name)
        stage = parent / f"{_MARK}{target.name}-{os.getpid()}"
        shutil.rmtree(stage, ignore_errors=True)
        stage.mkdir()
    except OSError as error:
        raise JobFileError(Fault(f"cannot be written: {error.strerror}", file=str(target))) from None
    try:
        yield stage
        _settle(stage, target)
    except OSError as error:
        raise JobFileError(Fault(f"cannot be written: {error.strerror or error}", file=str(target))) from None
    finally:
        shutil.rmtree(stage, ignore_errors=True)


def _settle(stage: Path, target: Path) -> None:
    """Bring the user's own files over and exchange the folders under a lock on their parent."""
    with _locked(target.parent):
        if not target.exists():
            os.rename(stage, target)
            return
        ours = set(written_by_us(target))
        for path in sorted(target.iterdir()):
            if path.name in ours:
                continue
            if (stage / path.name).exists():
                message = "is in the way: wheelcad did not write it and will not replace it; move or rename it"
                raise JobFileError(Fault(message, file=str(path)))
            if path.is_dir() and not path.is_symlink():
                shutil.copytree(path, stage / path.name, symlinks=True)
            else:
                shutil.copy2(path, stage / path.name, follow_symlinks=False)
        _exchange(stage, target)


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


def _clear_litter(parent: Path, name: str) -> None:
    """Remove stages of this job whose process is gone; put back a target that was moved aside when it was killed."""
    for stage in parent.glob(f"{_MARK}{name}-*"):
        tail = stage.name.removeprefix(f"{_MARK}{name}-")
        pid = tail.removesuffix("-old")
        if not pid.isdigit() or _alive(int(pid)):
            continue
        if tail.endswith("-old") and not (parent / name).exists():
            os.rename(stage, parent / name)
        else:
            shutil.rmtree(stage, ignore_errors=True)


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
    try:
        data = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return data if isinstance(data, dict) else {}


def written_by_us(folder: Path) -> list[str]:
    """Names of the files in a folder that its manifest says wheelcad wrote, the manifest included."""
    files = read_manifest(folder).get("files", [])
    names = [entry.get("name") for entry in files if isinstance(entry, dict)] if isinstance(files, list) else []
    return [name for name in names if isinstance(name, str)] + [MANIFEST]


def digest(path: Path) -> dict[str, object]:
    """Name, size in bytes and SHA-256 of a file."""
    data = path.read_bytes()
    return {"name": path.name, "size": len(data), "sha256": hashlib.sha256(data).hexdigest()}
