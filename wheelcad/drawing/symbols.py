"""Small drawn signs: arrowheads, tolerance frames, datum triangles, texture, projection, caution.

Each function returns ink at given paper coordinates (mm). Sources: ISO 129-1 (arrows), ISO 1101 (tolerance frames),
ISO 5459 (datum triangle), ISO 21920-1:2021, once ISO 1302:2002 (surface texture), ISO 5456-2 (projection symbol):
proportions from memory.
"""

from __future__ import annotations

import math

from wheelcad.drawing.font import text_width
from wheelcad.drawing.ink import Fill, Ink, Letters, RingStroke, Stroke, line, pen
from wheelcad.drawing.model import SMALL

ARROW = 3.0  # mm long
ARROW_HALF = 0.5  # mm half its width
FRAME_HEIGHT = 7.0  # mm: twice the lettering
LETTER = 3.5  # mm, height of the lettering in frames

XY = tuple[float, float]


def polar(at: XY, length: float, degrees: float) -> XY:
    """The point `length` from `at` in a direction (degrees from +x)."""
    a = math.radians(degrees)
    return at[0] + length * math.cos(a), at[1] + length * math.sin(a)


def arrow(tip: XY, from_deg: float, layer: str = "DIM", size: float = ARROW) -> Fill:
    """A filled arrowhead with its point at `tip`, its tail out in direction from_deg."""
    tail = polar(tip, size, from_deg)
    half = ARROW_HALF * size / ARROW
    return Fill((tip, polar(tail, half, from_deg + 90), polar(tail, half, from_deg - 90)), layer)


def dot(at: XY, radius: float = 0.6) -> Fill:
    """A leader's end inside a face: a small filled octagon, round enough at its size."""
    return Fill(tuple(polar(at, radius, 22.5 + 45 * k) for k in range(8)))


def rectangle(
    x: float, y: float, width: float, height: float, layer: str = "DIM", thick: float | None = None
) -> Stroke:
    """An upright rectangle from its lower left corner."""
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Stroke(tuple((px, py, 0.0) for px, py in corners), pen(layer, width=thick), closed=True)


def tolerance_cells(symbol: str, value: str, datums: tuple[str, ...], diametral: bool) -> tuple[str, ...]:
    """The words in the cells of a tolerance frame; the first cell is drawn, not written."""
    return (symbol, ("⌀" if diametral else "") + value, *datums)


def tolerance_width(cells: tuple[str, ...]) -> float:
    """Width of a tolerance frame, mm."""
    return FRAME_HEIGHT + sum(max(FRAME_HEIGHT, text_width(c, LETTER) + 3.0) for c in cells[1:])


def tolerance_frame(x: float, y: float, cells: tuple[str, ...]) -> tuple[Ink, ...]:
    """An ISO 1101 frame whose left edge is at x and whose middle height is at y."""
    base = y - FRAME_HEIGHT / 2
    out: list[Ink] = [
        rectangle(x, base, tolerance_width(cells), FRAME_HEIGHT),
        *_characteristic(cells[0], x + FRAME_HEIGHT / 2, y),
    ]
    left = x + FRAME_HEIGHT
    for cell in cells[1:]:
        width = max(FRAME_HEIGHT, text_width(cell, LETTER) + 3.0)
        out.append(line((left, base), (left, base + FRAME_HEIGHT)))
        out.append(Letters(left + width / 2, y - LETTER / 2, cell, LETTER, "centre", layer="DIM"))
        left += width
    return tuple(out)


def _characteristic(symbol: str, x: float, y: float) -> tuple[Ink, ...]:
    """The drawn sign of a geometrical characteristic, centred at x, y, about 4 mm high."""
    thin = pen("DIM")
    if symbol == "run-out":
        return line((x - 1.5, y - 2), (x + 1.0, y + 1.4)), arrow((x + 1.5, y + 2), 234, size=2.0)
    if symbol == "total-run-out":
        out: list[Ink] = [line((x - 2.4, y - 2), (x + 0.4, y - 2))]
        for dx in (-2.4, 0.4):
            out += [line((x + dx, y - 2), (x + dx + 2.1, y + 1.4)), arrow((x + dx + 2.4, y + 2), 234, size=2.0)]
        return tuple(out)
    if symbol == "position":
        return RingStroke(x, y, 1.5, thin), line((x - 2.4, y), (x + 2.4, y)), line((x, y - 2.4), (x, y + 2.4))
    if symbol == "perpendicular":
        return line((x - 2.2, y - 1.8), (x + 2.2, y - 1.8)), line((x, y - 1.8), (x, y + 2))
    if symbol == "parallel":
        return line((x - 1.8, y - 2), (x - 0.2, y + 2)), line((x + 0.2, y - 2), (x + 1.8, y + 2))
    if symbol == "flat":
        corners = ((x - 2.4, y - 1.2), (x + 1.2, y - 1.2), (x + 2.4, y + 1.2), (x - 1.2, y + 1.2))
        return (Stroke(tuple((px, py, 0.0) for px, py in corners), thin, closed=True),)
    if symbol == "concentric":
        return RingStroke(x, y, 1.1, thin), RingStroke(x, y, 2.1, thin)
    raise ValueError(f"no such characteristic: {symbol}")


def datum_triangle(tip: XY, out_deg: float, letter: str, stem: float) -> tuple[Ink, ...]:
    """A filled triangle with its base on the edge at `tip`, a stem of `stem` mm, and the letter in its box."""
    apex = polar(tip, 3.0, out_deg)
    end = polar(tip, 3.0 + stem, out_deg)
    half = FRAME_HEIGHT / 2
    reach = half / max(abs(math.cos(math.radians(out_deg))), abs(math.sin(math.radians(out_deg))))
    cx, cy = polar(end, reach, out_deg)
    return (
        Fill((apex, polar(tip, 1.75, out_deg + 90), polar(tip, 1.75, out_deg - 90))),
        line(apex, end, role="leader"),
        rectangle(cx - half, cy - half, FRAME_HEIGHT, FRAME_HEIGHT),
        Letters(cx, cy - LETTER / 2, letter, LETTER, "centre", layer="DIM"),
    )


def texture_size(ra: str) -> tuple[float, float]:
    """Width and height of a texture symbol with its text, mm."""
    return 5.2 + max(text_width(ra, SMALL) + 2.5, 6.0), 8.0


def texture_sign(x: float, y: float, ra: str) -> tuple[Ink, ...]:
    """ISO 21920-1: material removal required, standing with its point at x, y; `ra` such as "Ra 3.2"."""
    left, right, top = (x - 2.0, y + 3.5), (x + 2.0, y + 3.5), (x + 4.05, y + 7.0)
    shelf = text_width(ra, SMALL) + 2.5
    return (
        line((x, y), left),
        line(left, right),
        line((x, y), top),
        line(top, (top[0] + shelf, top[1])),
        Letters(x + 4.4, y + 3.4, ra, SMALL, layer="DIM"),
    )


def projection_symbol(x: float, y: float, h: float = 2.5) -> tuple[Ink, ...]:
    """First-angle projection (ISO 5456-2): a frustum seen from the side at the left, from its small end at the right.

    x, y: left end of its centre line; about 12 h/2.5 mm wide, 5 mm high.
    """
    thin = pen("TEXT")
    chain = pen("CENTRE", width=0.18)
    small, large, long = h / 2, h, 2 * h
    left = x + 0.6 * h
    cx = left + long + 1.8 * h
    frustum = ((left, y - small), (left + long, y - large), (left + long, y + large), (left, y + small))
    end = cx + large + 0.5 * h
    return (
        Stroke(tuple((px, py, 0.0) for px, py in frustum), thin, closed=True),
        RingStroke(cx, y, small, thin),
        RingStroke(cx, y, large, thin),
        Stroke(((x, y, 0.0), (left + long + 0.4 * h, y, 0.0)), chain),
        Stroke(((cx - large - 0.4 * h, y, 0.0), (end, y, 0.0)), chain),
        Stroke(((cx, y - large - 0.4 * h, 0.0), (cx, y + large + 0.4 * h, 0.0)), chain),
    )


def caution_sign(x: float, y: float, size: float = 6.0) -> tuple[Ink, ...]:
    """A triangle with an exclamation mark, its lower left corner at x, y."""
    height = size * math.sqrt(3) / 2
    corners = ((x, y), (x + size, y), (x + size / 2, y + height))
    return (
        Stroke(tuple((px, py, 0.0) for px, py in corners), pen("TEXT", width=0.5), closed=True),
        Letters(x + size / 2, y + 0.16 * size, "!", 0.5 * size, "centre", bold=True),
    )
