"""What a cutting table follows for a plate wheel: a blank to be finished, and the finished outline. Wheel frame, mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wheelcad.job.models import Job
from wheelcad.parts.common.openings import bolt_centres
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.marks import cut_marks
from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop
from wheelcad.trade.plasma import PERPENDICULARITY_RANGE, perpendicularity_mm, size_tolerance_mm

Path = tuple[tuple[float, float, float], ...]  # an open cut or mark: x, y, bulge

CLEAN_UP = 0.5  # mm a side the lathe needs to find clean metal behind the burnt edge (common practice, no source)
ROUND_UP = 0.5  # mm: stock is given in steps that a person can measure
MARK_ARM = 3.0  # mm: half the length of a centre mark's arms, at most
MARK_SHARE = 0.3  # of the hole's diameter: at most, so that the drill leaves nothing of the mark
LEAST_BORE = 6.0  # mm of radius: a smaller pierced bore is left as a centre mark to be drilled


@dataclass(frozen=True)
class FlatLoops:
    """Closed loops by layer and open marks (MARK)."""

    outline: tuple[Loop, ...]
    holes: tuple[Loop, ...]
    marks: tuple[Path, ...]


def stock_mm(wheel: WheelDesign) -> float:
    """Metal to leave on a plasma-cut rim or bore, mm a side, for the lathe to take off.

    Half the size tolerance of the cut (ISO 9013, class 2), the lean of its edge and what it takes to reach clean metal,
    rounded up.
    """
    tolerance = size_tolerance_mm(2 * wheel.radius_mm, wheel.thickness_mm) or 1.0
    lean = perpendicularity_mm(wheel.thickness_mm, PERPENDICULARITY_RANGE)
    return math.ceil((tolerance / 2 + lean + CLEAN_UP) / ROUND_UP) * ROUND_UP


def finished_flat(job: Job, wheel: WheelDesign) -> FlatLoops:
    """The finished outline with all openings, for a process that holds it (laser, water jet, wire); its marks lie on
    the front face."""
    return FlatLoops((wheel.outline,), tuple(opening.loop for opening in wheel.openings), marked(job, wheel))


def marked(job: Job, wheel: WheelDesign) -> tuple[Path, ...]:
    """The TDC line and the job's other marks as open paths, from outside in; a notch by its middle."""
    marks = cut_marks(job, wheel.floor_radius_mm, wheel.openings, wheel.sense)
    ends = [point_at([mark.outer, mark.inner], mark.at_deg, wheel.sense).tolist() for mark in marks]
    return tuple(((ax, ay, 0.0), (bx, by, 0.0)) for (ax, ay), (bx, by) in ends)


def plasma_blank(job: Job, wheel: WheelDesign) -> FlatLoops:
    """An oversize disc with an undersize bore; centre marks on the axis, the bolt centres and the TDC line.

    The bore's mark stands only where no bore is cut; bolt holes are drilled, since a torch cannot hold their places.
    """
    stock = stock_mm(wheel)
    rim = wheel.radius_mm + stock
    holes = []
    marks: list[Path] = []
    bore = None if job.wheel.bore is None else job.wheel.bore / 2 - stock
    if bore is not None and bore >= LEAST_BORE:
        holes.append(Loop.circle(0.0, 0.0, bore))
    else:
        marks += _cross(0.0, 0.0)
    bolts = job.bolts
    arm = MARK_ARM if bolts is None else min(MARK_ARM, MARK_SHARE * bolts.hole)
    for x, y in bolt_centres(job).tolist():
        marks += _cross(x, y, arm)
    marks += marked(job, wheel)
    return FlatLoops((Loop.circle(0.0, 0.0, rim),), tuple(holes), tuple(marks))


def _cross(x: float, y: float, arm: float = MARK_ARM) -> list[Path]:
    return [((x - arm, y, 0.0), (x + arm, y, 0.0)), ((x, y - arm, 0.0), (x, y + arm, 0.0))]
