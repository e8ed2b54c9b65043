"""The bracket worked out from the sensor and the mounts: every number, no solid, no file.

What cannot exist or would collide is a DesignError that names the obstacle and the distance in the way; what can be
made but is poor is a Finding of the design.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from wheelcad.errors import DesignError, Fault, Faults
from wheelcad.job.models import Bracket, Job, Sensor
from wheelcad.parts.bracket.along_shapes import Maker, along_layouts
from wheelcad.parts.bracket.drawn import Drawn, check_nose, draw
from wheelcad.parts.bracket.flat import hand_slits
from wheelcad.parts.bracket.judge import judged
from wheelcad.parts.bracket.l_shape import layout_l
from wheelcad.parts.bracket.layout import body_hole, check_mount_holes
from wheelcad.parts.bracket.model import BracketDesign, Hole
from wheelcad.parts.bracket.notes import with_notes
from wheelcad.parts.bracket.stiffness import first_frequency
from wheelcad.parts.sensor.design import USUAL_MASS, SensorBody, SensorPlace, nominal_of, sensor_body, sensor_place
from wheelcad.trade.fits import bolt_for_hole
from wheelcad.trade.loop import Loop
from wheelcad.trade.materials import material
from wheelcad.trade.plasma import smallest_hole_mm

LEAST_SIDE = 0.5  # of the thickness: least plate at each side of the sensor's body, or there is no tab
MILLIMETRES = re.compile(r"(-?\d+(?:\.\d+)?) mm\b")
TRIES = 40  # ways of laying a bracket out that are tried before giving up


@dataclass(frozen=True)
class _Sensor:
    """The sensor's own figures, kept together."""

    place: SensorPlace
    body: SensorBody


def design_bracket(job: Job) -> BracketDesign | None:
    """The bracket of the job; None without a bracket or a sensor section.

    DesignError when it cannot exist, cannot reach or would collide, with the key and the distance in the way.
    """
    if job.bracket is None or job.sensor is None:
        return None
    try:
        return _worked_out(job)
    except DesignError as error:
        raise DesignError(_said_in(job.units, fault) for fault in error.faults) from None


def _said_in(units: str, fault: Fault) -> Fault:
    """The fault with its millimetres said in the unit the job is written in."""
    if units != "in":
        return fault

    def said(text: str) -> str:
        return MILLIMETRES.sub(lambda found: f"{float(found[1]) / 25.4:.3f} in", text)

    words = (said(text) for text in (fault.message, fault.found, fault.allowed, fault.hint))
    message, found, allowed, hint = words
    return replace(fault, message=message, found=found, allowed=allowed, hint=hint)


def _worked_out(job: Job) -> BracketDesign:
    assert job.bracket is not None
    assert job.sensor is not None
    sensor = _Sensor(sensor_place(job), sensor_body(job.sensor))
    faults = Faults()
    check_mount_holes(job, faults)
    _check_width(job.bracket, sensor.body, faults)
    check_nose(job, sensor.place, faults)
    faults.raise_if_any()
    drawn = _first_that_works(job, sensor)
    design = _numbers(job, job.bracket, job.sensor, sensor.place, drawn)
    design = replace(design, findings=tuple(judged(job, design, sensor.place, sensor.body)))
    return with_notes(design, job, sensor.body)


def _check_width(bracket: Bracket, body: SensorBody, faults: Faults) -> None:
    least = body_hole(body) + 2 * LEAST_SIDE * bracket.plate.thickness
    if bracket.width < least:
        faults.add(
            ("bracket", "width"),
            f"leaves no plate beside the sensor's hole of {body_hole(body):.1f} mm",
            found=f"{bracket.width:.2f} mm",
            allowed=f"{least:.1f} mm or more",
        )


def _makers(job: Job, sensor: _Sensor) -> Iterator[Maker]:
    assert job.sensor is not None
    if job.sensor.looks == "in":
        yield partial(layout_l, job, sensor.place, sensor.body)
    else:
        yield from along_layouts(job, sensor.place, sensor.body)


def _first_that_works(job: Job, sensor: _Sensor) -> Drawn:
    """The first layout that can be drawn and keeps clear of everything; else the first one's trouble is raised."""
    trouble: DesignError | None = None
    for number, maker in enumerate(_makers(job, sensor)):
        if number >= TRIES:
            break
        try:
            return draw(job, sensor.place, sensor.body, maker)
        except DesignError as error:
            trouble = trouble or error
    assert trouble is not None
    raise trouble


def _numbers(job: Job, bracket: Bracket, sensor: Sensor, place: SensorPlace, drawn: Drawn) -> BracketDesign:
    """Everything that follows once the outline is drawn, findings and notes left open."""
    t, layout = bracket.plate.thickness, drawn.layout
    plasma = job.shop.plasma
    x0, y0, x1, y1 = drawn.outline.bounds()
    design = BracketDesign(
        shape=layout.shape,
        thickness=t,
        width=bracket.width,
        material=bracket.plate.material,
        density_kg_m3=material(bracket.plate.material).density_kg_m3,
        outline=drawn.outline,
        regions=drawn.regions,
        bends=layout.bends,
        holes=_marked(job, (*layout.tab_holes, *layout.mounts), t),
        slits=hand_slits(layout, t) if bracket.bends == "hand" else (),
        gussets=drawn.gussets,
        hand_bent=bracket.bends == "hand",
        bend_marks=plasma is not None and plasma.bend_marks,
        compensate_kerf=plasma.kerf if plasma is not None and plasma.compensate else 0.0,
        face=place.face,
        look=place.look,
        nose_length=place.nose_length,
        wheel_at=(job.wheel.outside_diameter if sensor.looks == "in" else job.wheel.thickness) / 2,
        ring_half=job.wheel.thickness / 2,
        mount_points=tuple((mount.x, mount.y) for mount in bracket.mounts),
        mount_bolts=tuple(
            nominal_of(m.thread) if m.thread else bolt_for_hole(m.hole) or m.hole for m in bracket.mounts
        ),
        slide=(layout.slide.x, layout.slide.y, 0.0),
        travel_from=layout.slide.low,
        travel_to=layout.slide.high,
        gap=sensor.air_gap,
        mass_kg=0.0,
        flat_size=(x1 - x0, y1 - y0),
        sensor_mass_kg=sensor.mass if sensor.mass is not None else USUAL_MASS,
        first_frequency_hz=0.0,
        frequency_method="",
    )
    gussets = sum(_volume(gusset.loop, gusset.thickness) for gusset in drawn.gussets)
    design = replace(design, mass_kg=(design.folded_volume + gussets) * design.density_kg_m3 * 1e-9)
    hz, method = first_frequency(design)
    return replace(design, first_frequency_hz=hz, frequency_method=method)


def _volume(loop: Loop, thickness: float) -> float:
    return abs(loop.area) * thickness


def _marked(job: Job, holes: Sequence[Hole], thickness: float) -> tuple[Hole, ...]:
    """The holes, those too small for the plasma table turned into centre marks for a drill."""
    if job.shop.plasma is None:
        return tuple(holes)
    least = smallest_hole_mm(thickness)
    return tuple(replace(hole, drill=hole.diameter < least) for hole in holes)
