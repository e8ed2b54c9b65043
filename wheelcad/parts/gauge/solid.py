"""The gauge as a solid in the wheel frame, and as the mesh a printer gets."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq

from wheelcad.files.brep import compound, one_solid, prism
from wheelcad.files.stl import read_stl, write_triangles
from wheelcad.files.stl_writer import write_stl
from wheelcad.files.walled import walled_solid
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.printing import opened_holes, write_gauge_3mf
from wheelcad.trade.loop import Loop

CLEAR = 1.0  # mm a cutting body stands out of the faces it goes through


def gauge_solid(design: GaugeDesign) -> cq.Shape:
    """The gauge where it sits on the pulley or the wheel: one solid, or pieces side by side that key together."""
    body: cq.Shape = walled_solid(design.body.walls)
    if design.body.style.skirt is not None:
        body = one_solid(body.fuse(*_skirt_teeth(design, design.body.style.skirt)).clean(), "the gauge")
    low, high = design.z_back - CLEAR, design.body.z_front + CLEAR
    if design.cover.keep is not None:
        body = one_solid(body.intersect(prism(design.cover.keep, [], low, high)), "the gauge")
    if design.body.joints.cuts:
        pieces = body.cut(*(prism(joint, [], low, high) for joint in design.body.joints.cuts)).Solids()
        if len(pieces) != len(design.body.joints.cuts):
            raise ValueError(f"{len(design.body.joints.cuts)} joints cut the gauge into {len(pieces)} pieces")
        return compound(pieces)
    return body


def _skirt_teeth(design: GaugeDesign, outline: Loop) -> list[cq.Solid]:
    """The teeth of a skirt whose shoulder leaves no ring inside the slots' floors."""
    seat = design.seat
    ring = prism(outline, [], seat.z_ring, seat.z)
    rooms = [
        prism(Loop.circle(0, 0, c.radius), [], c.z0 - (CLEAR if c.z0 <= seat.z_ring else 0.0), c.z1)
        for c in seat.cavities
    ]
    return list(ring.cut(*rooms).Solids())


def write_gauge_meshes(folder: Path, solid: cq.Shape, design: GaugeDesign, title: str) -> None:
    """gauge.stl in the wheel frame, its bolt holes nowhere undersize, and gauge.3mf as it prints, from `solid`."""
    write_stl(folder / "gauge.stl", solid)
    write_triangles(folder / "gauge.stl", opened_holes(read_stl(folder / "gauge.stl"), design.holes))
    write_gauge_3mf(folder, design, title)
