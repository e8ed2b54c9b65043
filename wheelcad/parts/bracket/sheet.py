"""The bracket's drawing: the flat as it is cut, the bends, the folded part on its engine, and what to mind."""

from __future__ import annotations

from dataclasses import replace

from wheelcad.drawing.dimension_text import degrees, length
from wheelcad.drawing.model import (
    SMALL,
    CentreLine,
    CentreMark,
    Entity,
    Line,
    Linear,
    Note,
    Outline,
    Sheet,
    Table,
    View,
)
from wheelcad.job.models import Job
from wheelcad.parts.bracket.fold_views import fitted_view, side_view
from wheelcad.parts.bracket.model import Bend, BracketDesign, Gusset, Hole
from wheelcad.parts.bracket.setting import axis_tolerance
from wheelcad.parts.common.sheets import drawing_units, part_sheet, title_block
from wheelcad.trade.plasma import THERMAL_CUT
from wheelcad.words import length as words_length

CAUTIONS = (
    "Plasma, grinding and welding: shade, dry gloves, no coated or zinc plate, air moving, nothing that burns nearby.",
    "Clamp the plate before bending; a bar that slips off takes fingers with it.",
    "Engine: key out and battery off while the bracket is fitted; nothing near belts and pulley when it runs.",
    "Follow local codes; leave welding and engine work you are not trained for to a licensed shop.",
)


def bracket_sheet(design: BracketDesign, job: Job) -> Sheet:
    """The drawing of the bracket of `job`."""
    title = title_block(job, "Sensor bracket", "bracket", design.material, design.mass_kg)
    plate = f"{title.material}, {length(design.thickness, drawing_units(job))} plate"
    views = [_flat_view(design)]
    if design.bends:
        views.append(side_view(design, axis_tolerance(design.asked.bracket, len(design.bends))))
    views.append(fitted_view(design, job))
    tables = [_bend_table(design, job)] if design.bends else []
    tables.append(_hole_table(design, job))
    # cut edges are judged by ISO 9013, and none is machined
    title = replace(title, material=plate, general_tolerance=f"ISO 2768-m, cuts {THERMAL_CUT}", texture="")
    return part_sheet(job, "bracket", title, tuple(views), design.notes, CAUTIONS, tables=tuple(tables))


def _flat_view(design: BracketDesign) -> View:
    entities: list[Entity] = [Outline(design.outline)]
    x0, y0, x1, y1 = design.outline.bounds()
    for number, hole in enumerate(design.holes, 1):
        entities += _hole(hole, number)
    for bend in design.bends:
        entities += _bend(design, bend)
    for a, b in design.slits:
        entities.append(Line(a, b, "SLIT"))
    # the sensor's centre line: over the bends, or across a flat plate's sensor end
    end = design.bends[0].x_arm + 10.0 if design.bends else min(x1, 2 * design.hole("body").x0)
    entities.append(CentreLine((x0, 0.0), (end, 0.0)))
    entities.append(Linear((x0, y0), (x1, y0), "below", far=True))
    entities.append(Linear((x0, y0), (x0, y1), "right", far=True))
    for bend in design.bends:
        entities.append(Linear((0.0, bend.y_from), (bend.line_x, bend.y_from), "below"))
    if design.bends:
        entities.append(Linear((0.0, -design.width / 2), (0.0, design.width / 2), "left"))
    body = design.hole("body")
    entities.append(Linear((0.0, 0.0), (body.middle[0], 0.0), "above"))
    entities += [Outline(gusset.nested) for gusset in design.gussets]
    if design.gussets:
        entities += _gusset(design.gussets[-1], len(design.gussets))
    up = "the side the first bend turns to" if design.bends else "the side away from the block"
    return View("flat", tuple(entities), caption=f"Flat, {up} facing you", cell=(0, 0))


def _hole(hole: Hole, number: int) -> list[Entity]:
    r = hole.diameter / 2
    out: list[Entity] = [] if hole.drill else [Outline(hole.loop, "HOLES")]
    for x, y in [(hole.x0, hole.y0)] if hole.round else [(hole.x0, hole.y0), (hole.x1, hole.y1)]:
        out.append(CentreMark(x, y, r))
    x, y = hole.middle
    out.append(Note((x, y + r), str(number), 60, end="none", height=3.5, on_part=True))
    return out


def _bend(design: BracketDesign, bend: Bend) -> list[Entity]:
    number = design.bends.index(bend) + 1
    way = "up" if bend.up else "down"
    words = f"bend {number}: {way} {degrees(bend.angle_deg)}"
    return [
        Line((bend.line_x, bend.y_from), (bend.line_x, bend.y_to), "BEND"),
        Note((bend.line_x, bend.y_to), words, 75, end="arrow", height=SMALL),
    ]


def _gusset(gusset: Gusset, count: int) -> list[Entity]:
    loop, cut = gusset.nested, float(gusset.loop.vertices[0, 0])  # the inner corner is cut off alike on both legs
    x0, y0, x1, y1 = loop.bounds()
    pieces = f", {count} pieces" if count > 1 else ""
    words = f"gusset{pieces}\ncorner cut off {words_length(cut)} from it on both legs"
    return [
        Linear((x0, y0), (x1, y0), "below"),
        Linear((x1, y0), (x1, y1), "right"),
        Note(((x0 + x1) / 2, (y0 + y1) / 2), words, 45, end="none", height=SMALL),
    ]


def _bend_table(design: BracketDesign, job: Job) -> Table:
    units = drawing_units(job)
    rows = []
    for number, bend in enumerate(design.bends, 1):
        rows.append(
            (
                str(number),
                degrees(bend.angle_deg),
                "up" if bend.up else "down",
                length(bend.inside_radius, units),
                length(bend.line_x, units),
                length(bend.allowance, units),
                length(bend.deduction, units),
            )
        )
    columns = ("bend", "angle", "way", "inside R", "line from tab end", "allowance", "deduction")
    return Table("Bends, in this order", columns, tuple(rows))


def _hole_table(design: BracketDesign, job: Job) -> Table:
    units = drawing_units(job)
    rows = []
    for number, hole in enumerate(design.holes, 1):
        size = f"⌀{length(hole.diameter, units)}"
        if not hole.round:
            size = f"{length(hole.diameter, units)} × {length(hole.travel + hole.diameter, units)} slot"
        x, y = hole.middle
        how = "mark, drill" if hole.drill else "cut"
        rows.append((str(number), hole.name, size, length(x, units), length(y, units), how))
    start = "tab end" if design.bends else "left end"
    return Table("Holes", ("no.", "for", "size", f"x from {start}", "y from axis", "how"), tuple(rows))
