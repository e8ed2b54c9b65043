"""Works out the printed layout gauge of a job: what it sits on, what it covers, and the walls it is made of."""

from __future__ import annotations

import math
from dataclasses import replace

from wheelcad.errors import Faults
from wheelcad.job.models import Job
from wheelcad.parts.common.openings import bolt_centres
from wheelcad.parts.gauge.body import build_body
from wheelcad.parts.gauge.cover import PrintHole, find_cover, hub_radius
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.mounting import judge_mounting
from wheelcad.parts.gauge.paper import plan_paper
from wheelcad.parts.gauge.seat import Seat, find_seat
from wheelcad.parts.gauge.verdicts import design_findings
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.printing import printed_hole_mm
from wheelcad.words import length

LEAST_THICKNESS = 1.2  # mm of plate: three layers of floor under the engraving
USUAL_NOZZLE = 0.4  # mm, where the job names no printer


def design_gauge(job: Job, wheel: WheelDesign) -> GaugeDesign | None:
    """The gauge of a job, None without its section or a pulley. DesignError for what cannot exist or be located."""
    gauge, pulley, bolts = job.gauge, job.pulley, job.bolts
    if gauge is None or pulley is None:
        return None
    faults = Faults()
    if gauge.thickness < LEAST_THICKNESS:
        why = "is too thin to print and engrave"
        allowed = f"at least {length(LEAST_THICKNESS)}"
        faults.add(("gauge", "thickness"), why, found=length(gauge.thickness), allowed=allowed)
    holes = _holes(job, gauge.hole_allowance, faults)
    seat = find_seat(job, gauge, pulley, faults)
    shoulder = seat.cavities[-1].radius if seat.cavities else 0.0
    openings = (pulley.bore, job.wheel.bore, pulley.recess.diameter if pulley.recess else None)
    hub = hub_radius(openings, wheel, holes, shoulder)
    cover = find_cover(gauge.covers, wheel, hub, faults)
    _located(bolts.count if bolts is not None else 0, seat, faults)
    faults.raise_if_any()
    printer = job.shop.printer
    body = build_body(job, gauge, wheel, seat, cover, holes, faults)
    mounting = judge_mounting(job, gauge.hole_allowance, seat.register, body.style.slot.check_radius)
    bolt_radius = bolts.hole / 2 if bolts is not None else 0.0
    circles = seat.shoulder_radius, *(bore / 2 for bore in openings[:2] if bore is not None)
    paper = plan_paper(job, wheel, cover, tuple((h.x, h.y) for h in holes), bolt_radius, circles)
    design = GaugeDesign(
        style=gauge.style,
        sense=wheel.sense,
        seat=seat,
        cover=cover,
        wheel_slot=wheel.slot,
        holes=holes,
        body=body,
        mounting=mounting,
        paper=paper,
        pitch_deg=wheel.pitch_deg,
        thickness_mm=gauge.thickness,
        shrinkage=(gauge.shrinkage or 0.0) / 100,
        bed=printer.bed if printer is not None else None,
        nozzle_mm=printer.nozzle if printer is not None else USUAL_NOZZLE,
        findings=(),
    )
    return replace(design, findings=design_findings(design))


def _holes(job: Job, allowance: float, faults: Faults) -> tuple[PrintHole, ...]:
    """The printed bolt holes, on the pulley's circle."""
    bolts = job.bolts
    if bolts is None:
        return ()
    try:
        diameter = printed_hole_mm(bolts.hole, allowance)
    except ValueError as error:
        faults.add(("gauge", "hole_allowance"), str(error), found=length(allowance))
        return ()
    if bolts.count > 1 and bolts.circle * math.sin(math.pi / bolts.count) <= diameter:
        why = "lets neighbouring bolt holes run into each other"
        faults.add(("gauge", "hole_allowance"), why, found=length(allowance))
    return tuple(PrintHole(x, y, diameter / 2) for x, y in bolt_centres(job).tolist())


def _located(count: int, seat: Seat, faults: Faults) -> None:
    """Something must centre the gauge; count: of the bolts."""
    if seat.register.by == "bolts" and count < 2:
        faults.add(
            ("gauge",),
            "has nothing to be located on",
            found="one bolt" if count else "no bolts, shoulder or bore that could centre it",
            allowed="at least two bolts, a shoulder in front of the ring, or a bore at the seat",
        )
