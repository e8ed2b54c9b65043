"""A view's entities turned into ink at a scale, in paper mm from the view's origin."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np

from wheelcad.drawing.datums import datum_on
from wheelcad.drawing.font import text_width
from wheelcad.drawing.ink import Box, Group, HatchArea, Ink, Letters, RingStroke, Stroke, box_of, line, pen
from wheelcad.drawing.linear import stack
from wheelcad.drawing.model import (
    Aligned,
    Angular,
    Arc,
    Between,
    BreakEdge,
    CentreLine,
    CentreMark,
    Circle,
    CuttingPlane,
    Datum,
    DetailCircle,
    Diameter,
    Entity,
    Hatch,
    Line,
    Linear,
    Note,
    Outline,
    Path,
    Radius,
    Text,
    Texture,
    Tolerance,
    TurnArrow,
    Units,
    View,
)
from wheelcad.drawing.paper import scale_name
from wheelcad.drawing.pointers import place_angles, place_first, place_pointers
from wheelcad.drawing.room import Room
from wheelcad.drawing.slanted import PointerStyle
from wheelcad.drawing.symbols import ARROW, arrow, polar
from wheelcad.trade.layers import CONTINUOUS, WIDE_MM
from wheelcad.trade.loop import Loop

CAPTION = 5.0  # mm, lettering of captions and section letters
CROSS_PAST = 2.0  # mm a centre mark reaches past its circle
GAP_OVER = 4.0  # mm between a view and its caption


@dataclass
class Draft:
    """A view while it is being inked, its origin at paper (0, 0). clean: everything so far found a place of its own."""

    view: View
    scale: float
    units: Units
    groups: list[Group] = field(default_factory=list)
    room: Room = field(default_factory=Room)
    clean: bool = True
    stacked: list[Group] = field(default_factory=list)
    signed: bool = False  # the datums of the stacked dimensions stand already

    def put(self, candidates: Iterator[Group]) -> None:
        """Place the best of some candidates."""
        self.take([place_first(candidates, self.room)])

    def take(self, placed: list[Group]) -> None:
        """Keep groups that were placed."""
        self.groups += placed

    def box(self) -> Box:
        """Round everything so far."""
        inks = [i for g in self.groups for i in g.ink]
        return box_of(inks) if inks else (0.0, 0.0, 0.0, 0.0)


def ink_stacks(view: View, scale: float, units: Units) -> Draft:
    """Geometry, angles and linear dimensions: most of the room that a view takes."""
    draft = Draft(view, scale, units)
    geometry = tuple(i for e in view.entities for i in _geometry(e, scale))
    if geometry:
        draft.take([Group(view.name, "geometry", geometry, view=view.name)])
    for text in _of(view, Text):
        draft.take([Group(text.text, "text", (_text(text, scale),), view=view.name)])
    for group in draft.groups:
        draft.room.add(group)
    linear = _of(view, Linear)
    made = PointerStyle(units, scale, view.name)
    draft.take(place_angles(_of(view, Angular), linear, _of(view, CuttingPlane), made, draft.room))
    _stack(draft, linear)
    return draft


def _stack(draft: Draft, linear: list[Linear]) -> None:
    """Linear dimensions; where one's datum then has no room in line with it, all again, those with a datum as one."""
    part = part_box(draft.view, draft.scale)
    room, settled = draft.room.copy(), (draft.units, draft.scale, draft.view.name)
    stacked, signs = stack(linear, part, room, *settled)
    if not _datums_fit(linear, stacked, room):
        other = draft.room.copy()
        again, together = stack(linear, part, other, *settled, with_datums=True)
        if len(together) == sum(1 for dim in linear if dim.datum) and _is_clean([*draft.groups, *again, *together]):
            stacked, signs, room, draft.signed = again, together, other, True
    draft.room.become(room)
    draft.stacked = stacked
    draft.take([*stacked, *signs])


def _datums_fit(linear: list[Linear], stacked: list[Group], room: Room) -> bool:
    """True when every datum has a place in line with its dimension."""
    pairs = [(dim, group) for dim, group in zip(linear, stacked, strict=True) if dim.datum]
    return all(any(room.fits(sign) for sign in datum_on(group, dim.datum, group.view)) for dim, group in pairs)


def ink_pointers(draft: Draft) -> Draft:
    """The rest: cutting planes, leaders, symbols, letters of details, the caption."""
    view, scale = draft.view, draft.scale
    made = PointerStyle(draft.units, scale, view.name)
    for plane in _of(view, CuttingPlane):
        for last in (False, True):
            draft.put(_cutting_end(plane, scale, view.name, last))
    draft.take(place_pointers(_of(view, Aligned), made, draft.room))
    for dim, group in zip(_of(view, Linear), draft.stacked, strict=True):
        if dim.datum and not draft.signed:
            draft.put(datum_on(group, dim.datum, view.name))
    # what can only be led out in few directions goes first
    waiting: list[object] = [e for kind in (Radius, Diameter) for e in _of(view, kind)]
    waiting += [e for e in view.entities if isinstance(e, Note | Tolerance | Datum | Texture)]
    draft.take(place_pointers(waiting, made, draft.room))
    for detail in _of(view, DetailCircle):
        draft.put(_detail_letter(detail, scale, view.name))
    draft.clean = _is_clean(draft.groups)
    if view.caption:
        draft.take([_caption(view, scale, draft.groups)])
    return draft


def _is_clean(groups: list[Group]) -> bool:
    """True when no group runs into one that was placed before it."""
    room = Room()
    for group in groups:
        if not room.fits(group):
            return False
        room.add(group)
    return True


Kind = TypeVar("Kind")


def _of(view: View, kind: type[Kind]) -> list[Kind]:
    return [e for e in view.entities if isinstance(e, kind)]


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


def _geometry(entity: Entity, s: float) -> tuple[Ink, ...]:
    make = _MAKERS.get(type(entity))
    return make(entity, s) if make else ()


def _ends(e: Between, s: float) -> tuple[tuple[float, float], tuple[float, float]]:
    return (e.a[0] * s, e.a[1] * s), (e.b[0] * s, e.b[1] * s)


def _line(e: Line, s: float) -> tuple[Ink, ...]:
    return (Stroke(tuple((x, y, 0.0) for x, y in _ends(e, s)), pen(e.layer, e.line, _width(e.line))),)


def _width(other: str | None) -> float | None:
    """Another line type than the layer's is a narrow line, unless it is the continuous one."""
    return None if other in (None, CONTINUOUS) else 0.25


def _circle(e: Circle, s: float) -> tuple[Ink, ...]:
    return (RingStroke(e.x * s, e.y * s, e.radius * s, pen(e.layer, e.line, _width(e.line))),)


def _arc(e: Arc, s: float) -> tuple[Ink, ...]:
    own = pen(e.layer, e.line, _width(e.line))
    return (RingStroke(e.x * s, e.y * s, e.radius * s, own, e.start_deg, e.end_deg),)


def _outline(e: Outline, s: float) -> tuple[Ink, ...]:
    vertices = tuple((x * s, y * s, b) for x, y, b in e.loop.vertices.tolist())
    return (Stroke(vertices, pen(e.layer, e.line, _width(e.line)), closed=True),)


def _path(e: Path, s: float) -> tuple[Ink, ...]:
    vertices = tuple((x * s, y * s, b) for x, y, b in e.vertices)
    return (Stroke(vertices, pen(e.layer, e.line, _width(e.line))),)


def _hatch(e: Hatch, s: float) -> tuple[Ink, ...]:

    scaled = tuple(Loop(loop.vertices * np.array([s, s, 1.0])) for loop in e.loops)
    return (HatchArea(scaled, e.angle_deg, e.pitch_mm, pen("HATCH")),)


def _centre_line(e: CentreLine, s: float) -> tuple[Ink, ...]:
    a, b = _ends(e, s)
    way = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    return (line(polar(a, -e.beyond, way), polar(b, e.beyond, way), "CENTRE"),)


def _centre_mark(e: CentreMark, s: float) -> tuple[Ink, ...]:
    at = e.x * s, e.y * s
    reach = e.radius * s + CROSS_PAST
    return tuple(
        line(polar(at, reach, way), polar(at, -reach, way), "CENTRE") for way in (e.turned_deg, e.turned_deg + 90)
    )


def _break(e: BreakEdge, s: float) -> tuple[Ink, ...]:
    a, b = _ends(e, s)
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
    return RingStroke(at[0], at[1], r, pen("DIM"), start, end), arrow(tip, e.to_deg - way * (90.0 - lean))


def _plane(e: CuttingPlane, s: float) -> tuple[Ink, ...]:
    return (line(*_ends(e, s), "CENTRE"),)


def _text(e: Text, s: float) -> Letters:
    return Letters(e.at[0] * s, e.at[1] * s, e.text, e.height, e.align, e.rotation_deg, e.layer)


def _cutting_end(e: CuttingPlane, s: float, view: str, last: bool) -> Iterator[Group]:
    """One wide end of a cutting plane with its arrow and letter (ISO 128-3), further and further out."""
    a, b = _ends(e, s)
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


def _detail_ring(e: DetailCircle, s: float) -> tuple[Ink, ...]:
    return (RingStroke(e.x * s, e.y * s, e.radius * s, pen("TEXT")),)


def _detail_letter(e: DetailCircle, s: float, view: str) -> Iterator[Group]:
    """The letter of a detail beside its circle, then led further away."""
    at, r = (e.x * s, e.y * s), e.radius * s
    for off in (1.2, 3.0, 6.0, 10.0, 15.0, 21.0, 28.0):
        for turn in (0, 30, -30, 60, -60, 90, -90, 120, -120, 150, -150, 180):
            way = e.toward_deg + turn
            place = polar(at, r + off + CAPTION * 0.6, way)
            letter = Letters(place[0], place[1] - CAPTION / 2, e.letter, CAPTION, "centre")
            stem: tuple[Ink, ...] = ()
            if off > 2.0:
                stem = (line(polar(at, r, way), polar(at, r + off - CAPTION * 0.2, way), "TEXT", role="leader"),)
            yield Group(f"detail {e.letter}", "pointer", (*stem, letter), view=view)


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
    DetailCircle: _detail_ring,
}
