"""Binary STL from a solid, through the kernel's own mesher and writer."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
from OCP.StlAPI import StlAPI_Writer

from wheelcad.files.brep import MESH_ANGLE, MESH_DEFLECTION, KernelError, mesh


def write_stl(path: Path, shape: cq.Shape, deflection: float = MESH_DEFLECTION, angle: float = MESH_ANGLE) -> None:
    """Mesh the shape within `deflection` mm (absolute) and `angle` radians; write it in mm. KernelError on failure."""
    mesh(shape, deflection, angle)
    writer = StlAPI_Writer()
    writer.ASCIIMode = False
    if not writer.Write(shape.wrapped, str(path)):
        raise KernelError(f"{path.name} could not be written")
