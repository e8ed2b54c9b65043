"""What would stiffen a bracket most: the same job with one thing changed, on a coarse mesh. Findings only."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from wheelcad.checks.fem.model import Change, FemError
from wheelcad.checks.fem.setup import STEP, bracket_coarse_hz
from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import Asked, BracketDesign
from wheelcad.trade.bending import least_inside_radius_mm
from wheelcad.units import INCH, Written, fraction_text
from wheelcad.words import length


def inches(value: Fraction) -> Written:
    """A length, mm, that is told as a fraction of an inch."""
    return Written(float(value * INCH), f"{fraction_text(value)} in")


# What plate can be bought in, mm: common practice, no source.
METRIC_PLATE = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0, 12.0)
INCH_PLATE = tuple(inches(Fraction(n, 16)) for n in (1, 2, 3, 4, 5, 6, 8))
SAME_PLATE = 0.02  # mm: a thickness this close to a stock size is that size
WIDER = 1.25  # at least this much wider
WIDTH_STEP_MM, WIDTH_STEP_IN = 5.0, Fraction(1, 4)
TURNS_DEG = (-20.0, -10.0, 10.0, 20.0)  # how far the sensor is moved round the crank
PACKINGS_MM = (15.0, 10.0, 8.0, 6.0, 4.0)  # what the plate is packed off the block by, thickest first
SHORTER = 0.95  # a free length over the present one that is worth the change


@dataclass(frozen=True)
class Variant:
    """One change. made: the changed bracket, or the reason why there is none."""

    name: str
    what: str
    made: BracketDesign | str


def _silent(_: str) -> None:
    """Say nothing."""


def changes(design: BracketDesign, say: Callable[[str], None] = _silent) -> tuple[Change, ...]:
    """Every change that applies, the one that helps most first; those that cannot be made come last and say why.

    Each is solved on one mesh as coarse as the first of the bracket as it is, so that only the changes' effect is
    compared. `say` hears the name of each.
    """
    with tempfile.TemporaryDirectory() as folder:
        out = []
        for variant in variants(design):
            say(variant.name)
            out.append(_tried(variant, Path(folder) / STEP))
    return tuple(sorted(out, key=lambda c: (-(c.first_hz or 0.0), c.name)))


def _tried(variant: Variant, path: Path) -> Change:
    if isinstance(variant.made, str):
        return Change(variant.name, variant.what, None, variant.made)
    try:
        return Change(variant.name, variant.what, _solved(path, variant.made))
    except FemError as error:
        return Change(variant.name, variant.what, None, str(error))


def _solved(path: Path, design: BracketDesign) -> float:
    # imported here: the CAD kernel takes seconds to load, and the design's variants need none of it
    from wheelcad.files.step import write_step
    from wheelcad.parts.bracket.solid import bracket_solid

    write_step(path, bracket_solid(design), "bracket")
    return bracket_coarse_hz(path, design)


def variants(design: BracketDesign) -> Iterator[Variant]:
    """The changes that apply to this bracket, each alone."""
    asked = design.asked
    if design.bends and not asked.bracket.gusset:
        yield Variant("gusset", "bracket.gusset: yes", _made(_with(asked, gusset=True)))
    yield _thicker(asked)
    yield _wider(asked)
    yield _nearer(design)
    if design.bends:
        yield _packed(design)


def _with(asked: Asked, **changes: object) -> Job:
    return asked.job.model_copy(update={"bracket": asked.bracket.model_copy(update=changes)})


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


def _thicker(asked: Asked) -> Variant:
    plate = asked.bracket.plate
    thickness = next_plate(plate.thickness)
    radius = max(plate.inside_radius, least_inside_radius_mm(plate.material, thickness))
    what = f"bracket.plate.thickness: {length(thickness, 4)}"
    if radius > plate.inside_radius:
        what += f", inside_radius: {length(radius, 3)}"
    changed = plate.model_copy(update={"thickness": thickness, "inside_radius": radius})
    return Variant("thickness", what, _made(_with(asked, plate=changed)))


def _wider(asked: Asked) -> Variant:
    least = asked.bracket.width * WIDER
    width: float
    if asked.job.units == "in":
        width = inches(WIDTH_STEP_IN * math.ceil(round(least / inches(WIDTH_STEP_IN), 9)))
    else:
        width = WIDTH_STEP_MM * math.ceil(round(least / WIDTH_STEP_MM, 9))
    return Variant("width", f"bracket.width: {length(width, 3)}", _made(_with(asked, width=width)))


def _nearer(design: BracketDesign) -> Variant:
    """The sensor moved round the crank to where the plate is shortest."""
    job, sensor = design.asked.job, design.asked.sensor
    best: BracketDesign | None = None
    for turn in TURNS_DEG:
        moved = sensor.model_copy(update={"at": (sensor.at + turn) % 360.0})
        made = _made(job.model_copy(update={"sensor": moved}))
        if not isinstance(made, str) and (best is None or made.free_length < best.free_length):
            best = made
    if best is None or best.free_length > SHORTER * design.free_length:
        return Variant(
            "shorter-arm",
            "sensor.at",
            f"moving the sensor round by up to {max(TURNS_DEG):g} degrees makes the arm no shorter",
        )
    what = f"sensor.at: {best.asked.sensor.at:g} deg (the controller's tooth offset changes with it)"
    return Variant("shorter-arm", what, best)


def _packed(design: BracketDesign) -> Variant:
    """The plate packed off the block towards the ring, as far as it goes: a shorter tab."""
    at, reason = design.asked.bracket.mount_face, ""
    for packing in PACKINGS_MM:
        face = at + (packing if at < 0 else -packing)
        made = _made(_with(design.asked, face=face))
        if not isinstance(made, str) and made.shape == design.shape:
            what = f"bracket.mount_face: {length(face, 3)} (a packing piece of that difference on the block)"
            return Variant("shorter-tab", what, made)
        reason = made if isinstance(made, str) else "it would be a bracket of another shape"
    return Variant("shorter-tab", "bracket.mount_face", reason)
