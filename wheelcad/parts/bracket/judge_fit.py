"""What the design itself says about fitting the bracket: room to what turns, belts, seat, bolts; setting: see there."""

from __future__ import annotations

from collections.abc import Iterator

from shapely.geometry import LineString

from wheelcad.codes import Check
from wheelcad.findings import Finding
from wheelcad.job.models import Belt, Job
from wheelcad.parts.bracket import clear
from wheelcad.parts.bracket.blocks import held_blocks, slide_of
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
    slide, blocks = slide_of(design), held_blocks(design)
    out = list(_turning(job, blocks, slide))
    out += _belts(job, blocks, slide)
    out += setting_findings(design)
    out += _seat(design, body)
    out += _held(design)
    return [*out, *bolt_findings(design)]


def _turning(job: Job, blocks: list[clear.Block], slide: clear.Slide) -> Iterator[Finding]:
    room = clear.least_room(blocks, clear.turning_parts(job), slide)
    if room is not None:
        why = f"least distance, between {room.what} and {room.land}, through the slots' whole travel; nose left out"
        yield ABOUT.at_least(Check.ROOM_TO_TURNING_PARTS, round(room.distance, 3), "mm", clear.AIMED, why)


def _belts(job: Job, blocks: list[clear.Block], slide: clear.Slide) -> Iterator[Finding]:
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


def _straight_runs(job: Job, belt: Belt, blocks: list[clear.Block], slide: clear.Slide) -> float | None:
    """Distance from the blocks at the belt's depth to the tangents at the ends of its arc; None where depths do
    not meet."""
    sense = job.sense
    z = pulley_front_z(job) - belt.at
    near = [b for b in blocks if b.z_low - belt.width / 2 < z < b.z_high + belt.width / 2]
    radii = [land.radius for land in rotating_lands(job) if land.name == "pulley" and land.z_back <= z <= land.z_front]
    if not near or not radii or (belt.to_deg - belt.from_deg) % 360 == 0:
        return None
    distances = []
    for angle, way in ((belt.from_deg, -1), (belt.to_deg, 1)):
        start, tangent = point_at(radii[0], angle, sense), point_at(1.0, angle + 90 * way, sense)
        line = LineString([start.tolist(), (start + clear.BELT_REACH * tangent).tolist()])
        for block in near:
            for at in (slide.low, slide.high):
                distances.append(float(clear.moved(block.polygon, slide, at).distance(line)) - clear.BELT_PROUD)
    return max(0.0, min(distances))


def _seat(design: BracketDesign, body: SensorBody) -> Iterator[Finding]:
    hole = design.hole("body")
    for number, bend in enumerate(design.bends, 1):
        if hole.x1 < bend.x_tab and number == len(design.bends):
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
        bolt, hole = design.hole("bolt"), design.hole("body")
        across = abs(bolt.y0 - hole.y0) > 1e-6
        why = (
            "the sensor's face has to lie across, so its bolt belongs beside it; a tab too narrow for that puts it "
            "along the crank, where this sensor does not read right: widen the bracket"
        )
        yield ABOUT.holds(Check.SENSES_ACROSS, across, "bolt across" if across else "bolt along", why)
