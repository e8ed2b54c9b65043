"""A job as a scene: one mesh a part, from the design's outlines.

Parts that turn are in the wheel frame at TDC, the rest in the engine frame; the two coincide with cylinder 1 at top
dead centre. Lengths mm.

A job whose parts collide has no design, and that is when a picture is wanted most: each part is then worked out by
itself, the bracket as if nothing stood in its way.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property, partial
from typing import TypeVar

import numpy as np

from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.page import scene_fixed, scene_turned
from wheelcad.page.aside import key_of
from wheelcad.page.scene_gauge import gauge_mesh
from wheelcad.page.scene_solid import SceneMesh
from wheelcad.parts.adapter.design import AdapterDesign, design_adapter
from wheelcad.parts.blank.design import BlankDesign, design_blank
from wheelcad.parts.bracket.design import unhindered_bracket
from wheelcad.parts.bracket.model import BracketDesign, bolt_place
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.stack import as_found_lands
from wheelcad.parts.design import Design
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.places import settled
from wheelcad.parts.sensor.design import sensor_body, sensor_place
from wheelcad.parts.wheel.design import WheelDesign, design_wheel

Colour = tuple[float, float, float]
T = TypeVar("T")
IRON, STEEL, PLATE = (0.46, 0.48, 0.51), (0.66, 0.69, 0.72), (0.45, 0.58, 0.66)
DARK, BRIGHT, PRINT, BLOCK, BELT = (
    (0.2, 0.21, 0.24),
    (0.78, 0.77, 0.73),
    (0.83, 0.66, 0.36),
    (0.55, 0.5, 0.46),
    (0.25, 0.25, 0.25),
)


@dataclass(frozen=True, eq=False)
class ScenePart:
    """One part. name: its id; words: what a person calls it. turns: with the crank. colour: red, green, blue, 0 to 1.

    ghost: to be drawn see-through. shown: at first; what is hidden can be switched on.
    """

    name: str
    words: str
    make: Callable[[], SceneMesh]
    turns: bool
    colour: Colour
    ghost: bool = False
    shown: bool = True

    @cached_property
    def mesh(self) -> SceneMesh:
        """Its triangles, worked out when they are first asked for: what is hidden costs nothing."""
        return self.make()


@dataclass(frozen=True, eq=False)
class SceneMade:
    """What of a job could be worked out: any of it may be missing, and `bracket` may stand in something's way."""

    job: Job
    wheel: WheelDesign | None
    blank: BlankDesign | None
    adapter: AdapterDesign | None
    gauge: GaugeDesign | None
    bracket: BracketDesign | None
    holes: tuple[CorrectionHole, ...] = ()


def made_of(job: Job, design: Design | None) -> SceneMade:
    """The parts of a job: its design's, or where there is none each for itself."""
    if design is not None:
        return SceneMade(
            design.job, design.wheel, design.blank, design.adapter, design.gauge, design.bracket, design.balance.holes
        )
    job = _or_none(lambda: settled(job)) or job
    placed = job.bracket is None or all(m.given_x is not None and m.given_y is not None for m in job.bracket.mounts)
    return SceneMade(
        job,
        _or_none(lambda: design_wheel(job)),
        _or_none(lambda: design_blank(job)),
        _or_none(lambda: design_adapter(job)),
        None,
        _or_none(lambda: unhindered_bracket(job)) if placed else None,
    )


def _or_none(make: Callable[[], T]) -> T | None:
    try:
        return make()
    except DesignError:
        return None


def scene_parts(made: SceneMade) -> list[ScenePart]:
    """Every part that could be made, wheel first."""
    return [*_turning(made), *_standing(made)]


def _turning(made: SceneMade) -> Iterator[ScenePart]:
    wheel, turned = made.wheel, made.blank is not None
    if wheel is not None and (turned or wheel.form == "plate"):
        make = partial(_kept, scene_turned.wheel_mesh, wheel, made.blank, made.holes)
        yield ScenePart("wheel", "the wheel", make, True, IRON if turned else STEEL)
        if wheel.marks:
            yield ScenePart("marks", "the timing marks", partial(scene_turned.marks_mesh, wheel), True, DARK)
    if made.job.pulley is not None and as_found_lands(made.job):
        words = "the pulley as found" if turned else "the pulley"
        make = partial(_kept, scene_turned.found_mesh, *scene_turned.found_of(made.job, made.job.pulley))
        yield ScenePart("found", words, make, True, IRON, ghost=turned)
    if made.blank is not None:
        make = partial(_kept, scene_turned.blank_mesh, made.blank)
        yield ScenePart("blank", "the blank, before slots", make, True, IRON, shown=False)
    if made.adapter is not None:
        make = partial(_kept, scene_turned.adapter_mesh, made.adapter)
        yield ScenePart("adapter", "the adapter", make, True, STEEL)
    if made.gauge is not None:
        yield ScenePart("gauge", "the printed gauge", partial(_kept, gauge_mesh, made.gauge), True, PRINT, shown=False)


def _standing(made: SceneMade) -> Iterator[ScenePart]:
    job, bracket = made.job, made.bracket
    if bracket is not None:
        yield from _bracket(bracket)
    elif job.sensor is not None:
        sensor = job.sensor
        place = _or_none(lambda: sensor_place(job, sensor))
        if place is not None:
            make = partial(scene_fixed.sensor_mesh, sensor_body(sensor, place), place, None)
            yield ScenePart("sensor", "the sensor", make, False, DARK)
    for number, belt in enumerate(job.belts, 1):
        yield ScenePart(f"belt-{number}", f"belt {number}", partial(scene_fixed.belt_mesh, job, belt), False, BELT)


def _bracket(made: BracketDesign) -> Iterator[ScenePart]:
    """The bracket, what it bolts to, and the sensor on it."""
    t, body, place = made.thickness, made.asked.body, made.asked.place
    make = partial(_kept, scene_fixed.plate_mesh, made.regions, made.bends, made.holes, made.gussets, t)
    yield ScenePart("bracket", "the bracket", make, False, PLATE)
    if made.bends:
        flat = partial(scene_fixed.flat_mesh, made)
        yield ScenePart("flat", "the bracket's flat, before bending", flat, False, PLATE, True, False)
    face = float(min(made.regions[0].frame.points((0.0, 0.0, w))[2] for w in (0.0, t)))
    bolts = made.mount_points, made.mount_bolts, face
    make = partial(_kept, scene_fixed.mount_bolts_mesh, *bolts, t)
    yield ScenePart("mount-bolts", "the mount bolts", make, False, BRIGHT)
    make = partial(_kept, scene_fixed.block_mesh, *bolts)
    yield ScenePart("block", "the block's face", make, False, BLOCK, ghost=True)
    at = bolt_place(made.holes, made.regions[-1].frame, place)
    along = None if at is None else at - np.array(place.face)
    make = partial(_kept, scene_fixed.sensor_mesh, body, place, along)
    yield ScenePart("sensor", "the sensor", make, False, DARK)
    if body.barrel or (along is not None and body.bolt):
        make = partial(_kept, scene_fixed.fasteners_mesh, body, place, t, along)
        yield ScenePart("sensor-fasteners", "what holds the sensor", make, False, BRIGHT)


_MADE: OrderedDict[str, SceneMesh] = OrderedDict()
MADE_KEPT = 24  # meshes


def _kept(make: Callable[..., SceneMesh], *of: object) -> SceneMesh:
    """make(*of), the last few kept: an edit changes one part, the others come out the same."""
    key = f"{make.__name__} {key_of(*of)}"
    mesh = _MADE.pop(key, None)
    if mesh is None:
        mesh = make(*of)
    _MADE[key] = mesh
    while len(_MADE) > MADE_KEPT:
        _MADE.popitem(last=False)
    return mesh
