"""Walled bodies (see trade.wall) as kernel solids: walls extruded, floors laid on their own edges, no boolean anywhere.

Every edge is shared by exactly two faces from the start, so a plate with hundreds of engraved letters takes a fraction
of a second where cutting them one by one takes minutes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cadquery as cq
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeVertex,
    BRepBuilderAPI_MakeWire,
)
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.gp import gp_Dir, gp_Pln, gp_Pnt, gp_Vec
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Shell, TopoDS_Solid

from wheelcad.files.brep import KernelError, wire
from wheelcad.trade.wall import Wall, floors_of, turns_inwards


def walled_solid(walls: Sequence[Wall]) -> cq.Solid:
    """The body of these walls. ValueError when they do not close one; KernelError when the kernel refuses."""
    builder, shell = BRep_Builder(), TopoDS_Shell()
    builder.MakeShell(shell)
    feet, heads = [], []
    for wall, inwards in zip(walls, turns_inwards(walls), strict=True):
        faces, foot, head = _leaning(wall) if wall.top is not None else _upright(wall)
        for face in faces:
            builder.Add(shell, face.Reversed() if inwards else face)
        feet.append(foot)
        heads.append(head)
    for floor in floors_of(walls):
        plane = gp_Pln(gp_Pnt(0, 0, floor.z), gp_Dir(0, 0, 1))
        rims = [feet[i] if abs(walls[i].z0 - floor.z) < 1e-9 else heads[i] for i in (floor.outer, *floor.inner)]
        maker = BRepBuilderAPI_MakeFace(plane, rims[0], True)
        for rim in rims[1:]:
            maker.Add(TopoDS.Wire_s(rim.Reversed()))
        if not maker.IsDone():
            raise KernelError("walls enclose no floor")
        face = maker.Face()
        builder.Add(shell, face if floor.up else face.Reversed())
    shell.Closed(True)
    solid = TopoDS_Solid()
    builder.MakeSolid(solid)
    builder.Add(solid, shell)
    return cq.Solid(solid)


def _upright(wall: Wall) -> tuple[list[Any], Any, Any]:
    """Side faces looking outwards, foot wire and head wire, both anticlockwise."""
    maker = BRepPrimAPI_MakePrism(wire(wall.loop.oriented(), wall.z0), gp_Vec(0, 0, wall.z1 - wall.z0))
    faces = []
    explorer = TopExp_Explorer(maker.Shape(), TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        faces.append(explorer.Current().Reversed())  # a prism of an anticlockwise wire looks inwards
        explorer.Next()
    return faces, TopoDS.Wire_s(maker.FirstShape()), TopoDS.Wire_s(maker.LastShape())


def _leaning(wall: Wall) -> tuple[list[Any], Any, Any]:
    """As _upright, for straight edges whose faces lean."""
    low, high = wall.loop.oriented().vertices, wall.upper.oriented().vertices
    n = len(low)
    if len(high) != n:
        raise ValueError("a leaning wall needs as many corners at its head as at its foot")
    v0 = [BRepBuilderAPI_MakeVertex(gp_Pnt(x, y, wall.z0)).Vertex() for x, y, _ in low.tolist()]
    v1 = [BRepBuilderAPI_MakeVertex(gp_Pnt(x, y, wall.z1)).Vertex() for x, y, _ in high.tolist()]
    e0 = [BRepBuilderAPI_MakeEdge(v0[i], v0[(i + 1) % n]).Edge() for i in range(n)]
    e1 = [BRepBuilderAPI_MakeEdge(v1[i], v1[(i + 1) % n]).Edge() for i in range(n)]
    up = [BRepBuilderAPI_MakeEdge(v0[i], v1[i]).Edge() for i in range(n)]
    faces = []
    for i in range(n):
        ring = BRepBuilderAPI_MakeWire(
            e0[i], up[(i + 1) % n], TopoDS.Edge_s(e1[i].Reversed()), TopoDS.Edge_s(up[i].Reversed())
        )
        maker = BRepBuilderAPI_MakeFace(ring.Wire(), True)
        if not maker.IsDone():
            raise KernelError("a leaning wall is not flat")
        faces.append(maker.Face())
    return faces, _ring(e0), _ring(e1)


def _ring(edges: Sequence[Any]) -> Any:
    maker = BRepBuilderAPI_MakeWire()
    for edge in edges:
        maker.Add(edge)
    return maker.Wire()
