"""Tables of the wheel's drawing for what only some wheels have: further gaps, and a ready-made ring."""

from __future__ import annotations

from wheelcad.drawing.model import Table
from wheelcad.drawing.say import degrees, length
from wheelcad.job.models import Job
from wheelcad.parts.sheets import drawing_units
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import wrap_360

DOINGS = {
    "bore": "bore to size",
    "open": "open up",
    "drill": "drill",
    "leave": "leave",
    "unused": "stays, unused",
    "gone": "goes with the bore",
}


def gap_rows(wheel: WheelDesign) -> list[tuple[str, str]]:
    """Rows for every gap after the first, which the drawing dimensions."""
    rest = enumerate(wheel.gaps[1:], start=2)
    return [
        (f"Gap {k}: centre, missing", f"{degrees(float(wrap_360(gap.at_deg)), 3)}, {gap.missing}") for k, gap in rest
    ]


def ring_table(job: Job, wheel: WheelDesign) -> list[Table]:
    """What is done to a ready-made ring; no table without one."""
    if wheel.ring is None:
        return []

    def size(diameter: float) -> str:
        return "⌀" + length(diameter, drawing_units(job)) if diameter else "-"

    rows = [
        (
            step.what if step.at_deg is None else f"hole at {degrees(step.at_deg, 2)}",
            size(step.from_mm),
            size(step.to_mm),
            DOINGS[step.do],
        )
        for step in wheel.ring.steps
    ]
    return [Table("Ready-made ring", ("What", "As found", "Finished", "Do"), tuple(rows))]
