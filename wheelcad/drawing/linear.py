"""Linear dimensions, stacked outwards from the part on four sides.

The shortest stand nearest the part, 8 mm from it, the next ones 7 mm further out each (ISO 129-1 asks for lines that
do not cross where it can be helped; the distances are common practice). A text that does not fit between its
extension lines slides along the dimension line, then goes out over its end, until it runs into nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from wheelcad.drawing import dimension_text
from wheelcad.drawing.datums import datum_on
from wheelcad.drawing.font import text_width
from wheelcad.drawing.ink import Box, Group, Ink, InkMeasure, Letters, box_of, line
from wheelcad.drawing.model import Linear, Units
from wheelcad.drawing.room import Room
from wheelcad.drawing.symbols import ARROW, XY, arrow, rectangle

FIRST_MM = 8.0
NEXT_MM = 7.0
HEIGHT = 3.5  # mm, of dimension lettering
ABOVE = 1.0  # mm between dimension line and text
EXTENSION_GAP = 1.0  # mm between feature and extension line
EXTENSION_PAST = 2.0  # mm the extension line runs past the dimension line
TIERS = 40
SLIDE = 2.0  # mm
NEAR, FAR = 3, 25  # places over either end that are tried on each line, first and then
CLEAR = 0.5  # mm between a text or sign and an extension line that is still to come
STEM = 30  # mm, the longest of a datum that is placed with its dimension
DATUM_SPARE = 2.0  # mm that a text leaves free at the ends for a datum triangle


@dataclass(frozen=True)
class SizeSpot:
    """Where a linear dimension could stand: w is the dimension line's coordinate across, text_u the text's middle.

    instead: the end (-1 the lower, 1 the upper) where the triangle of a datum takes the place of an arrow outside.
    """

    w: float
    text_u: float
    instead: int = 0


@dataclass(frozen=True)
class LinearInk:
    """One linear dimension at a drawing scale, in u (along the measured direction) and w (across it), paper mm."""

    dim: Linear
    units: Units
    scale: float
    view: str

    @cached_property
    def upright(self) -> bool:
        """True when it measures along y."""
        return self.dim.side in ("left", "right")

    @cached_property
    def outward(self) -> int:
        """+1 where the stack grows towards larger w."""
        return 1 if self.dim.side in ("above", "right") else -1

    @cached_property
    def value(self) -> float:
        """The model's value, mm."""
        k = 1 if self.upright else 0
        return abs(self.dim.b[k] - self.dim.a[k])

    @cached_property
    def text(self) -> str:
        """As printed."""
        return dimension_text.dimension(self.dim, self.value, self.units)

    @cached_property
    def width(self) -> float:
        """Of the text, with its box if it is exact, mm."""
        return text_width(self.text, HEIGHT) + (2.0 if self.dim.exact else 0.0)

    @cached_property
    def ends(self) -> tuple[tuple[float, float], tuple[float, float]]:
        """(u, w) of the two features, the lower u first."""
        pairs = [(p[1], p[0]) if self.upright else p for p in (self.dim.a, self.dim.b)]
        low, high = sorted((u * self.scale, w * self.scale) for u, w in pairs)
        return low, high

    def xy(self, u: float, w: float) -> XY:
        """Paper coordinates of u, w."""
        return (w, u) if self.upright else (u, w)

    def spots(self, w: float, far: int = FAR) -> Iterator[SizeSpot]:
        """Text places on a dimension line at w, best first: middle, slid along, over either end, `far` steps out."""
        (u0, _), (u1, _) = self.ends
        middle, width = (u0 + u1) / 2, self.width
        spare = (0.0 if self.arrows_inside else 1.0) + (DATUM_SPARE if self.dim.datum else 0.0)
        if width <= u1 - u0 - spare:
            yield SizeSpot(w, middle)
            for k in range(1, int((u1 - u0 - width) / 2 / SLIDE) + 1):
                yield SizeSpot(w, middle + k * SLIDE)
                yield SizeSpot(w, middle - k * SLIDE)
        tail = 1.0 if self.arrows_inside else 2 * ARROW
        for k in range(far):
            yield SizeSpot(w, u1 + tail + width / 2 + 3 * k)
            yield SizeSpot(w, u0 - tail - width / 2 - 3 * k)

    @cached_property
    def arrows_inside(self) -> bool:
        """True when both arrowheads fit between the extension lines."""
        (u0, _), (u1, _) = self.ends
        return u1 - u0 >= 2 * ARROW + 1.5

    @property
    def tail(self) -> float:
        """How far the line goes on beyond its extension lines, for arrows that stand outside, mm."""
        return 0.0 if self.arrows_inside else 2 * ARROW

    def text_box(self, spot: SizeSpot) -> Box:
        """The upright box of the text at a spot."""
        u0, u1 = self.span(spot)
        if self.upright:
            return spot.w - ABOVE - HEIGHT, u0, spot.w - ABOVE, u1
        return u0, spot.w + ABOVE, u1, spot.w + ABOVE + HEIGHT

    def span(self, spot: SizeSpot) -> tuple[float, float]:
        """From where to where the text at a spot reaches along the dimension line."""
        return spot.text_u - self.width / 2, spot.text_u + self.width / 2

    def bare(self, w: float, instead: int = 0) -> Group:
        """Dimension line and extension lines alone: what stays the same wherever the text goes."""
        (u0, w0), (u1, w1) = self.ends
        low, high = (0.0 if instead == end else self.tail for end in (-1, 1))
        ink: list[Ink] = [self._shelf(u0 - low, u1 + high, w)]
        for u, from_w in ((u0, w0), (u1, w1)):
            ink.extend(self._extension(u, from_w, w))
        return Group(self.text, "dimension", tuple(ink), view=self.view)

    def group(self, spot: SizeSpot) -> Group:
        """The dimension's ink at a spot."""
        (u0, w0), (u1, w1) = self.ends
        w, half = spot.w, self.width / 2
        low, high = (0.0 if spot.instead == end else self.tail for end in (-1, 1))
        ink = list(self.bare(w, spot.instead).ink)
        if spot.text_u < u0:
            ink[0] = self._shelf(min(u0 - 2 * ARROW, spot.text_u - half), u1 + high, w)
        elif spot.text_u > u1:
            ink[0] = self._shelf(u0 - low, max(u1 + 2 * ARROW, spot.text_u + half), w)
        out = 90.0 if self.upright else 0.0
        inward, outward = (out, out + 180.0) if self.arrows_inside else (out + 180.0, out)
        for end, u, way in ((-1, u0, inward), (1, u1, outward)):
            if self.arrows_inside or spot.instead != end:
                ink.append(arrow(self.xy(u, w), way))
        base = w - ABOVE if self.upright else w + ABOVE
        at = self.xy(spot.text_u, base)
        ink.append(Letters(at[0], at[1], self.text, HEIGHT, "centre", 90.0 if self.upright else 0.0, "DIM"))
        keep: tuple[Box, ...] = ()
        if self.dim.exact:
            ink.append(self._exact_box(spot, base))
            keep = (box_of(ink[-1:]),)
        middle = self.xy(spot.text_u, base - HEIGHT / 2 if self.upright else base + HEIGHT / 2)
        points = (self.xy(u0, w0), self.xy(u1, w1), self.xy(u1, w))
        measure = InkMeasure("linear", points, self.value, self.text, middle, 90.0 if self.upright else 0.0, self.scale)
        return Group(self.text, "dimension", tuple(ink), measure, self.view, keep)

    def _shelf(self, start: float, stop: float, w: float) -> Ink:
        return line(self.xy(start, w), self.xy(stop, w), role="dimension-line")

    def _extension(self, u: float, from_w: float, to_w: float) -> list[Ink]:
        way = 1.0 if to_w > from_w else -1.0
        if abs(to_w - from_w) <= EXTENSION_GAP:
            return []
        a, b = self.xy(u, from_w + way * EXTENSION_GAP), self.xy(u, to_w + way * EXTENSION_PAST)
        return [line(a, b, role="extension-line")]

    def _exact_box(self, spot: SizeSpot, base: float) -> Ink:
        long, deep = self.width, HEIGHT + 1.4
        if self.upright:
            return rectangle(base - HEIGHT - 0.7, spot.text_u - long / 2, deep, long)
        return rectangle(spot.text_u - long / 2, base - 0.7, long, deep)


def stack(
    dims: list[Linear], part: Box, room: Room, units: Units, scale: float, view: str, with_datums: bool = False
) -> tuple[list[Group], list[Group]]:
    """Place linear dimensions round the part's box (paper mm), shortest nearest; `room` is told of each.

    with_datums: a dimension stands only where the triangle of its datum finds room too, if there is such a place.
    Returns the dimensions, in the order given, and the triangles so placed.
    """
    inks = [LinearInk(d, units, scale, view) for d in dims]
    lines_to_come = [(i, end[0]) for i in inks for end in i.ends]
    out: dict[int, Group] = {}
    signs: list[Group] = []
    for order, ink in sorted(enumerate(inks), key=lambda pair: (pair[1].dim.far, round(pair[1].value, 6), pair[0])):
        lines_to_come = [pair for pair in lines_to_come if pair[0] is not ink]
        ahead = [u for other, u in lines_to_come if other.dim.side == ink.dim.side]
        both = _with_its_datum(ink, part, room, ahead) if with_datums and ink.dim.datum else None
        placed = both or (_place(ink, part, room, ahead),)
        for group in placed:
            room.add(group)
        out[order] = placed[0]
        signs += placed[1:]
    return [out[k] for k in sorted(out)], signs


def _with_its_datum(ink: LinearInk, part: Box, room: Room, ahead: list[float]) -> tuple[Group, Group] | None:
    """The first spot where a dimension fits and the triangle of its datum with it, clear of the lines still to come.

    Where arrows have no room inside, the triangle stands for one of them (ISO 5459; from memory).
    """
    (low, _), (high, _) = ink.ends
    for far in (NEAR, FAR):
        for w in _lines(ink, part):
            for spot in ink.spots(w, far):
                if _in_the_way(ahead, ink.span(spot)) or not room.clear(ink.text_box(spot)):
                    continue
                for end, over in ((1, spot.text_u > high), (-1, spot.text_u < low)):
                    both = None if over else _signed(ink, replace(spot, instead=end), room, ahead)
                    if both is not None:
                        return both
    return None


def _signed(ink: LinearInk, spot: SizeSpot, room: Room, ahead: list[float]) -> tuple[Group, Group] | None:
    """A dimension at a spot with its datum's triangle; None where either is in the way of anything."""
    group = ink.group(spot)
    if not room.fits(group):
        return None
    beside = room.copy()
    beside.add(group)
    for sign in datum_on(group, ink.dim.datum, ink.view, STEM, (spot.instead,)):
        x0, y0, x1, y1 = sign.keep[0]
        if not _in_the_way(ahead, (y0, y1) if ink.upright else (x0, x1)) and beside.fits(sign):
            return group, sign
    return None


def _in_the_way(lines: list[float], span: tuple[float, float]) -> bool:
    """True when one of the lines at these u runs through a span or too near it."""
    return any(span[0] - CLEAR < u < span[1] + CLEAR for u in lines)


def _place(ink: LinearInk, part: Box, room: Room, ahead: list[float]) -> Group:
    """The first spot that fits and leaves the extension lines still to come their way; failing that, any that fits."""
    first: Group | None = None
    for careful, far in ((True, NEAR), (True, FAR), (False, FAR)):
        for w in _lines(ink, part):
            if first is not None and not room.fits(ink.bare(w)):
                continue
            for spot in ink.spots(w, far):
                if careful and _in_the_way(ahead, ink.span(spot)):
                    continue
                if first is not None and not room.clear(ink.text_box(spot)):
                    continue
                group = ink.group(spot)
                first = first or group
                if room.fits(group):
                    return group
    if first is None:
        first = ink.group(next(ink.spots(next(_lines(ink, part)))))
    return first


def _lines(ink: LinearInk, part: Box) -> Iterator[float]:
    """Coordinates across for the dimension line, nearest the part first."""
    if ink.dim.at is not None:
        yield ink.dim.at * ink.scale
    edge = {"above": part[3], "below": part[1], "left": part[0], "right": part[2]}[ink.dim.side]
    for tier in range(TIERS):
        yield edge + ink.outward * (FIRST_MM + tier * NEXT_MM)
