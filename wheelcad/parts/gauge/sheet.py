"""The paper gauge drawn: pages of ink at full size, for the PDF."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely

from wheelcad.drawing import font
from wheelcad.drawing.ink import Fill, Group, Ink, Letters, Ring, Stroke, pen
from wheelcad.drawing.layout import Page
from wheelcad.drawing.model import Sheet, TitleBlock
from wheelcad.drawing.paper import PAPERS
from wheelcad.drawing.symbols import arrow, rectangle
from wheelcad.job.models import Job
from wheelcad.parts.common.openings import job_sense
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.paper import (
    BAR_TICK,
    BARS_MM,
    CROSS,
    EDGE,
    FOOT_STRIP,
    LEFT_STRIP,
    Bar,
    PaperPlan,
    Tile,
    drawn_area,
)
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import point_at
from wheelcad.trade.layers import DASHED, NARROW_MM
from wheelcad.trade.loop import Floats
from wheelcad.trade.printing import LAYOUT_ONLY_NOTE
from wheelcad.words import Words, length

EDGE_PEN = 0.25  # mm: a line to scribe along, narrower than drawings have it
FLAT = 0.01  # mm: arcs are drawn as chords this close
WORDS = 2.8  # mm, height of capitals
SMALL = 2.2
BAR_LIMIT_MM = 0.2  # a bar off by more than this means a printer that scales or drags


def gauge_pages(job: Job, wheel: WheelDesign, design: GaugeDesign) -> tuple[Page, ...]:
    """One page a tile."""
    title = TitleBlock(title=f"{job.title or job.job}: paper gauge", number=job.job, document_type="Layout gauge")
    sheet = Sheet("gauge-paper", title, (), papers=(design.paper.paper,))
    drawn = list(_wheel(job, wheel, design))
    count = len(design.paper.tiles)
    pages = []
    for number, tile in enumerate(design.paper.tiles, start=1):
        ink = [*_clipped(drawn, design, tile), *_page(job, design, tile, number, count)]
        group = Group("paper gauge", "geometry", tuple(ink))
        pages.append(Page(sheet, PAPERS[design.paper.paper], 1.0, (group,), (), number, count))
    return tuple(pages)


def _line(points: list[tuple[float, float]], layer: str = "MARK", line: str | None = None) -> Stroke:
    return Stroke(tuple((x, y, 0.0) for x, y in points), pen(layer, line, EDGE_PEN))


def _run(points: Floats, line: str | None = None) -> Stroke:
    """A closed run through points."""
    return Stroke(tuple((x, y, 0.0) for x, y in points.tolist()), pen("MARK", line, EDGE_PEN), closed=True)


def _wheel(job: Job, wheel: WheelDesign, design: GaugeDesign) -> Iterator[Ink]:
    """Everything in the wheel's x and y: outline, ticks and numbers, bolts, centre, TDC line, direction."""
    yield _run(wheel.outline.flatten(FLAT))
    for tick in design.paper.ticks:
        yield _line(list(tick))
    yield from _numbers(wheel, design)
    yield from _bolts(design.paper)
    yield from _centre(job, wheel, design)


def _numbers(wheel: WheelDesign, design: GaugeDesign) -> Iterator[Letters]:
    every = 1 if wheel.pitch_deg * math.pi / 180 * wheel.floor_radius_mm > 7.0 else 5
    radius = wheel.floor_radius_mm - 1.6 - WORDS
    for mark in design.marks:
        if mark.number == 1 or mark.number % every == 0:
            x, y = point_at(radius, mark.at_deg, wheel.sense).tolist()
            yield Letters(x, y, str(mark.number), WORDS, "centre", -wheel.sense * mark.at_deg)


def _bolts(plan: PaperPlan) -> Iterator[Ink]:
    r = plan.hole_radius
    for x, y in plan.bolts:
        yield Ring(x, y, r, pen("MARK", None, EDGE_PEN))
        yield _line([(x - r - 3, y), (x + r + 3, y)])
        yield _line([(x, y - r - 3), (x, y + r + 3)])


def _centre(job: Job, wheel: WheelDesign, design: GaugeDesign) -> Iterator[Ink]:
    """Centre cross, what is cut out, the keyway, the TDC line and the direction of rotation."""
    yield _line([(-8, 0), (8, 0)])
    yield _line([(0, -8), (0, 8)])
    pulley, shoulder = job.pulley, design.seat.shoulder_radius
    inner = 10.0
    if shoulder > 0:
        yield Ring(0, 0, shoulder, pen("MARK", DASHED, EDGE_PEN))
    bore = job.wheel.bore if wheel.form == "plate" else pulley.bore if pulley is not None else None
    if bore is not None:
        inner = max(inner, bore / 2)
        yield Ring(0, 0, bore / 2, pen("MARK", DASHED, EDGE_PEN))
    sense = job_sense(job)
    if pulley is not None and pulley.keyway is not None:
        a, b = point_at([inner, inner + 5.0], pulley.keyway.at, sense).tolist()
        yield _line([tuple(a), tuple(b)])
    outer = wheel.floor_radius_mm - 3.1 - 2 * WORDS  # short of the numbers
    start = max(
        [inner + 7.0, *(y + design.paper.hole_radius + 4.0 for x, y in design.paper.bolts if abs(x) < 8 and y > 0)]
    )
    if start < outer - 4.0:
        yield _line([(0.0, max(start, outer - 30.0)), (0.0, outer)])
        yield arrow((0.0, outer), 270.0, "MARK")
        yield Letters(2.2, outer - WORDS - 0.5, "TDC", WORDS)
    yield from _direction(design, inner, outer, sense)


def _direction(design: GaugeDesign, inner: float, outer: float, sense: int) -> Iterator[Ink]:
    """An arrow the way the crank turns, where neither bolts nor the shoulder's edge are near."""
    circle, best, room = design.seat.shoulder_radius, (215.0, (inner + outer) / 2), -1.0
    for radius in np.linspace(inner + 9.0, outer - 3.0, 8).tolist() if outer > inner + 14.0 else []:
        for middle in range(100, 265, 5):
            places = point_at([[radius], [radius - 4.5]], middle + np.linspace(-18, 18, 7), sense).reshape(-1, 2)
            away = [float(np.hypot(*(places - np.array(bolt)).T).min()) for bolt in design.paper.bolts]
            clear = min([*away, *([abs(radius - circle)] if circle else []), abs(radius - inner)])
            if clear > room + 1e-6:
                best, room = (float(middle), radius), clear
    at, radius = best
    half = min(15.0, np.degrees(12.0 / radius))
    run = point_at(radius, np.linspace(at - half, at + half, 16), sense)
    yield _line([(float(x), float(y)) for x, y in run])
    (x0, y0), (x1, y1) = run[-2].tolist(), run[-1].tolist()
    yield arrow((x1, y1), math.degrees(math.atan2(y0 - y1, x0 - x1)), "MARK")
    x, y = point_at(radius - 4.0, at, sense).tolist()
    yield Letters(x, y, "crank turns", SMALL, "centre", 180.0 - sense * at)


def _clipped(drawn: list[Ink], design: GaugeDesign, tile: Tile) -> Iterator[Ink]:
    """What of the wheel lies in a tile's window (and in what the gauge covers), in the page's x and y."""
    plan = design.paper
    dx, dy = plan.shift(tile)
    width, height = plan.window[2] - plan.window[0], plan.window[3] - plan.window[1]
    window = shapely.box(tile.x0, tile.y0, tile.x0 + width, tile.y0 + height)
    if design.keep is not None:
        window = window.intersection(drawn_area(design.wheel_slot.rim_radius, design.cover))
    for ink in drawn:
        if isinstance(ink, Letters):
            if window.contains(shapely.Polygon(ink.corners())):
                yield ink.moved(dx, dy)
        elif isinstance(ink, Stroke | Ring):
            line = shapely.LineString(ink.points()).intersection(window)
            for part in shapely.get_parts(line):
                if part.geom_type == "LineString" and part.length > 0.05:
                    yield Stroke(tuple((x, y, 0.0) for x, y in part.coords), ink.pen).moved(dx, dy)
        elif isinstance(ink, Fill) and window.contains(shapely.Polygon(ink.points())):
            yield ink.moved(dx, dy)
    if design.keep is not None:
        for part in shapely.get_parts(window.boundary):
            yield Stroke(tuple((x, y, 0.0) for x, y in part.coords), pen("MARK", DASHED, EDGE_PEN)).moved(dx, dy)


def _page(job: Job, design: GaugeDesign, tile: Tile, number: int, count: int) -> Iterator[Ink]:
    """What stands on every page: bars, joining crosses, the window's edge where pages join, and the words."""
    plan = design.paper
    for bar in plan.bars:
        yield from _bar(bar)
    dx, dy = plan.shift(tile)
    for x, y in plan.crosses:
        if plan.shows(tile, (x, y), CROSS):
            yield _line([(x + dx - CROSS, y + dy), (x + dx + CROSS, y + dy)])
            yield _line([(x + dx, y + dy - CROSS), (x + dx, y + dy + CROSS)])
    if count > 1:
        x0, y0, x1, y1 = plan.window
        yield rectangle(x0, y0, x1 - x0, y1 - y0, "MARK", NARROW_MM / 2)
    yield from _words(job, design, tile, number, count)


def _bar(bar: Bar) -> Iterator[Ink]:
    said = "4 in" if bar.length > BARS_MM["mm"] else "100 mm"
    half = BAR_TICK / 2
    yield _line([bar.a, bar.b])
    for x, y in (bar.a, bar.b):
        yield _line([(x, y - half), (x, y + half)] if bar.level else [(x - half, y), (x + half, y)])
    if bar.level:
        yield Letters(bar.b[0] + 3.0, bar.b[1] - SMALL / 2, said, SMALL)
    else:
        yield Letters(bar.b[0] + SMALL / 2, bar.b[1] + 3.0, said, SMALL, "left", 90.0)


def _words(job: Job, design: GaugeDesign, tile: Tile, number: int, count: int) -> Iterator[Letters]:
    plan = design.paper
    x, y = EDGE + LEFT_STRIP, EDGE + FOOT_STRIP
    right = x + 120.0
    page = f"Page {number} of {count}" if count > 1 else ""
    if count > 1:
        page += f": row {tile.row + 1} of {plan.rows}, column {tile.column + 1} of {plan.columns}"
    check = f"Measure both bars in both directions: off by more than {length(BAR_LIMIT_MM)}, do not use it."
    room = plan.window[2] - right
    lines = [
        "Print at 100 %, not fitted to the page.",
        *font.wrap(Words(job.units).text(check), SMALL, room),
        *([page] if page else []),
    ]
    for k, text in enumerate(lines):
        yield Letters(right, y - 6.0 - 4.2 * k, text, SMALL, bold=k == 0)
    yield Letters(x, EDGE + 11.0, f"{job.job}: paper gauge, seen from the front, full size", WORDS, bold=True)
    yield Letters(x, EDGE + 6.2, LAYOUT_ONLY_NOTE, SMALL)
    joined = "Lay pages over each other so that the crosses meet. " if count > 1 else ""
    cut = "Cut out along the dashed circle to clear the shoulder. " if design.seat.shoulder_radius > 0 else ""
    yield Letters(x, EDGE + 2.0, f"{joined}{cut}TDC line on the TDC mark.", SMALL)
