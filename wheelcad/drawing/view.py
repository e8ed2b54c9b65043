"""A view's entities turned into ink at a scale, in paper mm from the view's origin."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from wheelcad.drawing.font import text_width
from wheelcad.drawing.ink import Box, Group, HatchArea, Ink, Letters, Ring, Stroke, box_of, line, pen
from wheelcad.drawing.linear import stack
from wheelcad.drawing.model import (
    Aligned,
    Angular,
    Arc,
    BreakEdge,
    CentreLine,
    CentreMark,
    Circle,
    CuttingPlane,
    DetailCircle,
    Diameter,
    Entity,
    Hatch,
    Line,
    Linear,
    Outline,
    Path,
    Radius,
    Text,
    TurnArrow,
    Units,
    View,
)
from wheelcad.drawing.paper import scale_name
from wheelcad.drawing.pointers import Made, datum_on, place_angles, place_first, place_pointers
from wheelcad.drawing.room import Room
from wheelcad.drawing.symbols import ARROW, arrow, polar
from wheelcad.trade.layers import CONTINUOUS, WIDE_MM
from wheelcad.trade.loop import Loop

CAPTION = 5.0  # mm, lettering of captions and section letters
CROSS_PAST = 2.0  # mm a centre mark reaches past its circle
GAP_OVER = 4.0  # mm between a view and its caption


def ink_view(view: View, scale: float, units: Units) -> list[Group]:
    """All groups of a view at a scale, dimensions and leaders placed. Its origin is paper (0, 0)."""
    room = Room()
    geometry = tuple(i for e in view.entities for i in _geometry(e, scale))
    groups = [Group(view.name, "geometry", geometry, view=view.name)] if geometry else []
    part = part_box(view, scale)
    for entity in view.entities:
        if isinstance(entity, Text):
            groups.append(Group(entity.text, "text", (_text(entity, scale),), view=view.name))
        elif isinstance(entity, DetailCircle):
            groups.append(_detail_circle(entity, scale, view.name))
    for group in groups:
        room.add(group)
    for plane in (e for e in view.entities if isinstance(e, CuttingPlane)):
        for last in (False, True):
            groups.append(place_first(_cutting_end(plane, scale, view.name, last), room))
    made = Made(units, scale, view.name)
    linear = [e for e in view.entities if isinstance(e, Linear)]
    groups += place_angles([e for e in view.entities if isinstance(e, Angular)], linear, made, room)
    stacked = stack(linear, part, room, units, scale, view.name)
    groups += stacked
    groups += place_pointers([e for e in view.entities if isinstance(e, Aligned)], made, room)
    for dim, group in zip(linear, stacked, strict=True):
        if dim.datum:
            groups.append(place_first(datum_on(_datum_tips(group), dim.datum, view.name), room))
    rest = (
        Line,
        Circle,
        Arc,
        Outline,
        Path,
        Hatch,
        CentreLine,
        CentreMark,
        BreakEdge,
        TurnArrow,
        Text,
        Linear,
        CuttingPlane,
    )
    waiting = [e for e in view.entities if not isinstance(e, (*rest, DetailCircle, Angular, Aligned))]
    # what can only be led out in few directions goes first
    waiting.sort(key=lambda e: 0 if isinstance(e, Radius) else 1 if isinstance(e, Diameter) else 2)
    groups += place_pointers(list(waiting), made, room)
    if view.caption:
        groups.append(_caption(view, scale, groups))
    return groups


def part_box(view: View, scale: float) -> Box:
    """The box round a view's own geometry, centre lines left out, paper mm; a point when there is none."""
    bodies = (Line, Circle, Arc, Outline, Path, Hatch)
    inks = [
        i
        for e in view.entities
        if isinstance(e, bodies) and getattr(e, "layer", "") != "CENTRE"
        for i in _geometry(e, scale)
    ]
    return box_of(inks) if inks else (0.0, 0.0, 0.0, 0.0)


def _datum_tips(group: Group) -> list[tuple[tuple[float, float], float]]:
    """Where a datum triangle may sit on a linear dimension: at either end of its dimension line, pointing away."""
    if group.measure is None:
        return []
    first, second, on_line = group.measure.points
    if group.measure.angle == 90.0:
        low, high = (on_line[0], first[1]), (on_line[0], second[1])
        return [(high, 90.0), (low, -90.0)]
    return [((second[0], on_line[1]), 0.0), ((first[0], on_line[1]), 180.0)]


def _geometry(entity: Entity, s: float) -> tuple[Ink, ...]:
    make = _MAKERS.get(type(entity))
    return make(entity, s) if make else ()


def _line(e: Line, s: float) -> tuple[Ink, ...]:
    ends = ((e.a[0] * s, e.a[1] * s, 0.0), (e.b[0] * s, e.b[1] * s, 0.0))
    return (Stroke(ends, pen(e.layer, e.line, _width(e.layer, e.line))),)


def _width(layer: str, other: str | None) -> float | None:
    """Another line type than the layer's is a narrow line, unless it is the continuous one."""
    return None if other in (None, CONTINUOUS) else 0.25


def _circle(e: Circle, s: float) -> tuple[Ink, ...]:
    return (Ring(e.x * s, e.y * s, e.radius * s, pen(e.layer, e.line, _width(e.layer, e.line))),)


def _arc(e: Arc, s: float) -> tuple[Ink, ...]:
    own = pen(e.layer, e.line, _width(e.layer, e.line))
    return (Ring(e.x * s, e.y * s, e.radius * s, own, e.start_deg, e.end_deg),)


def _outline(e: Outline, s: float) -> tuple[Ink, ...]:
    vertices = tuple((x * s, y * s, b) for x, y, b in e.loop.vertices.tolist())
    return (Stroke(vertices, pen(e.layer, e.line, _width(e.layer, e.line)), closed=True),)


def _path(e: Path, s: float) -> tuple[Ink, ...]:
    vertices = tuple((x * s, y * s, b) for x, y, b in e.vertices)
    return (Stroke(vertices, pen(e.layer, e.line, _width(e.layer, e.line))),)


def _hatch(e: Hatch, s: float) -> tuple[Ink, ...]:

    scaled = tuple(Loop(loop.vertices * np.array([s, s, 1.0])) for loop in e.loops)
    return (HatchArea(scaled, e.angle_deg, e.pitch_mm, pen("HATCH")),)


def _centre_line(e: CentreLine, s: float) -> tuple[Ink, ...]:
    a, b = (e.a[0] * s, e.a[1] * s), (e.b[0] * s, e.b[1] * s)
    way = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    return (line(polar(a, -e.beyond, way), polar(b, e.beyond, way), "CENTRE"),)


def _centre_mark(e: CentreMark, s: float) -> tuple[Ink, ...]:
    at = e.x * s, e.y * s
    reach = e.radius * s + CROSS_PAST
    return tuple(
        line(polar(at, reach, way), polar(at, -reach, way), "CENTRE") for way in (e.turned_deg, e.turned_deg + 90)
    )


def _break(e: BreakEdge, s: float) -> tuple[Ink, ...]:
    a, b = (e.a[0] * s, e.a[1] * s), (e.b[0] * s, e.b[1] * s)
    way = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    long = math.dist(a, b)
    middle = long / 2
    steps: tuple[tuple[float, float], ...] = (
        (-2.0, 0.0),
        (middle - 1.5, 0.0),
        (middle - 0.5, 3.0),
        (middle + 0.5, -3.0),
        (middle + 1.5, 0.0),
        (long + 2, 0.0),
    )
    if long < 8.0:
        steps = ((-2.0, 0.0), (long + 2.0, 0.0))
    points = [polar(polar(a, along, way), across, way + 90) for along, across in steps]
    return (Stroke(tuple((x, y, 0.0) for x, y in points), pen("TEXT")),)


def _turn_arrow(e: TurnArrow, s: float) -> tuple[Ink, ...]:
    at, r = (e.x * s, e.y * s), e.radius * s
    way = 1.0 if (e.to_deg - e.from_deg) % 360.0 <= 180.0 else -1.0
    start, end = (e.from_deg, e.to_deg) if way > 0 else (e.to_deg, e.from_deg)
    lean = math.degrees(ARROW / 2 / r)
    tip = polar(at, r, e.to_deg)
    return Ring(at[0], at[1], r, pen("DIM"), start, end), arrow(tip, e.to_deg - way * (90.0 - lean))


def _plane(e: CuttingPlane, s: float) -> tuple[Ink, ...]:
    return (line((e.a[0] * s, e.a[1] * s), (e.b[0] * s, e.b[1] * s), "CENTRE"),)


def _text(e: Text, s: float) -> Letters:
    return Letters(e.at[0] * s, e.at[1] * s, e.text, e.height, e.align, e.rotation_deg, e.layer)


def _cutting_end(e: CuttingPlane, s: float, view: str, last: bool) -> Iterator[Group]:
    """One wide end of a cutting plane with its arrow and letter (ISO 128-3), further and further out."""
    a, b = (e.a[0] * s, e.a[1] * s), (e.b[0] * s, e.b[1] * s)
    way = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    start, out = (b, way) if last else (a, way + 180)
    back = e.look_deg + 180
    for reach in range(4, 80, 2):
        end = polar(start, reach, out)
        tip = polar(end, 6.0, out)
        head = polar(end, 3.0, out)
        at = polar(polar(head, 12.5, back), 0.0, out)
        ink: tuple[Ink, ...] = (
            line(start, end, "CENTRE"),
            line(end, tip, "CENTRE", width=2 * WIDE_MM),
            line(polar(head, 9.0, back), polar(head, 3.0, back), width=WIDE_MM),
            arrow(head, back, size=4.5),
            Letters(at[0], at[1] - CAPTION / 2, e.letter, CAPTION, "centre"),
        )
        yield Group(f"section {e.letter}", "pointer", ink, view=view, keep=(box_of(ink[3:4]),))


def _detail_circle(e: DetailCircle, s: float, view: str) -> Group:
    at, r = (e.x * s, e.y * s), e.radius * s
    place = polar(at, r + 4.5, e.toward_deg)
    letter = Letters(place[0], place[1] - CAPTION / 2, e.letter, CAPTION, "centre")
    return Group(f"detail {e.letter}", "pointer", (Ring(at[0], at[1], r, pen("TEXT")), letter), view=view)


def _caption(view: View, scale: float, groups: list[Group]) -> Group:
    """The view's caption above everything else in it, with the scale where it is the view's own."""
    box = box_of(i for g in groups for i in g.ink)
    part = part_box(view, scale)
    words = view.caption + (f"  ({scale_name(scale)})" if view.own_scale else "")
    width = text_width(words, CAPTION)
    middle = min(max((part[0] + part[2]) / 2, box[0] + width / 2), max(box[2] - width / 2, box[0] + width / 2))
    return Group(words, "caption", (Letters(middle, box[3] + GAP_OVER, words, CAPTION, "centre"),), view=view.name)


_MAKERS: dict[type, Callable[..., tuple[Ink, ...]]] = {
    Line: _line,
    Circle: _circle,
    Arc: _arc,
    Outline: _outline,
    Path: _path,
    Hatch: _hatch,
    CentreLine: _centre_line,
    CentreMark: _centre_mark,
    BreakEdge: _break,
    TurnArrow: _turn_arrow,
    CuttingPlane: _plane,
}
