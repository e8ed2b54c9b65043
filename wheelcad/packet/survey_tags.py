"""survey-tags.pdf, the sheet of tags to print and stick on, and survey-tags.json beside it. 1 mm a millimetre."""

from __future__ import annotations

import io
import math
from pathlib import Path
from typing import Any

import shapely
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from wheelcad.arrays import Floats
from wheelcad.drawing import font
from wheelcad.files.data import as_json
from wheelcad.job.models import Job
from wheelcad.parts.common.paper import page_paper
from wheelcad.save import save
from wheelcad.survey.library import cells
from wheelcad.survey.tags import (
    CELLS,
    DISC,
    EDGE,
    FOOT_STRIP,
    LEFT_STRIP,
    NAME_STRIP,
    SHEET_JSON,
    SHEET_PDF,
    THING,
    TagPiece,
    TagSheet,
    plan_tags,
)
from wheelcad.units import POINT_MM
from wheelcad.words import Words, length

MM = 1.0 / POINT_MM  # points a millimetre
THIN, BAR_LINE = 0.18, 0.35  # mm, widths of lines
TICK = 4.0  # mm, the strokes across a bar's ends
TEXT = 2.5  # mm, height of capitals
RINGS = (10.0, 80.0, 5.0)  # mm: diameters of the circles to cut the middle by: first, beyond the last, step
HEAVY = 3.5  # mm, height of a title


def write_survey_tags(job: Job, folder: str | Path) -> tuple[Path, Path]:
    """Write survey-tags.pdf and survey-tags.json for a job into a folder; their paths. The same job, the same bytes."""
    sheet = plan_tags(job, page_paper(job))
    pdf, data = Path(folder) / SHEET_PDF, Path(folder) / SHEET_JSON
    drawn = tags_pdf(job, sheet)
    save(pdf, drawn)
    save(data, (as_json(sheet.as_json()) + "\n").encode("utf-8"))
    return pdf, data


def tags_pdf(job: Job, sheet: TagSheet) -> bytes:
    """The PDF's bytes."""
    for name in (font.REGULAR, font.BOLD):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(font.path_of(name))))
    out = io.BytesIO()
    size = (sheet.page_mm[0] * MM, sheet.page_mm[1] * MM)
    canvas = Canvas(out, pagesize=size, invariant=1, pageCompression=1, initialFontName=font.REGULAR)
    canvas.setTitle(f"{job.job}: tags for a survey by photographs")
    canvas.setCreator("wheelcad")
    for page in range(1, max(piece.page for piece in sheet.pieces) + 1):
        _bars(canvas, job, sheet)
        _words(canvas, job, sheet, page)
        for piece in sheet.pieces:
            if piece.page == page:
                (_disc if piece.name == DISC else _card)(canvas, sheet, piece)
        for tag in sheet.tags:
            if tag.page == page:
                _tag(canvas, tag.corners_page_mm, tag.number)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _tag(canvas: Any, corners: Floats, number: int) -> None:
    """A tag as one path, its square and in it the outlines of what is white: no hairline shows between cells."""
    grid = cells(number, CELLS)
    white = [shapely.box(c, r, c + 1, r + 1) for r in range(CELLS) for c in range(CELLS) if not grid[r][c]]
    across, down = (corners[1] - corners[0]) / CELLS, (corners[3] - corners[0]) / CELLS
    path = canvas.beginPath()
    rings = [shapely.box(0, 0, CELLS, CELLS).exterior]
    for part in shapely.get_parts(shapely.unary_union(white)):
        rings += [part.exterior, *part.interiors]
    for ring in rings:
        for k, (c, r) in enumerate(list(ring.coords)[:-1]):
            x, y = (corners[0] + c * across + r * down) * MM
            (path.lineTo if k else path.moveTo)(float(x), float(y))
        path.close()
    canvas.setFillGray(0)
    canvas.drawPath(path, stroke=0, fill=1, fillMode=0)  # 0: where rings lie in each other, every other one is filled


def _line(canvas: Any, x0: float, y0: float, x1: float, y1: float, width: float = THIN) -> None:
    canvas.setLineWidth(width * MM)
    canvas.line(x0 * MM, y0 * MM, x1 * MM, y1 * MM)


def _text(canvas: Any, x: float, y: float, said: str, height: float = TEXT, bold: bool = False) -> None:
    canvas.setFont(font.BOLD if bold else font.REGULAR, font.size_for(height) * MM)
    canvas.drawString(x * MM, y * MM, said)


def _circle(canvas: Any, x: float, y: float, diameter: float, width: float = THIN, grey: float = 0.0) -> None:
    canvas.setLineWidth(width * MM)
    canvas.setStrokeGray(grey)
    canvas.circle(x * MM, y * MM, diameter / 2 * MM, stroke=1, fill=0)
    canvas.setStrokeGray(0)


def _bars(canvas: Any, job: Job, sheet: TagSheet) -> None:
    """The two bars that show what the printer did: level at the foot, upright at the left."""
    words = Words(job.units)
    level, upright = sheet.bars_mm
    x, y = EDGE + LEFT_STRIP, EDGE + 6.0
    _line(canvas, x, y, x + level, y, BAR_LINE)
    for end in (x, x + level):
        _line(canvas, end, y - TICK / 2, end, y + TICK / 2, BAR_LINE)
    _text(canvas, x + 4, y + 1.0, f"A  {words.length(level)} from stroke to stroke: measure it")
    x, y = EDGE + 6.0, EDGE + FOOT_STRIP
    _line(canvas, x, y, x, y + upright, BAR_LINE)
    for end in (y, y + upright):
        _line(canvas, x - TICK / 2, end, x + TICK / 2, end, BAR_LINE)
    canvas.saveState()
    canvas.translate((x - 1.0) * MM, (y + 4) * MM)
    canvas.rotate(90)
    _text(canvas, 0, 0, f"B  {words.length(upright)} from stroke to stroke: measure it")
    canvas.restoreState()


def _words(canvas: Any, job: Job, sheet: TagSheet, page: int) -> None:
    """Title and what to do, at the page's head."""
    x, top = EDGE + LEFT_STRIP, sheet.page_mm[1] - EDGE
    title = "the disc for the pulley" if page == 1 else "cards for the block's holes and for things in the way"
    _text(canvas, x, top - HEAVY, f"{job.job}: {title}", HEAVY, bold=True)
    y = top - HEAVY - 6.0
    for line in ON_DISC_PAGE if page == 1 else ON_CARD_PAGE:
        for part in font.wrap(Words(job.units).text(line), TEXT, sheet.page_mm[0] - EDGE - x):
            _text(canvas, x, y, part)
            y -= 4.0


RULER = (
    f"and hold a ruler's edge across it both ways: no light under it more than a sheet of paper's ({length(0.1)}); "
    "a dome puts holes off by as much as it is high."
)
ON_DISC_PAGE = (
    "Print at 100 %, all pages on one printer. Measure bars A and B on the print, for the program: --bars A,B.",
    "Engine off and cold, key out, battery off. Cylinder 1 at top dead centre, and it stays there for all pictures.",
    "Glue flat on stiff card, cut round, "
    + RULER
    + " Cut the middle to the circle that fits the crank nose, or prick the bolt "
    "holes and use the bolts. TDC line straight up where the job has it, face flat on the pulley's front.",
    f"Four to eight pictures from different sides, about {length(500, 0)} away, none zoomed, disc and cards in each, "
    "each card in at least three. Off to the left, right, above, below; not all from straight ahead.",
)
ON_CARD_PAGE = (
    "Cut out, glue flat on the block's face where the bracket will lie (ruler's edge across, as the disc); a bolt "
    "through the middle centres a card, then take the bolt out. Punch the middle clean. Any way up.",
    f"{THING}1 and on: stick them on what is in the way (pump, cover, belt guard), the middle where the place counts.",
)


def _disc(canvas: Any, sheet: TagSheet, piece: TagPiece) -> None:
    """The disc: its rim, circles to cut the middle by, bolt holes, and the TDC line."""
    x, y = piece.centre_mm
    _circle(canvas, x, y, piece.size_mm, BAR_LINE)
    first, last, step = RINGS
    inner = min(math.hypot(*corner) for tag in sheet.tags if tag.on == DISC for corner in tag.corners_mm.tolist())
    diameter = first
    while diameter < min(last, 2 * inner - 8.0):
        _circle(canvas, x, y, diameter, THIN, 0.6)
        diameter += step
    _circle(canvas, x, y, piece.hole_mm, THIN)
    for bx, by, hole in sheet.bolt_holes:
        _circle(canvas, x + bx, y + by, hole)
        _line(canvas, x + bx - hole / 2 - 1, y + by, x + bx + hole / 2 + 1, y + by)
        _line(canvas, x + bx, y + by - hole / 2 - 1, x + bx, y + by + hole / 2 + 1)
    _line(canvas, x - 3, y, x + 3, y)
    _line(canvas, x, y - 3, x, y + piece.size_mm / 2, BAR_LINE)
    canvas.saveState()
    canvas.translate((x - 1.0) * MM, (y + piece.size_mm / 2 - 14.0) * MM)
    canvas.rotate(90)
    _text(canvas, 0, 0, "TDC, up")
    canvas.restoreState()


def _card(canvas: Any, sheet: TagSheet, piece: TagPiece) -> None:
    """A card: its edge, the hole in its middle with a cross to centre by, and its name."""
    x, y, half = *piece.centre_mm, piece.size_mm / 2
    canvas.setLineWidth(THIN * MM)
    canvas.setStrokeGray(0.5)
    canvas.rect((x - half) * MM, (y - half) * MM, 2 * half * MM, 2 * half * MM, stroke=1, fill=0)
    canvas.setStrokeGray(0)
    _circle(canvas, x, y, piece.hole_mm)
    _line(canvas, x - 2, y, x + 2, y)
    _line(canvas, x, y - 2, x, y + 2)
    room = NAME_STRIP - 3.0
    height = min(2.0, 2.0 * room / font.text_width(piece.name, 2.0))
    _text(canvas, x - font.text_width(piece.name, height) / 2, y - half + 1.5, piece.name, height)
