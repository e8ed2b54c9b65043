"""Room between the bracket and the things in its way, and what would make room where there is too little.

A thing is taken as a cylinder round its point, along the crank, from the block out to its z: what stands behind it is
as much in the way. Sensor's nose and nut belong to the bracket; its lead does not. Lengths in mm, engine frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from shapely.geometry import Point

from wheelcad.codes import Check
from wheelcad.errors import DesignError
from wheelcad.findings import Finding, Verdict
from wheelcad.job.models import Job
from wheelcad.job.stationary import Obstacle
from wheelcad.parts.bracket import clear
from wheelcad.parts.bracket.blocks import held_blocks, nose_blocks
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import ABOUT, BracketDesign
from wheelcad.words import angle, length

TURNS_DEG = tuple(sign * by for by in (3, 6, 10, 15, 20, 30) for sign in (1, -1))  # of the sensor, nearest first
NARROWER = (0.9, 0.8, 0.7)  # widths that are tried, as shares of the job's


def room_to(thing: Obstacle, blocks: Sequence[clear.Bulk], slide: clear.Slide) -> clear.LeastRoom:
    """The least distance to a thing through the slots' travel; negative by how far it would have to move aside."""
    middle = Point(thing.x, thing.y)
    best: clear.LeastRoom | None = None
    for block in blocks:
        along = block.z_low - thing.z
        # the block slides to and fro on a line, so that its ends and the middle tell it all but for a hair
        across = min(
            float(clear.moved(block.polygon, slide, at).distance(middle)) for at in (slide.low, 0.0, slide.high)
        )
        across -= thing.radius
        apart = math.hypot(max(across, 0.0), max(along, 0.0)) + min(max(across, along), 0.0)
        if best is None or apart < best.distance:
            best = clear.LeastRoom(block.what, thing.name, apart)
    assert best is not None
    return best


def least_of(design: BracketDesign) -> tuple[clear.LeastRoom, ...]:
    """The room to each thing of the job, in its order."""
    blocks, slide = [*held_blocks(design), *nose_blocks(design.asked.place)], design.slide
    return tuple(room_to(thing, blocks, slide) for thing in design.asked.bracket.obstacles)


def obstacle_findings(design: BracketDesign) -> Iterator[Finding]:
    """A finding for each thing: warned below what is aimed at, failed where it touches."""
    rooms = least_of(design)
    mended = mending(design) if any(room.distance < clear.AIMED for room in rooms) else ""
    for room in rooms:
        verdict: Verdict = "pass"
        if room.distance < clear.AIMED:
            verdict = "fail" if room.distance < clear.LEAST else "warn"
        why = f"least distance between {room.what} and {room.land}, through the slots' whole travel"
        if room.distance <= 0:
            why = f"{room.what} runs into {room.land}, through the slots' whole travel: {room.words}"
        if verdict != "pass":
            why += f"; {mended}"
        about = replace(ABOUT.of(room.land), otherwise=verdict)
        yield about.at_least(Check.ROOM_TO_OBSTACLE, round(room.distance, 3), "mm", clear.AIMED, why)


def mending(design: BracketDesign) -> str:
    """What would make room to all things at once: the first change that does of those tried, with its number."""
    asked = design.asked
    for share in NARROWER:
        width = round(share * asked.bracket.width, 1)
        if _clear(asked.job, bracket={"width": width}):
            return f"bracket.width: {length(width)} makes the room"
    for by in TURNS_DEG:
        at = (asked.sensor.at + by) % 360.0
        if _clear(asked.job, sensor={"at": at}):
            return (
                f"sensor.at: {angle(at)} makes the room; turn wheel.gap_at by as much, so that the gap passes as before"
            )
    short = clear.AIMED - min(room.distance for room in least_of(design))
    return (
        f"no narrower bracket and no place of the sensor within {angle(TURNS_DEG[-2])} makes room: other bolts, or the "
        f"thing has to go {length(short, 1)} further away"
    )


def _clear(job: Job, **changed: dict[str, float]) -> bool:
    """Whether the job with these values has a bracket that keeps clear of everything."""
    sections = {name: getattr(job, name).model_copy(update=values) for name, values in changed.items()}
    try:
        design = design_bracket(job.model_copy(update=sections).with_source(job.source))
    except DesignError:
        return False
    return design is not None and min(room.distance for room in least_of(design)) >= clear.AIMED
