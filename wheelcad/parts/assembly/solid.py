"""The parts of a job, named and placed in the engine frame at cylinder 1 TDC. Lengths mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import cadquery as cq

from wheelcad.errors import DesignError
from wheelcad.files.brep import cut, prism, revolved
from wheelcad.job.models import Job
from wheelcad.parts.bracket.model import BracketDesign, bolt_place
from wheelcad.parts.common.openings import bolt_centres
from wheelcad.parts.common.profile import half_section
from wheelcad.parts.common.stack import as_found_lands, form_of
from wheelcad.parts.sensor.design import sensor_body, sensor_place
from wheelcad.trade.loop import Loop

STEEL, IRON, PLATE, BLACK, BRIGHT = (
    (0.72, 0.74, 0.76),
    (0.45, 0.46, 0.48),
    (0.55, 0.62, 0.68),
    (0.16, 0.16, 0.18),
    (0.80, 0.80, 0.78),
)


@dataclass(frozen=True)
class Part:
    """A named solid in the engine frame. turns: whether it turns with the crank; colour: red, green, blue, 0 to 1."""

    name: str
    solid: cq.Solid
    turns: bool
    colour: tuple[float, float, float]


def assembly_parts(job: Job, bracket: BracketDesign | None, built: Mapping[str, cq.Shape]) -> list[Part]:
    """Wheel first, then what it stands on, bracket, sensor and bolts: what the job's sections give.

    built: the parts' own shapes by name (wheel, adapter, bracket), as they were written.
    """
    out = [Part("wheel", built["wheel"].Solids()[0], True, STEEL if form_of(job) == "plate" else IRON)]
    out += _behind_the_wheel(job, built)
    if bracket is not None:
        from wheelcad.parts.bracket.solid import mount_bolt_solids

        names = ["bracket", *(f"gusset {n}" for n in range(1, len(bracket.gussets) + 1))]
        out += [Part(n, solid, False, PLATE) for n, solid in zip(names, built["bracket"].Solids(), strict=True)]
        out += [Part(name, solid, False, BRIGHT) for name, solid in mount_bolt_solids(bracket)]
    return out + _sensor(job, bracket)


def _behind_the_wheel(job: Job, built: Mapping[str, cq.Shape]) -> Iterator[Part]:
    """Adapter, and the pulley as found: only where the wheel is a plate of its own."""
    if form_of(job) != "plate":
        return
    if "adapter" in built:
        yield Part("adapter", built["adapter"].Solids()[0], True, STEEL)
    lands, pulley = as_found_lands(job), job.pulley
    if lands and pulley is not None:
        bore = pulley.bore / 2 if pulley.bore is not None else 0.0
        recess = (pulley.recess.diameter / 2, pulley.recess.depth) if pulley.recess is not None else None
        solid = revolved(half_section(lands, bore, recess))
        if pulley.bolts is not None:
            back, front = lands[-1].z_back - 1.0, lands[0].z_front + 1.0
            radius = pulley.bolts.hole / 2
            holes = [prism(Loop.circle(x, y, radius), (), back, front) for x, y in bolt_centres(job).tolist()]
            solid = cut(solid, holes, "the pulley")
        yield Part("pulley", solid, True, IRON)


def _sensor(job: Job, bracket: BracketDesign | None) -> list[Part]:
    """The sensor and what holds it; without its fasteners where there is no bracket, empty where its size is not
    given."""
    from wheelcad.parts.sensor.solid import sensor_solids

    sensor = job.sensor
    if sensor is None:
        return []
    try:
        place = sensor_place(job, sensor)
    except DesignError:  # a size is missing: without a bracket that is no fault
        return []
    at = None if bracket is None else bolt_place(bracket.holes, bracket.regions[-1].frame, place)
    thickness = 0.0 if bracket is None else bracket.thickness
    solids = sensor_solids(place, sensor_body(sensor, place), thickness, at)
    if bracket is None:
        solids = solids[:1]
    return [Part(name, solid, False, BLACK if name == "sensor" else BRIGHT) for name, solid in solids]
