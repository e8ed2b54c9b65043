"""Layers, line types and line widths of drawings and cutting files.

One table for both: the drawing's back ends and the cutting files take their layers from here. All layers share one
neutral colour (7: black on white, white on black); what a line means is told by its layer, type and width.
Source: ISO 128-2 (line types 01 continuous, 02 dashed, 04 long-dashed dotted, 05 long-dashed double-dotted; wide to
narrow 2:1; dash lengths in multiples of the width d: long dash 24 d, dash 12 d, gap 3 d, dot 0.5 d), from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

WIDE_MM = 0.5
NARROW_MM = 0.25
FRAME_MM = 0.7  # ISO 5457: the frame of the drawing space
COLOUR = 7

CONTINUOUS = "CONTINUOUS"
DASHED = "DASHED"
CHAIN = "CHAIN"
DOUBLE_CHAIN = "DOUBLE_CHAIN"

DASHES_IN_WIDTHS: dict[str, tuple[float, ...]] = {
    CONTINUOUS: (),
    DASHED: (12, 3),
    CHAIN: (24, 3, 0.5, 3),
    DOUBLE_CHAIN: (24, 3, 0.5, 3, 0.5, 3),
}
DESCRIPTIONS: dict[str, str] = {
    CONTINUOUS: "continuous",
    DASHED: "dashed: hidden edges",
    CHAIN: "long-dashed dotted: centre lines, pitch circles, cutting planes",
    DOUBLE_CHAIN: "long-dashed double-dotted: outlines before forming, neighbouring parts",
}


@dataclass(frozen=True)
class Layer:
    """A layer's line type and width (mm on paper)."""

    name: str
    line: str
    width_mm: float


LAYERS: dict[str, Layer] = {
    layer.name: layer
    for layer in (
        Layer("OUTLINE", CONTINUOUS, WIDE_MM),
        Layer("HOLES", CONTINUOUS, WIDE_MM),
        Layer("SLIT", CONTINUOUS, WIDE_MM),
        Layer("BEND", CONTINUOUS, NARROW_MM),
        Layer("MARK", CONTINUOUS, NARROW_MM),
        Layer("DIM", CONTINUOUS, NARROW_MM),
        Layer("CENTRE", CHAIN, NARROW_MM),
        Layer("HIDDEN", DASHED, NARROW_MM),
        Layer("HATCH", CONTINUOUS, NARROW_MM),
        Layer("FRAME", CONTINUOUS, FRAME_MM),
        Layer("TEXT", CONTINUOUS, NARROW_MM),
    )
}


def dashes_mm(line: str, width_mm: float) -> tuple[float, ...]:
    """Dash and gap lengths in mm on paper, alternating, of a line type at a width; empty for a continuous line."""
    return tuple(n * width_mm for n in DASHES_IN_WIDTHS[line])
