"""Drawings as PDF: real, selectable text in embedded subset fonts, every line at its ISO width, 1 mm a millimetre."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from wheelcad.drawing import font
from wheelcad.drawing.ink import Fill, HatchArea, Ink, Letters, Pen, RingStroke, Stroke
from wheelcad.drawing.layout import Page, compose
from wheelcad.drawing.model import Sheet
from wheelcad.save import save
from wheelcad.trade.layers import dashes_mm
from wheelcad.trade.loop import Edge
from wheelcad.units import POINT_MM

POINT = 1 / POINT_MM  # points in a millimetre


def write_pdf(sheets: Sheet | Page | Iterable[Sheet | Page], path: str | Path) -> None:
    """Write one PDF with a page a sheet (or more, where tables run over). The same sheets give the same bytes."""
    save(path, pdf_bytes(sheets))


def pdf_bytes(sheets: Sheet | Page | Iterable[Sheet | Page]) -> bytes:
    """The PDF's bytes."""
    pages = compose(sheets)
    for name in (font.REGULAR, font.BOLD):
        if name not in pdfmetrics.getRegisteredFontNames():
            pdfmetrics.registerFont(TTFont(name, str(font.path_of(name))))
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1, initialFontName=font.REGULAR)
    title = pages[0].sheet.title
    canvas.setTitle(f"{title.number} {title.title}".strip())
    canvas.setSubject(title.document_type)
    canvas.setAuthor(title.owner or "wheelcad")
    canvas.setCreator("wheelcad")
    for page in pages:
        canvas.setPageSize((page.paper.width * POINT, page.paper.height * POINT))
        canvas.setFont(font.REGULAR, 10)
        canvas.setLineCap(0)
        canvas.setLineJoin(1)
        for group in page.groups:
            for ink in group.ink:
                _draw(canvas, ink)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _draw(canvas: Any, ink: Ink) -> None:
    if isinstance(ink, Letters):
        _letters(canvas, ink)
    elif isinstance(ink, HatchArea):
        _use(canvas, ink.pen)
        path = canvas.beginPath()
        for x0, y0, x1, y1 in ink.segments():
            path.moveTo(x0 * POINT, y0 * POINT)
            path.lineTo(x1 * POINT, y1 * POINT)
        canvas.drawPath(path, stroke=1, fill=0)
    elif isinstance(ink, Fill):
        path = canvas.beginPath()
        path.moveTo(ink.corners[0][0] * POINT, ink.corners[0][1] * POINT)
        for x, y in ink.corners[1:]:
            path.lineTo(x * POINT, y * POINT)
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)
    else:
        _use(canvas, ink.pen)
        path = canvas.beginPath()
        if isinstance(ink, RingStroke):
            _arc(path, (ink.x, ink.y), ink.radius, math.radians(ink.start or 0.0), math.radians(ink.sweep), first=True)
            if ink.start is None:
                path.close()
        else:
            _stroke(path, ink)
        canvas.drawPath(path, stroke=1, fill=0)


def _use(canvas: Any, own: Pen) -> None:
    canvas.setLineWidth(own.width * POINT)
    canvas.setDash([d * POINT for d in dashes_mm(own.line, own.width)])


def _stroke(path: Any, stroke: Stroke) -> None:
    x, y, _ = stroke.vertices[0]
    path.moveTo(x * POINT, y * POINT)
    for edge in stroke.edges():
        if edge.is_line:
            path.lineTo(edge.x1 * POINT, edge.y1 * POINT)
        else:
            _edge_arc(path, edge)
    if stroke.closed:
        path.close()


def _edge_arc(path: Any, edge: Edge) -> None:
    centre = edge.centre
    start = math.atan2(edge.y0 - centre[1], edge.x0 - centre[0])
    _arc(path, centre, edge.radius, start, edge.sweep, first=False)


def _arc(path: Any, centre: tuple[float, float], r: float, start: float, sweep: float, first: bool) -> None:
    """An arc as Bézier curves of at most 45°, true to 1e-6 of the radius."""
    n = max(1, math.ceil(abs(sweep) / (math.pi / 4) - 1e-9))
    step = sweep / n
    k = 4 / 3 * math.tan(step / 4)
    for i in range(n):
        a, b = start + i * step, start + (i + 1) * step
        x0, y0 = centre[0] + r * math.cos(a), centre[1] + r * math.sin(a)
        x1, y1 = centre[0] + r * math.cos(b), centre[1] + r * math.sin(b)
        if first and i == 0:
            path.moveTo(x0 * POINT, y0 * POINT)
        points = (
            x0 - k * r * math.sin(a),
            y0 + k * r * math.cos(a),
            x1 + k * r * math.sin(b),
            y1 - k * r * math.cos(b),
            x1,
            y1,
        )
        path.curveTo(*(p * POINT for p in points))


def _letters(canvas: Any, letters: Letters) -> None:
    text = canvas.beginText()
    size = font.size_for(letters.height) * POINT
    text.setFont(font.BOLD if letters.bold else font.REGULAR, size)
    a = math.radians(letters.rotation)
    back = {"left": 0.0, "centre": letters.width / 2, "right": letters.width}[letters.align]
    x, y = letters.x - back * math.cos(a), letters.y - back * math.sin(a)
    text.setTextTransform(math.cos(a), math.sin(a), -math.sin(a), math.cos(a), x * POINT, y * POINT)
    text.textOut(letters.text)
    canvas.drawText(text)
