"""What stands in a folder of outputs, looked at before any of it is measured: who knows what became of it since."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterator
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

from wheelcad.catalogue import MANIFEST, BuildMade, entry_of, expected
from wheelcad.codes import Check
from wheelcad.files.folder import changed, plain_file, scratch
from wheelcad.findings import Finding, holds
from wheelcad.parts.design import Design

LARGEST_FILE = 256 * 2**20  # bytes: our largest, a fine mesh, has some twenty million


@contextlib.contextmanager
def measurable(folder: Path) -> Iterator[tuple[Path, list[Finding]]]:
    """The folder, and a failed finding for each file of ours that nobody should try to read: pipes and devices, by name
    or by link, folders in a file's place, files far too large or kept from us.

    Where there are any, the folder given is another that holds the rest alone: to every check they are missing.
    """
    odd = {path.name: why for path in sorted(folder.iterdir()) if entry_of(path.name) and (why := _odd(path))}
    why = "a folder of outputs holds plain files that can be read to their end"
    findings = [holds(Check.READABLE, name, False, said, why, "the file system") for name, said in odd.items()]
    if not odd:
        yield folder, findings
        return
    with scratch() as rest:
        for path in folder.iterdir():
            if entry_of(path.name) and path.name not in odd:
                (rest / path.name).symlink_to(path.absolute())
        yield rest, findings


def _odd(path: Path) -> str:
    """Why a file should not be read; "" where it may be."""
    if path.is_symlink() and not path.exists():
        return "a link to nothing"
    if not plain_file(path):
        return "no plain file"
    if path.stat().st_size > LARGEST_FILE:
        return f"{path.stat().st_size / 2**20:.0f} MiB, more than any file of ours"
    return "" if os.access(path, os.R_OK) else "not to be read by you"


def unchanged(folder: Path, kept: dict[str, Any], design: Design) -> list[Finding]:
    """One finding a file that was changed or lost since the manifest was written; a single pass when there is none.

    What the job must have and the manifest does not name was lost as well: somebody took both away.
    """
    out = []
    why = "the files must be what was measured when they were written"
    entries = kept.get("files")
    if not isinstance(entries, list) or not entries:
        return [holds(Check.FILE_UNCHANGED, "all files", False, "manifest.json names none", why, MANIFEST)]
    named = []
    for entry in entries:
        name = str(entry.get("name")) if isinstance(entry, dict) else str(entry)
        named.append(name)
        known, path = entry if isinstance(entry, dict) else {}, folder / name
        said = "no name of a file in this folder"
        if Path(name).name == name:
            said = (os.path.lexists(path) and _odd(path)) or changed(path, known)
        if said:
            out.append(holds(Check.FILE_UNCHANGED, name, False, said, why, MANIFEST))
    for output in expected(
        BuildMade(design, packet=False, plot=False)
    ):  # a build may have been asked for none of these
        if output.name != MANIFEST and not any(fnmatchcase(name, output.name) for name in named):
            said = (
                "neither here nor in manifest.json" if not (folder / output.name).exists() else "not in manifest.json"
            )
            out.append(holds(Check.FILE_UNCHANGED, output.name, False, said, why, "the list of what a job brings"))
    return out or [holds(Check.FILE_UNCHANGED, "all files", True, "as written", why, MANIFEST)]
