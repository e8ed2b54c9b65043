"""What a drawing says, free of any file format: the one description behind DXF, PDF and SVG.

Glossary
- **Sheet**: a page with frame, title block, views, tables and notes. The layout picks paper and standard scale.
- **View**: entities in model millimetres, x to the right and y up, around the view's own origin. A view takes the
  sheet's scale, or its own (`scale=5.0` for a detail at 5:1). `cell=(column, row)` puts views in a grid, row 0 on top;
  views in a row share their y = 0, views in a column their x = 0, as projections do.
- **Entity**: geometry (Line, Circle, Arc, Outline, Path, Hatch, CentreLine, CentreMark), dimensions (Linear, Aligned,
  Diameter, Radius, Angular) and things that point at geometry (Note, Tolerance, Texture, CuttingPlane …).
- Dimensions carry the *model's* value, worked out from their points; text says it in the sheet's units. They name a
  side, never a place: the layout stacks them outwards from the part and finds room for the text.

A sheet in short:

    edge = Loop.polygon([(0, 20), (30, 20), (30, 40), (0, 40)])
    section = View("section", (
        Outline(edge), Hatch((edge,)), CentreLine((0, 0), (30, 0)),
        Linear((0, 40), (30, 40), "above"),
        Linear((0, -40), (0, 40), "left", prefix="⌀", fit="h7"),
        Linear((30, -20), (30, 20), "right", prefix="⌀", fit="H7", datum="A"),
        Tolerance((15, 40), "run-out", 0.04, ("A",), toward_deg=60),
    ), caption="A–A")
    sheet = Sheet("ring", TitleBlock(title="Ring", number="demo-1"), (section,))
    write_pdf(sheet, "ring.pdf"); write_dxf(sheet, "ring.dxf")

Lengths in mm; angles in degrees anticlockwise from +x; text heights and gaps in mm on paper.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from wheelcad.drawing.paper import ISO_PAPERS, step_scale
from wheelcad.trade.loop import Loop

# mm, the smallest lettering of a sheet: a packet brings A3 down to 0.62 of its size, and 1.8 mm is the least that is
# read at a machine (our judgement; ISO 3098 begins at 1.8)
SMALL = 2.9

Point = tuple[float, float]
Side = Literal["above", "below", "left", "right"]
Units = Literal["mm", "in", "dual"]
Symbol = Literal["run-out", "total-run-out", "position", "perpendicular", "parallel", "flat", "concentric"]


# --- geometry -------------------------------------------------------------------------------------------------------
@dataclass(frozen=True)
class Between:
    """What lies between two points."""

    a: Point
    b: Point


@dataclass(frozen=True)
class RoundMark:
    """What is round about a point, radius in mm."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True)
class Line(Between):
    """A straight line from a to b. `line`: another line type than the layer's (wheelcad.trade.layers)."""

    layer: str = "OUTLINE"
    line: str | None = None


@dataclass(frozen=True)
class Circle(RoundMark):
    """A whole circle."""

    layer: str = "OUTLINE"
    line: str | None = None


@dataclass(frozen=True)
class Arc(RoundMark):
    """An arc, anticlockwise from start_deg to end_deg (degrees from +x)."""

    start_deg: float
    end_deg: float
    layer: str = "OUTLINE"
    line: str | None = None


@dataclass(frozen=True)
class Outline:
    """A closed outline of lines and arcs."""

    loop: Loop
    layer: str = "OUTLINE"
    line: str | None = None


@dataclass(frozen=True)
class Path:
    """An open run of lines and arcs; vertices of x, y, bulge as in a Loop (the last bulge is not used)."""

    vertices: tuple[tuple[float, float, float], ...]
    layer: str = "OUTLINE"
    line: str | None = None


@dataclass(frozen=True)
class Hatch:
    """Section hatching of the region inside an odd number of the loops (so an inner loop is a hole).

    angle_deg: of the lines (45, or 135 for a second part); pitch_mm: between them, on paper.
    """

    loops: tuple[Loop, ...]
    angle_deg: float = 45.0
    pitch_mm: float = 3.0


@dataclass(frozen=True)
class CentreLine(Between):
    """A centre line; drawn `beyond` mm (on paper) past a and b."""

    beyond: float = 4.0


@dataclass(frozen=True)
class CentreMark(RoundMark):
    """The cross of centre lines of a hole; arms reach 2 mm (on paper) past the circle; turned_deg turns it."""

    turned_deg: float = 0.0


@dataclass(frozen=True)
class BreakEdge(Between):
    """Where a part is broken off in a view: a thin zigzag from a to b."""


@dataclass(frozen=True)
class TurnArrow(RoundMark):
    """A thin arc with an arrowhead at to_deg: a direction of rotation. Drawn from from_deg the short way to to_deg."""

    from_deg: float
    to_deg: float


@dataclass(frozen=True)
class Text:
    """Words at a place of the view. align: which part of the text stands at `at`; one line."""

    at: Point
    text: str
    height: float = 3.5
    align: Literal["left", "centre", "right"] = "left"
    rotation_deg: float = 0.0
    layer: str = "TEXT"


# --- dimensions -----------------------------------------------------------------------------------------------------
@dataclass(frozen=True, kw_only=True)
class Dimension:
    """What every dimension can say beside its value.

    prefix: "⌀", "R", "□". count: 4 gives "4×". fit: an ISO 286 class such as "H7". upper, lower: limit deviations in mm
    (degrees for angles); equal and opposite ones are written "±". suffix: words after the value. reference: an
    auxiliary dimension in brackets. exact: a theoretically exact dimension, in a box. decimals: most places printed
    (None: 2 for mm, 3 for inches, one more of each where limits or a fit are given). below: a second line of words.
    """

    prefix: str = ""
    count: int = 1
    fit: str = ""
    upper: float | None = None
    lower: float | None = None
    suffix: str = ""
    reference: bool = False
    exact: bool = False
    decimals: int | None = None
    below: str = ""


@dataclass(frozen=True)
class Linear(Dimension, Between):
    """Distance between a and b: along x when it stands above or below the part, along y at its left or right.

    datum: letter of an ISO 5459 datum whose triangle sits on the dimension line (the axis of a bore, say).
    at: a coordinate (model mm: y for above/below, x for left/right) for the dimension line, where it should not be
    stacked outside the part; the layout tries there first. far: stack outside all dimensions that are not far.
    """

    side: Side
    datum: str = ""
    at: float | None = None
    far: bool = False


@dataclass(frozen=True)
class Aligned(Dimension, Between):
    """Distance from a to b, the dimension line parallel to them, on the left of the way from a to b."""


@dataclass(frozen=True)
class Diameter(Dimension, RoundMark):
    """Diameter of a circle seen as a circle, led out of it. toward_deg: which way the text is wanted."""

    toward_deg: float = 45.0


@dataclass(frozen=True)
class Radius(Dimension, RoundMark):
    """Radius of an arc; toward_deg: a direction from the centre in which the arc exists."""

    toward_deg: float = 45.0


@dataclass(frozen=True)
class Angular(Dimension, RoundMark):
    """Angle at (x, y), anticlockwise from from_deg to to_deg; extension lines start at `radius` mm."""

    from_deg: float
    to_deg: float


# --- things that point at geometry ----------------------------------------------------------------------------------
@dataclass(frozen=True)
class Note:
    """A leader from `tip` to words (lines parted by newlines). end: arrow on an edge, dot inside a face, or none.

    on_part: the words may as well stand on the part's face, where there is room (numbers of holes, say).
    """

    tip: Point
    text: str
    toward_deg: float = 45.0
    end: Literal["arrow", "dot", "none"] = "arrow"
    height: float = 3.5
    on_part: bool = False


@dataclass(frozen=True)
class Tolerance:
    """An ISO 1101 tolerance frame, led to `tip`. value in mm; diametral: the zone is a cylinder; datums: letters.

    or_tip: another place of the same surface (its mirror image in a turned part) that will do as well.
    """

    tip: Point
    symbol: Symbol
    value: float
    datums: tuple[str, ...] = ()
    toward_deg: float = 45.0
    diametral: bool = False
    or_tip: Point | None = None


@dataclass(frozen=True)
class Datum:
    """An ISO 5459 datum triangle on an edge at `tip`, its letter out along toward_deg."""

    tip: Point
    letter: str
    toward_deg: float = 90.0


@dataclass(frozen=True)
class Texture:
    """An ISO 21920-1:2021 (before: ISO 1302:2002) surface texture symbol for machining, led to `tip`.

    ra_um: Ra in micrometres.
    """

    tip: Point
    ra_um: float
    toward_deg: float = 90.0


@dataclass(frozen=True)
class CuttingPlane(Between):
    """Where a section is cut: from a to b, with arrows and letters at both ends looking along look_deg."""

    letter: str
    look_deg: float


@dataclass(frozen=True)
class DetailCircle(RoundMark):
    """The thin circle round what a detail view enlarges, with its letter."""

    letter: str
    toward_deg: float = 45.0


Geometry = Line | Circle | Arc | Outline | Path | Hatch | CentreLine | CentreMark | BreakEdge | TurnArrow | Text
AnyDimension = Linear | Aligned | Diameter | Radius | Angular
Pointer = Note | Tolerance | Datum | Texture | CuttingPlane | DetailCircle
Entity = Geometry | AnyDimension | Pointer


# --- the sheet ------------------------------------------------------------------------------------------------------
@dataclass(frozen=True)
class View:
    """One view. caption: above the view, such as "A–A" (its own scale is added).

    scale: None for the sheet's. steps: so many standard scales larger (or with a minus smaller) than the sheet's.
    """

    name: str
    entities: tuple[Entity, ...]
    caption: str = ""
    scale: float | None = None
    steps: int = 0
    cell: tuple[int, int] = (0, 0)

    @property
    def own_scale(self) -> bool:
        """True for a view that is not drawn at the sheet's scale."""
        return self.scale is not None or self.steps != 0

    def scale_on(self, sheet_scale: float) -> float:
        """The scale of the view on a sheet of the given scale."""
        return self.scale or step_scale(sheet_scale, self.steps)


@dataclass(frozen=True)
class Table:
    """A table: `align` has one of l, c, r a column (left out: all centred)."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str = ""
    height: float = SMALL


@dataclass(frozen=True)
class Notes:
    """A block of sentences under a heading, numbered; caution: in a heavy box with a warning triangle."""

    heading: str
    lines: tuple[str, ...]
    caution: bool = False
    width: float = 120.0
    height: float = SMALL
    numbered: bool = True


@dataclass(frozen=True)
class TitleBlock:
    """ISO 7200 title block. Date, approval and an empty owner or creator are left blank to be filled in by hand.

    marks: which job and plan the drawing is of. texture: surface texture as the symbol says it, "" for none.
    """

    title: str
    number: str
    marks: str = ""
    subtitle: str = ""
    owner: str = ""
    creator: str = ""
    document_type: str = "Part drawing"
    material: str = ""
    mass: str = ""
    general_tolerance: str = "ISO 2768-m"
    edges: str = "break sharp edges 0.2–0.5"
    texture: str = "Ra 3.2"
    texture_where: str = "All surfaces"  # what the texture holds for


@dataclass(frozen=True)
class Sheet:
    """One page. papers: sizes that may be used, smallest first. scale: None lets the layout choose.

    smallest_scale, largest_scale: no view that takes the sheet's scale is drawn smaller or larger. number, of: 0 to be
    counted. small_part: goes on the smallest paper that takes it at half size or larger.
    """

    name: str
    title: TitleBlock
    views: tuple[View, ...]
    tables: tuple[Table, ...] = ()
    notes: tuple[Notes, ...] = ()
    papers: tuple[str, ...] = ISO_PAPERS
    units: Units = "mm"
    number: int = 0
    of: int = 0
    scale: float | None = None
    smallest_scale: float = 0.0
    largest_scale: float = 2.0
    small_part: bool = False
