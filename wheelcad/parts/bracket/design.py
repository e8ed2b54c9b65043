"""The bracket worked out from the sensor and the mounts: every number, no solid, no file.

What cannot exist or would collide is a DesignError that names the obstacle and the distance in the way; what can be
made but is poor is a Finding of the design.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial

from wheelcad.errors import DesignError, Faults
from wheelcad.job.models import Job, Sensor
from wheelcad.parts.bracket.along_shapes import Maker, along_layouts
from wheelcad.parts.bracket.bolts import bolt_words
from wheelcad.parts.bracket.flat import hand_slits
from wheelcad.parts.bracket.flat_pattern import FlatPattern, check_nose, draw, unhindered
from wheelcad.parts.bracket.l_shape import layout_l
from wheelcad.parts.bracket.layout import body_hole, check_mount_holes
from wheelcad.parts.bracket.model import Asked, BracketDesign, Hole
from wheelcad.parts.bracket.notes import notes
from wheelcad.parts.sensor.design import USUAL_MASS, sensor_body, sensor_place
from wheelcad.trade.fits import bolt_for_hole
from wheelcad.trade.plasma import smallest_hole_mm
from wheelcad.trade.threads import nominal_mm
from wheelcad.words import length

LEAST_SIDE = 0.5  # of the thickness: least plate at each side of the sensor's body, or there is no tab


def design_bracket(job: Job) -> BracketDesign | None:
    """The bracket of the job; None without a bracket or a sensor section.

    DesignError when it cannot exist, cannot reach or would collide, with the key and the distance in the way.
    """
    if job.sensor is None:
        return None
    if job.bracket is None:
        _check_alone(job, job.sensor)
        return None
    place = sensor_place(job, job.sensor)
    asked = Asked(job, job.bracket, job.sensor, place, sensor_body(job.sensor, place))
    faults = Faults()
    check_mount_holes(job.bracket, faults)
    _check_width(asked, faults)
    check_nose(job, job.sensor, place, faults)
    faults.raise_if_any()
    return _numbers(asked, _first_that_works(asked))


def unhindered_bracket(job: Job) -> BracketDesign | None:
    """The bracket as the job asks for it though it may collide: for showing where. None where nothing can be drawn."""
    if job.bracket is None or job.sensor is None:
        return None
    place = sensor_place(job, job.sensor)
    asked = Asked(job, job.bracket, job.sensor, place, sensor_body(job.sensor, place))
    for maker in _makers(asked):
        with suppress(DesignError):
            return _numbers(asked, unhindered(asked, maker))
    return None


def _check_alone(job: Job, sensor: Sensor) -> None:
    """A sensor that no bracket of ours carries still needs its room, where the job says how large it is."""
    if sensor.nose_length is None or (sensor.body_diameter is None and sensor.thread is None):
        return
    faults = Faults()
    check_nose(job, sensor, sensor_place(job, sensor), faults)
    faults.raise_if_any()


def _check_width(asked: Asked, faults: Faults) -> None:
    hole, width = body_hole(asked.body), asked.bracket.width
    least = hole + 2 * LEAST_SIDE * asked.bracket.plate.thickness
    if width < least:
        why = f"leaves no plate beside the sensor's hole of {length(hole, 1)}"
        faults.add(("bracket", "width"), why, found=length(width), allowed=f"{length(least, 1)} or more")


def _makers(asked: Asked) -> Iterator[Maker]:
    if asked.sensor.looks == "in":
        yield partial(layout_l, asked)
    else:
        yield from along_layouts(asked)


def _first_that_works(asked: Asked) -> FlatPattern:
    """The first layout that can be drawn and keeps clear of everything; else the first one's trouble is raised."""
    trouble: DesignError | None = None
    for maker in _makers(asked):
        try:
            return draw(asked, maker)
        except DesignError as error:
            trouble = trouble or error
    assert trouble is not None
    raise trouble


def _numbers(asked: Asked, drawn: FlatPattern) -> BracketDesign:
    """Everything that follows once the outline is drawn."""
    bracket, sensor, plasma = asked.bracket, asked.sensor, asked.job.shop.plasma
    t, layout = bracket.plate.thickness, drawn.layout
    holes = _marked((*layout.tab_holes, *layout.mounts), None if plasma is None else smallest_hole_mm(t))
    made = BracketDesign(
        asked=asked,
        shape=layout.shape,
        thickness=t,
        width=bracket.width,
        material=bracket.plate.material,
        outline=drawn.outline,
        regions=drawn.regions,
        bends=layout.bends,
        holes=holes,
        slits=tuple(hand_slits(layout, t)) if bracket.bends == "hand" else (),
        gussets=drawn.gussets,
        bend_marks=plasma is not None and plasma.bend_marks,
        compensate_kerf=plasma.kerf if plasma is not None and plasma.compensate else 0.0,
        mount_points=tuple((mount.x, mount.y) for mount in bracket.mounts),
        mount_bolts=tuple(
            nominal_mm(m.thread) if m.thread else bolt_for_hole(m.hole) or m.hole for m in bracket.mounts
        ),
        slide=layout.slide,
        gap=sensor.air_gap,
        sensor_mass_kg=sensor.mass if sensor.mass is not None else USUAL_MASS,
        notes=notes(asked, drawn, holes),
    )
    *said, last = made.notes
    return replace(made, notes=(*said, *bolt_words(made), last))


def _marked(holes: Sequence[Hole], least: float | None) -> tuple[Hole, ...]:
    """The holes, those narrower than the least that the plasma table cuts turned into centre marks for a drill."""
    if least is None:
        return tuple(holes)
    return tuple(replace(hole, drill=hole.diameter < least) for hole in holes)
