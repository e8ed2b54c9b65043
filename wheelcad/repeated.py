"""What a build of the very same job need not work out again while the session lasts: its sheets, checks and budget.

A key holds all that the step is given: the job, its text, and the bytes on disk of every file that it could open. What
is kept is taken for no other job and for no other file.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from wheelcad.apart import Say
from wheelcad.checks.everything import Kernel, Measured
from wheelcad.files.figures import KernelResult
from wheelcad.files.folder import digest
from wheelcad.findings import Finding
from wheelcad.hashed import hashed
from wheelcad.job.models import Job
from wheelcad.kept import Memo
from wheelcad.parts.design import Design

Answer = TypeVar("Answer")


def once(memo: Memo, key: str, make: Callable[[], Answer]) -> Answer:
    """What is kept under the key, or else what `make` makes, kept from now on."""
    held: Answer | None = memo.get(key)
    if held is None:
        held = make()
        memo.put(key, held)
    return held


def key_of(step: str, job: Job, *given: Any) -> str:
    """The key of a step of a job. given: whatever else it rests on."""
    return hashed(step, job, job.source.file, job.source.text, given)


def write_sheets(design: Design, folder: Path, say: Say, memo: Memo) -> None:
    """Everything that needs no kernel: cutting files, drawings, charts."""
    key = key_of("sheets", design.job)
    held: dict[str, bytes] | None = memo.get(key)
    if held is None:
        from wheelcad.packet.sheets import write_sheets as made  # imported here: ezdxf is slow to load

        held = {}
        for name in made(design, folder):
            held[name] = (folder / name).read_bytes()
            say(name)
        memo.put(key, held)
        return
    for name, data in held.items():
        (folder / name).write_bytes(data)
        say(name)


@dataclass(frozen=True)
class _Ready:
    """A kernel's process that has nothing left to do."""

    found: KernelResult

    def written(self, name: str) -> None:
        """All is there."""

    def result(self) -> KernelResult:
        """What it found."""
        return self.found


def check_everything(
    folder: Path, design: Design, kernel: Kernel, memo: Memo, ready: bool
) -> tuple[list[Finding], Measured]:
    """As `checks.everything.check_everything`. ready: whether every file is in the folder already: then the files may
    be the very ones that were measured before."""
    from wheelcad.checks.everything import check_everything as measure

    if ready:
        result = kernel.result()
        held: tuple[list[Finding], Measured] | None = memo.get(key_of("checks", design.job, digests(folder)))
        if held is not None:
            return held
        kernel = _Ready(result)
    out = measure(folder, design, kernel)
    memo.put(key_of("checks", design.job, digests(folder)), out)
    return out


def digests(folder: Path) -> list[dict[str, object]]:
    """Name, size and hash of every file in a folder."""
    return [digest(path) for path in sorted(folder.iterdir())]
