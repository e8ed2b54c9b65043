"""What stands on every page of a full-size drawing: bars, joining crosses, words; and the drawing cut to its window."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import shapely

from wheelcad.drawing import font
from wheelcad.drawing.ink import Fill, Ink, Letters, RingStroke, Stroke, pen
from wheelcad.drawing.symbols import rectangle
from wheelcad.parts.common.paper import BAR_TICK, BARS_MM, CROSS, EDGE, FOOT_STRIP, LEFT_STRIP, Bar, Tile, Tiling
from wheelcad.trade.layers import DASHED, NARROW_MM
from wheelcad.words import Words, length

EDGE_PEN = 0.25  # mm: a line to scribe along, narrower than drawings have it
WORDS = 2.8  # mm, height of capitals
SMALL = 2.2
BAR_LIMIT_MM = 0.2  # a bar off by more than this means a printer that scales or drags


def thin_line(points: Iterable[tuple[float, float]], line: str | None = None) -> Stroke:
    """An open run of straight lines."""
    return Stroke(tuple((x, y, 0.0) for x, y in points), pen("MARK", line, EDGE_PEN))


def clipped(
    drawn: Iterable[Ink], plan: Tiling, tile: Tile, within: shapely.Geometry | None = None
) -> Iterator[Stroke | Letters | Fill]:
    """What of the drawing lies in a tile's window, in the page's x and y. within: what of the drawing is kept at all,
    its edge drawn dashed."""
    dx, dy = plan.shift(tile)
    width, height = plan.window[2] - plan.window[0], plan.window[3] - plan.window[1]
    window = shapely.box(tile.x0, tile.y0, tile.x0 + width, tile.y0 + height)
    if within is not None:
        window = window.intersection(within)
    for ink in drawn:
        if isinstance(ink, Letters):
            if window.contains(shapely.Polygon(ink.corners())):
                yield ink.moved(dx, dy)
        elif isinstance(ink, Stroke | RingStroke):
            line = shapely.LineString(ink.points()).intersection(window)
            for part in shapely.get_parts(line):
                if part.geom_type == "LineString" and part.length > 0.05:
                    yield Stroke(tuple((x, y, 0.0) for x, y in part.coords), ink.pen).moved(dx, dy)
        elif isinstance(ink, Fill) and window.contains(shapely.Polygon(ink.points())):
            yield ink.moved(dx, dy)
    if within is not None:
        for part in shapely.get_parts(window.boundary):
            yield thin_line(part.coords, DASHED).moved(dx, dy)


def page_ink(
    plan: Tiling, tile: Tile, pages: tuple[int, int], units: str, title: str, foot: Sequence[str]
) -> Iterator[Ink]:
    """Bars, joining crosses, the window's edge where pages join, and the words. pages: this one's number, and how many
    there are; foot: the lines at the bottom."""
    for bar in plan.bars:
        yield from _bar(bar)
    dx, dy = plan.shift(tile)
    for x, y in plan.crosses:
        if plan.shows(tile, (x, y), CROSS):
            yield thin_line([(x + dx - CROSS, y + dy), (x + dx + CROSS, y + dy)])
            yield thin_line([(x + dx, y + dy - CROSS), (x + dx, y + dy + CROSS)])
    if len(plan.tiles) > 1:
        x0, y0, x1, y1 = plan.window
        yield rectangle(x0, y0, x1 - x0, y1 - y0, "MARK", NARROW_MM / 2)
    yield from _words(plan, tile, pages, units, title, foot)


def _bar(bar: Bar) -> Iterator[Ink]:
    said = "4 in" if bar.length > BARS_MM["mm"] else "100 mm"
    half = BAR_TICK / 2
    yield thin_line([bar.a, bar.b])
    for x, y in (bar.a, bar.b):
        yield thin_line([(x, y - half), (x, y + half)] if bar.level else [(x - half, y), (x + half, y)])
    if bar.level:
        yield Letters(bar.b[0] + 3.0, bar.b[1] - SMALL / 2, said, SMALL)
    else:
        yield Letters(bar.b[0] + SMALL / 2, bar.b[1] + 3.0, said, SMALL, "left", 90.0)


def _words(
    plan: Tiling, tile: Tile, pages: tuple[int, int], units: str, title: str, foot: Sequence[str]
) -> Iterator[Letters]:
    x, y = EDGE + LEFT_STRIP, EDGE + FOOT_STRIP
    right = x + 120.0
    page = f"Page {pages[0]} of {pages[1]}" if pages[1] > 1 else ""
    if len(plan.tiles) > 1:
        page += f": row {tile.row + 1} of {plan.rows}, column {tile.column + 1} of {plan.columns}"
    check = f"Measure both bars in both directions: off by more than {length(BAR_LIMIT_MM)}, do not use it."
    words, room = Words(units), plan.window[2] - right
    lines = [
        "Print at 100 %, not fitted to the page.",
        *font.wrap(words.text(check), SMALL, room),
        *([page] if page else []),
    ]
    for k, text in enumerate(lines):
        yield Letters(right, y - 6.0 - 4.2 * k, text, SMALL, bold=k == 0)
    head, up = words.text(title), EDGE + 11.0 + 4.2 * max(0, len(foot) - 2)
    wide = plan.window[2] - x
    if font.text_width(head, WORDS, bold=True) <= wide:
        yield Letters(x, up, head, WORDS, bold=True)
    else:  # two smaller lines, the second on the first one's place
        for k, text in enumerate(reversed(font.wrap(head, SMALL, wide, bold=True)[:2])):
            yield Letters(x, up + 3.6 * k, text, SMALL, bold=True)
    for k, text in enumerate(reversed(foot)):
        yield Letters(x, EDGE + 2.0 + 4.2 * k, words.text(text), SMALL)
