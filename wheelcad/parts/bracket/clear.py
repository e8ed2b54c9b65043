"""Room between the folded bracket and what turns: distances through the slots' whole travel.

The bracket is taken as blocks: a footprint in x, y (engine frame) times a stretch of z, so that the distance to a
cylinder about the crank axis is exact in each. Rounded corners of bends are taken as square, which errs towards less
room. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from shapely.geometry import LineString, Polygon

from wheelcad.job.models import Belt, Job
from wheelcad.parts.common.stack import Land, pulley_front_z, rotating_lands
from wheelcad.trade.frames import point_at
from wheelcad.words import diameter, length

AIMED = 3.0  # mm between bracket and anything that turns; common practice, no source
LEAST = 1.0  # mm; less than this and the bracket counts as hitting: a hand bend alone is good to about 1 mm
BELT_PROUD = 2.0  # mm that a belt may stand out of its groove
CRANK_REACH = 500.0  # mm of crankshaft behind the pulley that a bracket keeps clear of
BELT_REACH = 1000.0  # mm: belts are followed this far from the crank


@dataclass(frozen=True)
class Bulk:
    """A piece of the bracket or sensor: footprint (n, 2) in x, y, and z_low to z_high. what: as a user calls it."""

    what: str
    footprint: tuple[tuple[float, float], ...]
    z_low: float
    z_high: float

    @cached_property
    def polygon(self) -> Polygon:
        """The footprint."""
        return Polygon(self.footprint)


@dataclass(frozen=True)
class LeastRoom:
    """The least distance found: from `what` of the bracket to `land`, mm; negative where they overlap.

    belt: the belt's number in the job, from 1; 0 for what is none.
    """

    what: str
    land: str
    distance: float
    belt: int = 0

    @property
    def words(self) -> str:
        """How near the two come, for a message."""
        if self.distance > 0:
            return f"{length(self.distance)} between them"
        return f"they overlap by {length(-self.distance, 1)}"


@dataclass(frozen=True)
class Slide:
    """How the slots let the bracket move: unit vector in x, y and limits in mm from nominal."""

    x: float
    y: float
    low: float
    high: float


def name_of(land: Land) -> str:
    """What a user calls a land."""
    return {"ring": "the wheel"}.get(land.name, f"the {land.name} ({diameter(2 * land.radius, 1)})")


def turning_parts(job: Job) -> tuple[Land, ...]:
    """Everything that turns, the crankshaft behind the pulley (as thick as the pulley's bore) included."""
    lands = rotating_lands(job)
    bore = job.pulley.bore if job.pulley is not None and job.pulley.bore is not None else job.wheel.bore
    if bore is None:
        return lands
    back = min(land.z_back for land in lands)
    return (*lands, Land("crankshaft", back - CRANK_REACH, back, bore / 2))


def lands_beside(job: Job, z_low: float, z_high: float, clearance: float) -> list[Land]:
    """What turns within `clearance` of the stretch of z, belts' rims included."""
    lands = turning_parts(job)
    return [n for n in lands if max(0.0, n.z_back - z_high, z_low - n.z_front) < clearance - 1e-9]


def least_room(blocks: Iterable[Bulk], lands: Sequence[Land], slide: Slide) -> LeastRoom | None:
    """The least distance between any block and any land through the travel; None when there is nothing to compare."""
    best: tuple[Bulk, Land, float] | None = None
    for block, land, distance in rooms(blocks, lands, slide):
        if best is None or distance < best[2]:
            best = block, land, distance
    return None if best is None else LeastRoom(best[0].what, name_of(best[1]), best[2])


def axis_path(slide: Slide) -> LineString:
    """Where the crank axis lies in x, y, seen from a bracket that goes through its travel."""
    return LineString([(-slide.low * slide.x, -slide.low * slide.y), (-slide.high * slide.x, -slide.high * slide.y)])


def rooms(blocks: Iterable[Bulk], lands: Sequence[Land], slide: Slide) -> Iterator[tuple[Bulk, Land, float]]:
    """The distance from each block to each land through the travel, negative by how much they overlap."""
    path = axis_path(slide)
    for block in blocks:
        radial = float(block.polygon.distance(path))
        for land in lands:
            yield block, land, _apart(block, radial - land.radius, land)


def _apart(block: Bulk, radial: float, land: Land) -> float:
    """Distance between block and land from their radial gap, mm; negative by how much they overlap.

    An arm's overlap is what moving it along the crank would mend, others' what moving them outwards would.
    """
    axial = max(land.z_back - block.z_high, block.z_low - land.z_front)
    if axial < 0:
        return max(radial, axial) if block.what == "the arm" else radial
    return math.hypot(max(0.0, radial), axial)


def belt_sector(job: Job, belt: Belt) -> tuple[Polygon, float, float]:
    """The part of the x-y plane where a belt may be, and its z stretch: from the axis outwards over the belt's arc."""
    sense = job.sense
    span = (belt.to_deg - belt.from_deg) % 360 or 360.0
    steps = max(2, math.ceil(span / 5) + 1)
    angles = belt.from_deg + np.linspace(0, span, steps)
    middle = pulley_front_z(job) - belt.at
    rim = point_at(BELT_REACH, angles, sense)
    ring = [tuple(p) for p in rim.tolist()]
    if span < 360:
        ring = [(0.0, 0.0), *ring]
    return Polygon(ring).buffer(0), middle - belt.width / 2, middle + belt.width / 2


def belt_room(job: Job, blocks: Sequence[Bulk], slide: Slide) -> LeastRoom | None:
    """The least distance between a block and a belt's sector at the belt's depth; None when no belt reaches that depth.

    A belt is taken to lie anywhere in its arc, from the pulley outwards.
    """
    best: LeastRoom | None = None
    for number, belt in enumerate(job.belts, 1):
        sector, z_low, z_high = belt_sector(job, belt)
        for block in blocks:
            along = max(0.0, z_low - block.z_high, block.z_low - z_high)
            if along >= AIMED:
                continue
            across = min(float(moved(block.polygon, slide, at).distance(sector)) for at in (slide.low, slide.high))
            distance = math.hypot(across, along)
            if best is None or distance < best.distance:
                best = LeastRoom(block.what, f"belt {number}", distance, number)
    return best


def moved(polygon: Polygon, slide: Slide, by: float) -> Polygon:
    """The footprint with the bracket moved `by` mm along its slots."""
    return Polygon([(x + by * slide.x, y + by * slide.y) for x, y in polygon.exterior.coords])
