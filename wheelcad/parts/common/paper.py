"""Full-size drawings on ordinary sheets: how one is tiled over pages, with bars to measure and crosses that join them.

1 mm a millimetre. A page's coordinates are mm from its lower left corner, a drawing's are its own. Where a drawing is
larger than a page it is tiled with an overlap, and crosses in the overlap find each other.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from wheelcad.drawing.paper import ISO_PAPERS, US_PAPERS
from wheelcad.job.models import Job
from wheelcad.units import INCH_MM

SHEETS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}  # mm
EDGE = 8.0  # mm a usual printer leaves white all round
LEFT_STRIP = 16.0  # mm for the upright bars
FOOT_STRIP = 40.0  # mm for the level bars and the words
OVERLAP = 14.0  # mm that neighbouring pages share
BARS_MM = {"mm": 100.0, "in": 4 * INCH_MM}  # in the unit the page is written in
BAR_TICK = 4.0  # mm, the strokes across a bar's ends
CROSS = 4.0  # mm, half the size of a joining cross

Point = tuple[float, float]
Bounds = tuple[float, float, float, float]


@dataclass(frozen=True)
class Tile:
    """A page: its row and column from the top left, and the drawing's x and y at the lower left of its window."""

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
class Tiling:
    """paper: A4 or Letter; window: xmin, ymin, xmax, ymax of the drawing space on a page; crosses: in the drawing's x
    and y."""

    paper: str
    window: Bounds
    tiles: tuple[Tile, ...]
    bars: tuple[Bar, ...]
    crosses: tuple[Point, ...]

    @property
    def columns(self) -> int:
        """Pages side by side."""
        return max(tile.column for tile in self.tiles) + 1

    @property
    def rows(self) -> int:
        """Pages above each other."""
        return max(tile.row for tile in self.tiles) + 1

    def shift(self, tile: Tile) -> Point:
        """What to add to the drawing's x and y to come to the page's."""
        return self.window[0] - tile.x0, self.window[1] - tile.y0

    def shows(self, tile: Tile, point: Point, room: float) -> bool:
        """Whether a point of the drawing lies in the tile's window, `room` mm from its edge."""
        x, y = point[0] - tile.x0, point[1] - tile.y0
        width, height = self.window[2] - self.window[0], self.window[3] - self.window[1]
        return room <= x <= width - room and room <= y <= height - room


def tiled(paper: str, units: str, bounds: Bounds, blocked: Callable[[Point], bool]) -> Tiling:
    """The pages that show all within `bounds`. blocked: where no joining cross may be drawn."""
    width, height = SHEETS[paper]
    window = EDGE + LEFT_STRIP, EDGE + FOOT_STRIP, width - EDGE, height - EDGE
    size = window[2] - window[0], window[3] - window[1]
    xs, ys = _starts(bounds[0], bounds[2], size[0]), _starts(bounds[1], bounds[3], size[1])
    tiles = tuple(
        Tile(row, column, x, y) for row, y in enumerate(sorted(ys, reverse=True)) for column, x in enumerate(xs)
    )
    return Tiling(paper, window, tiles, _bars(BARS_MM[units]), _crosses(xs, ys, size, blocked))


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


def _crosses(xs: list[float], ys: list[float], size: Point, blocked: Callable[[Point], bool]) -> tuple[Point, ...]:
    """Joining crosses in the middle of every overlap, three along each side of a page where nothing else is drawn.

    size: of a window.
    """
    shares = [0.04, 0.96, *(0.1 * k for k in range(1, 10))]
    out: list[Point] = []

    def keep(candidates: list[Point]) -> None:
        # where rows and columns of pages meet, the crosses of both would run into each other
        apart = (p for p in candidates if all(math.dist(p, other) > 3 * CROSS for other in out))
        free = sorted(p for p in apart if not blocked(p))
        out.extend(sorted({free[0], free[len(free) // 2], free[-1]}) if free else [])

    for x in xs[1:]:
        for y in ys:
            keep([(x + OVERLAP / 2, y + size[1] * share) for share in shares])
    for y in ys[1:]:
        for x in xs:
            keep([(x + size[0] * share, y + OVERLAP / 2) for share in shares])
    return tuple(sorted(out))


def page_paper(job: Job) -> str:
    """The small sheet of a job, for what is read page by page: A4 or Letter."""
    if job.paper is None:
        return US_PAPERS[0] if job.units == "in" else ISO_PAPERS[0]
    return US_PAPERS[0] if job.paper in US_PAPERS else ISO_PAPERS[0]
