"""The gauge's paper twin as numbers: how the full-size drawing lies on sheets, and where every mark must then be.

Drawn as one sees the front: x to the right, y up, 1 mm a millimetre. A page's coordinates are mm from its lower left
corner. Where the drawing is larger than a page it is tiled with an overlap, and crosses in the overlap find each other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely

from wheelcad.job.models import Job
from wheelcad.parts.common.sheets import page_paper
from wheelcad.parts.gauge.cover import Cover
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import point_at
from wheelcad.units import INCH_MM

SHEETS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm
EDGE = 8.0  # mm a usual printer leaves white all round
LEFT_STRIP = 16.0  # mm for the upright bars
FOOT_STRIP = 40.0  # mm for the level bars and the words
OVERLAP = 14.0  # mm that neighbouring pages share
TICK_FROM, TICK_TO = 1.5, 7.0  # mm beyond the rim: the tick at every slot's middle
BARS_MM = {"mm": 100.0, "in": 4 * INCH_MM}  # in the unit the page is written in
BAR_TICK = 4.0  # mm, the strokes across a bar's ends
CROSS = 4.0  # mm, half the size of a joining cross

Point = tuple[float, float]


@dataclass(frozen=True)
class Tile:
    """A page: its row and column from the top left, and the wheel's x and y at the lower left of its window."""

    row: int
    column: int
    x0: float
    y0: float


@dataclass(frozen=True)
class Bar:
    """A bar on every page, from a to b; its ends are strokes across it."""

    a: Point
    b: Point
    length: float

    @property
    def level(self) -> bool:
        """Whether it lies level rather than standing."""
        return self.a[1] == self.b[1]


@dataclass(frozen=True)
class PaperPlan:
    """paper: A4 or Letter; window: xmin, ymin, xmax, ymax of the drawing space on a page; crosses: in the wheel's x and
    y; ticks: each slot's tick from its inner to its outer end; bolts: centres."""

    paper: str
    window: tuple[float, float, float, float]
    tiles: tuple[Tile, ...]
    bars: tuple[Bar, ...]
    crosses: tuple[Point, ...]
    ticks: tuple[tuple[Point, Point], ...]
    bolts: tuple[Point, ...]
    hole_radius: float

    @property
    def columns(self) -> int:
        """Pages side by side."""
        return max(tile.column for tile in self.tiles) + 1

    @property
    def rows(self) -> int:
        """Pages above each other."""
        return max(tile.row for tile in self.tiles) + 1

    def shift(self, tile: Tile) -> Point:
        """What to add to the wheel's x and y to come to the page's."""
        return self.window[0] - tile.x0, self.window[1] - tile.y0

    def shows(self, tile: Tile, point: Point, room: float = 0.0) -> bool:
        """Whether a point of the wheel lies in the tile's window, `room` mm from its edge."""
        x, y = point[0] - tile.x0, point[1] - tile.y0
        width, height = self.window[2] - self.window[0], self.window[3] - self.window[1]
        return room <= x <= width - room and room <= y <= height - room


def plan_paper(job: Job, wheel: WheelDesign, cover: Cover, bolts: tuple[Point, ...], hole_radius: float) -> PaperPlan:
    """The pages for a job's gauge, on A4 or Letter."""
    paper = page_paper(job)
    width, height = SHEETS[paper]
    window = EDGE + LEFT_STRIP, EDGE + FOOT_STRIP, width - EDGE, height - EDGE
    radii = wheel.radius_mm + TICK_FROM, wheel.radius_mm + TICK_TO
    inner, outer = (point_at(r, [m.at_deg for m in cover.marks], wheel.sense).tolist() for r in radii)
    ticks = tuple(((a[0], a[1]), (b[0], b[1])) for a, b in zip(inner, outer, strict=True))
    size = window[2] - window[0], window[3] - window[1]
    x0, y0, x1, y1 = drawn_area(wheel.radius_mm, cover).bounds
    xs, ys = _starts(x0, x1, size[0]), _starts(y0, y1, size[1])
    rings = [((x, y), 0.0, hole_radius + 3.0 + CROSS + 1.0) for x, y in bolts]
    rings += [((0.0, 0.0), wheel.floor_radius_mm - 10.0, radii[1] + CROSS + 1.0), ((0.0, 0.0), 0.0, 14.0)]
    tiles = tuple(
        Tile(row, column, x, y) for row, y in enumerate(sorted(ys, reverse=True)) for column, x in enumerate(xs)
    )
    return PaperPlan(
        paper, window, tiles, _bars(BARS_MM[job.units]), _crosses(xs, ys, size, rings), ticks, bolts, hole_radius
    )


def drawn_area(rim_radius: float, cover: Cover) -> shapely.Geometry:
    """What is drawn: the whole wheel with its ticks, or what the gauge keeps of it."""
    area = shapely.Point(0, 0).buffer(rim_radius + TICK_TO + 1.0, 64)
    return area if cover.keep is None else area.intersection(shapely.Polygon(cover.keep.flatten(0.05)))


def _starts(low: float, high: float, size: float) -> list[float]:
    """Where windows of `size` begin that cover low to high with the overlap, all about its middle."""
    count = max(1, math.ceil((high - low - OVERLAP) / (size - OVERLAP) - 1e-9))
    total = count * size - (count - 1) * OVERLAP
    start = (low + high - total) / 2
    return [start + k * (size - OVERLAP) for k in range(count)]


def _bars(n: float) -> tuple[Bar, ...]:
    """A bar n mm long level at the foot, and one standing at the left."""
    x, y = EDGE + LEFT_STRIP, EDGE + FOOT_STRIP
    return Bar((x, y - 8.0), (x + n, y - 8.0), n), Bar((x - 5.0, y), (x - 5.0, y + n), n)


def _crosses(
    xs: list[float], ys: list[float], size: Point, rings: list[tuple[Point, float, float]]
) -> tuple[Point, ...]:
    """Joining crosses in the middle of every overlap, three along each side of a page where nothing else is drawn.

    size: of a window; rings: what to keep clear of, as centre, inner and outer radius.
    """
    shares = [0.04, 0.96, *(0.1 * k for k in range(1, 10))]
    out: list[Point] = []

    def keep(candidates: list[Point]) -> None:
        free = [p for p in candidates if not any(near <= math.dist(p, c) <= far for c, near, far in rings)]
        free.sort()
        out.extend({free[0], free[len(free) // 2], free[-1]} if free else set())

    for x in xs[1:]:
        for y in ys:
            keep([(x + OVERLAP / 2, y + size[1] * share) for share in shares])
    for y in ys[1:]:
        for x in xs:
            keep([(x + size[0] * share, y + OVERLAP / 2) for share in shares])
    return tuple(sorted(out))
