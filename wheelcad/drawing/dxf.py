"""Drawings as DXF with true DIMENSION entities.

Model space holds the part at 1:1 in mm (the first view's origin at 0, 0), and the frame stands round it enlarged by
the drawing's scale: whoever measures in CAD reads the part's own size, and plotting at the title block's scale gives
the sheet. A detail drawn larger keeps its own factor in its dimensions (DIMLFAC), so these too say the part's size.
Dimension text is written out as printed, units and fits included, so that no program's rounding can change it. It and
the box of an exact dimension are entities of their own beside a DIMENSION whose own text is a blank: programs that draw
dimensions anew put the text elsewhere and leave the box out. The DIMENSION keeps the words as extended data.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from ezdxf.enums import TextEntityAlignment
from ezdxf.math import Vec3

from wheelcad.drawing.ink import Fill, Group, HatchArea, Ink, InkMeasure, Letters, Pen, RingStroke, Stroke
from wheelcad.drawing.layout import Page, compose
from wheelcad.drawing.linear import ABOVE, EXTENSION_GAP, EXTENSION_PAST, HEIGHT, NEXT_MM
from wheelcad.drawing.model import Sheet
from wheelcad.drawing.symbols import ARROW
from wheelcad.dxfbase import document_bytes, new_document
from wheelcad.save import save
from wheelcad.trade.layers import COLOUR, LAYERS

STYLE = "ISO"
FONT_FILE = "isocp.shx"  # the ISO 3098 lettering that CAD programs bring along
PAGE_GAP = 20.0  # mm of paper between pages side by side
NARROWED = 0.85  # width factor that brings that lettering to the width the layout reckoned with
# signs that the lettering of some programs lacks
TEXT_SIGNS = str.maketrans({"⌀": "%%c", "°": "%%d", "±": "%%p", "−": "-", "–": "-", "—": "-", "≤": "<=", "≥": ">="})
LINEAR, ALIGNED, TWO_LINE_ANGLE, DIAMETER, RADIUS, THREE_POINT_ANGLE = range(6)
KINDS = {"linear": LINEAR, "aligned": ALIGNED, "diameter": DIAMETER, "radius": RADIUS}
OWN_BLOCK, TEXT_PLACED = 32, 128  # flags of group code 70
NO_TEXT = " "  # what suppresses a dimension's own text (DXF reference, group code 1)
OWN_DATA = "WHEELCAD"  # the application's name of extended data
ALIGN = {"left": TextEntityAlignment.LEFT, "centre": TextEntityAlignment.CENTER, "right": TextEntityAlignment.RIGHT}


def write_dxf(sheets: Sheet | Page | Iterable[Sheet | Page], path: str | Path) -> None:
    """Write one DXF; further pages stand to the right of the first. The same sheets give the same bytes."""
    save(path, dxf_bytes(sheets))


def dxf_bytes(sheets: Sheet | Page | Iterable[Sheet | Page]) -> bytes:
    """The DXF's bytes."""
    pages = compose(sheets)
    doc = new_document(line_scale=1.0 / pages[0].scale)
    doc.styles.add(STYLE, font=FONT_FILE, dxfattribs={"width": NARROWED})
    doc.appids.add(OWN_DATA)
    _dimension_header(doc, pages[0])
    x = 0.0
    for page in pages:
        if page is pages[0]:
            origin = (page.views[0].x, page.views[0].y) if page.views else (0.0, 0.0)
            first = page, origin
        else:
            origin = (-x * page.scale, first[1][1] * page.scale / first[0].scale)
        _Sheet(doc, page, origin).draw()
        x += (page.paper.width - (origin[0] if page is pages[0] else 0.0) + PAGE_GAP) / page.scale
    return document_bytes(doc)


def _dimension_header(doc: Any, page: Page) -> None:
    """What programs that draw dimensions anew take their sizes from."""
    doc.header["$TEXTSTYLE"] = STYLE
    sizes = _style_sizes(1.0 / page.scale, 1.0)
    for name, value in sizes.items():
        doc.header["$" + name.upper()] = value


def _style_sizes(scale: float, factor: float) -> dict[str, Any]:
    return {
        "dimscale": scale,
        "dimlfac": factor,
        "dimtxt": HEIGHT,
        "dimasz": ARROW,
        "dimexe": EXTENSION_PAST,
        "dimexo": EXTENSION_GAP,
        "dimgap": ABOVE,
        "dimdli": NEXT_MM,
        "dimtad": 1,
        "dimtih": 0,
        "dimtoh": 0,
        "dimdec": 2,
        "dimzin": 8,
        "dimadec": 2,
        "dimlunit": 2,
        "dimclrd": COLOUR,
        "dimclre": COLOUR,
        "dimclrt": COLOUR,
    }


class _Sheet:
    """Draws one page into the document. origin: the point of the paper (mm) that comes to (0, 0)."""

    def __init__(self, doc: Any, page: Page, origin: tuple[float, float]) -> None:
        self.doc, self.page = doc, page
        self.grow = 1.0 / page.scale
        self.ox, self.oy = origin

    def draw(self) -> None:
        """All groups, dimensions as DIMENSION entities with their ink as block."""
        space = self.doc.modelspace()
        for group in self.page.groups:
            if group.measure is not None:
                self._dimension(space, group, group.measure)
            else:
                for ink in group.ink:
                    self._ink(space, ink)

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Paper to model space, to 1e-9 mm."""
        return round((x - self.ox) * self.grow, 9) + 0.0, round((y - self.oy) * self.grow, 9) + 0.0

    def _attribs(self, own: Pen) -> dict[str, Any]:
        layer = LAYERS[own.layer]
        out: dict[str, Any] = {"layer": own.layer}
        if own.line != layer.line:
            out["linetype"] = own.line
        if own.width != layer.width_mm:
            out["lineweight"] = _lineweight(own.width)
        return out

    def _ink(self, space: Any, ink: Ink) -> None:
        if isinstance(ink, Letters):
            self._letters(space, ink)
        elif isinstance(ink, HatchArea):
            self._hatch(space, ink)
        elif isinstance(ink, Fill):
            self._fill(space, ink)
        elif isinstance(ink, RingStroke):
            centre, r = self.at(ink.x, ink.y), round(ink.radius * self.grow, 9)
            if ink.start is None or ink.end is None:
                space.add_circle(centre, r, dxfattribs=self._attribs(ink.pen))
            else:
                space.add_arc(centre, r, ink.start, ink.end, dxfattribs=self._attribs(ink.pen))
        else:
            self._stroke(space, ink)

    def _stroke(self, space: Any, stroke: Stroke) -> None:
        attribs = self._attribs(stroke.pen)
        points = [self.at(x, y) for x, y, _ in stroke.vertices]
        if len(points) == 2 and not stroke.closed and stroke.vertices[0][2] == 0.0:
            space.add_line(points[0], points[1], dxfattribs=attribs)
            return
        vertices = [(x, y, v[2]) for (x, y), v in zip(points, stroke.vertices, strict=True)]
        space.add_lwpolyline(vertices, format="xyb", close=stroke.closed, dxfattribs=attribs)

    def _fill(self, space: Any, fill: Fill) -> None:
        points = [self.at(x, y) for x, y in fill.corners]
        if len(points) <= 4:
            # a SOLID's third and fourth corners are crossed over
            order = points if len(points) == 3 else [points[0], points[1], points[3], points[2]]
            space.add_solid(order, dxfattribs={"layer": fill.layer})
            return
        hatch = space.add_hatch(color=COLOUR, dxfattribs={"layer": fill.layer})
        hatch.paths.add_polyline_path(points, is_closed=True)

    def _hatch(self, space: Any, area: HatchArea) -> None:
        hatch = space.add_hatch(color=COLOUR, dxfattribs={"layer": area.pen.layer})
        for loop in area.loops:
            vertices = [(*self.at(x, y), b) for x, y, b in loop.vertices.tolist()]
            hatch.paths.add_polyline_path(vertices, is_closed=True)
        # ANSI31: 45° lines 3.175 mm apart at scale 1
        hatch.set_pattern_fill("ANSI31", scale=area.pitch / 3.175 * self.grow, angle=area.angle - 45.0)

    def _letters(self, space: Any, letters: Letters) -> None:
        text = space.add_text(
            _coded(letters.text),
            height=letters.height * self.grow,
            rotation=letters.rotation,
            dxfattribs={"layer": letters.layer, "style": STYLE, "width": NARROWED},
        )
        text.set_placement(self.at(letters.x, letters.y), align=ALIGN[letters.align])

    def _dimension(self, space: Any, group: Group, measure: InkMeasure) -> None:
        block = self.doc.blocks.new_anonymous_block(type_char="D")
        round_one = measure.kind in ("diameter", "radius")
        for ink in group.ink:
            # programs that draw dimensions anew place texts by rules of their own, drop boxes, and draw no leader to a
            # text that stands away from its circle: all these are therefore entities of their own
            box = isinstance(ink, Stroke) and ink.closed
            led = round_one and getattr(ink, "role", "") == "leader"
            self._ink(space if isinstance(ink, Letters) or box or led else block, ink)
        kind, named = _named_points(measure)
        attribs = {
            "layer": "DIM",
            "geometry": block.name,
            "dimstyle": self._style(1.0 if measure.kind == "angular" else self.page.scale / measure.scale),
            "dimtype": kind | OWN_BLOCK | TEXT_PLACED,
            "text": NO_TEXT,
            "text_midpoint": Vec3(self.at(*measure.text_at)),
            "attachment_point": 5,
            "actual_measurement": measure.value,
            **{name: Vec3(self.at(*point)) for name, point in named.items()},
        }
        if measure.kind in ("linear", "aligned"):
            attribs["angle"] = measure.angle
        space.new_entity("DIMENSION", attribs).set_xdata(OWN_DATA, [(1000, _coded(measure.text))])

    def _style(self, factor: float) -> str:
        name = f"{STYLE}-{self.grow:g}-{factor:g}".replace(".", "_")
        if name not in self.doc.dimstyles:
            sizes = {**_style_sizes(self.grow, factor), "dimtxsty": STYLE}
            self.doc.dimstyles.new(name, dxfattribs=sizes)
        return name


def _coded(text: str) -> str:
    """A text with the codes that DXF has for signs, and none that it would take for a code or a line's end."""
    plain = "".join(ch if ch.isprintable() else " " for ch in text).replace("^", "^ ").replace("%%", "% %")
    return plain.translate(TEXT_SIGNS)


def _named_points(measure: InkMeasure) -> tuple[int, dict[str, tuple[float, float]]]:
    """The DXF dimension type of a measure, and the DXF names of its points."""
    p = measure.points
    if measure.kind in ("linear", "aligned"):
        return KINDS[measure.kind], {"defpoint": p[2], "defpoint2": p[0], "defpoint3": p[1]}
    if measure.kind in ("diameter", "radius"):
        return KINDS[measure.kind], {"defpoint": p[0], "defpoint4": p[1]}
    if measure.value < 180.0:  # the form that every program reads
        named = {"defpoint2": p[0], "defpoint3": p[1], "defpoint4": p[0], "defpoint": p[2], "defpoint5": p[3]}
        return TWO_LINE_ANGLE, named
    return THREE_POINT_ANGLE, {"defpoint4": p[0], "defpoint2": p[1], "defpoint3": p[2], "defpoint": p[3]}


def _lineweight(width_mm: float) -> int:
    """The nearest line weight DXF knows, in hundredths of a mm."""
    allowed = (13, 18, 25, 35, 50, 70, 100, 140, 200)
    return min(allowed, key=lambda w: abs(w - width_mm * 100))
