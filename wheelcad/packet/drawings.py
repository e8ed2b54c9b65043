"""The drawings as sheets of the packet, where the person at the machine needs them: pages of their PDF files."""

from __future__ import annotations

from pathlib import Path

from wheelcad.drawing.layout import Page as DrawnPage
from wheelcad.packet.page import PacketPage
from wheelcad.packet.sheets import drawing_sheets
from wheelcad.parts.common.sheets import laid_out
from wheelcad.parts.design import Design

ROOM = 0.5  # mm kept around the frame: the sheet of the packet has margins of its own


def drawing_pages(design: Design) -> dict[str, list[PacketPage]]:
    """Pages that show each part's drawing, by the part's name."""
    return {name: [_page(name, drawn) for drawn in laid_out(sheet)] for name, sheet in drawing_sheets(design).items()}


def _page(name: str, drawn: DrawnPage) -> PacketPage:
    x0, y0, x1, y1 = drawn.paper.frame
    file = f"{name}-drawing.pdf"
    frame = (x0 - ROOM, drawn.paper.height - y1 - ROOM, x1 - x0 + 2 * ROOM, y1 - y0 + 2 * ROOM)
    page = PacketPage(f"Drawing of the {name}: reduced to fit, so do not measure on it. Full size: {file}")
    return page.sheet(file, drawn.number, (drawn.paper.width, drawn.paper.height), frame)


def put_drawings(design: Design, written: Path, into: Path) -> None:
    """The drawings' PDF files into a folder: as they are written, or made again where they are not."""
    for name, sheet in drawing_sheets(design).items():
        file = f"{name}-drawing.pdf"
        if (written / file).exists():
            (into / file).write_bytes((written / file).read_bytes())
        else:
            from wheelcad.drawing.pdf import write_pdf

            write_pdf(laid_out(sheet), into / file)
