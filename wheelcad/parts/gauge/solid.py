"""The gauge as a solid in the wheel frame."""

from __future__ import annotations

import cadquery as cq

from wheelcad.files.brep import one_solid, prism
from wheelcad.files.walled import walled_solid
from wheelcad.parts.gauge.model import GaugeDesign

CLEAR = 1.0  # mm a cutting body stands out of the faces it goes through


def gauge_solid(design: GaugeDesign) -> cq.Solid:
    """The gauge where it sits on the pulley or the wheel."""
    body = walled_solid(design.walls)
    if design.keep is None:
        return body
    wedge = prism(design.keep, [], design.z_back - CLEAR, design.z_front + CLEAR)
    return one_solid(body.intersect(wedge), "the gauge")
