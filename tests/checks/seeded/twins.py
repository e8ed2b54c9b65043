"""The same file as a slightly other job writes it, with the marks of the job whose folder it comes into."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from tests.checks.seeded.jobs import JOBS
from tests.checks.sound_jobs import random_text
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import Design, design_job


def text_of(job: str) -> str:
    """The text of one of the jobs, or of a random sound one."""
    return JOBS[job]() if job in JOBS else random_text(int(job.removeprefix("sound-")))


@lru_cache(maxsize=16)
def design_of(job: str) -> Design:
    """The design of one of the jobs."""
    return design_job(parse_job(text_of(job), "job.yaml"))


@lru_cache(maxsize=256)
def edited_design(job: str, old: str, new: str) -> Design:
    """The design of the edited job, under the marks of the job as it was."""
    text = text_of(job)
    assert old in text, old
    was, now = design_of(job), design_job(parse_job(text.replace(old, new), "job.yaml"))
    now = replace(now, job=now.job.with_source(was.job.source))  # the job mark is its hash
    if now.indexing is not None and was.indexing is not None:
        plan = replace(now.indexing, job=now.job)
        plan.__dict__["mark"] = was.indexing.mark  # else the mark alone would tell
        now = replace(now, indexing=plan)
    return now


def write_twin(design: Design, path: Path) -> None:
    """Write the file of this name as `design` has it."""
    from wheelcad.packet.sheets import write_sheets

    name, folder = path.stem, path.parent
    if path.suffix in (".step", ".stl", ".3mf", ".glb"):
        _write_solid(design, name, path.suffix, folder)
        return
    aside = folder / "aside"
    aside.mkdir(exist_ok=True)
    for written in write_sheets(design, aside):
        if written == path.name:
            (aside / written).replace(path)
            break
    else:
        raise AssertionError(f"the twin has no {path.name}")


def _write_solid(design: Design, name: str, kind: str, folder: Path) -> None:
    from wheelcad.parts.assembly.solid_files import write_assembly
    from wheelcad.parts.solids import STANDING, Solids, write_part_meshes, write_part_step

    aside = folder / "aside"
    aside.mkdir(exist_ok=True)
    solids = Solids(design)
    if name == "assembly":
        built = {part: solids.part(part) for part in design.parts if part in STANDING}
        write_assembly(design.job, solids.called, design.bracket, aside, built)
    else:
        shape = write_part_step(solids, name, aside)
        if kind != ".step":
            write_part_meshes(solids, name, shape, aside)
    (aside / f"{name}{kind}").replace(folder / f"{name}{kind}")
