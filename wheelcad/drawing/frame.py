"""The sheet's frame (ISO 5457) and its title block (ISO 7200), 180 mm wide, in the lower right corner."""

from __future__ import annotations

from wheelcad.drawing.font import text_width, wrap
from wheelcad.drawing.ink import Group, Ink, Letters, line
from wheelcad.drawing.model import SMALL, Sheet
from wheelcad.drawing.paper import CENTRING_MARK, TITLE_WIDTH, Paper, scale_name
from wheelcad.drawing.symbols import projection_symbol, rectangle, texture_sign
from wheelcad.trade.layers import FRAME_MM, NARROW_MM, WIDE_MM

LABEL = SMALL  # mm, lettering of field names
VALUE = SMALL
STRONG = 3.5
MARKS_UP = 17.6  # mm, over the title block's lower edge: the marks of job and plan, over the identification number
LINE_MM = 3.7  # from one line of a field to the next
TITLE_HEIGHT = 50.0
ROWS = (14.0, 10.0, 16.0, 10.0)  # mm, from the top

Cell = tuple[float, str, str]  # width mm, field name, value
UNITS_SAID = {"mm": "mm", "in": "inch", "dual": "mm [inch]"}


def frame_group(paper: Paper) -> Group:
    """Trimmed edge left out; the frame 0.7 mm wide with its four centring marks."""
    x0, y0, x1, y1 = paper.frame
    mx, my = paper.width / 2, paper.height / 2
    title_left = x1 - TITLE_WIDTH  # the lower mark stops at the frame where the title block stands on it
    marks = (
        ((x0 - 5, my), (x0 + CENTRING_MARK, my)),
        ((x1 + 5, my), (x1 - CENTRING_MARK, my)),
        ((mx, y0 - 5), (mx, y0 if title_left < mx else y0 + CENTRING_MARK)),
        ((mx, y1 + 5), (mx, y1 - CENTRING_MARK)),
    )
    ink: list[Ink] = [rectangle(x0, y0, x1 - x0, y1 - y0, "FRAME", FRAME_MM)]
    ink += [line(a, b, "FRAME", width=FRAME_MM) for a, b in marks]
    return Group("frame", "frame", tuple(ink))


def title_group(sheet: Sheet, paper: Paper, scale: float, number: int, of: int) -> Group:
    """The title block, in place on its paper. number, of: sheet numbers."""
    t = sheet.title
    left, bottom = paper.frame[2] - TITLE_WIDTH, paper.frame[1]
    tolerances = f"{t.general_tolerance}" if t.general_tolerance else ""
    rows: tuple[tuple[Cell, ...], ...] = (
        (
            (48.0, "General tolerances", tolerances),
            (52.0, "Edges", t.edges),
            (32.0, t.texture_where if t.texture else "", ""),
            (48.0, "Material", t.material),
        ),
        (
            (60.0, "Legal owner", t.owner),
            (45.0, "Created by", t.creator),
            (40.0, "Approved by", ""),
            (35.0, "Date of issue", ""),
        ),
        ((122.0, "Title", t.title), (58.0, "Identification number", t.number)),
        (
            (28.0, "", ""),
            (44.0, "Document type", t.document_type),
            (20.0, "Scale", scale_name(scale)),
            (18.0, "Size", paper.name),
            (22.0, "Unit", UNITS_SAID[sheet.units]),
            (28.0, "Mass", t.mass),
            (20.0, "Sheet", f"{number} of {of}"),
        ),
    )
    ink: list[Ink] = [rectangle(left, bottom, TITLE_WIDTH, TITLE_HEIGHT, "FRAME", WIDE_MM)]
    top = bottom + TITLE_HEIGHT
    for height, row in zip(ROWS, rows, strict=True):
        if top < bottom + TITLE_HEIGHT:
            ink.append(line((left, top), (left + TITLE_WIDTH, top), "FRAME", width=NARROW_MM))
        ink.extend(_row(left, top, height, row, t.subtitle))
        top -= height
    if t.texture:
        ink.extend(texture_sign(left + 106.0, bottom + 36.8, t.texture))
    if t.marks:
        ink.append(Letters(left + 123.2, bottom + MARKS_UP, t.marks, SMALL))
    ink.extend(projection_symbol(left + 5.0, bottom + 5.0))
    return Group("title block", "title", tuple(ink))


def _row(left: float, top: float, height: float, cells: tuple[Cell, ...], subtitle: str) -> list[Ink]:
    out: list[Ink] = []
    x = left
    for width, label, value in cells:
        if x > left:
            out.append(line((x, top), (x, top - height), "FRAME", width=NARROW_MM))
        if label:
            out.append(Letters(x + 1.2, top - 1.0 - LABEL, label, LABEL))
        if label == "Title":
            out.extend(_title(x, top, width, value, subtitle))
        elif value:
            size = STRONG if label == "Identification number" else VALUE
            out.extend(_value(x, top, width, height, value, size))
        x += width
    return out


def _value(x: float, top: float, width: float, height: float, value: str, size: float) -> list[Ink]:
    """A field's value, as large as it fits: on one line, then smaller, then on two lines."""
    room = width - 2.4
    base = top - height + 2.0
    for h in (size, SMALL):
        if text_width(value, h) <= room:
            return [Letters(x + 1.2, base, value, h)]
    lines = wrap(value, SMALL, room)[:2]
    return [Letters(x + 1.2, base + (len(lines) - 1 - k) * LINE_MM - 0.4, w, SMALL) for k, w in enumerate(lines)]


def _title(x: float, top: float, width: float, title: str, subtitle: str) -> list[Ink]:
    room = width - 2.4
    height = next((h for h in (4.0, 3.5, 3.2) if text_width(title, h, bold=True) <= room), 0.0)
    if height:
        out: list[Ink] = [Letters(x + 1.2, top - 9.6, title, height, bold=True)]
    else:
        lines = wrap(title, SMALL, room, bold=True)[:2]
        out = [Letters(x + 1.2, top - 7.0 - LINE_MM * k, words, SMALL, bold=True) for k, words in enumerate(lines)]
    for words in wrap(subtitle, VALUE, room)[:1]:
        out.append(Letters(x + 1.2, top - 14.3, words, VALUE))
    return out
