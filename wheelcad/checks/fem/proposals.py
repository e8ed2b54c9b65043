"""What would stiffen a bracket most: the same job with one thing changed, on a coarse mesh. Findings only."""

from __future__ import annotations

import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from wheelcad.checks.fem.model import Change, FemError
from wheelcad.checks.fem.setup import STEP, bracket_coarse_hz
from wheelcad.errors import DesignError
from wheelcad.job.models import Bracket, Job
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.stiffness import free_length
from wheelcad.trade.bending import least_inside_radius_mm
from wheelcad.units import length_text

INCH = 25.4
# What plate can be bought in, mm: common practice, no source.
METRIC_PLATE = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)
INCH_PLATE = tuple(INCH * n / 16 for n in (1, 2, 3, 4, 5, 6, 8))
SAME_PLATE = 0.02  # mm: a thickness this close to a stock size is that size
WIDER = 1.25  # at least this much wider
WIDTH_STEP = {"mm": 5.0, "in": INCH / 4}
TURNS_DEG = (-20.0, -10.0, 10.0, 20.0)  # how far the sensor is moved round the crank
PACKINGS_MM = (15.0, 10.0, 8.0, 6.0, 4.0)  # what the plate is packed off the block by, thickest first
SHORTER = 0.95  # a free length over the present one that is worth the change


@dataclass(frozen=True)
class Variant:
    """One change. made: the changed job and its bracket, or the reason why there is none."""

    name: str
    what: str
    made: tuple[Job, BracketDesign] | str


def _silent(_: str) -> None:
    """Say nothing."""


def changes(design: BracketDesign, job: Job, say: Callable[[str], None] = _silent) -> tuple[Change, ...]:
    """Every change that applies, the one that helps most first; those that cannot be made come last and say why.

    Each is solved on one mesh as coarse as the first of the bracket as it is, so that only the changes' effect is
    compared. `say` hears the name of each.
    """
    with tempfile.TemporaryDirectory() as folder:
        out = []
        for variant in variants(design, job):
            say(variant.name)
            out.append(_tried(variant, Path(folder) / STEP))
    return tuple(sorted(out, key=lambda c: (-(c.first_hz or 0.0), c.name)))


def _tried(variant: Variant, path: Path) -> Change:
    if isinstance(variant.made, str):
        return Change(variant.name, variant.what, None, variant.made)
    job, design = variant.made
    try:
        return Change(variant.name, variant.what, _solved(path, design, job))
    except FemError as error:
        return Change(variant.name, variant.what, None, str(error))


def _solved(path: Path, design: BracketDesign, job: Job) -> float:
    # imported here: the CAD kernel takes seconds to load, and the design's variants need none of it
    from wheelcad.files.step import write_step
    from wheelcad.parts.bracket.solid import bracket_solid

    write_step(path, bracket_solid(design), "bracket")
    return bracket_coarse_hz(path, design, job)


def variants(design: BracketDesign, job: Job) -> Iterator[Variant]:
    """The changes that apply to this bracket, each alone."""
    bracket = job.bracket
    assert bracket is not None
    if design.bends and not bracket.gusset:
        yield _variant("gusset", "bracket.gusset: yes", _with(job, gusset=True))
    yield _thicker(job, bracket)
    yield _wider(job, bracket)
    yield _nearer(design, job)
    if design.bends:
        yield _packed(design, job, bracket)


def _with(job: Job, **changes: object) -> Job:
    assert job.bracket is not None
    return job.model_copy(update={"bracket": job.bracket.model_copy(update=changes)})


def _variant(name: str, what: str, job: Job) -> Variant:
    made = _made(job)
    return Variant(name, what, made if isinstance(made, str) else (job, made))


def _made(job: Job) -> BracketDesign | str:
    """The bracket, or the first reason why it cannot be."""
    try:
        design = design_bracket(job)
    except DesignError as error:
        fault = error.faults[0]
        return f"{fault.dotted} {fault.message}"
    assert design is not None
    return design


def next_plate(thickness: float) -> float:
    """The next stock thickness up, mm, in the series the present one belongs to; half as much again beyond its end."""
    inch = any(abs(thickness - size) < SAME_PLATE for size in INCH_PLATE)
    metric = any(abs(thickness - size) < SAME_PLATE for size in METRIC_PLATE)
    series = INCH_PLATE if inch and not metric else METRIC_PLATE
    return next((size for size in series if size > thickness + SAME_PLATE), 1.5 * thickness)


def _thicker(job: Job, bracket: Bracket) -> Variant:
    plate = bracket.plate
    thickness = next_plate(plate.thickness)
    radius = max(plate.inside_radius, least_inside_radius_mm(plate.material, thickness))
    what = f"bracket.plate.thickness: {length_text(thickness, job.units)}"
    if radius > plate.inside_radius:
        what += f", inside_radius: {length_text(radius, job.units)}"
    changed = plate.model_copy(update={"thickness": thickness, "inside_radius": radius})
    return _variant("thickness", what, _with(job, plate=changed))


def _wider(job: Job, bracket: Bracket) -> Variant:
    step = WIDTH_STEP[job.units]
    width = step * -(-bracket.width * WIDER // step)
    return _variant("width", f"bracket.width: {length_text(width, job.units)}", _with(job, width=width))


def _nearer(design: BracketDesign, job: Job) -> Variant:
    """The sensor moved round the crank to where the plate is shortest."""
    assert job.sensor is not None
    best: tuple[float, float, Job, BracketDesign] | None = None
    for turn in TURNS_DEG:
        at = (job.sensor.at + turn) % 360.0
        changed = job.model_copy(update={"sensor": job.sensor.model_copy(update={"at": at})})
        made = _made(changed)
        if not isinstance(made, str) and (best is None or free_length(made) < best[0]):
            best = free_length(made), at, changed, made
    if best is None or best[0] > SHORTER * free_length(design):
        return Variant(
            "shorter-arm",
            "sensor.at",
            f"moving the sensor round by up to {max(TURNS_DEG):g} degrees makes the arm no shorter",
        )
    what = f"sensor.at: {best[1]:g} deg (the controller's tooth offset changes with it)"
    return Variant("shorter-arm", what, (best[2], best[3]))


def _packed(design: BracketDesign, job: Job, bracket: Bracket) -> Variant:
    """The plate packed off the block towards the ring, as far as it goes: a shorter tab."""
    side = 1.0 if bracket.mount_face < 0 else -1.0
    reasons: Sequence[str] = ()
    for packing in PACKINGS_MM:
        changed = _with(job, face=bracket.mount_face + side * packing)
        made = _made(changed)
        if not isinstance(made, str) and made.shape == design.shape:
            what = f"bracket.mount_face: {length_text(bracket.mount_face + side * packing, job.units)}"
            return Variant("shorter-tab", f"{what} (a packing piece of that difference on the block)", (changed, made))
        reasons = [made if isinstance(made, str) else "it would be a bracket of another shape"]
    return Variant("shorter-tab", "bracket.mount_face", reasons[0])
