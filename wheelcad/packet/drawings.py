"""The drawings as sheets of the packet, where the person at the machine needs them."""

from __future__ import annotations

import re

from wheelcad.drawing.layout import Page as DrawnPage
from wheelcad.drawing.svg import svg_text
from wheelcad.packet.page import Page
from wheelcad.packet.sheets import drawing_sheets
from wheelcad.parts.common.sheets import laid_out
from wheelcad.parts.design import Design

ROOM = 0.5  # mm kept around the frame


def drawing_pages(design: Design) -> dict[str, list[Page]]:
    """Pages that show each part's drawing, by the part's name."""
    return {name: _pages(name, laid_out(sheet)) for name, sheet in drawing_sheets(design).items()}


def _pages(name: str, drawn: tuple[DrawnPage, ...]) -> list[Page]:
    made = []
    for page in drawn:
        x0, y0, x1, y1 = page.paper.frame
        shown = Page(f"Drawing of the {name}: reduced to fit, so do not measure on it. Full size: {name}-drawing.pdf")
        made.append(shown.sheet(f"{name}-drawing-{page.number}", within_frame(page), x1 - x0 > y1 - y0))
    return made


def within_frame(page: DrawnPage) -> str:
    """A drawing as SVG without the margins outside its frame: the sheet of the packet has margins of its own."""
    x0, y0, x1, y1 = page.paper.frame
    wide, high = x1 - x0 + 2 * ROOM, y1 - y0 + 2 * ROOM
    box = f"{x0 - ROOM:g} {page.paper.height - y1 - ROOM:g} {wide:g} {high:g}"
    head = f'width="{wide:g}mm" height="{high:g}mm" viewBox="{box}">'
    return re.sub(r'width="[^"]*" height="[^"]*" viewBox="[^"]*">', head, svg_text(page), count=1)
