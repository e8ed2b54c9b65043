"""Whether a drawn arm is sound: no crossings, clear of what turns, wide enough all the way. Flat frame, mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry import Point, Polygon

from wheelcad.parts.bracket.model import Hole
from wheelcad.trade.loop import Loop
from wheelcad.trade.tangent import NoTangentError, Round, outline, turns

EDGE_LEAST = 1.2  # hole centre to edge over hole diameter: EN 1993-1-8 table 3.3
FLAT_ENOUGH = 0.02  # mm between arcs and the chords used to judge an outline
BACKWARDS = 1.5 * math.pi  # radians: an outline that turns more than this round one circle does not really touch it


@dataclass(frozen=True)
class KeepOut:
    """A disc in the flat that the arm must not enter (the slots' travel included). what: as a user calls it."""

    x: float
    y: float
    radius: float
    what: str


@dataclass(frozen=True)
class TabStart:
    """Where the tab's straight sides end: at x, from y = -half to +half. Before it the flat belongs to tab and bend."""

    x: float
    half: float

    @property
    def lower(self) -> Round:
        """A point on the lower side, before the start."""
        return Round(self.x - 0.5, -self.half, 0.0)

    @property
    def upper(self) -> Round:
        """A point on the upper side, before the start."""
        return Round(self.x - 0.5, self.half, 0.0)


@dataclass(frozen=True)
class Task:
    """What an outline has to do. start: None for a bracket without bends, whose outline closes on itself.

    anchors: points (x, y) to be joined by plate at least `neck` wide.
    """

    start: TabStart | None
    holes: tuple[Hole, ...]
    keep_outs: tuple[KeepOut, ...]
    anchors: tuple[tuple[float, float], ...]
    neck: float


@dataclass(frozen=True)
class Judgement:
    """area mm²; narrowest: the widest band (mm, no more than was asked for) that leads from anchor to anchor."""

    area: float
    narrowest: float


def steps(start: TabStart | None, string: Sequence[Round]) -> list[float]:
    """Turns along the string, entered and left along the tab's straight sides (or closed). Raises NoTangentError."""
    if start is None:
        return turns(string)
    return turns([start.lower, *string, start.upper], closed=False)


def closed(start: TabStart, string: Sequence[Round], x_cut: float) -> Loop:
    """The arm's plane region: the string closed by a straight line across the plate at x_cut (the bend's edge)."""
    return outline([Round(x_cut, -start.half, 0.0), *string, Round(x_cut, start.half, 0.0)])


def judge(task: Task, string: Sequence[Round], upto: float | None = None) -> Judgement | None:
    """How sound the outline is, its width judged up to `upto` (the task's neck when None); None when it is no
    good at all."""
    try:
        if any(abs(step) > BACKWARDS for step in steps(task.start, string)):
            return None
        loop = outline(string) if task.start is None else closed(task.start, string, task.start.x - 0.5)
    except NoTangentError:
        return None
    polygon = Polygon(loop.flatten(FLAT_ENOUGH))
    if not polygon.is_valid:
        return None
    for keep in task.keep_outs:
        if polygon.distance(Point(keep.x, keep.y)) < keep.radius - 3 * FLAT_ENOUGH:
            return None
    for hole in task.holes:
        for centre in (Point(hole.x0, hole.y0), Point(hole.x1, hole.y1)):
            room = polygon.exterior.distance(centre)
            if not polygon.contains(centre) or room < EDGE_LEAST * hole.diameter - 3 * FLAT_ENOUGH:
                return None
    return Judgement(polygon.area, narrowest(polygon, task.anchors, task.neck if upto is None else upto))


def narrowest(polygon: Polygon, anchors: Sequence[tuple[float, float]], upto: float) -> float:
    """The widest band (mm, at most `upto`) that can be led inside the polygon between all anchors."""
    targets = [Point(anchor) for anchor in anchors]

    def passes(width: float) -> bool:
        inner = polygon.buffer(-width / 2, quad_segs=8)
        parts = [part for part in getattr(inner, "geoms", [inner]) if not part.is_empty]
        return any(all(part.distance(point) <= width / 2 + 1.0 for point in targets) for part in parts)

    if passes(upto):
        return upto
    low, high = 0.0, upto
    for _ in range(10):
        middle = (low + high) / 2
        low, high = (middle, high) if passes(middle) else (low, middle)
    return low
