"""Whether a solid is sound, in a time that grows with its size and no faster.

The kernel's own check compares every edge of a face with every other, which takes seconds for a plate with hundreds of
engraved letters or teeth. Plane faces with many edges are checked as polygons here; all else is left to the kernel.
"""

from __future__ import annotations

from collections.abc import Iterator

import cadquery as cq
import numpy as np
import shapely
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepCheck import BRepCheck_Analyzer, BRepCheck_Shell, BRepCheck_Status
from OCP.BRepTools import BRepTools_WireExplorer
from OCP.GeomAbs import GeomAbs_CurveType
from OCP.TopAbs import TopAbs_Orientation
from OCP.TopoDS import TopoDS, TopoDS_Iterator, TopoDS_Wire

from wheelcad.arrays import Floats

CROWDED = 120  # edges on a face
SAMPLES = 32  # points along a curved edge
FLAT_MM = 1e-5  # how far a plane face's edges may lie off its plane
GOOD = BRepCheck_Status.BRepCheck_NoError


def is_sound(shape: cq.Shape) -> bool:
    """Whether there is nothing wrong with any edge, wire, face and shell of the shape."""
    crowded: list[cq.Shape] = []
    others: list[cq.Shape] = []
    for face in shape.Faces():
        many = sum(wire.NbChildren() for wire in _wires(face)) > CROWDED
        (crowded if many and face.geomType() == "PLANE" else others).append(face)
    if not crowded:
        return bool(shape.isValid())
    return (
        all(_crowded_is_sound(cq.Face(face.wrapped)) for face in crowded)
        and all(_closed(shell) for shell in shape.Shells())
        and bool(BRepCheck_Analyzer(cq.Compound.makeCompound(others).wrapped).IsValid())
    )


def _closed(shell: cq.Shell) -> bool:
    """Whether the faces of a shell leave no edge open and all look the same way."""
    found = BRepCheck_Shell(TopoDS.Shell_s(shell.wrapped))
    return bool(found.Closed() == GOOD and found.Orientation() == GOOD)


def _crowded_is_sound(face: cq.Face) -> bool:
    """Every wire is closed and lies in the plane, crosses neither itself nor another, and the holes lie inside."""
    if not all(BRep_Tool.IsClosed_s(wire) for wire in _wires(face)):
        return False
    axes = BRepAdaptor_Surface(TopoDS.Face_s(face.wrapped)).Plane().Position()
    frame = np.array([[d.X(), d.Y(), d.Z()] for d in (axes.XDirection(), axes.YDirection(), axes.Direction())])
    origin = np.array([axes.Location().X(), axes.Location().Y(), axes.Location().Z()])
    outer = TopoDS.Wire_s(face.outerWire().wrapped)
    rings = [(_points(wire) - origin) @ frame.T for wire in _wires(face)]
    if max(float(np.abs(ring[:, 2]).max()) for ring in rings) > FLAT_MM:
        return False
    edge = next(n for n, wire in enumerate(_wires(face)) if wire.IsSame(outer))
    holes = [ring[:, :2] for n, ring in enumerate(rings) if n != edge]
    return bool(shapely.Polygon(rings[edge][:, :2], holes).is_valid)


def _wires(face: cq.Shape) -> Iterator[TopoDS_Wire]:
    """The wires of a face, as the kernel has them."""
    within = TopoDS_Iterator(face.wrapped)
    while within.More():
        yield TopoDS.Wire_s(within.Value())
        within.Next()


def _points(wire: TopoDS_Wire) -> Floats:
    """Points (n, 3) along a wire, in order: corners, and more where an edge is curved."""
    out: list[tuple[float, float, float]] = []
    explorer = BRepTools_WireExplorer(wire)
    while explorer.More():
        edge = explorer.Current()
        curve = BRepAdaptor_Curve(edge)
        count = 1 if curve.GetType() == GeomAbs_CurveType.GeomAbs_Line else SAMPLES
        at = np.linspace(curve.FirstParameter(), curve.LastParameter(), count + 1)
        if edge.Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
            at = at[::-1]
        points = [curve.Value(float(t)) for t in at[:-1]]
        out += [(p.X(), p.Y(), p.Z()) for p in points]
        explorer.Next()
    return np.array(out)
