"""Jobs of every form, each with its files written and its STEP files read again once: what checks are tried on.

The four jobs that faults are put into (`seeded.jobs`), and three of the random sound ones for what those have not: an
arm with a riser and travel, blind balance holes, a wheel without bolts, a cam target without them, an inch plate read
along the crank. The files are written in this process, without packet and pages.
"""

from __future__ import annotations

import atexit
import pickle
import shutil
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from tests.checks.seeded.jobs import JOBS
from tests.checks.sound import written
from tests.checks.sound_jobs import random_text
from wheelcad.checks import everything
from wheelcad.checks.solids import check_solids
from wheelcad.files.figures import KernelResult
from wheelcad.findings import Finding
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import Design, design_job

SOUND = (224, 241, 359)
TEXTS: dict[str, Callable[[], str]] = {**JOBS, **{f"sound-{n}": lambda n=n: random_text(n) for n in SOUND}}  # type: ignore[misc]

Look = Callable[[], list[Finding]]


@dataclass(frozen=True)
class Form:
    """A job's files. found: what the kernel read in them."""

    name: str
    folder: Path
    design: Design
    found: KernelResult


class _Home:
    """Where the files are kept: a folder of this process, or one that outlives it."""

    at: Path | None = None


def keep_in(folder: Path) -> None:
    """Files made before are found in this folder again; it must be of this very code."""
    folder.mkdir(parents=True, exist_ok=True)
    _Home.at = folder


def home() -> Path:
    """The folder."""
    if _Home.at is None:
        _Home.at = Path(tempfile.mkdtemp(prefix="forms-"))
        atexit.register(shutil.rmtree, _Home.at, True)
    return _Home.at


@cache
def form(name: str) -> Form:
    """A job's files, made the first time."""
    design = design_job(parse_job(TEXTS[name](), f"{name}.yaml"))
    folder, kept = home() / name, home() / f"{name}.pickle"
    if not kept.exists():
        shutil.rmtree(folder, ignore_errors=True)
        folder.mkdir(parents=True)
        kept.write_bytes(pickle.dumps(written(design, folder)))
    return Form(name, folder, design, pickle.loads(kept.read_bytes()))


def looks(form: Form, design: Design | None = None) -> dict[str, list[Look]]:
    """All checks of a job's files by what they look at. design: another one than the files are of."""
    of = design or form.design
    out: dict[str, list[Look]] = {}
    for check in everything._checks(form.folder, of, of):
        out.setdefault(check.subject, []).append(lambda check=check: everything._guarded(check))  # type: ignore[misc]
    for subject, look in _of_kernel(form, of):
        out.setdefault(subject, []).append(look)
    return out


def _of_kernel(form: Form, of: Design) -> Iterator[tuple[str, Look]]:
    """What is made of the kernel's reading of STEP files."""
    found, folder = form.found, form.folder
    for name in of.parts:
        yield f"{name}.step", lambda name=name: list(check_solids(found.figures, [name]))  # type: ignore[misc]
        yield f"{name}.step", lambda name=name: everything.judge_volume(folder, name, found.figures.get(name))  # type: ignore[misc]
        if name in found.meshes:
            yield f"{name}.step", lambda name=name: everything.judge_solid(folder, of, name, found.meshes[name])  # type: ignore[misc]
    if of.bracket is not None:
        yield "bracket.step", lambda: list(everything.check_step(found.bracket_faces, of.bracket))  # type: ignore[arg-type]
    if found.meetings is not None:
        judged = replace(found, figures={**found.figures}, judged=())
        yield "assembly.step", lambda: everything.judge_assembly(of, found.meetings)  # type: ignore[arg-type]
        yield "assembly.glb", lambda: everything.check_steps(folder, of, judged)
    bare = replace(found, judged=(), meetings=None)
    yield "wheel.step, wheel.stl", lambda: everything._with_kernel(folder, of, of, bare, everything.anew)[0]
