"""Datum triangles (ISO 5459), and those of axes that sit in line with a dimension (of a bore, say)."""

from __future__ import annotations

from collections.abc import Iterator

from wheelcad.drawing import symbols
from wheelcad.drawing.ink import Group, Stroke, box_of
from wheelcad.drawing.symbols import XY

LONGEST = 88  # mm, of stems tried where a datum is led away from a dimension that stands


def datum_sign(tip: XY, out: float, letter: str, stem: int, view: str) -> Group:
    """The triangle with its base at a tip (paper mm), pointing `out` degrees, and its letter `stem` mm further on."""
    ink = symbols.datum_triangle(tip, out, letter, float(stem))
    keep = (box_of(i for i in ink if isinstance(i, Stroke) and i.closed),)
    return Group(letter, "pointer", ink, view=view, keep=keep)


def datum_on(
    dimension: Group, letter: str, view: str, longest: int = LONGEST, ends: tuple[int, ...] = (1, -1)
) -> Iterator[Group]:
    """Triangles in line with a linear dimension, at the ends of what it measures, the shortest stems first.

    longest: mm, of stems tried. ends: 1 for the upper or right one, -1 for the other.
    """
    tips = _tips(dimension)
    for stem in range(2, longest + 1, 2):
        for end in ends:
            tip, out = tips[end]
            yield datum_sign(tip, out, letter, stem, view)


def _tips(dimension: Group) -> dict[int, tuple[XY, float]]:
    """Either end of a linear dimension's line, with the direction away from the feature, degrees."""
    if dimension.measure is None:
        raise ValueError("only a dimension has ends")
    first, second, on_line = dimension.measure.points
    if dimension.measure.angle == 90.0:
        return {1: ((on_line[0], second[1]), 90.0), -1: ((on_line[0], first[1]), -90.0)}
    return {1: ((second[0], on_line[1]), 0.0), -1: ((first[0], on_line[1]), 180.0)}
