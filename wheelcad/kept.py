"""What a session that lasts keeps of its builds: a part whose numbers did not change is not made again.

A part's key is the hash of all that its makers and its checks are given (`part_keys`), so that a change of anything
they could see is another key. What is kept is the bytes of its files, and what was found when those very bytes were
read back. Of the job's name, which STEP files carry and nothing is made from, only the files know.
"""

from __future__ import annotations

import pickle
from collections import OrderedDict
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from wheelcad.files.figures import AssemblyFound, KernelResult, PartFound
from wheelcad.files.step_name import renamed
from wheelcad.hashed import hashed
from wheelcad.job.models import Job
from wheelcad.job.source import JobSource
from wheelcad.job.workshop import Shop
from wheelcad.parts.design import Design
from wheelcad.parts.ignition import design_ignition

MOST_BYTES = 64 * 2**20  # a dozen builds' parts: beyond it the part that was not asked for longest goes
WHEEL = "wheel.stl"
ASIDE = "gauge"  # the part that is made in a fork
ASSEMBLY = "assembly"  # told when its files are written, where a job has a sensor
KEPT_FILES = (".step", ".stl", ".glb")  # gauge.3mf has the job's name inside its packing and is written each time


class Memo:
    """The last values put in, as many as have room. Each is held as bytes: what is taken out is nobody else's."""

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most, self._held, self._bytes = most_bytes, OrderedDict[str, bytes](), 0

    def get(self, key: str) -> Any:
        """The value, None where there is none any more."""
        if key not in self._held:
            return None
        self._held.move_to_end(key)
        return pickle.loads(self._held[key])

    def put(self, key: str, value: object) -> None:
        """Keep a value; one that is larger than all the room is not kept."""
        data = pickle.dumps(value)
        self._bytes -= len(self._held.pop(key, b""))
        self._held[key] = data
        self._bytes += len(data)
        while self._bytes > self._most:
            _, gone = self._held.popitem(last=False)
            self._bytes -= len(gone)

    @property
    def keeps(self) -> bool:
        """Whether anything is kept at all: else nobody need ask for keys."""
        return self._most > 0

    @property
    def size(self) -> int:
        """Bytes held."""
        return self._bytes


@dataclass(frozen=True)
class KeptPart:
    """A part, or the assembly, as it was made for a job called `called`: its files' bytes by name, and what was found
    in them."""

    called: str
    files: dict[str, bytes]
    found: PartFound | AssemblyFound


def for_solids(design: Design) -> Design:
    """The design as solids and their checks are given it: without speeds, texts, shop and whatever else they must not
    depend on."""

    def plain(part: Any) -> Any:
        return None if part is None else replace(part, findings=())

    job = _standing(design.job)
    bracket = design.bracket
    if bracket is not None:
        bracket = replace(bracket, asked=replace(bracket.asked, job=job), notes=())
    return replace(
        design,
        job=job,
        blank=plain(design.blank),
        adapter=plain(design.adapter),
        gauge=plain(design.gauge),
        bracket=bracket,
        balance=replace(plain(design.balance), max_speed_rpm=None, runout_limit_mm=None, plan="", other=(), notes=()),
        indexing=None,
        ignition=plain(design_ignition(job.engine, job.sensor, design.wheel)),
        findings=(),
        left_out=(),
    )


def _standing(job: Job) -> Job:
    """A job as far as it says what stands where. It has no name."""
    engine = job.engine
    if engine is not None:
        engine = type(engine)(turns=engine.turns)
    nothing = dict.fromkeys(("paper", "survey", "controller", "tolerances", "gauge", "balance"))
    plain = {"job": "", "title": "", "dimensions": "single", "allow": (), "shop": Shop(), "engine": engine}
    return job.with_source(JobSource()).model_copy(update={**nothing, **plain})


def part_keys(bare: Design) -> dict[str, str]:
    """The key of each part, and of the assembly where there is one. bare: `for_solids`."""
    wheel = bare.wheel, bare.blank, bare.balance.holes, [reading.number for reading in bare.balance.readings]
    given: dict[str, Any] = {"wheel": wheel}
    given |= {name: getattr(bare, name) for name in bare.parts if name != "wheel"}
    if bare.job.sensor is not None:
        given[ASSEMBLY] = bare.job, wheel, bare.bracket, bare.adapter
    return {name: hashed(name, what) for name, what in given.items()}


def stiffness_key(design: Design, bare: Design) -> str:
    """The key of how stiff the bracket is and what would stiffen it: all of the job but what no bracket knows of."""
    none = dict.fromkeys(("paper", "gauge", "balance", "cam", "controller"))
    job = design.job.with_source(JobSource()).model_copy(
        update={**none, "job": "", "title": "", "dimensions": "single"}
    )
    return hashed("stiffness", bare.bracket, job)


def put_files(kept: KeptPart, called: str, folder: Path) -> None:
    """Write what is kept into a folder, for a job of another name perhaps."""
    for name, data in kept.files.items():
        if name.endswith(".step"):
            data = renamed(data, f"{kept.called} {Path(name).stem}", f"{called} {Path(name).stem}")
        (folder / name).write_bytes(data)


def taken(name: str, called: str, found: PartFound | AssemblyFound, folder: Path) -> KeptPart:
    """What is to be kept of a part that was just made in a folder."""
    paths = [folder / f"{name}{end}" for end in KEPT_FILES]
    return KeptPart(called, {path.name: path.read_bytes() for path in paths if path.exists()}, found)


def together(parts: list[str], found: dict[str, Any]) -> KernelResult:
    """What was found in all parts, in the order in which it is told."""
    order = [name for name in parts if name != ASIDE] + [name for name in parts if name == ASIDE]
    assembly: AssemblyFound | None = found.get(ASSEMBLY)
    judged = [finding for name in parts for finding in found[name].volume]
    judged += [finding for name in order for finding in found[name].solid]
    judged += [finding for name in parts for finding in found[name].faces_judged]
    judged += assembly.judged if assembly is not None else ()
    return KernelResult(
        {name: found[name].figures for name in order if found[name].figures is not None},
        found["wheel"].undrilled,
        meetings=None if assembly is None else assembly.meetings,
        before_readings=found["wheel"].before,
        judged=tuple(judged),
    )
