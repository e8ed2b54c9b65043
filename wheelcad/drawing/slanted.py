"""Angles and aligned dimensions: the ways in which each could be drawn, nearest first."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from wheelcad.drawing import dimension_text, symbols
from wheelcad.drawing.font import text_width
from wheelcad.drawing.ink import Box, Group, Ink, InkMeasure, Letters, RingStroke, box_of, line, pen
from wheelcad.drawing.linear import ABOVE, EXTENSION_GAP, EXTENSION_PAST, FIRST_MM, HEIGHT, NEXT_MM
from wheelcad.drawing.model import Aligned, Angular, Units
from wheelcad.drawing.symbols import ARROW, XY, arrow, polar


@dataclass(frozen=True)
class PointerStyle:
    """Settings that all pointers of a view share."""

    units: Units
    scale: float
    view: str


def angle_groups(dim: Angular, made: PointerStyle) -> Iterator[Group]:
    """An angle with its arc further and further out, its text in the middle, beside it, or over either end."""
    centre = dim.x * made.scale, dim.y * made.scale
    sweep = (dim.to_deg - dim.from_deg) % 360.0 or 360.0
    text = dimension_text.dimension(dim, sweep, made.units, angle=True)
    width = text_width(text, HEIGHT) + (2.0 if dim.exact else 0.0)
    for tier in range(12):
        r = dim.radius * made.scale + FIRST_MM + tier * NEXT_MM
        outside = math.radians(sweep) * r < 2 * ARROW + 1.5
        tail = math.degrees(2 * ARROW / r) if outside else 0.0
        middle = dim.from_deg + sweep / 2
        shift = sweep / 2 + tail + math.degrees((width / 2 + 2) / r)
        places = [middle, middle + sweep / 5, middle - sweep / 5] if math.radians(sweep) * r > width + 2 else []
        for place in (*places, middle + shift, middle - shift, middle + shift * 1.5, middle - shift * 1.5):
            yield _angle_at(dim, made, centre, r, place, text, tail)


def _angle_at(dim: Angular, made: PointerStyle, centre: XY, r: float, place: float, text: str, tail: float) -> Group:
    """One way to draw an angle: arc of radius r, text level beside the arc in direction `place`."""
    width = text_width(text, HEIGHT)
    c, s = math.cos(math.radians(place)), math.sin(math.radians(place))
    away = abs(c) * width / 2 + abs(s) * HEIGHT / 2 + ABOVE
    tx, ty = polar(centre, r + away, place)
    starts = dim.from_deg - tail, dim.to_deg + tail
    sweep = (dim.to_deg - dim.from_deg) % 360.0 or 360.0
    begin, stop = starts[0], starts[0] + sweep + 2 * tail
    # an arc whose text stands beyond its end runs on to the text
    begin, stop = min(begin, place), max(stop, place)
    thin = pen("DIM")
    ink: list[Ink] = [RingStroke(centre[0], centre[1], r, thin, begin, stop, "dimension-line")]
    for ray in (dim.from_deg, dim.to_deg):
        a = polar(centre, dim.radius * made.scale + EXTENSION_GAP, ray)
        ink.append(line(a, polar(centre, r + EXTENSION_PAST, ray), role="extension-line"))
    lean = math.degrees(ARROW / 2 / r)
    inward = 90.0 if tail == 0.0 else -90.0
    ink.append(arrow(polar(centre, r, dim.from_deg), dim.from_deg + inward + (lean if tail == 0 else -lean)))
    ink.append(arrow(polar(centre, r, dim.to_deg), dim.to_deg - inward - (lean if tail == 0 else -lean)))
    ink.append(Letters(tx, ty - HEIGHT / 2, text, HEIGHT, "centre", layer="DIM"))
    keep: tuple[Box, ...] = ()
    if dim.exact:
        frame = symbols.rectangle(tx - width / 2 - 1, ty - HEIGHT / 2 - 0.7, width + 2, HEIGHT + 1.4)
        ink.append(frame)
        keep = (box_of((frame,)),)
    points = (
        centre,
        polar(centre, dim.radius * made.scale, dim.from_deg),
        polar(centre, dim.radius * made.scale, dim.to_deg),
        polar(centre, r, dim.from_deg + sweep / 2),
    )
    measure = InkMeasure("angular", points, sweep, text, (tx, ty), scale=made.scale)
    return Group(text, "dimension", tuple(ink), measure, made.view, keep)


def aligned_groups(dim: Aligned, made: PointerStyle) -> Iterator[Group]:
    """An aligned dimension further and further out, on its left, then on its right."""
    a = dim.a[0] * made.scale, dim.a[1] * made.scale
    b = dim.b[0] * made.scale, dim.b[1] * made.scale
    value = math.dist(dim.a, dim.b)
    text = dimension_text.dimension(dim, value, made.units)
    way = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    for tier in range(12):
        for side in (90.0, -90.0):
            yield _aligned_at(dim, made, (a, b), way, way + side, FIRST_MM + tier * NEXT_MM, (value, text))


def _aligned_at(
    dim: Aligned, made: PointerStyle, ends: tuple[XY, XY], way: float, out: float, off: float, said: tuple[float, str]
) -> Group:
    """An aligned dimension at `off` mm from its features, its text above the line as read from below or the right."""
    value, text = said
    p, q = polar(ends[0], off, out), polar(ends[1], off, out)
    long = math.dist(p, q)
    inside = long >= 2 * ARROW + 1.5
    width = text_width(text, HEIGHT)
    reading = way if -90.0 < way <= 90.0 else way + 180.0
    middle = (p[0] + q[0]) / 2, (p[1] + q[1]) / 2
    stop = q
    if width > long - 1:
        middle = polar(q, 2 * ARROW + width / 2, way)
        stop = polar(q, 2 * ARROW + width, way)
    elif not inside:
        stop = polar(q, 2 * ARROW, way)
    start = p if inside else polar(p, 2 * ARROW, way + 180)
    ink: list[Ink] = [line(start, stop, role="dimension-line")]
    for feature in ends:
        ink.append(
            line(polar(feature, EXTENSION_GAP, out), polar(feature, off + EXTENSION_PAST, out), role="extension-line")
        )
    ink += [arrow(p, way if inside else way + 180), arrow(q, way + 180 if inside else way)]
    at = polar(middle, ABOVE, reading + 90)
    ink.append(Letters(at[0], at[1], text, HEIGHT, "centre", reading, "DIM"))
    centre = polar(middle, ABOVE + HEIGHT / 2, reading + 90)
    measure = InkMeasure("aligned", (ends[0], ends[1], q), value, text, centre, way, made.scale)
    return Group(text, "dimension", tuple(ink), measure, made.view)
