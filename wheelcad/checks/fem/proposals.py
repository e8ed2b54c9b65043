"""What would mend a bracket that shakes: changes to the job, alone and together. Findings only.

The first frequency of each single change is found on a coarse mesh, held the softer way. What they come to, alone and
together, is reckoned by the reduced model of one number each, the ratio of frequencies, multiplied; the cheapest that
are enough by that are then solved whole, in both clampings and shaken. Two are solved at a time, one in a fork.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from wheelcad.checks.fem.model import BracketChange, FemError
from wheelcad.checks.fem.setup import STEP, CoarseBracket, setup, wide_washer_mm
from wheelcad.errors import DesignError
from wheelcad.files.folder import scratch
from wheelcad.job.models import Job
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.judge import bend_distance, outline_distance
from wheelcad.parts.bracket.model import Asked, BracketDesign
from wheelcad.processes import beside
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


# What each costs, in the order a home shop would try them; common practice, no source.
COSTS = {"washer": 1.0, "shorter-tab": 2.0, "thickness": 3.0, "width": 4.0, "gusset": 5.0, "thickness-twice": 5.5}
COSTS["thickness-thrice"] = 6.0
COSTS["shorter-arm"] = 7.0  # the timing is set anew
THICKER = ("thickness", "thickness-twice", "thickness-thrice")  # by so many stock sizes; one of them at a time


@dataclass(frozen=True)
class Variant:
    """One change, or several. made: the changed bracket, or the reason why there is none; wide: with wide washers."""

    name: str
    what: str
    made: BracketDesign | str
    wide: bool = False

    @property
    def cost(self) -> float:
        """What orders changes."""
        return sum(COSTS[name] for name in self.name.split("+"))


def _always(_: float) -> bool:
    """Solve it whole."""
    return True


def changes(design: BracketDesign, enough: Callable[[float], bool]) -> tuple[BracketChange, ...]:
    """Every single change that applies, the one that helps most first; those that cannot be made come last and say why.

    The first frequency of each is found on a coarse mesh, to be held against that of the bracket as it is on as coarse
    a one; what is `enough` by that frequency, Hz, is solved whole.
    """
    made = list(variants(design))
    with scratch() as folder:
        # written here: a fork of a process whose CAD kernel has worked must not ask that kernel for more
        places = [_written(folder / f"{n}.step", variant) for n, variant in enumerate(made)]
        work = [pair for pair in zip(made, places, strict=True) if pair[1] is not None]
        with _queue(len(work)) as shared:
            other = beside(lambda: [_looked_into(*work[n], enough) for n in shared()])
            own = [_looked_into(*work[n], enough) for n in shared()]
            found = [*own, *other()]
    found += [_not_made(variant) for variant, place in zip(made, places, strict=True) if place is None]
    return tuple(sorted(found, key=lambda one: (-(one.first_hz or 0.0), one.name)))


@contextmanager
def _queue(count: int) -> Iterator[Callable[[], Iterator[int]]]:
    """The numbers below count, each handed out once to whichever process asks first: this one or its forks."""
    reading, writing = os.pipe()
    os.write(writing, bytes(range(count)))
    os.close(writing)

    def taken() -> Iterator[int]:
        while one := os.read(reading, 1):
            yield one[0]

    try:
        yield taken
    finally:
        os.close(reading)


def tried(variant: Variant) -> BracketChange:
    """A change solved whole, or the reason why it cannot be."""
    with scratch() as folder:
        return _looked_into(variant, _written(folder / STEP, variant), _always)


def _written(path: Path, variant: Variant) -> Path | None:
    """The changed bracket in a file; None where there is none."""
    if isinstance(variant.made, str):
        return None
    _write(path, variant.made)
    return path


def _not_made(variant: Variant, why: str = "") -> BracketChange:
    reason = why or (variant.made if isinstance(variant.made, str) else "")
    return BracketChange(variant.name, variant.what, None, reason, cost=variant.cost)


def _looked_into(variant: Variant, path: Path | None, enough: Callable[[float], bool]) -> BracketChange:
    """The change in a file: its first frequency, and all the rest where that is enough."""
    if path is None or isinstance(variant.made, str):
        return _not_made(variant)
    try:
        bracket = CoarseBracket(path, setup(variant.made, variant.wide))
        hz = bracket.first_hz()
        held = bracket.held()[0] if enough(hz) else ()
    except FemError as error:
        return _not_made(variant, str(error))
    except Exception as error:  # libraries raise bare ones: one change that fails must not take the others with it
        return _not_made(variant, f"it could not be solved: {error}")
    return BracketChange(variant.name, variant.what, hz, "", held, variant.cost)


def meshed(design: BracketDesign) -> CoarseBracket:
    """A bracket on a coarse mesh. Raises FemError."""
    with scratch() as folder:
        _write(folder / STEP, design)
        return CoarseBracket(folder / STEP, setup(design))


def _write(path: Path, design: BracketDesign) -> None:
    # imported here: the CAD kernel takes seconds to load, and the design's variants need none of it
    from wheelcad.files.step import write_step
    from wheelcad.parts.bracket.solid import bracket_solid

    write_step(path, bracket_solid(design), "bracket")


def variants(design: BracketDesign) -> Iterator[Variant]:
    """The changes that apply to this bracket, each alone."""
    for name in edits(design):
        yield combined(design, (name,))


def edits(design: BracketDesign) -> tuple[str, ...]:
    """Names of the single changes that apply."""
    names = ["gusset"] if design.bends and not design.asked.bracket.gusset else []
    names += [*THICKER, "width", "shorter-arm"]
    return (*names, "shorter-tab", "washer") if design.bends else (*names, "washer")


def combined(design: BracketDesign, names: tuple[str, ...]) -> Variant:
    """Those changes to a bracket together, in the order in which they depend on each other."""
    made, said, wide = design, [], False
    for name in sorted(names, key=list(MAKERS).index):
        step = MAKERS[name](made)
        wide = wide or name == "washer"
        said.append(step.what)
        if isinstance(step.made, str):
            return Variant("+".join(names), " and ".join(said), step.made)
        made = step.made
    return Variant("+".join(names), " and ".join(said), made, wide)


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


def _gusset(design: BracketDesign) -> Variant:
    return Variant("gusset", "bracket.gusset: yes", _made(_with(design.asked, gusset=True)))


def _washers(design: BracketDesign) -> Variant:
    """Wide washers under the bolts and on the block's face: only where they lie flat on plate all round."""
    what = ""
    for mount, hole in zip(design.asked.bracket.mounts, design.mounts, strict=True):
        radius = wide_washer_mm(mount) / 2
        what = (
            f"washers of {length(2 * radius)}, as thick as the plate, under the mount bolts' heads and behind the "
            "plate (the face moves by them)"
        )
        edge = outline_distance(design, hole) + hole.diameter / 2
        bend = min((bend_distance(hole, bend) + hole.diameter / 2 for bend in design.bends), default=math.inf)
        if min(edge, bend) < radius:
            return Variant("washer", what, f"{hole.name} has only {length(min(edge, bend))} of plate from its centre")
    return Variant("washer", what, design, True)


def next_plate(thickness: float) -> float:
    """The next stock thickness up, mm, in the series the present one belongs to; half as much again beyond its end."""
    inch = any(abs(thickness - size) < SAME_PLATE for size in INCH_PLATE)
    series = INCH_PLATE if inch else METRIC_PLATE  # no size is in both
    return next((size for size in series if size > thickness + SAME_PLATE), 1.5 * thickness)


def _thicker(design: BracketDesign, times: int = 1) -> Variant:
    asked = design.asked
    plate = asked.bracket.plate
    thickness = plate.thickness
    for _ in range(times):
        thickness = next_plate(thickness)
    radius = max(plate.inside_radius, least_inside_radius_mm(plate.material, thickness))
    what = f"bracket.plate.thickness: {length(thickness, 4)}"
    if radius > plate.inside_radius:
        what += f", inside_radius: {length(radius, 3)}"
    changed = plate.model_copy(update={"thickness": thickness, "inside_radius": radius})
    return Variant(THICKER[times - 1], what, _made(_with(asked, plate=changed)))


def _wider(design: BracketDesign) -> Variant:
    asked = design.asked
    least = asked.bracket.width * WIDER
    width: float
    if asked.job.units == "in":
        width = inches(WIDTH_STEP_IN * math.ceil(round(least / inches(WIDTH_STEP_IN), 9)))
    else:
        width = WIDTH_STEP_MM * math.ceil(round(least / WIDTH_STEP_MM, 9))
    return Variant("width", f"bracket.width: {length(width, 3)}", _made(_with(asked, width=width)))


def _nearer(design: BracketDesign) -> Variant:
    """The sensor moved round the crank to where the plate is shortest."""
    plain = _with(design.asked, gusset=False)  # which takes the most time to place, and makes no arm shorter
    now = design.asked.sensor.at
    lengths: list[tuple[float, float]] = []
    for turn in TURNS_DEG:
        made = _made(plain.with_sensor_at(now + turn))
        if not isinstance(made, str) and made.free_length <= SHORTER * design.free_length:
            lengths.append((made.free_length, turn))
    whole = (_made(design.asked.job.with_sensor_at(now + turn)) for _, turn in sorted(lengths))
    best = next((made for made in whole if not isinstance(made, str)), None)
    if best is None:
        return Variant(
            "shorter-arm",
            "sensor.at",
            f"moving the sensor round by up to {max(TURNS_DEG):g} degrees makes the arm no shorter",
        )
    what = f"sensor.at: {best.asked.sensor.at:g} deg (the controller's tooth offset changes with it)"
    return Variant("shorter-arm", what, best)


def _packed(design: BracketDesign) -> Variant:
    """The plate packed off the block towards the ring, as far as it goes: a shorter tab."""
    if design.asked.bracket.plate_back >= 0:
        return Variant("shorter-tab", "bracket.packing", "packing takes a plate in front of the ring further from it")
    reason = ""
    for more in PACKINGS_MM:
        packing = design.asked.bracket.packing + more
        made = _made(_with(design.asked, packing=packing))
        if not isinstance(made, str) and made.shape == design.shape:
            return Variant("shorter-tab", f"bracket.packing: {length(packing, 3)}", made)
        reason = made if isinstance(made, str) else "it would be a bracket of another shape"
    return Variant("shorter-tab", "bracket.packing", reason)


MAKERS: dict[str, Callable[[BracketDesign], Variant]] = {
    "shorter-arm": _nearer,
    "thickness": _thicker,
    "thickness-twice": lambda design: _thicker(design, 2),
    "thickness-thrice": lambda design: _thicker(design, 3),
    "width": _wider,
    "shorter-tab": _packed,
    "gusset": _gusset,
    "washer": _washers,
}
