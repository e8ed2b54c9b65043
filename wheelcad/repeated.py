"""What a build of the very same job need not work out again while the session lasts: its sheets, checks and budget.

A key holds all that the step is given: the job, its text, and the bytes on disk of every file that it could open. What
is kept is taken for no other job and for no other file.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from wheelcad.checks.everything import Findings, KernelAnswers, MeasuredFiles
from wheelcad.checks.everything import check_everything as measured
from wheelcad.files.figures import KernelResult
from wheelcad.files.folder import digest
from wheelcad.findings import Finding
from wheelcad.hashed import hashed
from wheelcad.job.models import Job
from wheelcad.kept import Memo, for_solids
from wheelcad.parts.design import Design
from wheelcad.processes import Say

Answer = TypeVar("Answer")


def once(
    memo: Memo,
    step: str,
    make: Callable[[], Answer],
    *,
    job: Job | None,
    files: Iterable[Path] = (),
    more: object = None,
) -> Answer:
    """What a step came to: what is kept, or else what `make` makes, kept from now on. What it rests on is the job (None
    where nothing of it counts), the files it opens and `more`."""
    if not memo.keeps:
        return make()
    text = None if job is None else (job.source.file, job.source.text)
    key = hashed(step, job, text, [digest(path) for path in files], more)
    held: Answer | None = memo.get(key)
    if held is None:
        held = make()
        memo.put(key, held)
    return held


def write_sheets(design: Design, folder: Path, say: Say, memo: Memo) -> None:
    """Everything that needs no kernel: cutting files, drawings, charts."""
    from wheelcad.packet.sheets import write_sheets as written  # imported here: ezdxf is slow to load

    told: list[str] = []

    def made() -> dict[str, bytes]:
        for name in written(design, folder):
            say(name)
            told.append(name)
        return {name: (folder / name).read_bytes() for name in told} if memo.keeps else {}

    sheets = once(memo, "sheets", made, job=design.job)
    for name in sheets if not told else ():
        (folder / name).write_bytes(sheets[name])
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
    folder: Path, design: Design, kernel: KernelAnswers, memo: Memo, ready: bool
) -> tuple[list[Finding], MeasuredFiles]:
    """As `checks.everything.check_everything`. ready: whether every file is in the folder already: then the files may
    be the very ones that were measured before. A check of solids alone is kept for other jobs with the same ones."""
    bare = for_solids(design)
    if not memo.keeps:
        return measured(folder, design, kernel, bare)
    standing = hashed(bare)

    def keep(subject: str, opens: tuple[str, ...], run: Findings) -> list[Finding]:
        files = [folder / name for name in opens]
        if not all(path.is_file() for path in files):
            return run()
        return once(memo, f"check of {subject} in {opens}", run, job=None, files=files, more=standing)

    if ready:
        kernel = _Ready(kernel.result())
        files = sorted(folder.iterdir())
        return once(memo, "checks", lambda: measured(folder, design, kernel, bare, keep), job=design.job, files=files)
    out = measured(folder, design, kernel, bare, keep)
    return once(memo, "checks", lambda: out, job=design.job, files=sorted(folder.iterdir()))
