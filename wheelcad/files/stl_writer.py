"""Binary STL from a solid, through the kernel's own mesher and writer."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
import numpy as np
from OCP.BRepTools import BRepTools
from OCP.StlAPI import StlAPI_Writer

from wheelcad.arrays import Floats
from wheelcad.files.brep import MESH_ANGLE, MESH_DEFLECTION, KernelError, mesh
from wheelcad.files.folder import scratch
from wheelcad.files.stl import read_stl, write_triangles


def write_stl(path: Path, shape: cq.Shape, deflection: float = MESH_DEFLECTION, angle: float = MESH_ANGLE) -> None:
    """Mesh the shape within `deflection` mm (absolute) and `angle` radians; write it in mm. KernelError on failure."""
    mesh(shape, deflection, angle)
    _write(path, shape)
    _without_slivers(path)


def _write(path: Path, shape: cq.Shape) -> None:
    writer = StlAPI_Writer()
    writer.ASCIIMode = False
    if not writer.Write(shape.wrapped, str(path)):
        raise KernelError(f"{path.name} could not be written")


def triangles_of(shape: cq.Shape, deflection: float, angle: float) -> Floats:
    """The shape meshed anew within `deflection` mm and `angle` radians, as triangles (n, 3, 3), mm.

    By way of a file: point by point out of the kernel takes fifty times as long.
    """
    BRepTools.Clean_s(shape.wrapped)  # a finer mesh that is there already would be kept
    mesh(shape, deflection, angle)
    with scratch() as place:
        path = place / "shape.stl"
        _write(path, shape)
        return read_stl(path)


def _without_slivers(path: Path) -> None:
    """Drop triangles two of whose corners are one point: the mesher leaves some at the tip of a drill's cone."""
    triangles = read_stl(path)
    same = (triangles == np.roll(triangles, 1, axis=1)).all(axis=2).any(axis=1)
    if same.any():
        write_triangles(path, triangles[~same])
