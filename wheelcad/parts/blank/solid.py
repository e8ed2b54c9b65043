"""The turned blank as a solid: its half section turned round, less keyway and bolt holes."""

from __future__ import annotations

from collections.abc import Sequence

import cadquery as cq

from wheelcad.files.brep import cut, prism, revolved
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.common.openings import Opening
from wheelcad.trade.loop import Loop

CLEAR = 1.0  # mm a cutting body stands out of the faces it goes through


def blank_solid(design: BlankDesign) -> cq.Solid:
    """The blank in the wheel frame."""
    return holed(revolved(design.section), design)


def holed(body: cq.Solid, design: BlankDesign) -> cq.Solid:
    """The body less the blank's keyway and bolt holes, all of which go right through."""
    openings: Sequence[Opening] = design.bolts
    if design.bore is not None and design.bore.round is None:
        openings = [design.bore, *openings]
    return cut(body, [_through(opening.loop, design) for opening in openings], "the blank")


def _through(loop: Loop, design: BlankDesign) -> cq.Solid:
    return prism(loop, [], design.z_back - CLEAR, design.z_front + CLEAR)
