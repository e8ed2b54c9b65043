"""Gives a turned body another rim: its outermost land takes any flat outline, without a boolean operation.

The body's faces are kept but for three: the land's cylinder and the two plane faces that end it. The outline's walls
take the cylinder's place, and two new plane faces join them to the edges that the old ones had inside. So the time
grows with the outline's corners and no faster, and what the body has of bores, shoulders and holes stays as it is.
"""

from __future__ import annotations

import cadquery as cq
from OCP.BRep import BRep_Builder
from OCP.TopAbs import TopAbs_Orientation
from OCP.TopoDS import TopoDS_Shell, TopoDS_Solid

from wheelcad.files.brep import KernelError, prism
from wheelcad.trade.loop import Loop
from wheelcad.trade.nearness import SAME_MM

FORWARD = TopAbs_Orientation.TopAbs_FORWARD


def with_rim(body: cq.Solid, radius: float, z0: float, z1: float, outline: Loop) -> cq.Solid:
    """The body with the cylinder of `radius` (mm) between z0 and z1 replaced by the walls of `outline`.

    The cylinder must stand alone about the Z axis, and everything else at those heights lie inside the outline without
    touching it. KernelError when there is no such cylinder.
    """
    walls: list[cq.Face] = []
    ends: dict[float, cq.Face] = {}
    for part in prism(outline, [], z0, z1).Faces():
        height = _height(part)
        if height is None:
            walls.append(part)
        else:
            ends[z0 if abs(height - z0) < SAME_MM else z1] = part
    kept, caps, rims = [], {}, 0
    for old in body.Faces():
        at = next((z for z in (z0, z1) if _bounded_by(old, radius, z)), None)
        if at is not None:
            caps[at] = _cap(ends[at], old, radius)
        elif _is_rim(old, radius, z0, z1):
            rims += 1
        else:
            kept.append(old)
    if rims < 1 or len(caps) != 2:
        raise KernelError(f"no rim of radius {radius:g} mm stands alone on this body")
    builder, shell, solid = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
    builder.MakeShell(shell)
    for part in (*kept, *walls, *caps.values()):
        builder.Add(shell, part.wrapped)
    shell.Closed(True)
    builder.MakeSolid(solid)
    builder.Add(solid, shell)
    return cq.Solid(solid)


def _height(flat: cq.Face) -> float | None:
    """z of a plane face square to the Z axis, None for any other face."""
    if flat.geomType() != "PLANE" or abs(abs(flat.normalAt().z) - 1) > SAME_MM:
        return None
    return float(flat.Center().z)


def _is_rim(face_: cq.Face, radius: float, z0: float, z1: float) -> bool:
    """Whether a face is (part of) the rim's cylinder."""
    if face_.geomType() != "CYLINDER":
        return False
    circles = [edge for edge in face_.Edges() if edge.geomType() == "CIRCLE"]
    within = all(z0 - SAME_MM < edge.arcCenter().z < z1 + SAME_MM for edge in circles)
    return bool(circles) and within and all(_rim_edge(edge, radius) for edge in circles)


def _bounded_by(face_: cq.Face, radius: float, z: float) -> bool:
    """Whether a face is the plane one at height z that the rim's circle bounds outside."""
    height = _height(face_)
    if height is None or abs(height - z) >= SAME_MM:
        return False
    return any(_rim_edge(edge, radius) for edge in face_.outerWire().Edges())


def _rim_edge(edge: cq.Edge, radius: float) -> bool:
    if edge.geomType() != "CIRCLE" or abs(edge.radius() - radius) >= SAME_MM:
        return False
    centre = edge.arcCenter()
    return bool(abs(centre.x) < SAME_MM and abs(centre.y) < SAME_MM)


def _cap(end: cq.Face, old: cq.Face, radius: float) -> cq.Face:
    """The outline's end face with the inner wires of the face it replaces.

    Both look the same way out of the body, so that a wire keeps its sense but for the two faces' own.
    """
    builder, made = BRep_Builder(), end.wrapped.EmptyCopied()
    way, way_old = end.wrapped.Orientation(), old.wrapped.Orientation()
    made.Orientation(FORWARD)
    for wire in cq.Face(end.wrapped.Oriented(FORWARD)).Wires():
        builder.Add(made, wire.wrapped)
    for wire in cq.Face(old.wrapped.Oriented(FORWARD)).Wires():
        if not any(_rim_edge(edge, radius) for edge in wire.Edges()):
            builder.Add(made, wire.wrapped if way == way_old else wire.wrapped.Reversed())
    made.Orientation(way)
    return cq.Face(made)
