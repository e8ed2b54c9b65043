"""The dividing paper: the wheel at 1:1 with every slot's lines and punch, to be glued on, and bars to measure it by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelcad.drawing.dimension_text import degrees
from wheelcad.drawing.layout import Page, compose
from wheelcad.drawing.model import Arc, CentreLine, CentreMark, Circle, Entity, Line, Linear, Note, Sheet, Side, View
from wheelcad.drawing.paper import ISO_PAPERS, US_PAPERS
from wheelcad.drawing.symbols import polar
from wheelcad.job.models import Job
from wheelcad.parts.common.paper import page_paper
from wheelcad.parts.common.sheets import at_angle, drawing_units, paper_deg, title_block
from wheelcad.parts.hand.design import HandPlan, Punch
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.layers import CHAIN

CROSS = 1.5  # half of a punch's cross, mm


def dividing_pages(job: Job, wheel: WheelDesign, plan: HandPlan) -> tuple[Page, ...]:
    """The paper at 1:1: whole on a home printer's sheet, else a quarter a sheet, to be joined at the axes."""
    small = (US_PAPERS if page_paper(job) in US_PAPERS else ISO_PAPERS)[:1]
    whole = _sheet(job, wheel, plan, _whole(wheel, plan), small)
    try:
        return compose(replace(whole, notes=()))
    except ValueError:  # too large for it
        quarters = [_sheet(job, wheel, plan, list(_quarter(wheel, plan, k)), small) for k in range(4)]
        return compose([replace(sheet, notes=()) for sheet in quarters])


def _sheet(job: Job, wheel: WheelDesign, plan: HandPlan, entities: list[Entity], papers: tuple[str, ...]) -> Sheet:
    title = title_block(job, "Dividing paper 1:1", "dividing-paper", document_type="Layout")
    first = degrees(plan.punches[0].at_deg, 2)
    turns = "clockwise" if wheel.sense > 0 else "anticlockwise"
    title = replace(title, subtitle=f"slot 1 at {first} from TDC; the crank turns {turns}")
    view = View("front", tuple(entities))
    return Sheet("dividing-paper", title, (view,), papers=papers, units=drawing_units(job), scale=1.0)


def _whole(wheel: WheelDesign, plan: HandPlan) -> list[Entity]:
    radius = wheel.radius_mm
    entities: list[Entity] = [Circle(0.0, 0.0, radius), Circle(0.0, 0.0, wheel.floor_radius_mm, "CENTRE", CHAIN)]
    entities.append(CentreMark(0.0, 0.0, radius))
    entities += [Circle(*opening.round, "HOLES") for opening in wheel.openings if opening.round is not None]
    for punch in plan.punches:
        entities += _slot(wheel, plan, punch)
    entities.append(CentreLine((0.0, 0.0), (0.0, radius + CROSS), beyond=0.0))
    entities.append(Note((0.0, radius * 0.5), "TDC line", 0.0, end="none", on_part=True))
    entities.append(Linear((-radius, 0.0), (radius, 0.0), "below", prefix="⌀"))
    return entities


def _quarter(wheel: WheelDesign, plan: HandPlan, k: int) -> Iterator[Entity]:
    """Quarter k of the paper, from k·90 degrees anticlockwise of +x; its two axes are cut along and joined."""
    radius, start = wheel.radius_mm, 90.0 * k
    yield Arc(0.0, 0.0, radius, start, start + 90.0)
    yield Arc(0.0, 0.0, wheel.floor_radius_mm, start, start + 90.0, "CENTRE", CHAIN)
    ends = [polar((0.0, 0.0), radius, start + turn) for turn in (0.0, 90.0)]
    yield from (Line((0.0, 0.0), end) for end in ends)
    for punch in plan.punches:
        if (paper_deg(punch.at_deg, wheel.sense) - start) % 360.0 <= 90.0:
            yield from _slot(wheel, plan, punch)
    (x0, y0), (x1, y1) = ends
    side: Side = "below" if min(y0, y1) > -1e-6 else "above"
    level = (x0, y0) if abs(y0) < 1e-6 else (x1, y1)
    yield Linear((min(0.0, level[0]), 0.0), (max(0.0, level[0]), 0.0), side)


def _slot(wheel: WheelDesign, plan: HandPlan, punch: Punch) -> Iterator[Entity]:
    """A slot's hole, cross, centre line and two sides; its number by the first, the last and every sixth."""
    sense, radius, half = wheel.sense, wheel.radius_mm, plan.across_mm / 2
    out_x, out_y = at_angle(1.0, punch.at_deg, sense)
    x, y = plan.circle_mm * out_x, plan.circle_mm * out_y
    yield Circle(x, y, plan.drill_mm / 2, "HOLES")
    yield Line((x - CROSS * out_y, y + CROSS * out_x), (x + CROSS * out_y, y - CROSS * out_x))
    inner, outer = (at_angle(r, punch.at_deg, sense) for r in (wheel.floor_radius_mm, radius))
    yield CentreLine(inner, outer)
    for side in (half, -half):
        a, b = ((r * out_x - side * out_y, r * out_y + side * out_x) for r in (plan.circle_mm, radius))
        yield Line(a, b)
    if punch.number in (1, len(plan.punches)) or punch.number % 6 == 0:
        tip = at_angle(wheel.floor_radius_mm - 2.0, punch.at_deg, sense)
        way = paper_deg(punch.at_deg, sense) + 180.0
        yield Note(tip, str(punch.number), way, end="none", on_part=True)
