"""The drawing of the target on the cam: from the front with its edges, bore and bolts, and its thickness."""

from __future__ import annotations

import math

from wheelcad.drawing.dimension_text import degrees, length
from wheelcad.drawing.model import (
    Angular,
    CentreLine,
    CentreMark,
    Circle,
    Diameter,
    Entity,
    Hatch,
    Linear,
    Outline,
    Sheet,
    Side,
    Table,
    View,
)
from wheelcad.job.models import Job
from wheelcad.parts.cam.design import CamDesign, half_deg
from wheelcad.parts.common.sheets import (
    SECTION,
    at_angle,
    bolt_circle,
    drawing_units,
    paper_deg,
    part_sheet,
    reference_marks,
    section_marks,
    title_block,
)
from wheelcad.trade.loop import Loop

PAST_MM = 3.0  # model mm that a centre line runs past the rim
NOTES = (
    "The TDC line points up when cylinder 1 is at top dead centre of its compression stroke; cam degrees are half "
    "of what the crank turns.",
    "The two edges of the step are what the sensor sees: square, sharp and free of burrs; do not chamfer them. "
    "Deburr everything else.",
    "Cut from cam-flat.dxf; bore it after cutting where the process does not hold the bore.",
)
CAUTIONS = (
    "It turns inside or beside the engine: bolts locked, nothing loose, and try it round by hand first.",
    "Follow local codes; leave engine work you are not trained for to a licensed shop.",
)


def cam_sheet(job: Job, design: CamDesign) -> Sheet:
    """The target's drawing."""
    title = title_block(job, "Target on the cam", "cam", design.cam.material, design.mass_kg, only_new=True)
    units = drawing_units(job)
    start, end = design.edges_at(design.radius_mm)
    rows: tuple[tuple[str, str], ...] = (
        ("Middle of the high part from the TDC line", degrees(design.at_deg, 3)),
        ("Edge that passes its sensor first", degrees(end, 3)),
        ("Edge that passes last", degrees(start, 3)),
        ("Outside, step", f"⌀{length(2 * design.radius_mm, units)}, ⌀{length(2 * design.root_radius_mm, units)}"),
    )
    if design.cam.style != "half-moon":
        rows = (*rows, ("Tooth, parallel sides", length(design.cam.tooth_width or 0.0, units)))
    table = Table("Target", ("Cam degrees, the way the cam turns", ""), rows, align="lr")
    views = (_front(job, design), _section(design))
    across = 2 * design.radius_mm
    return part_sheet(job, "cam", title, views, NOTES, CAUTIONS, tables=(table,), across_mm=across, largest_scale=2.0)


def _front(job: Job, design: CamDesign) -> View:
    radius, sense = design.radius_mm, design.sense
    entities: list[Entity] = [Outline(design.outline), CentreMark(0.0, 0.0, radius)]
    rounds = [opening.round for opening in design.openings if opening.name == "bolt" and opening.round is not None]
    for opening in design.openings:
        entities.append(Outline(opening.loop, "HOLES") if opening.round is None else Circle(*opening.round, "HOLES"))
        if opening.name == "bore" and opening.round is not None:
            entities.append(Diameter(*opening.round, 225.0))
    if rounds:
        circle = math.hypot(rounds[0][0], rounds[0][1])
        bolts = job.cam.bolts if job.cam is not None else None
        first = "" if bolts is None else f", first at {degrees(bolts.first_at)}\nfrom the TDC line"
        below = f"on ⌀{length(2 * circle, drawing_units(job))}{first}"
        entities += bolt_circle(rounds, 2 * circle, below)
    outer = radius + PAST_MM
    at = design.at_deg
    entities.append(CentreLine((0.0, 0.0), at_angle(outer, at, sense), beyond=0.0))
    if min(at % 360.0, 360.0 - at % 360.0) > 1.0:
        low, high = sorted((paper_deg(0.0, sense), paper_deg(at, sense)))
        entities.append(Angular(0.0, 0.0, outer, low, high))
    if design.cam.style != "half-moon":
        half = half_deg(design.cam, radius)
        a, b = (at_angle(radius, at + s * half, sense) for s in (1, -1))
        side: Side = "right" if abs(a[1] - b[1]) > abs(a[0] - b[0]) else "above"
        if min(abs(a[0] - b[0]), abs(a[1] - b[1])) < 1e-6:
            entities.append(Linear(a, b, side))
    entities.append(Linear((0.0, -radius), (0.0, radius), "left", prefix="⌀"))
    entities += reference_marks(radius, sense, "TDC line", left=not (0 < (at % 360.0) * sense % 360.0 < 90.0))
    entities.append(section_marks(radius))
    return View("front", tuple(entities), cell=(0, 0))


def _section(design: CamDesign) -> View:
    half, radius = design.cam.thickness / 2, design.radius_mm
    bore = next((o.round[2] for o in design.openings if o.name == "bore" and o.round is not None), 0.0)
    edge = Loop.polygon([(-half, bore), (half, bore), (half, radius), (-half, radius)])
    entities: list[Entity] = [
        Outline(edge),
        Hatch((edge,), pitch_mm=2.0),
        CentreLine((-half, 0.0), (half, 0.0), beyond=8.0),
        Linear((-half, radius), (half, radius), "above"),
    ]
    return View("section", tuple(entities), caption=SECTION, cell=(1, 0))
