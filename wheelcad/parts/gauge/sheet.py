"""The paper gauge drawn: pages of ink at full size, for the PDF."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.drawing.ink import Group, Ink, Letters, RingStroke, Stroke, pen
from wheelcad.drawing.layout import Page
from wheelcad.drawing.model import Sheet, TitleBlock
from wheelcad.drawing.paper import PAPERS
from wheelcad.drawing.symbols import arrow
from wheelcad.job.models import Job
from wheelcad.parts.common.paper_ink import EDGE_PEN, SMALL, WORDS, clipped, page_ink, thin_line
from wheelcad.parts.gauge.lettering import number_text
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.paper import PaperPlan, drawn_area
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import point_at
from wheelcad.trade.layers import CHAIN, DASHED
from wheelcad.trade.printing import LAYOUT_ONLY_NOTE

FLAT = 0.01  # mm: arcs are drawn as chords this close


def gauge_pages(job: Job, wheel: WheelDesign, design: GaugeDesign) -> tuple[Page, ...]:
    """One page a tile."""
    title = TitleBlock(title=f"{job.title or job.job}: paper gauge", number=job.job, document_type="Layout gauge")
    sheet = Sheet("gauge-paper", title, (), papers=(design.paper.paper,))
    drawn = list(_wheel(job, wheel, design))
    within = None if design.cover.keep is None else drawn_area(design.wheel_slot.rim_radius, design.cover)
    count, foot = len(design.paper.tiles), _foot(design, _bore(job, wheel) is not None)
    pages = []
    for number, tile in enumerate(design.paper.tiles, start=1):
        head = f"{job.job}: paper gauge, seen from the front, full size"
        page = page_ink(design.paper, tile, (number, count), job.units, head, foot)
        ink = [*clipped(drawn, design.paper, tile, within), *page]
        group = Group("paper gauge", "geometry", tuple(ink))
        pages.append(Page(sheet, PAPERS[design.paper.paper], 1.0, (group,), (), number, count))
    return tuple(pages)


def _run(points: Floats, line: str | None = None) -> Stroke:
    """A closed run through points."""
    return Stroke(tuple((x, y, 0.0) for x, y in points.tolist()), pen("MARK", line, EDGE_PEN), closed=True)


def _wheel(job: Job, wheel: WheelDesign, design: GaugeDesign) -> Iterator[Ink]:
    """Everything in the wheel's x and y: outline, ticks and numbers, bolts, centre, TDC line, direction."""
    yield _run(wheel.outline.flatten(FLAT))
    for tick in design.paper.ticks:
        yield thin_line(list(tick))
    yield from _numbers(wheel, design)
    yield from _bolts(design.paper)
    yield from _centre(job, wheel, design)


def _numbers(wheel: WheelDesign, design: GaugeDesign) -> Iterator[Letters]:
    every = 1 if wheel.pitch_deg * math.pi / 180 * wheel.floor_radius_mm > 7.0 else 5
    radius = wheel.floor_radius_mm - 1.6 - WORDS
    most = max((mark.number for mark in design.cover.marks), default=1)
    for mark in design.cover.marks:
        if mark.number == 1 or mark.number % every == 0:
            x, y = point_at(radius, mark.at_deg, wheel.sense).tolist()
            yield Letters(x, y, number_text(mark.number, most), WORDS, "centre", -wheel.sense * mark.at_deg)


def _bolts(plan: PaperPlan) -> Iterator[Ink]:
    r = plan.hole_radius
    for x, y in plan.bolts:
        yield RingStroke(x, y, r, pen("MARK", None, EDGE_PEN))
        yield thin_line([(x - r - 3, y), (x + r + 3, y)])
        yield thin_line([(x, y - r - 3), (x, y + r + 3)])


def _centre(job: Job, wheel: WheelDesign, design: GaugeDesign) -> Iterator[Ink]:
    """Centre cross, what is cut out, the keyway, the TDC line and the direction of rotation."""
    yield thin_line([(-8, 0), (8, 0)])
    yield thin_line([(0, -8), (0, 8)])
    pulley, shoulder = job.pulley, design.seat.shoulder_radius
    inner = 10.0
    if shoulder > 0:
        yield RingStroke(0, 0, shoulder, pen("MARK", DASHED, EDGE_PEN))
    bore = _bore(job, wheel)
    if bore is not None:
        inner = max(inner, bore / 2)
        yield RingStroke(0, 0, bore / 2, pen("MARK", CHAIN if shoulder > 0 else DASHED, EDGE_PEN))
    sense = job.sense
    if pulley is not None and pulley.keyway is not None:
        a, b = point_at([inner, inner + 5.0], pulley.keyway.at, sense).tolist()
        yield thin_line([tuple(a), tuple(b)])
    outer = wheel.floor_radius_mm - 3.1 - 2 * WORDS  # short of the numbers
    start = max(
        [inner + 7.0, *(y + design.paper.hole_radius + 4.0 for x, y in design.paper.bolts if abs(x) < 8 and y > 0)]
    )
    if start < outer - 4.0:
        yield thin_line([(0.0, max(start, outer - 30.0)), (0.0, outer)])
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
    yield thin_line([(float(x), float(y)) for x, y in run])
    (x0, y0), (x1, y1) = run[-2].tolist(), run[-1].tolist()
    yield arrow((x1, y1), math.degrees(math.atan2(y0 - y1, x0 - x1)), "MARK")
    x, y = point_at(radius - 4.0, at, sense).tolist()
    yield Letters(x, y, "crank turns", SMALL, "centre", 180.0 - sense * at)


def _bore(job: Job, wheel: WheelDesign) -> float | None:
    """Diameter of the bore that the gauge goes over, mm."""
    return job.wheel.bore if wheel.form == "plate" else job.pulley.bore if job.pulley is not None else None


def _foot(design: GaugeDesign, bored: bool) -> tuple[str, str]:
    """The lines at the bottom of a page. bored: whether a bore is drawn."""
    joined = "Lay pages over each other so that the crosses meet. " if len(design.paper.tiles) > 1 else ""
    cut = "The dashed circle is the bore. " if bored else ""
    if design.seat.shoulder_radius > 0:
        cut = "Cut out along the dashed circle to clear the shoulder. "
        cut += "The chain circle is the bore. " if bored else ""
    return LAYOUT_ONLY_NOTE, f"{joined}{cut}TDC line on the TDC mark."
