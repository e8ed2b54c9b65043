"""What the design itself says about fitting the bracket: room to what turns, belts, seat, bolts; setting: see there."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from shapely.geometry import LineString

from wheelcad.codes import Check
from wheelcad.findings import Finding
from wheelcad.job.models import Belt, Job
from wheelcad.parts.bracket import clear
from wheelcad.parts.bracket.blocks import held_blocks
from wheelcad.parts.bracket.bolts import bolt_findings
from wheelcad.parts.bracket.model import ABOUT, BracketDesign
from wheelcad.parts.bracket.setting import setting_findings
from wheelcad.parts.common.stack import pulley_front_z, rotating_lands
from wheelcad.parts.sensor.design import SensorBody
from wheelcad.trade.frames import point_at
from wheelcad.words import length


def fit_findings(design: BracketDesign) -> list[Finding]:
    """Every finding about fitting."""
    job, body = design.asked.job, design.asked.body
    slide, blocks = design.slide, held_blocks(design)
    out = list(_turning(job, blocks, slide))
    out += _belts(job, blocks, slide)
    out += setting_findings(design)
    out += _seat(design, body)
    out += _held(design)
    return [*out, *bolt_findings(design)]


def _turning(job: Job, blocks: list[clear.Bulk], slide: clear.Slide) -> Iterator[Finding]:
    room = clear.least_room(blocks, clear.turning_parts(job), slide)
    if room is not None:
        why = f"least distance, between {room.what} and {room.land}, through the slots' whole travel; nose left out"
        yield ABOUT.at_least(Check.ROOM_TO_TURNING_PARTS, round(room.distance, 3), "mm", clear.AIMED, why)


def _belts(job: Job, blocks: list[clear.Bulk], slide: clear.Slide) -> Iterator[Finding]:
    belts = job.belts
    if job.pulley is not None and not belts:
        why = (
            "without pulley.belts nothing is known of where belts run: hold a straight edge along them before "
            "cutting plate"
        )
        yield ABOUT.holds(Check.BELT_LINE, False, "no belts in the job", why)
        return
    room = clear.belt_room(job, blocks, slide)
    if room is not None:
        why = f"least distance between {room.what} and {room.land}'s arc, where their depths meet"
        yield ABOUT.at_least(Check.ROOM_TO_BELT, round(room.distance, 3), "mm", clear.AIMED, why)
    for number, belt in enumerate(belts, 1):
        run = _straight_runs(job, belt, blocks, slide)
        if run is not None:
            why = (
                "distance to the straight runs if the belt leaves the pulley along the tangents at the ends of its "
                "arc; look at the real belt"
            )
            yield ABOUT.of(f"belt {number}").at_least(Check.ROOM_TO_BELT_RUN, round(run, 3), "mm", clear.AIMED, why)


def _straight_runs(job: Job, belt: Belt, blocks: list[clear.Bulk], slide: clear.Slide) -> float | None:
    """Distance from the blocks at the belt's depth to the tangents at the ends of its arc; None where depths do
    not meet."""
    sense = job.sense
    z = pulley_front_z(job) - belt.at
    near = [b for b in blocks if b.z_low - belt.width / 2 < z < b.z_high + belt.width / 2]
    radii = [land.radius for land in rotating_lands(job) if land.name == "pulley" and land.z_back <= z <= land.z_front]
    if not near or not radii or (belt.to_deg - belt.from_deg) % 360 == 0:
        return None
    distances = []
    for angle, square in ((belt.from_deg, -90.0), (belt.to_deg, 90.0)):
        start, tangent = point_at(radii[0], angle, sense), point_at(1.0, angle + square, sense)
        line = LineString([start.tolist(), (start + clear.BELT_REACH * tangent).tolist()])
        for block in near:
            for at in (slide.low, slide.high):
                distances.append(float(clear.moved(block.polygon, slide, at).distance(line)) - clear.BELT_PROUD)
    return max(0.0, min(distances))


def _seat(design: BracketDesign, body: SensorBody) -> Iterator[Finding]:
    hole = design.hole("body")
    for bend in design.bends[-1:]:
        flat = bend.x_tab - max(hole.x0, hole.x1)
        why = (
            "flat plate from the sensor's axis to the bend; a flange or nut that reaches further sits on the "
            f"bend's curve (flange or nut taken as {length(2 * body.flange_radius, 1)} across)"
        )
        yield ABOUT.at_least(Check.FLANGE_SEAT, round(flat, 3), "mm", round(body.flange_radius, 3), why)


def _held(design: BracketDesign) -> Iterator[Finding]:
    sensor = design.asked.sensor
    if sensor.bolt is None and sensor.thread is None:
        why = "only the body's hole is made: nothing in the job says how the sensor is held"
        yield ABOUT.holds(Check.SENSOR_FIXING, False, "neither bolt nor thread given", why)
    if sensor.senses == "across" and sensor.bolt is not None:
        across = _lies_across(design)
        why = (
            "the sensor's face has to lie across, so its bolt belongs beside it, square to the teeth's edges: turned "
            "by a quarter, this sensor does not read right"
        )
        yield ABOUT.holds(Check.SENSES_ACROSS, across, "bolt across" if across else "bolt along", why)


def _lies_across(design: BracketDesign) -> bool:
    """Whether the bolt lies beside the sensor's axis, square to the teeth's edges: along the crank at the rim, radial
    on the side face."""
    place = design.asked.place
    to_bolt = np.subtract(design.hole("bolt").middle, design.hole("body").middle)
    way = to_bolt @ design.regions[-1].frame.axes[:2]
    along_edge = way @ place.out if place.look[2] else way[2]
    return abs(float(along_edge)) < 1e-6
