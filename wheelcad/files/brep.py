"""From flat loops to solids, and what the kernel says of them. The only place that talks to OCP's modelling calls.

Wires are made of exact lines and circular arcs with shared vertices, so that a wheel's outline is assembled and
extruded once instead of being cut slot by slot. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import cadquery as cq
from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeVertex,
    BRepBuilderAPI_MakeWire,
)
from OCP.BRepGProp import BRepGProp
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism, BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax1, gp_Ax2, gp_Circ, gp_Dir, gp_Pnt, gp_Vec
from OCP.GProp import GProp_GProps
from OCP.IMeshTools import IMeshTools_MeshAlgoType, IMeshTools_Parameters
from OCP.TopoDS import TopoDS, TopoDS_Compound

from wheelcad.files.figures import BodyFigures, FaceFigure
from wheelcad.files.soundness import is_sound
from wheelcad.trade.loop import Edge, Loop

MESH_DEFLECTION = 0.005  # mm: how far a mesh may lie from the true surface; the checkers' limits follow from it
MESH_ANGLE = 0.5  # radians between neighbouring facets


class KernelError(RuntimeError):
    """The kernel did not make what it was asked for."""


def _edge(e: Edge, a: object, b: object, z: float) -> object:
    if e.is_line:
        return BRepBuilderAPI_MakeEdge(a, b).Edge()
    cx, cy = e.centre
    circle = gp_Circ(gp_Ax2(gp_Pnt(cx, cy, z), gp_Dir(0, 0, 1 if e.bulge > 0 else -1)), e.radius)
    return BRepBuilderAPI_MakeEdge(circle, a, b).Edge()


def wire(loop: Loop, z: float = 0.0) -> object:
    """The loop as a closed wire at height z. KernelError when it does not close."""
    corners = [BRepBuilderAPI_MakeVertex(gp_Pnt(x, y, z)).Vertex() for x, y, _ in loop.vertices.tolist()]
    maker = BRepBuilderAPI_MakeWire()
    for i, edge in enumerate(loop.edges()):
        maker.Add(_edge(edge, corners[i], corners[(i + 1) % len(corners)], z))
    if not maker.IsDone() or not maker.Wire().Closed():
        raise KernelError("an outline does not close")
    return maker.Wire()


def face(outer: Loop, holes: Iterable[Loop] = (), z: float = 0.0) -> object:
    """A plane face at height z with holes; loops may run either way."""
    maker = BRepBuilderAPI_MakeFace(wire(outer.oriented(), z), True)
    for hole in holes:
        maker.Add(wire(hole.oriented(False), z))
    if not maker.IsDone():
        raise KernelError("an outline encloses no face")
    return maker.Face()


def prism(outer: Loop, holes: Iterable[Loop], z0: float, z1: float) -> cq.Solid:
    """The face of `outer` less `holes`, extruded from z0 to z1."""
    maker = BRepPrimAPI_MakePrism(face(outer, holes, z0), gp_Vec(0, 0, z1 - z0))
    return cq.Solid(TopoDS.Solid_s(maker.Shape()))


def revolved(section: Loop) -> cq.Solid:
    """A half section (x is r, y is z, r ≥ 0) turned once round the crank axis."""
    flat = cq.Face(face(section))
    upright = flat.rotate(cq.Vector(0, 0, 0), cq.Vector(1, 0, 0), 90)
    maker = BRepPrimAPI_MakeRevol(upright.wrapped, gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1)))
    return cq.Solid(TopoDS.Solid_s(maker.Shape()))


def drill(x: float, y: float, z_start: float, z_end: float, diameter: float, point_deg: float | None) -> cq.Solid:
    """The metal a drill takes along Z from z_start to z_end (either may be the higher), its point going beyond."""
    r = diameter / 2
    tip = z_end
    if point_deg is not None:
        tip += math.copysign(r / math.tan(math.radians(point_deg / 2)), z_end - z_start)
    section = Loop.polygon([(0.0, z_start), (0.0, tip), (r, z_end), (r, z_start)])
    return revolved(section.oriented()).moved(cq.Location(cq.Vector(x, y, 0)))


def one_solid(shape: cq.Shape, what: str) -> cq.Solid:
    """The single solid in `shape`. KernelError when there are more or none."""
    solids = shape.Solids()
    if len(solids) != 1:
        raise KernelError(f"{what} came out as {len(solids)} bodies instead of one")
    return solids[0]


def fused(parts: Sequence[cq.Solid], what: str) -> cq.Solid:
    """The parts as one solid without seams."""
    if len(parts) == 1:
        return parts[0]
    return one_solid(parts[0].fuse(*parts[1:]).clean(), what)


def cut(body: cq.Solid, tools: Sequence[cq.Solid], what: str) -> cq.Solid:
    """The body less all tools, in one operation."""
    return body if not tools else one_solid(body.cut(*tools), what)


def compound(shapes: Sequence[cq.Shape]) -> cq.Compound:
    """Shapes side by side, untouched."""
    builder, out = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(out)
    for shape in shapes:
        builder.Add(out, shape.wrapped)
    return cq.Compound(out)


def figures(shape: cq.Shape) -> BodyFigures:
    """Volume, centre and polar moment from the kernel's exact integration."""
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape.wrapped, props)
    c = props.CentreOfMass()
    axis = gp_Ax1(gp_Pnt(0, 0, 0), gp_Dir(0, 0, 1))
    return BodyFigures(
        props.Mass(), (c.X(), c.Y(), c.Z()), props.MomentOfInertia(axis), is_sound(shape), len(shape.Solids())
    )


def mesh(shape: cq.Shape, deflection: float = MESH_DEFLECTION, angle: float = MESH_ANGLE) -> None:
    """Give the shape a triangulation within `deflection` mm, absolute. Delabella is many times faster than the default
    on the wide flat faces of a wheel with hundreds of corners."""
    wanted = IMeshTools_Parameters()
    wanted.Deflection, wanted.Angle, wanted.Relative = deflection, angle, False
    wanted.MeshAlgo = IMeshTools_MeshAlgoType.IMeshTools_MeshAlgoType_Delabella
    if not BRepMesh_IncrementalMesh(shape.wrapped, wanted).IsDone():
        raise KernelError("a body could not be meshed")


def face_figures(shape: cq.Shape) -> tuple[FaceFigure, ...]:
    """Every face of the shape's solids as plain numbers, solid by solid."""
    out = []
    for number, solid in enumerate(shape.Solids()):
        for face in solid.Faces():
            out.append(_face_figure(face, number))
    return tuple(out)


def _face_figure(face: cq.Face, solid: int) -> FaceFigure:
    kind = {"PLANE": "plane", "CYLINDER": "cylinder"}.get(face.geomType(), "other")
    centre = face.Center()
    direction, point, radius = (0.0, 0.0, 0.0), (centre.x, centre.y, centre.z), 0.0
    if kind == "plane":
        normal = face.normalAt()
        direction = (normal.x, normal.y, normal.z)
    elif kind == "cylinder":
        cylinder = BRepAdaptor_Surface(face.wrapped).Cylinder()
        axis, place = cylinder.Axis().Direction(), cylinder.Axis().Location()
        way = (axis.X(), axis.Y(), axis.Z())
        sign = math.copysign(1.0, next(v for v in way if abs(v) > 0.5))
        direction = (sign * way[0], sign * way[1], sign * way[2])
        point, radius = (place.X(), place.Y(), place.Z()), cylinder.Radius()
    return FaceFigure(kind, direction, point, radius, face.Area(), solid)


def common_volume(a: cq.Shape, b: cq.Shape) -> float:
    """Volume, mm³, that two bodies share; 0 at once when their boxes stand apart."""
    p, q = a.BoundingBox(), b.BoundingBox()
    if p.xmin > q.xmax or q.xmin > p.xmax or p.ymin > q.ymax or q.ymin > p.ymax or p.zmin > q.zmax or q.zmin > p.zmax:
        return 0.0
    return float(a.intersect(b).Volume())


def distance(a: cq.Shape, b: cq.Shape) -> float:
    """Least distance between two bodies, mm; 0 where they touch or overlap."""
    return float(a.distance(b))


def turned(shape: cq.Shape, degrees: float) -> cq.Shape:
    """The body turned about the crank axis, anticlockwise seen from the front."""
    return shape.rotate(cq.Vector(0, 0, 0), cq.Vector(0, 0, 1), degrees)
