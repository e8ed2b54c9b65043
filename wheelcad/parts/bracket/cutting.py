"""What the cutting table gets of a bracket: outline, holes, slits and centre marks by layer; in the flat's frame, mm.

Only what is cut or marked is in it. With bend marks asked for, the bend line and its label come on layers of their own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelcad.files.dxf import CutEntity, CutPath, CutText
from wheelcad.parts.bracket.model import Bend, BracketDesign, Hole
from wheelcad.trade.loop import Loop
from wheelcad.trade.offset import grown
from wheelcad.words import length

MARK_ARM = 2.0  # mm: half the length of a centre mark's lines, where the hole is wide enough to take them off again
MARK_SHARE = 0.3  # of the hole's diameter: at most, so that the drill leaves nothing of the mark
LABEL_HEIGHT = 4.0  # mm
SLIT_CLEAR = 1.0  # mm left between a bend mark and a slit on the same line


def compensated_name(kerf_mm: float) -> str:
    """The name of the cutting file that allows for a kerf."""
    return f"bracket-flat-kerf-{kerf_mm:g}.dxf"


def cut_layers(
    design: BracketDesign, kerf_mm: float = 0.0, at: tuple[float, float] | None = None
) -> dict[str, list[CutEntity]]:
    """Shapes by layer for the cutting file. kerf_mm > 0: outsides grow and holes shrink by half the kerf.

    at: how far the flat is moved on the sheet; left out, as `sheet_place`. Outlines and slots run anticlockwise.
    ValueError when the kerf leaves nothing of a hole.
    """
    half = kerf_mm / 2
    if at is None:
        at = design.sheet_place
    out: dict[str, list[CutEntity]] = {"OUTLINE": [], "HOLES": [], "SLIT": [], "MARK": [], "BEND": [], "TEXT": []}
    for loop in (design.outline, *(gusset.nested for gusset in design.gussets)):
        out["OUTLINE"].append(grown(loop.oriented(), half) if half else loop.oriented())
    for hole in design.holes:
        if hole.drill:
            out["MARK"] += _centre_marks(hole)
        else:
            out["HOLES"].append(_cut_hole(hole, kerf_mm))
    for a, b in design.slits:
        out["SLIT"].append(CutPath(((*a, 0.0), (*b, 0.0))))
    if design.bend_marks:
        for number, bend in enumerate(design.bends, 1):
            out["BEND"] += _bend_line(design, bend)
            out["TEXT"].append(_label(number, bend))
    return {layer: [_moved(shape, at) for shape in shapes] for layer, shapes in out.items() if shapes}


def _moved(shape: CutEntity, at: tuple[float, float]) -> CutEntity:
    if isinstance(shape, Loop):
        return shape.moved(*at)
    if isinstance(shape, CutPath):
        return CutPath(tuple((x + at[0], y + at[1], bulge) for x, y, bulge in shape.vertices))
    return replace(shape, x=shape.x + at[0], y=shape.y + at[1])


def _cut_hole(hole: Hole, kerf_mm: float) -> Loop:
    width = hole.diameter - kerf_mm
    if width <= 0:
        raise ValueError(f"a kerf of {length(kerf_mm)} leaves nothing of {hole.name}")
    return Loop.slot(hole.x0, hole.y0, hole.x1, hole.y1, width)


def _centre_marks(hole: Hole) -> Iterator[CutEntity]:
    """A cross at the hole's centre, or at both ends of a slot that has to be chain-drilled."""
    centres = [(hole.x0, hole.y0)] if hole.round else [(hole.x0, hole.y0), (hole.x1, hole.y1)]
    arm = min(MARK_ARM, MARK_SHARE * hole.diameter)
    for x, y in centres:
        yield CutPath(((x - arm, y, 0.0), (x + arm, y, 0.0)))
        yield CutPath(((x, y - arm, 0.0), (x, y + arm, 0.0)))


def _bend_line(design: BracketDesign, bend: Bend) -> list[CutEntity]:
    """The bend line from edge to edge, left out where it is slit: no line is cut or marked twice."""
    slits = sorted((min(a[1], b[1]), max(a[1], b[1])) for a, b in design.slits if abs(a[0] - bend.line_x) < 1e-6)
    pieces, low = [], bend.y_from
    for start, end in slits:
        pieces.append((low, start - SLIT_CLEAR))
        low = end + SLIT_CLEAR
    pieces.append((low, bend.y_to))
    return [CutPath(((bend.line_x, a, 0.0), (bend.line_x, b, 0.0))) for a, b in pieces if b - a > SLIT_CLEAR]


def _label(number: int, bend: Bend) -> CutText:
    way = "UP" if bend.up else "DOWN"
    words = f"BEND {number} {way} {bend.angle_deg:g} R{bend.inside_radius:g}"
    return CutText(bend.line_x - 1.5 * LABEL_HEIGHT, bend.y_from + 2.0, words, LABEL_HEIGHT, 90.0)
