"""The page for slots made by hand: punch, drill, saw, file, and how each step is checked."""

from __future__ import annotations

from collections.abc import Iterator

from wheelcad.findings import PRACTICE
from wheelcad.packet.page import PacketPage
from wheelcad.parts.design import Design
from wheelcad.parts.hand.design import SAW_CLEAR, HandPlan, design_hand
from wheelcad.words import Words, angle, diameter, length

COLUMNS_A_SHEET = 34
OFF = 0.2  # mm: what a punch or a tooth may be out by before it is put right; common practice, no source


def hand(design: Design) -> Iterator[PacketPage]:
    """Work by hand, where the job asks for it."""
    plan = design_hand(design.job, design.wheel)
    if plan is None:
        return
    page = PacketPage("Slots by hand")
    page.words(
        "No mill and no rotary table: the slots are marked, drilled, sawn and filed. "
        f"By the dividing paper a slot comes out within ±{angle(plan.spread_deg, 2)} of its place, by dividers stepped "
        f"round within ±{angle(plan.stepped_deg, 2)} (95 %, {PRACTICE})."
    )
    page.steps(list(_steps(design, plan)))
    yield page.caution(
        [
            "Clamp the wheel, not your hand: a drill that snatches spins the plate. Eyes protected, no gloves at the "
            "drill.",
            "A file without a handle goes into the palm; a saw slips at the end of its cut.",
        ]
    )
    words = Words(design.job.units)
    rows = [
        [
            str(p.number),
            words.text(angle(p.at_deg, 2)),
            "-" if p.chord_mm is None else words.text(length(p.chord_mm, 2)),
            words.text(length(p.check_mm, 2)),
        ]
        for p in plan.punches
    ]
    heads = ["Slot", "From TDC", "From the last punch", "From the first"]
    for k in range(0, len(rows), COLUMNS_A_SHEET):
        sheet = PacketPage("Chords, slot by slot", joins=k == 0 and len(rows) <= 12)
        yield sheet.grid(heads, rows[k : k + COLUMNS_A_SHEET], "rrrr", tick=True)


def _steps(design: Design, plan: HandPlan) -> Iterator[str]:
    wheel = design.wheel
    floor, missing = wheel.floor_radius_mm, sum(gap.missing for gap in wheel.gaps)
    gauge = "the printed gauge" if design.gauge is not None else "the dividing paper"
    yield "Held in a vice with soft jaws, the wheel between two boards; scribe the TDC line from the rim to the hub."
    yield (
        "Glue dividing-paper.pdf (1:1, measured first) to the front, TDC line on TDC line. Without it: scribe a circle "
        f"of {length(plan.circle_mm, 2)} radius, punch slot 1 at {angle(plan.punches[0].at_deg, 2)} from the TDC line, "
        "and step on with dividers by the chords below, half the slots each way round, so that what is left over is "
        "halved."
    )
    yield (
        "Punch lightly, look through a glass, measure the straight distance from the first punch for every fourth slot "
        f"(last column): a punch off by more than {length(OFF)} is drawn over, then punched deep."
    )
    yield (
        f"Spot every punch with a centre drill, then drill {diameter(plan.drill_mm)} right through, the wheel on a "
        "board."
    )
    yield f"Saw from the rim to each hole, {length(SAW_CLEAR)} inside both scribed sides."
    yield (
        f"File both sides to the scribed lines: a gauge block or a drill shank of {length(plan.across_mm)} has to "
        f"slide in without shake. Check against {gauge} after every fourth slot."
    )
    if missing:
        yield (
            "The gap last: drill a row of holes between the two slots that bound it, saw between them, and file down "
            f"to {length(floor, 2)} from the axis."
        )
    yield (
        f"Measure with a caliper over each tooth: what stands out by more than {length(OFF)} is filed on the side "
        "that the gauge shows. A tooth filed too thin cannot be put back; up to a tenth of a pitch it still serves."
    )
