"""What all drawings of a job share: paper, title block, the TDC line and the way the crank turns."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from wheelcad.drawing.layout import Page, compose, overlaps
from wheelcad.drawing.model import (
    CentreLine,
    CentreMark,
    Circle,
    CuttingPlane,
    Diameter,
    Entity,
    Note,
    Notes,
    Sheet,
    Table,
    TitleBlock,
    TurnArrow,
    Units,
    View,
)
from wheelcad.drawing.paper import ISO_PAPERS, LANDSCAPE, US_PAPERS
from wheelcad.drawing.symbols import XY, polar
from wheelcad.job.models import Job
from wheelcad.parts.common.paper import page_paper
from wheelcad.trade.layers import CHAIN
from wheelcad.trade.materials import material
from wheelcad.trade.nearness import SAME_MM
from wheelcad.words import quantity

SMALL_PART_MM = 130.0  # across: so much is drawn at half size or larger on A4
SMALL_SCALES = (1.0, 0.5)  # tried in turn
SMALL_SHEET_SCALE = 0.5  # smaller on A4 or Letter, and each view has a sheet of its own
ROUGHNESS = {"mm": "Ra 3.2", "in": "Ra 125 µin"}  # finely turned or milled, ISO 1302 and ASME B46.1 (from memory)
LEADER_OFF = 6.0  # mm beyond the rim (model) where the direction arrow runs


def papers_for(job: Job) -> tuple[str, ...]:
    """Sizes a job's drawings may use, smallest first: up to `paper`, or A4 and A3, in inches Letter and Tabloid."""
    family = US_PAPERS if page_paper(job) in US_PAPERS else ISO_PAPERS
    return family if job.paper is None else family[: family.index(job.paper) + 1]


@lru_cache(maxsize=16)  # the files and the packet show the same pages
def laid_out(sheet: Sheet) -> tuple[Page, ...]:
    """The pages of a drawing.

    Where only a small sheet may be used, each view has one of its own, and tables and notes have another, when all
    together would be too small to read; what cannot be read even so takes the large sheet of the same kind after all.
    """
    if len(sheet.papers) > 1:
        lying = (sheet.papers[0], sheet.papers[0] + LANDSCAPE) if sheet.small_part else ()
        tries = (_clean(replace(sheet, papers=(paper,), scale=scale)) for scale in SMALL_SCALES for paper in lying)
        return next((small for small in tries if small is not None), None) or compose(sheet)
    family = US_PAPERS if sheet.papers[0] in US_PAPERS else ISO_PAPERS
    whole = _clean(replace(sheet, smallest_scale=SMALL_SHEET_SCALE))
    if whole is not None:
        return whole
    alone = [replace(sheet, views=(replace(view, cell=(0, 0)),), tables=(), notes=()) for view in sheet.views]
    if sheet.tables or sheet.notes:
        alone.append(replace(sheet, views=()))
    return _clean(*alone) or compose(replace(sheet, papers=family))


def _clean(*sheets: Sheet) -> tuple[Page, ...] | None:
    """The pages when they can be laid out at all and nothing on them overlaps."""
    try:
        pages = compose(sheets)
    except ValueError:  # no standard scale is small enough
        return None
    return None if overlaps(pages) else pages


def drawing_units(job: Job) -> Units:
    """What the dimensions on a job's drawings are in: its unit, or both where it asks for both."""
    return "dual" if job.dimensions == "dual" else job.units


def part_sheet(
    job: Job,
    name: str,
    title: TitleBlock,
    views: tuple[View, ...],
    notes: tuple[str, ...],
    cautions: tuple[str, ...],
    *,
    tables: tuple[Table, ...] = (),
    across_mm: float = math.inf,
    width: float = 135.0,
    largest_scale: float = 1.0,
) -> Sheet:
    """A part's drawing on the job's paper, in its unit. across_mm: of the part; a small one gets a small paper."""
    said = (Notes("Notes", notes, width=width), Notes("Caution", cautions, caution=True, width=width, numbered=False))
    papers, units, small = papers_for(job), drawing_units(job), across_mm <= SMALL_PART_MM
    return Sheet(name, title, views, tables, said, papers, units, largest_scale=largest_scale, small_part=small)


def bolt_circle(
    spots: Sequence[tuple[float, float, float]],
    circle: float,
    below: str,
    *,
    toward_deg: float = 315.0,
    holes: bool = False,
    reference: bool = False,
) -> list[Entity]:
    """The circle of bolt holes with their crosses, and the size of the one that lies farthest towards `toward_deg`.

    spots: centres and radii, mm. circle: its diameter. holes: draw them too. reference: they are in the piece already.
    """
    out: list[Entity] = [Circle(0.0, 0.0, circle / 2, "CENTRE", CHAIN)]
    for x, y, r in spots:
        out += [Circle(x, y, r, "HOLES")] if holes else []
        out.append(CentreMark(x, y, r, math.degrees(math.atan2(y, x))))
    right = math.cos(math.radians(toward_deg)) > 0
    x, y, r = max(spots, key=lambda p: round(p[0] - p[1] if right else p[1] - p[0], 6))
    count = sum(abs(other[2] - r) < SAME_MM for other in spots)
    out.append(Diameter(x, y, r, toward_deg, count=count, reference=reference, below=below))
    return out


def title_block(
    job: Job,
    title: str,
    part: str,
    metal: str | None = None,
    mass_kg: float | None = None,
    document_type: str = "Part drawing",
    only_new: bool = False,
) -> TitleBlock:
    """The title block of one part: its number is the job's name and the part's. metal: its key in
    trade/materials.py; mass_kg: said in the job's unit.

    only_new: part of it stays as found or as rolled, so that edges and texture hold for what is cut.
    """
    mass = "" if mass_kg is None else quantity(mass_kg * 1000, "heavy")
    sizes = "0.2–0.5" if job.units == "mm" else "0.01–0.02"
    return TitleBlock(
        title,
        f"{job.job}-{part}",
        subtitle=job.title,
        document_type=document_type,
        material=material(metal).title if metal is not None else "",
        mass=mass,
        edges=f"break edges {sizes}; sensing edges sharp" if only_new else f"break sharp edges {sizes}",
        texture=ROUGHNESS["in" if job.units == "in" else "mm"],
        texture_where="Cut surfaces" if only_new else "All surfaces",
    )


def at_angle(radius: float, angle_deg: float, sense: int) -> XY:
    """The point at a wheel angle (degrees from the TDC line, positive the way the crank turns), mm."""
    return polar((0.0, 0.0), radius, paper_deg(angle_deg, sense))


def paper_deg(angle_deg: float, sense: int) -> float:
    """A wheel angle as degrees anticlockwise from +x, the front of the wheel facing the reader."""
    return 90.0 - sense * angle_deg


SECTION = "C–C"  # the caption of a section along the TDC line; A and B are datums


def section_marks(radius: float) -> CuttingPlane:
    """Where the section beside a front view is cut: along the TDC line, seen from the left (first angle)."""
    return CuttingPlane((0.0, -radius), (0.0, radius), SECTION[0], 0.0)


def reference_marks(radius: float, sense: int, words: str, left: bool = True) -> list[Entity]:
    """The TDC line from the axis to beyond `radius`, named, and beside it an arrow the way the crank turns."""
    arc = radius + max(LEADER_OFF, 0.08 * radius)
    low, high = (112.0, 140.0) if left else (40.0, 68.0)
    start, end = (high, low) if sense > 0 else (low, high)
    outer, way = (high, high + 10) if left else (low, low - 10)
    turns = f"turns {'clockwise' if sense > 0 else 'anticlockwise'},\nseen from the front"
    return [
        CentreLine((0.0, 0.0), (0.0, arc), beyond=0.0),
        Note((0.0, arc), words, 60 if left else 120, end="none"),
        TurnArrow(0.0, 0.0, arc, start, end),
        Note(polar((0.0, 0.0), arc, outer), turns, way, end="none"),
    ]
