"""Outlines drawn tight around circles, as a string would lie: straight tangents joined by arcs.

A `Round` is a circle the outline bends around. `inside=True`: the circle's disc lies inside the outline (a boss, a
rounded corner; the outline turns left round it). `inside=False`: the disc is kept out (a fillet, a pulley to clear;
the outline turns right). A radius of 0 is a sharp corner. All outlines run anticlockwise; lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wheelcad.trade.loop import Loop

SMALLEST = 0.25  # mm: least length of any straight piece or arc; shorter ones make a torch stutter


@dataclass(frozen=True)
class Round:
    """A circle (centre x, y and radius, mm) that an outline bends around; see the module's text for `inside`."""

    x: float
    y: float
    radius: float
    inside: bool = True

    @property
    def signed(self) -> float:
        """The radius, negative when the disc is kept out, mm."""
        return self.radius if self.inside else -self.radius


class NoTangentError(ValueError):
    """Two neighbouring circles overlap so that no tangent joins them; `first` and `second` are their places."""

    def __init__(self, first: int, second: int) -> None:
        super().__init__(f"no tangent joins circles {first} and {second}")
        self.first, self.second = first, second


def heading_from(a: Round, b: Round) -> float | None:
    """Direction (radians) of the tangent that leaves a and arrives at b; None when they overlap."""
    dx, dy = b.x - a.x, b.y - a.y
    apart = math.hypot(dx, dy)
    reach = b.signed - a.signed
    if apart <= 1e-12 or abs(reach) > apart * (1 + 1e-12):
        return None
    return math.atan2(dy, dx) - math.asin(max(-1.0, min(1.0, reach / apart)))


def _turn(before: float, after: float, inside: bool) -> float:
    """Signed turn (radians) from one heading to the next: 0 to 2π anticlockwise for `inside`, else 0 to -2π."""
    turn = (after - before) % (2 * math.pi)
    if 2 * math.pi - turn < 1e-9:
        turn = 0.0
    if inside or turn == 0.0:
        return turn
    return turn - 2 * math.pi


def turns(rounds: Sequence[Round], closed: bool = True) -> list[float]:
    """Turn (radians, anticlockwise positive) that the outline makes at each circle; 0 at the ends of an open one.

    Raises NoTangentError. A circle that the outline does not really touch shows a turn near ±2π.
    """
    headings = list(_headings(rounds, closed))
    n = len(rounds)
    out = []
    for i, item in enumerate(rounds):
        if not closed and i in (0, n - 1):
            out.append(0.0)
            continue
        out.append(_turn(headings[i - 1], headings[i], item.inside))
    return out


def _headings(rounds: Sequence[Round], closed: bool) -> Iterator[float]:
    n = len(rounds)
    for i in range(n if closed else n - 1):
        heading = heading_from(rounds[i], rounds[(i + 1) % n])
        if heading is None:
            raise NoTangentError(i, (i + 1) % n)
        yield heading


def touch(item: Round, heading: float) -> tuple[float, float]:
    """Where a tangent of this heading touches the circle."""
    return item.x + item.signed * math.sin(heading), item.y - item.signed * math.cos(heading)


def outline(rounds: Sequence[Round]) -> Loop:
    """The closed outline round the circles, taken in the order given (anticlockwise). Raises NoTangentError.

    No piece of it is shorter than SMALLEST: an arc that would be becomes a corner, the ends of a straight piece that
    would be are brought together half-way. Either moves the outline by far less than SMALLEST.
    """
    headings = list(_headings(rounds, closed=True))
    pieces: list[tuple[tuple[float, float], float, tuple[float, float]]] = []  # arc start, turn, arc end
    for i, item in enumerate(rounds):
        turn = _turn(headings[i - 1], headings[i], item.inside)
        start, end = touch(item, headings[i - 1]), touch(item, headings[i])
        if item.radius == 0 and abs(turn) < 1e-9:
            continue  # a point on a straight line
        if item.radius * abs(turn) < SMALLEST:
            tangent = item.radius * math.tan(abs(turn) / 2)
            start = (start[0] + tangent * math.cos(headings[i - 1]), start[1] + tangent * math.sin(headings[i - 1]))
            turn, end = 0.0, start
        pieces.append((start, turn, end))
    return Loop(_joined(pieces))


def _joined(
    pieces: list[tuple[tuple[float, float], float, tuple[float, float]]],
) -> list[tuple[float, float, float]]:
    """Vertices of arcs joined by straight lines, lines that are too short closed up."""
    starts, ends = [p[0] for p in pieces], [p[2] for p in pieces]
    for i in range(len(pieces)):
        nxt = (i + 1) % len(pieces)
        if math.dist(ends[i], starts[nxt]) < SMALLEST:
            middle = ((ends[i][0] + starts[nxt][0]) / 2, (ends[i][1] + starts[nxt][1]) / 2)
            if pieces[i][1] == 0.0:
                starts[i] = middle
            if pieces[nxt][1] == 0.0:
                ends[nxt] = middle
            ends[i] = starts[nxt] = middle
    rows: list[tuple[float, float, float]] = []
    for start, (_, turn, _), end in zip(starts, pieces, ends, strict=True):
        if turn != 0.0:
            rows.append((*start, math.tan(turn / 4)))
        rows.append((*end, 0.0))
    return [
        row
        for row, nxt in zip(rows, [*rows[1:], rows[0]], strict=True)
        if row[2] != 0.0 or math.dist(row[:2], nxt[:2]) > 1e-9
    ]


def hull(rounds: Sequence[Round]) -> list[Round]:
    """The circles a string drawn round all of them touches, anticlockwise; a large one may be touched more than once.

    Starts from the circle that reaches furthest towards -y. Circles inside others are left out.
    """
    items = _not_covered(rounds)
    if len(items) == 1:
        return items
    current = min(items, key=lambda item: (item.y - item.radius, -item.x))
    out, heading = [current], 0.0
    for _ in range(3 * len(items)):
        turn, current = _next_touched(current, heading, items)
        heading += turn
        if heading > 2 * math.pi - 1e-9:
            break
        out.append(current)
    if len(out) > 1 and out[-1] is out[0]:
        out.pop()
    return out


def _next_touched(current: Round, heading: float, items: Sequence[Round]) -> tuple[float, Round]:
    """The circle reached with the least turn from `heading`, the furthest of several in line; and that turn."""
    choices = []
    for other in items:
        towards = None if other is current else heading_from(current, other)
        if towards is not None:
            turn = (towards - heading) % (2 * math.pi)
            turn = 0.0 if 2 * math.pi - turn < 1e-9 else turn
            choices.append((round(turn, 10), -math.hypot(other.x - current.x, other.y - current.y), turn, other))
    best = min(choices, key=lambda c: c[:2])
    return best[2], best[3]


def _not_covered(rounds: Sequence[Round]) -> list[Round]:
    out: list[Round] = []
    for item in sorted(rounds, key=lambda r: (-r.radius, r.x, r.y)):
        if all(math.hypot(item.x - o.x, item.y - o.y) + item.radius > o.radius + 1e-9 for o in out):
            out.append(item)
    return out


def around(start: Round, items: Sequence[Round], end: Round) -> list[Round]:
    """The string from `start` round the outside of `items` (kept on its left) to `end`: the circles it touches.

    items: the `hull` of what is to be enclosed. start and end, which the result includes, lie outside it. Raises
    NoTangentError when one of them does not.
    """
    (k, on), (last, off) = _touched(start, items, leaving=True), _touched(end, items, leaving=False)
    out = [start, items[k]]
    whole_round = k == last and off < on and len(items) > 1
    while k != last or whole_round:
        k, whole_round = (k + 1) % len(items), False
        out.append(items[k])
    return [*out, end]


def _touched(point: Round, items: Sequence[Round], leaving: bool) -> tuple[int, float]:
    """Which visit of the hull the string from `point` meets first (or leaves last on its way to `point`).

    Also how far round that visit's arc, in radians from the arc's start.
    """
    if len(items) == 1:
        return 0, 0.0
    headings = list(_headings(items, closed=True))
    for k, item in enumerate(items):
        heading = heading_from(point, item) if leaving else heading_from(item, point)
        if heading is None:
            continue
        arc = _turn(headings[k - 1], headings[k], True)
        along = (heading - headings[k - 1] + 1e-9) % (2 * math.pi)
        if along <= arc + 2e-9:
            return k, along
    raise NoTangentError(0, 0)
