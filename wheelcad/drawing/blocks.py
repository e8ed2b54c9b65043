"""Tables and notes as blocks of ink, each with its size, standing on (0, 0) until the layout puts it somewhere."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from wheelcad.drawing.font import text_width, wrap
from wheelcad.drawing.ink import Group, Ink, Letters, line
from wheelcad.drawing.model import Notes, Table
from wheelcad.drawing.symbols import caution_sign, rectangle

PAD = 1.5  # mm at both sides of a cell
ROW = 2.0  # row height, in heights of a capital
LINE = 1.75  # line spacing of notes, in heights of a capital
HEADING = 3.5  # mm
BELOW_HEADING = 2.0  # mm
AIR = 2.5  # mm inside a caution box
THICK = 0.5

Align = Literal["left", "centre", "right"]
ALIGNS: dict[str, Align] = {"l": "left", "c": "centre", "r": "right"}


@dataclass(frozen=True)
class SheetBlock:
    """A group and its size in mm; its lower left corner is (0, 0)."""

    group: Group
    width: float
    height: float


def table_blocks(table: Table, tallest: float) -> Iterator[SheetBlock]:
    """The table as one block, or as several side by side where its rows would stand taller than `tallest` mm."""
    row = ROW * table.height
    over = (HEADING + BELOW_HEADING if table.title else 0.0) + row
    room = max(1, int((tallest - over) / row))
    parts = -(-len(table.rows) // room) or 1
    size = -(-len(table.rows) // parts) or 1
    for k in range(parts):
        title = table.title if k == 0 else f"{table.title} (cont.)" if table.title else ""
        yield _table(replace(table, title=title, rows=table.rows[k * size : (k + 1) * size]), table)


@lru_cache(maxsize=256)  # a layout is tried on many papers
def _table(table: Table, whole: Table) -> SheetBlock:
    h = table.height
    row = ROW * h
    widths = [
        max(text_width(cell, h, bold=r == 0) for r, cell in enumerate(column)) + 2 * PAD
        for column in zip(whole.columns, *whole.rows, strict=True)
    ]
    title_width = text_width(table.title, HEADING, bold=True)
    spare = max(0.0, title_width - sum(widths)) / len(widths)
    widths = [w + spare for w in widths]
    wide, tall = sum(widths), row * (len(table.rows) + 1)
    ink: list[Ink] = [
        rectangle(0, 0, wide, tall, "TEXT", THICK),
        line((0, tall - row), (wide, tall - row), "TEXT", width=THICK),
    ]
    ink += [line((0, tall - k * row), (wide, tall - k * row), "TEXT") for k in range(2, len(table.rows) + 1)]
    x = 0.0
    for c, width in enumerate(widths):
        if c:
            ink.append(line((x, 0), (x, tall), "TEXT"))
        align = ALIGNS[table.align[c]] if table.align else "centre"
        at = {"left": x + PAD, "centre": x + width / 2, "right": x + width - PAD}[align]
        for r, cells in enumerate((table.columns, *table.rows)):
            base = tall - (r + 1) * row + (row - h) / 2
            place = (x + width / 2, "centre") if r == 0 else (at, align)
            ink.append(Letters(place[0], base, cells[c], h, place[1], bold=r == 0))  # type: ignore[arg-type]
        x += width
    if table.title:
        ink.append(Letters(0, tall + BELOW_HEADING, table.title, HEADING, bold=True))
        tall += BELOW_HEADING + HEADING
    return SheetBlock(Group(f"table {table.title}", "block", tuple(ink)), wide, tall)


@lru_cache(maxsize=256)
def notes_block(notes: Notes, width: float) -> SheetBlock:
    """The notes wrapped to `width` mm."""
    h = notes.height
    air = AIR if notes.caution else 0.0
    sign = 8.0 if notes.caution else 0.0
    indent = text_width("00.", h) + 1.0 if notes.numbered else 0.0
    lines: list[tuple[str, str]] = []
    for k, sentence in enumerate(notes.lines, start=1):
        for i, words in enumerate(wrap(sentence, h, width - 2 * air - indent)):
            lines.append((f"{k}." if notes.numbered and i == 0 else "", words))
    step = LINE * h
    head = max(HEADING, sign * 0.75) if notes.caution else HEADING
    tall = 2 * air + (head + BELOW_HEADING if notes.heading else 0.0) + step * max(len(lines) - 1, 0) + h * 1.15
    ink: list[Ink] = []
    top = tall - air
    if notes.heading:
        if notes.caution:
            ink.extend(caution_sign(air, top - head, 7.0))
        ink.append(Letters(air + sign, top - (head + HEADING) / 2, notes.heading, HEADING, bold=True))
        top -= head + BELOW_HEADING
    for k, (mark, words) in enumerate(lines):
        base = top - h - k * step
        if mark:
            ink.append(Letters(air, base, mark, h))
        ink.append(Letters(air + indent, base, words, h))
    if notes.caution:
        ink.append(rectangle(0, 0, width, tall, "TEXT", THICK))
    return SheetBlock(Group(f"notes {notes.heading}", "block", tuple(ink)), width, tall)


def pack(blocks: Sequence[SheetBlock], width: float, gap: float) -> tuple[list[tuple[float, float]], float]:
    """Shelves from the top down, `width` mm wide: places from the top left corner (y negative), and the height used."""
    places: list[tuple[float, float]] = []
    x = y = deep = 0.0
    for block in blocks:
        if x > 0 and x + block.width > width + 1e-6:
            x, y, deep = 0.0, y - deep - gap, 0.0
        places.append((x, y - block.height))
        x += block.width + gap
        deep = max(deep, block.height)
    return places, -y + deep
