"""The arm's outline: a string drawn tight from the bend line round the mount holes, kept off what turns.

Everything here happens in the flat's x, y (mm). The string starts and ends where the tab's straight sides leave the
bend; round every mount hole it keeps a margin; where something that turns lies in the arm's plane it goes round
that. Long straight sides are waisted. A bracket without bends is one closed string round sensor and mounts.
"""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import count, islice

from shapely import MultiPoint, Point, union_all
from shapely.affinity import translate

from wheelcad.parts.bracket.feasibility import EDGE_LEAST, KeepOut, TabStart, Task, judge, steps
from wheelcad.parts.bracket.model import Hole
from wheelcad.trade.tangent import NoTangentError, Round, around, heading_from, hull, touch
from wheelcad.words import length, short

EDGE_FACTORS = (1.6, 1.4, 1.2)  # hole centre to edge over hole diameter, the first that has room is taken
FILLET_RADII = (8.0, 6.0, 5.0, 4.0, 3.0)  # mm, where the tab's side turns into the arm; a torch can follow them all
ELBOW = 0.95  # of half the tab's width: radius of the elbow disc
BANDS = (30.0, 45.0)  # mm: width of an arm that is led round something that turns
WAIST_FROM = 80.0  # mm: shorter sides are left straight
WAIST_SHARES = (0.08, 0.05, 0.03)  # of the hollow's length: how deep a waist cuts in, the deepest sound one is taken
WAIST_LOSS = 0.5  # mm: how much of the arm's narrowest width a waist may cost


class NoArmError(Exception):
    """No outline can be drawn; `reason` is a sentence for the user, `mount` the number of the mount to blame or
    None."""

    def __init__(self, reason: str, mount: int | None = None) -> None:
        super().__init__(reason)
        self.reason, self.mount = reason, mount


def bosses(holes: Sequence[Hole], keep_outs: Sequence[KeepOut], factor: float) -> list[Round]:
    """The margin round every mount hole (both ends of a slot), `factor` × its diameter, or what turning parts leave.

    NoArmError when that is less than EDGE_LEAST × the diameter.
    """
    out = []
    for number, hole in enumerate(holes):
        ends = ((hole.x0, hole.y0), (hole.x1, hole.y1))
        rooms = [(math.dist(end, (keep.x, keep.y)) - keep.radius, keep.what) for keep in keep_outs for end in ends]
        room, what = min(rooms, default=(math.inf, ""))
        least = EDGE_LEAST * hole.diameter
        if room < least - 1e-9:
            raise NoArmError(
                f"lies {length(max(room, 0), 1)} from the space that {what} needs in the arm's plane, "
                f"{length(least - room, 1)} too close: the plate round the hole needs {length(least, 1)}",
                number,
            )
        radius = min(factor * hole.diameter, room)
        out += [Round(x, y, radius) for x, y in (ends[:1] if hole.round else ends)]
    return out


def arm_string(task: Task, tab: Sequence[Round] = ()) -> list[Round]:
    """The circles of the arm's outline, anticlockwise from the tab's lower side round the mounts to its upper side.

    tab: for a bracket without bends, the circles round the sensor. Margins round the holes are as wide as the place
    allows; before a corner beside the bend is filleted smaller than need be, they are narrower. Raises NoArmError.
    """
    fillets = (False,) if task.start is None else (False, True)
    *first, last = [(factor, smaller) for smaller in fillets for factor in EDGE_FACTORS]
    for factor, smaller in first:
        with contextlib.suppress(NoArmError):
            return _string(task, tab, factor, smaller)
    return _string(task, tab, *last)


def _string(task: Task, tab: Sequence[Round], factor: float, smaller: bool) -> list[Round]:
    margins = bosses(task.holes, task.keep_outs, factor)
    if task.start is None:
        return _best(task, [hull([*tab, *margins])])
    plain = [_cornered(task, task.start, margins, smaller)]
    with contextlib.suppress(NoArmError):  # an arm that leaves at an angle is wider with an elbow beyond the bend
        reach = ELBOW * task.start.half
        elbow = Round(task.start.x + reach, 0.0, reach)
        plain.append(_cornered(task, task.start, [*margins, elbow], smaller))
    return _waisted(task, _best(task, plain))


def _best(task: Task, plain: Sequence[list[Round]]) -> list[Round]:
    """The first of the plain strings that is sound, else the smallest way round what turns. Raises NoArmError."""
    widest = 0.0
    for string in plain:
        found = judge(task, string)
        if found is not None and found.narrowest >= task.neck - 1e-9:
            return string
        widest = max(widest, found.narrowest if found is not None else 0.0)
    for string in plain:
        best: list[Round] | None = None
        best_area = math.inf
        for way in _ways_round(task, string):
            found = judge(task, way)
            if found is None:
                continue
            widest = max(widest, found.narrowest)
            if found.narrowest >= task.neck - 1e-9 and found.area < best_area:
                best, best_area = way, found.area
        if best is not None:
            return best
    raise NoArmError(_why_not(task, widest))


def _cornered(task: Task, start: TabStart, margins: Sequence[Round], smaller: bool = True) -> list[Round]:
    """The plain string; NoArmError naming the mount nearest to a corner where its margin covers that corner."""
    try:
        return with_corners(start, hull(margins), smaller)
    except NoTangentError:
        pass
    raise NoArmError(*_too_near(task, start, margins))


def _too_near(task: Task, start: TabStart, margins: Sequence[Round]) -> tuple[str, int]:
    """Why no corner goes beside the mounts, and the place of the mount nearest to it."""
    ends = ((start.x, -start.half), (start.x, start.half))
    room, number, end = min(
        (math.dist(end, (x, y)), number, end)
        for number, hole in enumerate(task.holes)
        for x, y in ((hole.x0, hole.y0), (hole.x1, hole.y1))
        for end in ends
    )
    corner = FILLET_RADII[-1]
    least = EDGE_LEAST * task.holes[number].diameter + corner
    if room < least:
        return (
            f"lies {length(room, 1)} from the end of the bend line, and the plate round its hole with the corner "
            f"beside it takes {length(least, 1)} or more"
        ), number
    plate = union_all([Point(item.x, item.y).buffer(item.radius, quad_segs=64) for item in margins]).convex_hull
    edge = plate.distance(Point(end))
    fillets = MultiPoint([(start.x, -start.half - corner), (start.x, start.half + corner)])  # their centres
    tenths = next(n for n in count(1) if translate(plate, n / 10).distance(fillets) >= corner - 1e-6)
    return (
        f"is so placed that the plate round the mounts comes to {length(edge, 1)} from the end of the bend line, where "
        f"the corner takes {length(corner, 1)}: move the mounts {length(tenths / 10, 1)} away from the bend"
    ), number


def _why_not(task: Task, widest: float) -> str:
    least = length(task.neck, 1)
    if not task.keep_outs:
        return f"the plate on the way to them would be only {short(widest, task.neck)} wide; {least} is the least"
    names = dict.fromkeys(keep.what for keep in task.keep_outs)
    stand, leave = ("stands", "leaves") if len(names) == 1 else ("stand", "leave")
    radius = max(keep.radius for keep in task.keep_outs)
    return (
        f"{' and '.join(names)} {stand} in the way in the arm's plane (clearance and travel included "
        f"{length(radius, 1)} round the axis) and {leave} {short(widest, task.neck)} of plate; {least} is the least"
    )


def with_corners(start: TabStart, around_mounts: Sequence[Round], smaller: bool = True) -> list[Round]:
    """The string from the tab's lower side to its upper side, corners rounded or filleted. Raises NoTangentError.

    smaller: whether a fillet may be smaller than the largest that clears the next circle, where the string cannot be
    led from that one.
    """
    lower, upper = Round(start.x, -start.half, 0.0), Round(start.x, start.half, 0.0)
    string = around(lower, around_mounts, upper)
    turn = steps(start, string)
    most = None if smaller else 1
    below, above = _corners(start, -1, turn[1], string[1]), _corners(start, 1, turn[-2], string[-2])
    lower = _first(islice(below, most), lambda one: around(one, around_mounts, upper))
    upper = _first(islice(above, most), lambda one: around(lower, around_mounts, one))
    return around(lower, around_mounts, upper)


def _first(corners: Iterable[Round], led: Callable[[Round], object]) -> Round:
    """The first of the corners that the string can be led from. Raises NoTangentError."""
    for corner in corners:
        with contextlib.suppress(NoTangentError):
            led(corner)
            return corner
    raise NoTangentError(0, 1)


def _corners(start: TabStart, side: int, turn: float, neighbour: Round) -> Iterator[Round]:
    """The circles that may stand where the tab's side ends (side -1 lower, +1 upper): a rounded corner, fillets where
    the arm flares, the largest first, or the bare point where the side runs straight on."""
    if turn < 1e-6 or turn > 2 * math.pi - 1e-6:
        yield Round(start.x, side * start.half, 0.0)
    elif turn < math.pi:
        radius = min(FILLET_RADII[0], start.half / 2)
        yield Round(start.x, side * (start.half - radius), radius)
    else:
        for radius in FILLET_RADII:
            y = side * (start.half + radius)
            if math.hypot(neighbour.x - start.x, neighbour.y - y) > radius + neighbour.radius + 1e-6:
                yield Round(start.x, y, radius, inside=False)


def _ways_round(task: Task, plain: list[Round]) -> Iterator[list[Round]]:
    """Every way of leading the string round the keep-out discs, on either side of the arm."""
    places = range(1, len(plain) + (1 if task.start is None else 0))
    for keep in task.keep_outs:
        disc = Round(keep.x, keep.y, keep.radius, inside=False)
        for at in places:
            yield [*plain[:at], disc, *plain[at:]]
            # an arm that bends round the disc needs an outer side as well
            for band in BANDS:
                outer = Round(keep.x, keep.y, keep.radius + band)
                for other in places:
                    if other != at:
                        string = list(plain)
                        for place, item in sorted(((at, disc), (other, outer)), key=lambda pair: -pair[0]):
                            string.insert(place, item)
                        yield string


def _waisted(task: Task, string: list[Round]) -> list[Round]:
    """The string with its two long sides drawn in, as far as the arm stays as wide as it was at its narrowest."""
    assert task.start is not None
    upto = max(task.neck, 2 * task.start.half)
    before = judge(task, string, upto)
    for at in (len(string) - 2, 0):  # from the end, so that places before it stay
        for share in WAIST_SHARES:
            trial = _with_waist(string, at, share)
            after = None if trial is None else judge(task, trial, upto)
            if before and trial and after and after.narrowest >= before.narrowest - WAIST_LOSS:
                string = trial
                break
    return string


def _with_waist(string: list[Round], at: int, share: float) -> list[Round] | None:
    """The string with one shallow hollow, `share` of its chord deep, in the side after circle `at`; None when
    too short."""
    a, b = string[at], string[at + 1]
    way = heading_from(a, b)
    if way is None or math.hypot(b.x - a.x, b.y - a.y) < WAIST_FROM:
        return None
    right = math.sin(way), -math.cos(way)
    (ax, ay), (bx, by) = touch(a, way), touch(b, way)
    chord = 0.7 * math.hypot(bx - ax, by - ay)
    depth = share * chord
    radius = (chord**2 / 4 + depth**2) / (2 * depth)
    out = radius - depth
    disc = Round((ax + bx) / 2 + out * right[0], (ay + by) / 2 + out * right[1], radius, inside=False)
    return [*string[: at + 1], disc, *string[at + 1 :]]
