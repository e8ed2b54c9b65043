"""What a build changed: against the build before it in the same folder, and whether that was of the same job file."""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wheelcad.catalogue import MANIFEST, REPORT, START
from wheelcad.errors import Fault, JobFileError
from wheelcad.job.models import Job
from wheelcad.job.reader import written_values

NOT_THERE = "left out"
ALL_OF_THEM = 6  # more changed files than this are counted where a line must hold them
_PLACE = "user.wheelcad.job"  # an attribute of the folder, where there are such: a file would differ with the place
_ALWAYS = {MANIFEST, REPORT, START}  # they tell of the others


@dataclass(frozen=True)
class Changes:
    """keys: (key, old, new) as written in the job files; files: names that are new, gone or of other bytes.

    first: there was no build before this one. again: nothing differs from the last build; what is told is what that
    one changed, so that building again gives the same bytes.
    """

    keys: tuple[tuple[str, str, str], ...] = ()
    files: tuple[str, ...] = ()
    first: bool = False
    again: bool = False

    def kept(self) -> dict[str, Any]:
        """What the manifest keeps of it."""
        return {"keys": [list(row) for row in self.keys], "files": list(self.files)}

    def lines(self) -> list[str]:
        """A line each: key: old → new; last the files."""
        out = [f"{key}: {old} → {new}" for key, old, new in self.keys]
        if self.files:
            many = f"{len(self.files)} files" if len(self.files) > ALL_OF_THEM else ", ".join(self.files)
            out.append(f"files changed: {many}")
        return out


def changes_since(kept: Mapping[str, Any], job: Job, entries: Iterable[Mapping[str, Any]]) -> Changes:
    """kept: the manifest of the build before, {} for none; entries: name and sha256 of the files as they are now."""
    if not kept:
        return Changes(first=True)
    old_text = _job_of(kept).get("text")
    old = written_values(old_text) if isinstance(old_text, str) else {}
    new = written_values(job.source.text)
    names = [*old, *(key for key in new if key not in old)]
    keys = [(key, old.get(key, NOT_THERE), new.get(key, NOT_THERE)) for key in names if old.get(key) != new.get(key)]
    was = {str(e.get("name")): e.get("sha256") for e in _list(kept.get("files")) if isinstance(e, dict)}
    now = {str(e["name"]): e["sha256"] for e in entries}
    differ = {name for name in was.keys() | now.keys() if was.get(name) != now.get(name)} - _ALWAYS
    if not keys and not differ:
        return _told_before(kept)
    return Changes(tuple(keys), tuple(sorted(differ)))


def _told_before(kept: Mapping[str, Any]) -> Changes:
    before = kept.get("changed")
    rows, files = (_list(before.get(name)) if isinstance(before, dict) else [] for name in ("keys", "files"))
    keys = [(str(row[0]), str(row[1]), str(row[2])) for row in map(_list, rows) if len(row) == 3]
    return Changes(tuple(keys), tuple(map(str, files)), again=True)


def _list(value: Any) -> list[Any]:
    """The list it should be; a manifest that somebody edited may hold anything."""
    return value if isinstance(value, list) else []


def _job_of(kept: Mapping[str, Any]) -> Mapping[str, Any]:
    job = kept.get("job")
    return job if isinstance(job, dict) else {}


def refuse_another(kept: Mapping[str, Any], job: Job, folder: Path) -> None:
    """JobFileError where the folder holds the build of another job file with the same job name.

    Another: of another file name, or (where the system keeps such a note) at another place; a job of the same text is
    never another.
    """
    held = _job_of(kept)
    if not held or held.get("sha256") == job.source.sha256:
        return
    name, noted = str(held.get("file")), _noted(folder)
    elsewhere = bool(noted) and not set(noted) & set(_places(job, folder))
    if name == Path(job.source.file).name and not elsewhere:
        return
    where = f"another {name}, in another folder" if name == Path(job.source.file).name else f"another job file, {name}"
    said = f"{folder} holds the files of {where}, whose job has the same name: nothing was replaced"
    hint = "give this job a name of its own, build it to another place with --out, or build over it with --replace"
    raise JobFileError(job.source.located(Fault(said, key=("job",), found=job.job, hint=hint)))


def _places(job: Job, folder: Path) -> tuple[str, str]:
    """Hashes of where the job file lies, by itself and as seen from the folder: a whole project may be moved."""
    path = Path(job.source.file).resolve()
    seen = os.path.relpath(path, folder.resolve()) if path.anchor == folder.resolve().anchor else str(path)
    one, two = (hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest() for text in (str(path), seen))
    return one[:16], two[:16]


def note_place(stage: Path, job: Job, folder: Path) -> None:
    """Note on the stage, which becomes the folder, where the job file lies, where the system can."""
    with contextlib.suppress(OSError, AttributeError):
        os.setxattr(stage, _PLACE, " ".join(_places(job, folder)).encode())


def _noted(folder: Path) -> list[str]:
    with contextlib.suppress(OSError, AttributeError):
        return os.getxattr(folder, _PLACE).decode("ascii", "replace").split()
    return []
