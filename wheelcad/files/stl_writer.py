"""Binary STL from a solid, through the kernel's own mesher and writer."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
import numpy as np
from OCP.StlAPI import StlAPI_Writer

from wheelcad.files.brep import MESH_ANGLE, MESH_DEFLECTION, KernelError, mesh
from wheelcad.files.stl import read_stl, write_triangles


def write_stl(path: Path, shape: cq.Shape, deflection: float = MESH_DEFLECTION, angle: float = MESH_ANGLE) -> None:
    """Mesh the shape within `deflection` mm (absolute) and `angle` radians; write it in mm. KernelError on failure."""
    mesh(shape, deflection, angle)
    writer = StlAPI_Writer()
    writer.ASCIIMode = False
    if not writer.Write(shape.wrapped, str(path)):
        raise KernelError(f"{path.name} could not be written")
    _without_slivers(path)


def _without_slivers(path: Path) -> None:
    """Drop triangles two of whose corners are one point: the mesher leaves some at the tip of a drill's cone."""
    triangles = read_stl(path)
    same = (triangles == np.roll(triangles, 1, axis=1)).all(axis=2).any(axis=1)
    if same.any():
        write_triangles(path, triangles[~same])
