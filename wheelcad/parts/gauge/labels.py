"""What is written on the gauge's front: cut numbers at the slots, TDC pointer, direction of rotation, caution.

Everything is engraved into the front face, which is printed against the bed. Each text looks for room among holes, bolt
heads and what already stands there; what finds none is left out and named. Wheel frame, mm; `sense` as in trade.frames;
page_deg: clockwise from +Y as one sees the front.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from wheelcad.parts.gauge.lettering import Lettering, boxes, curved_text, number_text, straight_text
from wheelcad.trade.loop import Loop

NUMBER_SIZES = (Lettering(4.0, 0.8), Lettering(3.5, 0.7), Lettering(3.0, 0.6), Lettering(2.5, 0.6))
LABEL_SIZES = (Lettering(4.5, 0.9), Lettering(4.0, 0.8), Lettering(3.5, 0.7), Lettering(3.0, 0.6))
TDC_SIZE = LABEL_SIZES[2]
NUMBER_EVERY = (1, 2, 5, 10, 20, 50)
FROM_SLOT = 1.6  # mm from a slot's floor to the top of its number
APART = 1.0  # mm between anything written and an edge or another text
POINTER = ((6.0, 5.0), (4.5, 4.0), (3.0, 3.0))  # length and base of the TDC pointer, mm, largest first
CAUTIONS = (("LAYOUT ONLY", "LAYOUT"), ("NEVER RUN",))  # each as long as there is room for


@dataclass(frozen=True)
class Mark:
    """A slot's mark: the cut number of the chart, and its centre in degrees from the TDC line (0 ≤ a < 360).

    gap_before, gap_after: the wheel's gap begins here, so that the slot has no side there.
    """

    number: int
    at_deg: float
    gap_before: bool = False
    gap_after: bool = False


@dataclass
class Engraving:
    """What has been placed. loops: engraved outlines; through: outlines that go right through the plate; numbered: the
    cut numbers written; size: of those numbers; missing: texts that found no room; tdc: the pointer's tip, x and y."""

    loops: list[Loop] = field(default_factory=list)
    through: list[Loop] = field(default_factory=list)
    numbered: list[int] = field(default_factory=list)
    size: Lettering = NUMBER_SIZES[-1]
    smallest: Lettering = NUMBER_SIZES[0]
    missing: list[str] = field(default_factory=list)
    tdc: tuple[float, float] | None = None


class Front:
    """The front face with the room that is left on it.

    reach: radius inside which labels may stand; free: the area that is not cut, before anything is written.
    """

    def __init__(self, free: shapely.Geometry, sense: int) -> None:
        self.free = free
        self._used: list[shapely.Geometry] = []
        shapely.prepare(self.free)
        self.sense = sense
        self.out = Engraving()

    def _use(self, area: shapely.Geometry) -> None:
        shapely.prepare(area)
        self._used.append(area)

    def _has_room(self, area: shapely.Geometry) -> bool:
        """Whether an area is free and clear of all that was placed: to cut each out of the room takes far longer."""
        return bool(self.free.covers(area)) and not any(used.intersects(area) for used in self._used)

    def take(self, loops: Sequence[Loop], grow: float = APART) -> bool:
        """Place the loops if they have room; whether they had."""
        area = boxes(loops, grow)
        if not self._has_room(area):
            return False
        self.out.loops.extend(loops)
        self._use(area)
        return True

    def take_text(self, words: str, size: Lettering, radius: float, page_deg: float) -> bool:
        """Place a text along a circle if the band it lies in has room; whether it had."""
        half = (size.width(words) / 2 + APART) / radius
        if half > 2.0 or radius < size.least_radius:
            return False
        band = _band(radius, page_deg, half, size.height / 2 + APART)
        if not self._has_room(band):
            return False
        self.out.loops.extend(curved_text(words, size, radius, page_deg))
        self._use(band)
        self._note(size)
        return True

    def number(self, marks: Sequence[Mark], floor_radius: float, pitch_deg: float) -> None:
        """Cut numbers inside the slots' floors: the largest size and the closest numbering that fit."""
        size, every = _number_size(marks, floor_radius, pitch_deg)
        self.out.size = size
        radius = number_radius(floor_radius, size)
        most = max((mark.number for mark in marks), default=1)
        for mark in marks:
            if mark.number != 1 and mark.number % every:
                continue
            if self.take(
                list(straight_text(number_text(mark.number, most), size, radius, self.sense * mark.at_deg)), grow=0.4
            ):
                self.out.numbered.append(mark.number)
        if self.out.numbered:
            self.out.smallest = size

    def pointer(self, radii: Sequence[float], sight: tuple[float, float]) -> None:
        """The TDC pointer, its tip on the TDC line, and TDC by it; through the plate where metal lies under it.

        radii: where its tip may be, best first; sight: from and to which radius it may go through.
        """
        wanted = [(size, where) for where in ("beneath", "beside", "") for size in POINTER]
        for (length, base), where in wanted:
            for tip in radii:
                triangle = Loop.polygon([(-base / 2, tip - length), (base / 2, tip - length), (0.0, tip)])
                if tip - length < TDC_SIZE.least_radius and where:
                    continue
                for text in _tdc_texts(where, tip, length, base):
                    area = boxes([triangle, *text], APART)
                    if tip - length < 4.0 or not self._has_room(area):
                        continue
                    through = tip - length >= sight[0] and tip <= sight[1]
                    (self.out.through if through else self.out.loops).append(triangle)
                    self.out.loops.extend(text)
                    self._use(area)
                    self.out.tdc = (0.0, tip)
                    if text:
                        self._note(TDC_SIZE)
                    else:
                        self.out.missing.append("TDC")
                    return
        self.out.missing.append("TDC pointer")

    def text(self, words: Sequence[str], radii: Sequence[float], angles: Sequence[float]) -> None:
        """The first of `words` that has room along a circle, at the first place and largest size that has."""
        for text in words:
            for size in LABEL_SIZES:
                for page_deg in angles:
                    for radius in radii:
                        if self.take_text(text, size, radius, page_deg):
                            return
        self.out.missing.append(words[0])

    def arrow(self, radii: Sequence[float], angles: Sequence[float]) -> None:
        """An arrow along a circle in the direction in which the crank turns."""
        for length, head in ((22.0, 5.0), (15.0, 4.0), (9.0, 3.0)):
            for page_deg in angles:
                for radius in radii:
                    if length < radius * 2 and self.take([_arrow(radius, page_deg, length, head, self.sense)]):
                        return
        self.out.missing.append("direction arrow")

    def _note(self, size: Lettering) -> None:
        if size.height < self.out.smallest.height or size.stroke < self.out.smallest.stroke:
            self.out.smallest = size


def number_radius(floor_radius: float, size: Lettering) -> float:
    """From the axis to the middle of numbers that stand inside slots whose floors reach down to floor_radius, mm."""
    return floor_radius - FROM_SLOT - size.height / 2


def _band(radius: float, page_deg: float, half: float, deep: float) -> shapely.Geometry:
    """Part of a ring about `radius` mm, `half` radians and `deep` mm to each side."""
    along = math.radians(page_deg) + np.linspace(-half, half, max(3, math.ceil(half / 0.1)))
    # chords of the outer edge would cut corners off the band: take it as much further out
    outer, inner = (radius + deep) / math.cos((along[1] - along[0]) / 2), max(radius - deep, 0.0)
    edge = np.concatenate(
        [np.column_stack([r * np.sin(a), r * np.cos(a)]) for r, a in ((outer, along), (inner, along[::-1]))]
    )
    return shapely.Polygon(edge)


def _tdc_texts(where: str, tip: float, length: float, base: float) -> list[list[Loop]]:
    """The letters TDC in the places meant by `where`; one empty list for no letters."""
    if where == "beneath":
        return [curved_text("TDC", TDC_SIZE, tip - length - 1.0 - TDC_SIZE.height / 2, 0.0)]
    if where == "beside":
        radius = tip - length / 2
        aside = math.degrees((base / 2 + 1.0 + TDC_SIZE.width("TDC") / 2) / radius)
        return [curved_text("TDC", TDC_SIZE, radius, page) for page in (aside, -aside)]
    return [[]]


def _number_size(marks: Sequence[Mark], floor_radius: float, pitch_deg: float) -> tuple[Lettering, int]:
    """Every slot's number at full size if it fits, else smaller down to 3 mm, else every second, fifth, …"""
    longest = str(max((mark.number for mark in marks), default=1))
    for every in NUMBER_EVERY:
        for size in NUMBER_SIZES[:3]:
            radius = floor_radius - FROM_SLOT - size.height  # the foot of the numbers, where they stand closest
            if size.width(longest) + 1.2 <= 2 * radius * math.sin(
                min(math.radians(every * pitch_deg) / 2, math.pi / 2)
            ):
                return size, every
    return NUMBER_SIZES[-1], NUMBER_EVERY[-1]


def _arrow(radius: float, page_deg: float, length: float, head: float, sense: int) -> Loop:
    """Shaft along the circle as straight pieces, and a head; `length` mm over all."""
    shaft = 0.35 * head
    half = length / 2 / radius
    neck = half - head / radius
    along = np.linspace(-half, neck, 4)
    outer = [(radius + shaft / 2, a) for a in along]
    tip = [(radius + head / 2, neck), (radius - 0.25, half), (radius - head / 2, neck)]
    inner = [(radius - shaft / 2, a) for a in along[::-1]]
    start = math.radians(page_deg)
    points = [(r * math.sin(start + sense * a), r * math.cos(start + sense * a)) for r, a in (*outer, *tip, *inner)]
    return Loop.polygon(points).oriented()
