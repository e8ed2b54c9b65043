"""Drawings read back: what each dimension says against what it stands on, DXF against PDF, and both against the design.

- A dimension's text against the distance between its own points, to half of its last figure.
- Its points against the lines that are drawn: a dimension whose end hangs in the air is of another part.
- The same words and figures in DXF and PDF, counted.
- Sizes that the part is made to: each must stand in a dimension.
Lengths mm.
"""

from __future__ import annotations

import io
import math
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from wheelcad.arrays import Bools, Floats
from wheelcad.checks.sections import away_from
from wheelcad.codes import Check
from wheelcad.errors import UnreadableError
from wheelcad.findings import OWN, Finding, holds
from wheelcad.units import INCH_MM
from wheelcad.words import count

ON_LINE = 0.01  # mm, in the drawing: from a dimension's end to the nearest line
ROUNDED = 0.51  # of a text's last figure: half of it, and what binary fractions add
LEVEL = 0.001  # mm, in the drawing: from a dimension's end to a corner elsewhere, along the dimension
METRIC_PLACES = 2  # that sizes in mm and degrees are written to
ANGLE = ", degrees"  # ends the name of a size that is none in mm
SIGNS = {"%%c": "⌀", "%%d": "°", "%%p": "±"}
PLAIN = str.maketrans({"−": "-", "–": "-", "—": "-", "\u00ad": "-", "\ufffe": "-", "\u2011": "-"})
NUMBER = re.compile(r"(?:(\d+) )?(\d+)/(\d+)|(\d*\.?\d+)")
OWN_DATA = "WHEELCAD"  # as the writer names its extended data
LINEAR, ALIGNED, TWO_LINES, DIAMETER, RADIUS, THREE_POINTS = range(6)


def check_drawing(folder: Path, part: str, wanted: Iterable[tuple[str, float]], units: str) -> list[Finding]:
    """PART-drawing.dxf and .pdf. units: mm, in or dual. wanted: (what, mm) that must stand in a dimension, degrees
    where `what` ends with ANGLE.

    ValueError when one cannot be read.
    """
    name = f"{part}-drawing.dxf"
    doc = _read(folder / name)
    space = doc.modelspace()
    pieces, rounds, corners = _lines(space)
    dims = [entity for entity in space if entity.dxftype() == "DIMENSION"]
    shown = [entity for entity in space if entity.dxftype() == "TEXT"]
    said = [said for entity in dims for said in _wrong(entity, doc, units, shown)]
    hanging = list(_hanging(dims, pieces, rounds, corners))
    written = "; ".join(said[:3]) or count(len(dims), "dimension")
    out = [
        holds(Check.DIMENSION_TEXT, name, not said and bool(dims), written,
              "each dimension says what lies between its own points, to half of its last figure", OWN),
        holds(Check.DRAWN_LINES, name, not hanging, ", ".join(hanging[:3]) or "all on drawn lines",
              "each dimension's ends stand on the lines that are drawn", OWN),
        _same_words(part, doc, folder),
        _sizes(name, dims, list(wanted), units),
    ]  # fmt: skip
    return out


def _read(path: Path) -> Any:
    import ezdxf

    try:
        return ezdxf.read(io.StringIO(path.read_text(encoding="utf-8")))
    except (ezdxf.DXFError, UnicodeDecodeError, ValueError) as error:
        raise UnreadableError(f"{path.name} cannot be read as DXF: {error}") from None


def plain(text: str) -> str:
    """A text with signs for its codes, and one kind of dash."""
    for code, sign in SIGNS.items():
        text = text.replace(code, sign)
    return text.replace("^ ", "^").replace("<=", "≤").replace(">=", "≥").translate(PLAIN)


def _lines(space: Any) -> tuple[Floats, Floats, Floats]:
    """Straight pieces (n, 2, 2) of everything that is drawn, circles and arcs as rows x, y, radius, and (m, 2) where
    lines and arcs end and how far circles reach."""
    pieces: list[Floats] = []
    corners: list[tuple[float, float]] = []
    rounds: list[tuple[float, float, float]] = []
    for entity in _exploded(space):
        if entity.dxftype() == "LINE":
            a, b = entity.dxf.start, entity.dxf.end
            pieces.append(np.array([[[a.x, a.y], [b.x, b.y]]]))
            corners += [(a.x, a.y), (b.x, b.y)]
            continue
        centre, r = entity.dxf.center, entity.dxf.radius
        rounds.append((centre.x, centre.y, r))
        start, sweep = 0.0, 2 * math.pi
        if entity.dxftype() == "ARC":
            start = math.radians(entity.dxf.start_angle)
            sweep = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360.0)
        turn = start + sweep * np.linspace(0.0, 1.0, max(3, math.ceil(sweep * math.sqrt(r / (8 * ON_LINE)) * 4)))
        points = np.column_stack([centre.x + r * np.cos(turn), centre.y + r * np.sin(turn)])
        pieces.append(np.stack([points[:-1], points[1:]], axis=1))
        corners += [(points[0, 0], points[0, 1]), (points[-1, 0], points[-1, 1])]
        corners += [(centre.x + r, centre.y + r), (centre.x - r, centre.y - r)]
    return np.concatenate(pieces), np.array(rounds).reshape(-1, 3), np.array(corners)


def _exploded(space: Any) -> Iterator[Any]:
    for entity in space:
        kind = entity.dxftype()
        if kind in ("LINE", "ARC", "CIRCLE"):
            yield entity
        elif kind == "LWPOLYLINE":
            yield from entity.virtual_entities()


def _at(entity: Any, name: str) -> Floats:
    point = entity.dxf.get(name)
    return np.array([point.x, point.y]) if point is not None else np.full(2, math.nan)


def _measured(entity: Any, doc: Any) -> float:
    """What lies between a dimension's points: mm of the part, or degrees."""
    kind = entity.dxf.dimtype & 7
    factor = float(doc.dimstyles.get(entity.dxf.dimstyle).dxf.dimlfac)
    if kind in (LINEAR, ALIGNED):
        span = _at(entity, "defpoint3") - _at(entity, "defpoint2")
        if kind == ALIGNED:
            return float(np.hypot(*span)) * factor
        turn = math.radians(entity.dxf.get("angle", 0.0))
        return abs(float(span @ (math.cos(turn), math.sin(turn)))) * factor
    if kind in (DIAMETER, RADIUS):
        return float(np.hypot(*(_at(entity, "defpoint4") - _at(entity, "defpoint")))) * factor
    vertex = _at(entity, "defpoint4")
    ends = ("defpoint3", "defpoint") if kind == TWO_LINES else ("defpoint2", "defpoint3")
    one, two = (_at(entity, end) - vertex for end in ends)
    return abs(math.degrees(math.atan2(float(one[0] * two[1] - one[1] * two[0]), float(one @ two))))


def said_by(text: str, units: str) -> tuple[float, float] | None:
    """The size a dimension's text says, mm or degrees, and how far it may be rounded; None where it says none."""
    text = re.sub(r"^[\s(\[]*\d+× ?", "", plain(text))
    found = NUMBER.search(text)
    if found is None:
        return None
    factor = 1.0 if "°" in text or units != "in" else INCH_MM
    if found[3]:
        return (int(found[1] or 0) + int(found[2]) / int(found[3])) * factor, 0.0005 * factor
    places = len(found[4].partition(".")[2])
    if factor == 1.0:
        places = max(places, METRIC_PLACES)  # its noughts are left out
    return float(found[4]) * factor, ROUNDED * 10.0**-places * factor


def _wrong(entity: Any, doc: Any, units: str, shown: list[Any]) -> Iterator[str]:
    text, value = words_of(entity), _measured(entity, doc)
    said = said_by(text, units)
    if said is None:
        yield f"{text or 'nothing'} says no size"
        return
    angular = (entity.dxf.dimtype & 7) in (TWO_LINES, THREE_POINTS)
    off = abs(said[0] - value)
    if angular:
        off = min(off, abs(360.0 - said[0] - value))
    kept = entity.dxf.get("actual_measurement", value)
    apart = min(abs(kept - value), abs(360.0 - kept - value) if angular else math.inf)
    if not (off <= said[1] and apart <= 1e-5):  # also where a point is not there: what is no number passes nothing
        yield f"{text} on {value:.4g}"
    if not _is_shown(entity, text, shown):
        yield f"{text} is drawn as another"


def words_of(entity: Any) -> str:
    """What a dimension says: its own text is a blank, and its words are kept as extended data."""
    if entity.has_xdata(OWN_DATA):
        return plain(str(entity.get_xdata(OWN_DATA)[0].value))
    return plain(str(entity.dxf.text))


def _is_shown(entity: Any, text: str, shown: list[Any]) -> bool:
    """Whether those words stand where the dimension has its text."""
    x, y, _ = entity.dxf.text_midpoint
    for words in shown:
        if plain(words.dxf.text) == text:
            at, high = words.get_placement()[1], float(words.dxf.height)
            if math.hypot(at.x - x, at.y - y) <= high * (2 + len(text)):
                return True
    return False


def _hanging(dims: Sequence[Any], pieces: Floats, rounds: Floats, corners: Floats) -> Iterator[str]:
    """The words of every dimension whose ends are on nothing that is drawn."""
    linear = [entity for entity in dims if entity.dxf.dimtype & 7 in (LINEAR, ALIGNED)]
    ends = np.array([[_at(entity, "defpoint2"), _at(entity, "defpoint3")] for entity in linear]).reshape(-1, 2)
    on = iter((away_from(ends, pieces) < ON_LINE).reshape(-1, 2))
    for entity in dims:
        straight = entity.dxf.dimtype & 7 in (LINEAR, ALIGNED)
        if not (_level(entity, next(on), corners) if straight else _round(entity, rounds)):
            yield words_of(entity)


def _level(entity: Any, on_line: Bools, corners: Floats) -> bool:
    """Whether both ends of a linear dimension, which are on lines or not, are so or level with a corner: a size over
    all is taken from where the part ends, be it a corner elsewhere."""
    ends = np.array([_at(entity, "defpoint2"), _at(entity, "defpoint3")])
    turn = math.radians(entity.dxf.get("angle", 0.0))
    along = np.array([math.cos(turn), math.sin(turn)])
    level = np.abs((corners @ along)[None, :] - (ends @ along)[:, None]).min(axis=1) < LEVEL
    return bool((on_line | level).all())


def _round(entity: Any, rounds: Floats) -> bool:
    """Whether there is the circle whose size a dimension gives; rays of an angle are seldom drawn to their ends."""
    kind = entity.dxf.dimtype & 7
    if kind not in (DIAMETER, RADIUS):
        return True
    a, b = _at(entity, "defpoint"), _at(entity, "defpoint4")
    centre, radius = ((a + b) / 2, float(np.hypot(*(b - a))) / 2) if kind == DIAMETER else (a, np.hypot(*(b - a)))
    apart = np.hypot(rounds[:, 0] - centre[0], rounds[:, 1] - centre[1]) + np.abs(rounds[:, 2] - radius)
    return bool(len(apart) and apart.min() < ON_LINE)


def _same_words(part: str, doc: Any, folder: Path) -> Finding:
    """The words and figures of the DXF, dimensions' own pictures included, against those of the PDF."""
    texts = [e.dxf.text for e in doc.modelspace() if e.dxftype() == "TEXT"]
    for entity in doc.modelspace():
        if entity.dxftype() == "DIMENSION":
            texts += [e.dxf.text for e in doc.blocks.get(entity.dxf.geometry) if e.dxftype() == "TEXT"]
    words = Counter(_tokens(texts)), Counter(_tokens(pdf_texts(folder / f"{part}-drawing.pdf")))
    left, right = words[0] - words[1], words[1] - words[0]
    for one, other in ((left, right), (right, left)):  # a reader of PDF runs words together that stand close
        _joined(one, other)
    odd = [*left, *right]
    why = f"the same words and figures in {part}-drawing.dxf and {part}-drawing.pdf, each as often"
    said = ", ".join(odd[:4]) or f"{sum(words[0].values())} words"
    return holds(Check.DRAWN_ALIKE, f"{part}-drawing.pdf", not odd, said, why, OWN)


def _joined(whole: Counter[str], parts: Counter[str]) -> None:
    """Take out of both what are two words of `parts` in one of `whole`."""
    for token in [*whole]:
        for at in range(1, len(token)):
            two = Counter([token[:at], token[at:]])
            if whole[token] and two <= parts:
                whole.subtract([token])
                parts.subtract(two)
    for counted in (whole, parts):
        for token in [token for token, number in counted.items() if number <= 0]:
            del counted[token]


def _tokens(texts: Iterable[str]) -> list[str]:
    return [token for text in texts for token in plain(text).split()]


def pdf_texts(path: Path) -> list[str]:
    """The text of every page of a PDF. ValueError when it is none."""
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(str(path))
    except pypdfium2.PdfiumError as error:
        raise UnreadableError(f"{path.name} is no PDF: {error}") from None
    return [page.get_textpage().get_text_range().replace("\r\n", "\n") for page in document]


def _sizes(name: str, dims: list[Any], wanted: list[tuple[str, float]], units: str) -> Finding:
    """Every size that the part is made to stands in some dimension."""
    words = [words_of(entity) for entity in dims]
    missing = []
    for angle in (False, True):
        read = [said_by(text, units) for text in words if ("°" in text) == angle]
        said = [size for size in read if size is not None]
        sizes = [(what, size) for what, size in wanted if what.endswith(ANGLE) == angle]
        for what, size in sizes:  # sizes that are equal need as many dimensions
            alike = sum(abs(other - size) < 1e-6 for _, other in sizes)
            if sum(abs(size - value) <= within for value, within in said) < alike:
                missing.append(what)
    text = f"not there: {', '.join(missing)}" if missing else count(len(wanted), "size")
    why = f"sizes the part is made to: {', '.join(what for what, _ in wanted)}"
    return holds(Check.DIMENSIONS, name, not missing, text, why, OWN)


__all__ = ["check_drawing", "pdf_texts", "plain", "said_by"]
