"""The adapter as a solid."""

from __future__ import annotations

import cadquery as cq

from wheelcad.files.brep import cut, prism, revolved
from wheelcad.parts.adapter.design import AdapterDesign

CLEAR = 1.0  # mm a cutting body stands out of the faces it goes through


def adapter_solid(design: AdapterDesign) -> cq.Solid:
    """The adapter in the wheel frame."""
    back, front = design.lands[-1].z_back - CLEAR, design.lands[0].z_front + CLEAR
    holes = [prism(bolt.loop, [], back, front) for bolt in design.bolts]
    return cut(revolved(design.section), holes, "the adapter")
