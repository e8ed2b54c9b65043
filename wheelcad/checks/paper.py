"""A full-size PDF as a printer would put it down: rendered at 300 dots to the inch, lines found in the dots."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from wheelcad.arrays import Bytes, Floats
from wheelcad.codes import Check
from wheelcad.errors import UnreadableError
from wheelcad.findings import OWN, Finding, at_most, holds
from wheelcad.parts.common.paper import BAR_TICK, SHEETS, Bar, Point
from wheelcad.units import INCH_MM
from wheelcad.words import count

DPI = 300
SEEK = 1.4  # mm to each side in which a line is looked for
STATIONS = (-0.9, -0.6, -0.3, 0.0, 0.3, 0.6, 0.9)  # mm along a line
FEWEST = 3  # stations at which it must stand free of everything else
INK, LINE = 0.1, 0.3  # darkness from which a dot belongs to a line, and that a line has somewhere
WIDEST_MM = 0.6  # a dark stretch of more is two lines that run into each other, and neither can be read
PAGE_LIMIT_MM = 0.1  # a page's size


class Dots:
    """A page as dots (rows, columns), 0 black to 255 white; read as darkness 0 to 1, at mm from the lower left."""

    def __init__(self, grey: Bytes) -> None:
        self._grey = np.atleast_2d(grey.squeeze())
        self._rows, self._columns = self._grey.shape
        self._per_mm = DPI / INCH_MM

    @property
    def size_mm(self) -> Point:
        """Width and height of the page."""
        return self._columns / self._per_mm, self._rows / self._per_mm

    def darkness(self, points: Floats) -> Floats:
        """Darkness at points (..., 2), between the four dots around each; 0 off the page."""
        u = points[..., 0] * self._per_mm - 0.5
        v = self._rows - points[..., 1] * self._per_mm - 0.5
        i, j = np.floor(v).astype(int), np.floor(u).astype(int)
        f, g = v - i, u - j
        inside = (i >= 0) & (j >= 0) & (i + 1 < self._rows) & (j + 1 < self._columns)
        i, j = np.where(inside, i, 0), np.where(inside, j, 0)
        d = self._grey
        level = (1 - f) * ((1 - g) * d[i, j] + g * d[i, j + 1]) + f * ((1 - g) * d[i + 1, j] + g * d[i + 1, j + 1])
        out: Floats = np.where(inside, 1.0 - level / 255.0, 0.0)
        return out

    def line_across(self, place: Point, along: Point) -> float:
        """How far (mm) a line's middle lies from `place`, looking SEEK mm both ways along the unit vector `along`.

        Read at STATIONS beside one another along the line, of which the middle value counts: what else passes there (a
        pointer, a dashed circle, a letter) crosses it at some of them only. Not a number where there is no line.
        """
        beside = np.array([-along[1], along[0]])
        found = self.nearest_lines(np.array(place) + np.array(STATIONS)[:, None] * beside, np.array(along))
        kept = found[np.isfinite(found)]
        return float(np.median(kept)) if len(kept) >= FEWEST else float("nan")

    def nearest_lines(self, places: Floats, along: Floats) -> Floats:
        """(n,) the middle of the nearest dark stretch to each of the places (n, 2), mm along `along`; not a number
        where there is none. along: (n, 2), or (2,) where it is one for all."""
        steps = np.linspace(-SEEK, SEEK, 113)
        dark = self.darkness(places[:, None] + steps[:, None] * np.atleast_2d(along)[:, None])
        out = np.full(len(places), np.nan)
        ink = np.zeros((len(places), len(steps) + 2), dtype=np.int8)
        ink[:, 1:-1] = dark > INK
        change = np.diff(ink, axis=1)
        row, first = np.nonzero(change == 1)
        past = np.nonzero(change == -1)[1]  # each stretch ends before the next of its row begins
        if not len(row):
            return out
        at = row * len(steps) + first
        ends = np.column_stack([at, at + past - first]).ravel()
        padded = np.append(dark.ravel(), 0.0)  # the last stretch may end where the last row does
        weighed = np.append((dark * steps).ravel(), 0.0)
        middle = np.add.reduceat(weighed, ends)[::2] / np.add.reduceat(padded, ends)[::2]
        line = (np.maximum.reduceat(padded, ends)[::2] >= LINE) & (steps[past - 1] - steps[first] <= WIDEST_MM)
        row, middle = row[line], middle[line]
        order = np.lexsort((np.abs(middle), row))
        rows, nearest = np.unique(row[order], return_index=True)
        out[rows] = middle[order][nearest]
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


def pages_of(
    path: Path, wanted: int, paper: str, checks: tuple[Check, Check], why: str
) -> tuple[list[Dots], list[Finding]]:
    """The pages of a PDF, none where they are not as many as are wanted; and how many and how large they are.

    ValueError when it cannot be read.
    """
    pages = render(path)
    full = len(pages) == wanted
    out = [holds(checks[0], path.name, full, f"{len(pages)} of {count(wanted, 'page')} of {paper}", why, OWN)]
    if not full:
        return [], out
    size = max(abs(a - b) for page in pages for a, b in zip(page.size_mm, SHEETS[paper], strict=True))
    return pages, [*out, at_most(checks[1], path.name, size, "mm", PAGE_LIMIT_MM, f"pages against {paper}", OWN)]


def within(check: Check, subject: str, offs: Sequence[float], what: str, limit_mm: float) -> Finding:
    """How far what was found in the dots lies from its places."""
    worst = float(np.abs(offs).max()) if offs else float("nan")
    why = f"largest distance from its place of {len(offs)} {what}, rendered at {DPI} dots to the inch"
    return at_most(check, subject, worst, "mm", limit_mm, why, OWN)


def bar_ends(page: Dots, bar: Bar) -> Iterator[float]:
    """How far both end strokes of a bar lie from their places along it, mm, read on either side of the bar's line."""
    along, across = ((1.0, 0.0), (0.0, 1.0)) if bar.level else ((0.0, 1.0), (1.0, 0.0))
    for end in (bar.a, bar.b):
        for side in (-0.3 * BAR_TICK, 0.3 * BAR_TICK):
            yield page.line_across((end[0] + side * across[0], end[1] + side * across[1]), along)


def cross_arms(page: Dots, at: Point, arm: float) -> list[float]:
    """Offsets of a cross's two strokes, each read `arm` mm to both sides of its middle.

    A stroke is one straight line, so the better of its two readings is its place: the other may be overlaid.
    """
    x, y = at
    level = [page.line_across((x + side, y), (0.0, 1.0)) for side in (-arm, arm)]
    upright = [page.line_across((x, y + side), (1.0, 0.0)) for side in (-arm, arm)]
    readable = [[off for off in pair if np.isfinite(off)] for pair in (level, upright)]
    return [min(pair, key=abs) if pair else float("nan") for pair in readable]
