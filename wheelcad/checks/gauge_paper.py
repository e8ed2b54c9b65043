"""Measures gauge-paper.pdf as a printer would put it down: rendered at 300 dots to the inch, lines found in the dots.

Every bar's ends, every slot's tick, every bolt's and every joining cross must lie where the plan says, within what the
eye can tell on paper.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from wheelcad.codes import Check
from wheelcad.errors import UnreadableError
from wheelcad.findings import Finding, at_most, holds
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.paper import BAR_TICK, CROSS, SHEETS, Bar, PaperPlan, Tile
from wheelcad.trade.loop import Floats
from wheelcad.units import INCH_MM

PAPER = "gauge-paper.pdf"
DPI = 300
PLACE_LIMIT_MM = 0.15  # a line's middle against its place
SEEK = 1.4  # mm to each side in which a line is looked for
STATIONS = (-0.9, -0.6, -0.3, 0.0, 0.3, 0.6, 0.9)  # mm along a line
FEWEST = 3  # stations at which it must stand free of everything else
INK, LINE = 0.1, 0.3  # darkness from which a dot belongs to a line, and that a line has somewhere
WIDEST_MM = 0.6  # a dark stretch of more is two lines that run into each other, and neither can be read
PAGE_LIMIT_MM = 0.1  # a page's size
OWN = "computed from the job's own numbers"

Point = tuple[float, float]
Bytes = NDArray[np.uint8]


class Dots:
    """A page as dots (rows, columns), 0 black to 255 white; read as darkness 0 to 1, at mm from the lower left."""

    def __init__(self, grey: Bytes) -> None:
        self._dark = 255 - np.atleast_2d(grey.squeeze())
        self._rows, self._columns = len(self._dark), len(self._dark[0])
        self._per_mm = DPI / INCH_MM

    @property
    def size_mm(self) -> Point:
        """Width and height of the page."""
        return self._columns / self._per_mm, self._rows / self._per_mm

    def darkness(self, points: Floats) -> Floats:
        """Darkness at points (n, 2), between the four dots around each; 0 off the page."""
        u = points[:, 0] * self._per_mm - 0.5
        v = self._rows - points[:, 1] * self._per_mm - 0.5
        i, j = np.floor(v).astype(int), np.floor(u).astype(int)
        f, g = v - i, u - j
        inside = (i >= 0) & (j >= 0) & (i + 1 < self._rows) & (j + 1 < self._columns)
        i, j = np.where(inside, i, 0), np.where(inside, j, 0)
        d = self._dark
        level = (1 - f) * ((1 - g) * d[i, j] + g * d[i, j + 1]) + f * ((1 - g) * d[i + 1, j] + g * d[i + 1, j + 1])
        out: Floats = np.where(inside, level / 255.0, 0.0)
        return out

    def line_across(self, place: Point, along: Point) -> float:
        """How far (mm) a line's middle lies from `place`, looking SEEK mm both ways along the unit vector `along`.

        Read at STATIONS beside one another along the line, of which the middle value counts: what else passes there (a
        pointer, a dashed circle, a letter) crosses it at some of them only. Not a number where there is no line.
        """
        beside = np.array([-along[1], along[0]])
        found = [self._nearest(np.array(place) + station * beside, along) for station in STATIONS]
        kept = [off for off in found if np.isfinite(off)]
        return float(np.median(kept)) if len(kept) >= FEWEST else float("nan")

    def _nearest(self, place: Floats, along: Point) -> float:
        """The middle of the nearest dark stretch to `place`, mm along `along`."""
        steps = np.linspace(-SEEK, SEEK, 113)
        dark = self.darkness(place + steps[:, None] * np.array(along))
        edges = np.flatnonzero(np.diff(np.concatenate([[False], dark > INK, [False]]).astype(int)))
        offs = [
            float((dark[a:b] * steps[a:b]).sum() / dark[a:b].sum())
            for a, b in edges.reshape(-1, 2)
            if dark[a:b].max() >= LINE and steps[b - 1] - steps[a] <= WIDEST_MM
        ]
        return min(offs, key=abs) if offs else float("nan")


def check_gauge_paper(folder: Path, design: GaugeDesign) -> list[Finding]:
    """All findings of gauge-paper.pdf. ValueError when it cannot be read."""
    plan = design.paper
    pages = render(folder / PAPER)
    said = f"{len(pages)} of {len(plan.tiles)} pages of {plan.paper}"
    out = [holds(Check.PAPER_PAGES, PAPER, len(pages) == len(plan.tiles), said, "a page for every part of it", OWN)]
    if len(pages) != len(plan.tiles):
        return out
    size = max(abs(a - b) for page in pages for a, b in zip(page.size_mm, SHEETS[plan.paper], strict=True))
    out.append(at_most(Check.PAPER_SIZE, PAPER, size, "mm", PAGE_LIMIT_MM, f"pages against {plan.paper}", OWN))
    bars = [off for page in pages for bar in plan.bars for off in bar_ends(page, bar)]
    found = [marks_of(page, plan, tile) for page, tile in zip(pages, plan.tiles, strict=True)]
    for name, offs, what in (
        (Check.PAPER_BARS, bars, "ends of the bars, level and standing, on every page"),
        (Check.PAPER_TICKS, [o for f in found for o in f[0]], "ticks at the slots' middles"),
        (Check.PAPER_BOLTS, [o for f in found for o in f[1]], "crosses at the bolts and at the centre"),
        (Check.PAPER_JOINS, [o for f in found for o in f[2]], "crosses that join pages"),
    ):
        if offs or name in (Check.PAPER_BARS, Check.PAPER_TICKS):
            worst = float(np.abs(offs).max()) if offs else float("nan")
            why = f"largest distance from its place of {len(offs)} {what}, rendered at {DPI} dots to the inch"
            out.append(at_most(name, PAPER, worst, "mm", PLACE_LIMIT_MM, why, OWN))
    shown = len({k for page in found for k in page[3]})
    total = len(plan.ticks)
    out.append(
        holds(Check.PAPER_MARKS, PAPER, shown == total, f"{shown} of {total}", "every slot's tick is on a page", OWN)
    )
    return out


def render(path: Path) -> list[Dots]:
    """The pages of a PDF at DPI dots to the inch. ValueError when it cannot be read."""
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(path)
    except pypdfium2.PdfiumError as error:
        raise UnreadableError(f"{path.name} is no good PDF: {error}") from None
    try:
        return [Dots(page.render(scale=DPI / 72, grayscale=True).to_numpy()) for page in document]
    finally:
        document.close()


def bar_ends(page: Dots, bar: Bar) -> list[float]:
    """How far both end strokes of a bar lie from their places along it, mm, read on either side of the bar's line."""
    along, across = ((1.0, 0.0), (0.0, 1.0)) if bar.level else ((0.0, 1.0), (1.0, 0.0))
    out = []
    for end in (bar.a, bar.b):
        for side in (-0.3 * BAR_TICK, 0.3 * BAR_TICK):
            out.append(page.line_across((end[0] + side * across[0], end[1] + side * across[1]), along))
    return out


def marks_of(page: Dots, plan: PaperPlan, tile: Tile) -> tuple[list[float], list[float], list[float], list[int]]:
    """Offsets (mm) of the ticks, bolt (and centre) crosses and joining crosses on a page, and which ticks those are."""
    dx, dy = plan.shift(tile)
    ticks, which = [], []
    for k, (inner, outer) in enumerate(plan.ticks):
        middle = (inner[0] + outer[0]) / 2, (inner[1] + outer[1]) / 2
        if plan.shows(tile, middle, SEEK + 1.0):
            out = np.array(outer) - np.array(inner)
            out /= np.hypot(*out)
            ticks.append(page.line_across((middle[0] + dx, middle[1] + dy), (-float(out[1]), float(out[0]))))
            which.append(k)
    bolts: list[float] = []
    for at, arm in [*((bolt, plan.hole_radius + 1.6) for bolt in plan.bolts), ((0.0, 0.0), 6.0)]:
        if plan.shows(tile, at, arm + SEEK + 1.0):
            bolts += _cross(page, (at[0] + dx, at[1] + dy), arm)
    joins: list[float] = []
    for x, y in plan.crosses:
        if plan.shows(tile, (x, y), CROSS + SEEK):
            joins += _cross(page, (x + dx, y + dy), 0.7 * CROSS)
    return ticks, bolts, joins, which


def _cross(page: Dots, at: Point, arm: float) -> list[float]:
    """Offsets of a cross's two strokes, each read `arm` mm to both sides of its middle.

    A stroke is one straight line, so the better of its two readings is its place: the other may be overlaid.
    """
    x, y = at
    level = [page.line_across((x + side, y), (0.0, 1.0)) for side in (-arm, arm)]
    upright = [page.line_across((x, y + side), (1.0, 0.0)) for side in (-arm, arm)]
    readable = [[off for off in pair if np.isfinite(off)] for pair in (level, upright)]
    return [min(pair, key=abs) if pair else float("nan") for pair in readable]
