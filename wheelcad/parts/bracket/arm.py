"""The arm's outline: a string drawn tight from the bend line round the mount holes, kept off what turns.

Everything here happens in the flat's x, y (mm). The string starts and ends where the tab's straight sides leave the
bend; round every mount hole it keeps a margin; where something that turns lies in the arm's plane it goes round
that. Long straight sides of an arm wider than the tab are waisted.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon

from wheelcad.parts.bracket.model import Hole
from wheelcad.trade.loop import Loop
from wheelcad.trade.tangent import NoTangent, Round, around, hull, outline, turns

EDGE_FACTOR = 1.6  # hole centre to edge over hole diameter, aimed at; EN 1993-1-8 asks for 1.2, 1.5 for slots (from memory)
EDGE_LEAST = 1.5  # the same, where something is in the way
FILLET_RADII = (8.0, 6.0, 5.0, 4.0, 3.0)  # mm, where the tab's side turns into the arm; the torch can cut them all
FLAT_ENOUGH = 0.02  # mm between arcs and the chords used to judge an outline
WAIST_FROM = 80.0  # mm: shorter sides are left straight
WAIST_SHARES = (0.08, 0.05, 0.03)  # of the hollow's length: how deep a waist cuts in, the deepest sound one is taken
WAIST_LOSS = 0.5  # mm: how much of the arm's narrowest width a waist may cost


@dataclass(frozen=True)
class KeepOut:
    """A disc in the flat that the arm must not enter (the slots' travel included). what: as a user calls it."""

    x: float
    y: float
    radius: float
    what: str


@dataclass(frozen=True)
class Start:
    """Where the tab's straight sides end: at x, from y = -half to +half. Before it the flat belongs to tab and bend."""

    x: float
    half: float


class NoArm(Exception):
    """No outline can be drawn; `reason` is a sentence for the user, `mount` the number of the mount to blame or None."""

    def __init__(self, reason: str, mount: int | None = None) -> None:
        super().__init__(reason)
        self.reason, self.mount = reason, mount


def bosses(holes: Sequence[Hole], keep_outs: Sequence[KeepOut]) -> list[Round]:
    """The margin round every mount hole (both ends of a slot), smaller where something turns close by. NoArm if too close."""
    out = []
    for number, hole in enumerate(holes):
        room = math.inf
        for keep in keep_outs:
            for x, y in ((hole.x0, hole.y0), (hole.x1, hole.y1)):
                room = min(room, math.hypot(x - keep.x, y - keep.y) - keep.radius)
        radius = min(EDGE_FACTOR * hole.diameter, room)
        if radius < EDGE_LEAST * hole.diameter - 1e-9:
            what = min(keep_outs, key=lambda k: math.hypot(hole.x0 - k.x, hole.y0 - k.y) - k.radius).what
            raise NoArm(
                f"lies {room:.1f} mm from the space that {what} needs; the plate round the hole needs "
                f"{EDGE_LEAST * hole.diameter:.1f} mm",
                number,
            )
        out.append(Round(hole.x0, hole.y0, radius))
        if not hole.round:
            out.append(Round(hole.x1, hole.y1, radius))
    return out


def arm_string(start: Start, holes: Sequence[Hole], keep_outs: Sequence[KeepOut], neck: float) -> list[Round]:
    """The circles of the arm's outline, anticlockwise from the tab's lower side round the mounts to its upper side.

    neck: least width (mm) of plate anywhere on the way from bend to mounts. Raises NoArm.
    """
    around_mounts = hull(bosses(holes, keep_outs))
    plain = _with_corners(start, around_mounts)
    best: list[Round] | None = None
    best_area, thin = math.inf, 0.0
    for choice in _ways_round(plain, keep_outs):
        judged = _judge(start, choice, holes, keep_outs, neck)
        if judged is None:
            continue
        area, widest = judged
        thin = max(thin, widest)
        if widest >= neck - 1e-9 and area < best_area:
            best, best_area = choice, area
    if best is None:
        raise NoArm(_why_not(keep_outs, thin, neck))
    return _waisted(start, best, holes, keep_outs, neck)


def _why_not(keep_outs: Sequence[KeepOut], thin: float, neck: float) -> str:
    if not keep_outs:
        return f"the plate between bend and mounts would be only {thin:.1f} mm wide somewhere; {neck:.1f} mm is the least"
    what = " and ".join(dict.fromkeys(keep.what for keep in keep_outs))
    return f"{what} leaves {thin:.1f} mm of plate between bend and mounts; {neck:.1f} mm is the least"


def closed(start: Start, string: Sequence[Round], x_cut: float) -> Loop:
    """The arm's plane region: the string closed by a straight line across the plate at x_cut (the bend's edge)."""
    return outline([Round(x_cut, -start.half, 0.0), *string, Round(x_cut, start.half, 0.0)])


def _with_corners(start: Start, around_mounts: Sequence[Round]) -> list[Round]:
    """The string from the tab's lower side to its upper side, its two corners rounded."""
    lower, upper = Round(start.x, -start.half, 0.0), Round(start.x, start.half, 0.0)
    try:
        string = around(lower, around_mounts, upper)
        steps = _steps(start, string)
        lower = _corner(start, -1, steps[1], string[1])
        upper = _corner(start, 1, steps[-2], string[-2])
        return around(lower, around_mounts, upper)
    except NoTangent:
        raise NoArm("a mount hole lies so close to the bend line that its margin covers the bend") from None


def _steps(start: Start, string: Sequence[Round]) -> list[float]:
    """Turns along the string, entered and left along the tab's straight sides. Raises NoTangent."""
    before, after = Round(start.x - 1, -start.half, 0.0), Round(start.x - 1, start.half, 0.0)
    return turns([before, *string, after], closed=False)


def _corner(start: Start, side: int, turn: float, neighbour: Round) -> Round:
    """The circle where the tab's side ends (side -1 lower, +1 upper): a rounded corner, or a fillet where the arm flares."""
    if 0 < turn < math.pi:
        radius = min(FILLET_RADII[0], start.half / 2)
        return Round(start.x, side * (start.half - radius), radius)
    for radius in FILLET_RADII:
        y = side * (start.half + radius)
        if math.hypot(neighbour.x - start.x, neighbour.y - y) > radius + neighbour.radius + 1e-6:
            return Round(start.x, y, radius, inside=False)
    raise NoArm("a mount hole's margin reaches into the corner beside the bend line")


def _ways_round(plain: list[Round], keep_outs: Sequence[KeepOut]) -> Iterator[list[Round]]:
    """The string itself, and every way of leading it round the keep-out discs, on either side of the arm."""
    yield plain
    for keep in keep_outs:
        disc = Round(keep.x, keep.y, keep.radius, inside=False)
        for at in range(1, len(plain)):
            yield [*plain[:at], disc, *plain[at:]]
            # an arm that bends round the disc needs an outer side as well
            for band in (2.0 * plain[0].radius + 30.0, 45.0):
                outer = Round(keep.x, keep.y, keep.radius + band)
                for other in range(1, len(plain)):
                    if other != at:
                        string = [*plain]
                        for place, item in sorted(((at, disc), (other, outer)), key=lambda pair: -pair[0]):
                            string.insert(place, item)
                        yield string


def _judge(
    start: Start, string: list[Round], holes: Sequence[Hole], keep_outs: Sequence[KeepOut], neck: float
) -> tuple[float, float] | None:
    """Area and narrowest way from bend to every mount (mm, up to `neck`); None when the outline is no good at all."""
    try:
        if any(abs(step) > 1.5 * math.pi for step in _steps(start, string)):
            return None
    except NoTangent:
        return None
    polygon = Polygon(closed(start, string, start.x - 0.5).flatten(FLAT_ENOUGH))
    if not polygon.is_valid:
        return None
    for keep in keep_outs:
        if polygon.distance(ShapelyPoint(keep.x, keep.y)) < keep.radius - 3 * FLAT_ENOUGH:
            return None
    for hole in holes:
        room = polygon.exterior.distance(ShapelyPoint(hole.x0, hole.y0))
        if not polygon.contains(ShapelyPoint(hole.x0, hole.y0)) or room < EDGE_LEAST * hole.diameter - 3 * FLAT_ENOUGH:
            return None
    return polygon.area, narrowest(polygon, start, holes, neck)


def narrowest(polygon: Polygon, start: Start, holes: Sequence[Hole], upto: float) -> float:
    """The widest band (mm, at most `upto`) that can be led inside the polygon from the bend to every mount hole."""
    targets = [ShapelyPoint(hole.x0, hole.y0) for hole in holes] + [ShapelyPoint(start.x + 0.5, 0.0)]

    def passes(width: float) -> bool:
        inner = polygon.buffer(-width / 2, quad_segs=16)
        parts = getattr(inner, "geoms", [inner])
        return any(all(part.distance(point) <= width / 2 + 1.0 for point in targets) for part in parts if not part.is_empty)

    if passes(upto):
        return upto
    low, high = 0.0, upto
    for _ in range(12):
        middle = (low + high) / 2
        low, high = (middle, high) if passes(middle) else (low, middle)
    return low


def _waisted(
    start: Start, string: list[Round], holes: Sequence[Hole], keep_outs: Sequence[KeepOut], neck: float
) -> list[Round]:
    """The string with its two long sides drawn in, as far as the arm stays as wide as it was at its narrowest."""
    upto = max(neck, 2 * start.half)
    before = _judge(start, string, holes, keep_outs, upto)
    for at in (len(string) - 2, 0):  # from the end, so that places before it stay
        for share in WAIST_SHARES:
            trial = _with_waist(string, at, share)
            judged = None if trial is None else _judge(start, trial, holes, keep_outs, upto)
            if before and trial and judged and judged[1] >= before[1] - WAIST_LOSS:
                string = trial
                break
    return string


def _with_waist(string: list[Round], at: int, share: float) -> list[Round] | None:
    """The string with one shallow hollow, `share` of its chord deep, in the side after circle `at`; None when too short."""
    a, b = string[at], string[at + 1]
    apart = math.hypot(b.x - a.x, b.y - a.y)
    if apart < WAIST_FROM:
        return None
    heading = math.atan2(b.y - a.y, b.x - a.x) - math.asin(max(-1.0, min(1.0, (b.signed - a.signed) / apart)))
    right = math.sin(heading), -math.cos(heading)
    ax, ay = a.x + a.signed * right[0], a.y + a.signed * right[1]
    bx, by = b.x + b.signed * right[0], b.y + b.signed * right[1]
    chord = 0.7 * math.hypot(bx - ax, by - ay)
    depth = share * chord
    radius = (chord**2 / 4 + depth**2) / (2 * depth)
    out = radius - depth
    disc = Round((ax + bx) / 2 + out * right[0], (ay + by) / 2 + out * right[1], radius, inside=False)
    return [*string[: at + 1], disc, *string[at + 1 :]]
