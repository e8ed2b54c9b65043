"""Letters made of plain strokes, thickened into outlines: no font, and few corners, so that they build fast.

Each letter is a handful of straight strokes on a grid 4 wide and 6 high (narrower where the letter is), from which
outlines of any height and stroke width follow. Lengths in mm; x runs the way one reads, y towards the letter's top.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import shapely

from wheelcad.arrays import Floats
from wheelcad.trade.loop import Loop

GRID_HEIGHT = 6.0
WIDEST = 4.8  # grid units
SPACE = 3.0  # grid units of a blank

_STROKES: dict[str, tuple[tuple[tuple[float, float], ...], ...]] = {
    "0": (((0, 0), (4, 0), (4, 6), (0, 6), (0, 0)),),
    "1": (((0, 5), (1.2, 6), (1.2, 0)),),
    "2": (((0, 6), (4, 6), (4, 3), (0, 3), (0, 0), (4, 0)),),
    "3": (((0, 6), (4, 6), (4, 0), (0, 0)), ((1, 3), (4, 3))),
    "4": (((0, 6), (0, 2.6), (4, 2.6)), ((2.9, 5), (2.9, 0))),
    "5": (((4, 6), (0, 6), (0, 3), (4, 3), (4, 0), (0, 0)),),
    "6": (((2.8, 5.7), (0, 3), (0, 0), (4, 0), (4, 3), (0, 3)),),
    "7": (((0, 6), (4, 6), (1.4, 0)),),
    "8": (((0, 0), (4, 0), (4, 6), (0, 6), (0, 0)), ((0, 3), (4, 3))),
    "9": (((1.2, 0.3), (4, 3), (4, 6), (0, 6), (0, 3), (4, 3)),),
    ".": (((0, 0), (0.4, 0)),),
    "-": (((0.5, 3), (3.5, 3)),),
    "A": (((0, 0), (0, 6), (4, 6), (4, 0)), ((0, 2.6), (4, 2.6))),
    "B": (((0, 0), (4, 0), (4, 3), (3.2, 3), (3.2, 6), (0, 6), (0, 0)), ((0, 3), (4, 3))),
    "C": (((4, 6), (0, 6), (0, 0), (4, 0)),),
    "D": (((0, 0), (2.6, 0), (4, 1.4), (4, 4.6), (2.6, 6), (0, 6), (0, 0)),),
    "E": (((4, 6), (0, 6), (0, 0), (4, 0)), ((0, 3), (3.2, 3))),
    "F": (((4, 6), (0, 6), (0, 0)), ((0, 3), (3.2, 3))),
    "G": (((4, 6), (0, 6), (0, 0), (4, 0), (4, 3), (2.2, 3)),),
    "H": (((0, 0), (0, 6)), ((4, 0), (4, 6)), ((0, 3), (4, 3))),
    "I": (((0, 0), (0, 6)),),
    "J": (((0, 1.6), (0, 0), (3.4, 0), (3.4, 6)),),
    "K": (((0, 0), (0, 6)), ((4, 6), (0.6, 2.6)), ((1.6, 3.4), (4, 0))),
    "L": (((0, 6), (0, 0), (3.6, 0)),),
    "M": (((0, 0), (0, 6), (2.4, 2.6), (4.8, 6), (4.8, 0)),),
    "N": (((0, 0), (0, 6), (4, 0), (4, 6)),),
    "O": (((0, 0), (4, 0), (4, 6), (0, 6), (0, 0)),),
    "P": (((0, 0), (0, 6), (4, 6), (4, 3), (0, 3)),),
    "Q": (((0, 0), (4, 0), (4, 6), (0, 6), (0, 0)), ((2.4, 2), (4.4, -0.6))),
    "R": (((0, 0), (0, 6), (4, 6), (4, 3), (0, 3)), ((1.8, 2.6), (4, 0))),
    "S": (((4, 6), (0, 6), (0, 3), (4, 3), (4, 0), (0, 0)),),
    "T": (((0, 6), (4, 6)), ((2, 6), (2, 0))),
    "U": (((0, 6), (0, 0), (4, 0), (4, 6)),),
    "V": (((0, 6), (2, 0), (4, 6)),),
    "W": (((0, 6), (1.2, 0), (2.4, 3.6), (3.6, 0), (4.8, 6)),),
    "X": (((0, 0), (4, 6)), ((0, 6), (4, 0))),
    "Y": (((0, 6), (2, 3), (4, 6)), ((2, 3), (2, 0))),
    "Z": (((0, 6), (4, 6), (0, 0), (4, 0)),),
}


UPSIDE_DOWN = str.maketrans("01689", "01986")


def number_text(number: int, most: int) -> str:
    """A cut's number as it is written, of cuts up to `most`: one that reads as another upside down (6 and 9, 16 and 91)
    gets a full stop, which stands at its foot."""
    digits = str(number)
    if not set(digits) <= set("01689"):
        return digits
    other = digits[::-1].translate(UPSIDE_DOWN)
    return f"{digits}." if other != digits and other[0] != "0" and int(other) <= most else digits


@dataclass(frozen=True)
class Lettering:
    """A size of letter: height over all and stroke width, mm."""

    height: float
    stroke: float

    @property
    def unit(self) -> float:
        """One grid unit, mm: the strokes' centre lines are a stroke less high than the letter."""
        return (self.height - self.stroke) / GRID_HEIGHT

    @property
    def gap(self) -> float:
        """Clear space between neighbouring letters, mm."""
        return max(self.stroke, 1.2 * self.unit)

    @property
    def least_radius(self) -> float:
        """Of the circle a text may follow, mm: on a smaller one the feet of wide letters come within half their gap."""
        return (WIDEST * self.unit + self.stroke + self.gap) * self.height / self.gap

    def width(self, text: str) -> float:
        """Width of a line of text, mm."""
        widths = [self._width(ch) for ch in text]
        return sum(widths) + self.gap * (len(widths) - 1)

    def _width(self, ch: str) -> float:
        if ch == " ":
            return SPACE * self.unit
        return max(x for run in _STROKES[ch] for x, _ in run) * self.unit + self.stroke

    def offsets(self, text: str) -> list[tuple[str, float]]:
        """Each letter but blanks, with the x of its middle when the text's middle is x = 0."""
        out, x = [], -self.width(text) / 2
        for ch in text:
            w = self._width(ch)
            if ch != " ":
                out.append((ch, x + w / 2))
            x += w + self.gap
        return out


@cache
def letter_outlines(ch: str, height: float, stroke: float) -> tuple[Floats, ...]:
    """Outlines (n, 2) of one letter about its own middle, counters (the insides of 0, 4, 8 …) as outlines of their own.

    ValueError for a character there is no letter for.
    """
    if ch not in _STROKES:
        raise ValueError(f"there are no strokes for {ch!r}")
    unit = (height - stroke) / GRID_HEIGHT
    wide = max(x for run in _STROKES[ch] for x, _ in run)
    parts = []
    for run in _STROKES[ch]:
        points = [((x - wide / 2) * unit, (y - GRID_HEIGHT / 2) * unit) for x, y in run]
        line = shapely.LinearRing(points) if points[0] == points[-1] else shapely.LineString(points)
        parts.append(line.buffer(stroke / 2, cap_style="square", join_style="mitre", mitre_limit=1.6))
    shape = shapely.union_all(parts).simplify(1e-6)
    rings = [ring for polygon in shapely.get_parts(shape) for ring in (polygon.exterior, *polygon.interiors)]
    return tuple(np.array(ring.coords)[:-1] for ring in rings)


def place(points: Floats, radius: float, page_deg: float, turned: float = 0.0) -> Floats:
    """Points (n, 2) of a letter about its middle, set with that middle at `radius` mm and page_deg from +Y, clockwise
    on the page, its top outwards; turned: degrees anticlockwise about its middle before (180 puts the top inwards)."""
    t, a = math.radians(turned), math.radians(page_deg)
    x = points[:, 0] * math.cos(t) - points[:, 1] * math.sin(t)
    y = points[:, 0] * math.sin(t) + points[:, 1] * math.cos(t) + radius
    return np.column_stack([x * math.cos(a) + y * math.sin(a), -x * math.sin(a) + y * math.cos(a)])


def straight_text(text: str, size: Lettering, radius: float, page_deg: float) -> Iterator[Loop]:
    """A short text on a straight line, its middle at `radius` mm and page_deg, tops outwards."""
    for ch, x in size.offsets(text):
        for outline in letter_outlines(ch, size.height, size.stroke):
            yield Loop.polygon(place(outline + np.array([x, 0.0]), radius, page_deg))


def curved_text(text: str, size: Lettering, radius: float, page_deg: float) -> list[Loop]:
    """A text along the circle of `radius` mm, its middle at page_deg; upright where the TDC line points up, so that in
    the lower half the tops point inwards."""
    low = math.cos(math.radians(page_deg)) < -1e-9
    out = []
    for ch, x in size.offsets(text):
        step = math.degrees(x / radius)
        for outline in letter_outlines(ch, size.height, size.stroke):
            points = place(outline, radius, page_deg + (-step if low else step), 180.0 if low else 0.0)
            out.append(Loop.polygon(points))
    return out


def boxes(loops: Sequence[Loop], grow: float) -> shapely.Geometry:
    """The area the loops' outer outlines take, `grow` mm larger all round."""
    return shapely.union_all([shapely.Polygon(loop.vertices[:, :2]).convex_hull for loop in loops]).buffer(grow)
