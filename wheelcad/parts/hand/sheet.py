"""The dividing paper: the wheel at 1:1 with every slot's lines and punch, to be glued on, and bars to measure it by."""

from __future__ import annotations

from dataclasses import replace

from wheelcad.drawing.layout import Page, compose
from wheelcad.drawing.model import CentreLine, CentreMark, Circle, Entity, Line, Linear, Note, Notes, Sheet, View
from wheelcad.drawing.paper import ISO_PAPERS, US_PAPERS
from wheelcad.drawing.say import degrees, length
from wheelcad.job.models import Job
from wheelcad.parts.common.sheets import at_angle, drawing_units, page_paper, paper_deg, title_block
from wheelcad.parts.hand.design import HandPlan
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.layers import CHAIN

CROSS = 1.5  # half of a punch's cross, mm
ROWS = 16  # of the table's column


def dividing_sheet(job: Job, wheel: WheelDesign, plan: HandPlan) -> Sheet:
    """The paper, always 1:1."""
    units = drawing_units(job)
    radius, sense = wheel.radius_mm, wheel.sense
    entities: list[Entity] = [Circle(0.0, 0.0, radius), Circle(0.0, 0.0, wheel.floor_radius_mm, "CENTRE", CHAIN)]
    entities.append(CentreMark(0.0, 0.0, radius))
    for opening in wheel.openings:
        if opening.round is not None:
            entities.append(Circle(*opening.round, "HOLES"))
    half = plan.across_mm / 2
    for punch in plan.punches:
        out_x, out_y = at_angle(1.0, punch.at_deg, sense)
        centre = (plan.circle_mm * out_x, plan.circle_mm * out_y)
        entities += [
            Circle(*centre, plan.drill_mm / 2, "HOLES"),
            Line(
                (centre[0] - CROSS * out_y, centre[1] + CROSS * out_x),
                (centre[0] + CROSS * out_y, centre[1] - CROSS * out_x),
            ),
        ]
        inner, outer = (at_angle(r, punch.at_deg, sense) for r in (wheel.floor_radius_mm, radius))
        entities.append(CentreLine(inner, outer))
        for side in (half, -half):
            a, b = ((r * out_x - side * out_y, r * out_y + side * out_x) for r in (plan.circle_mm, radius))
            entities.append(Line(a, b))
        if punch.number in (1, len(plan.punches)):
            way = paper_deg(punch.at_deg, sense)
            tip = at_angle(wheel.floor_radius_mm - 2.0, punch.at_deg, sense)
            entities.append(Note(tip, str(punch.number), way + 180.0, end="none", on_part=True))
    turns = "clockwise" if sense > 0 else "anticlockwise"
    entities.append(CentreLine((0.0, 0.0), (0.0, radius + CROSS), beyond=0.0))
    entities.append(Note((0.0, radius * 0.5), f"TDC line\nturns {turns}", 0.0, end="none", on_part=True))
    entities.append(Linear((-radius, 0.0), (radius, 0.0), "below", prefix="⌀"))
    title = title_block(job, "Dividing paper 1:1", "dividing-paper", document_type="Layout")
    notes = Notes(
        "Notes",
        (
            f"Print at 100 %. Measure the paper's ⌀{length(2 * radius, units)} both ways before you trust it.",
            "Glue it to the wheel's front, TDC line on TDC line, rim on rim; punch every cross.",
            f"Slot 1 stands {degrees(plan.punches[0].at_deg, 2)} from the TDC line; they count on the way the crank "
            "turns.",
        ),
        width=120,
    )
    family = US_PAPERS if page_paper(job) in US_PAPERS else ISO_PAPERS
    return Sheet(
        "dividing-paper",
        title,
        (View("front", tuple(entities)),),
        notes=(notes,),
        papers=family,
        units=units,
        scale=1.0,
    )


def dividing_pages(job: Job, wheel: WheelDesign, plan: HandPlan) -> tuple[Page, ...]:
    """The paper on the smallest sheet that takes it at 1:1, a home printer's first."""
    sheet = dividing_sheet(job, wheel, plan)
    try:
        return compose(replace(sheet, papers=sheet.papers[:1], notes=()))
    except ValueError:  # too large for it
        return compose(sheet)
