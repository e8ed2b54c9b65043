"""GLB (binary glTF 2.0): named, coloured triangle meshes in one file that browsers and phones show.

Meshes come in mm in the engine frame (X right, Y up, Z towards the reader), whose axes are glTF's own; glTF is in
metres, so every node scales by 0.001. Written by trimesh; read back by `glb_reader`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats, Ints

METRES_PER_MM = 0.001
ROUGHNESS, METAL = 0.55, 0.35


@dataclass(frozen=True)
class Mesh:
    """points (n, 3) mm; triangles (m, 3) of indices, anticlockwise from outside; colour red, green, blue, 0 to 1."""

    name: str
    points: Floats
    triangles: Ints
    colour: tuple[float, float, float]


def write_glb(path: Path, meshes: Sequence[Mesh]) -> None:
    """Write the meshes; the same meshes give the same bytes.

    Faces are flat-shaded: every triangle has its own corners.
    """
    path.write_bytes(glb_bytes(meshes))


def glb_bytes(meshes: Sequence[Mesh]) -> bytes:
    """The file's bytes. ValueError for a mesh without triangles."""
    import trimesh
    from trimesh.visual.material import PBRMaterial

    scene = trimesh.Scene(base_frame="assembly")
    scale = np.diag([METRES_PER_MM, METRES_PER_MM, METRES_PER_MM, 1.0])
    for mesh in meshes:
        if len(mesh.triangles) == 0:
            raise ValueError(f"{mesh.name} has no triangles")
        corners = mesh.points[mesh.triangles].reshape(-1, 3)
        shown = trimesh.Trimesh(corners, np.arange(len(corners)).reshape(-1, 3), process=False)
        look = PBRMaterial(mesh.name, baseColorFactor=[*mesh.colour, 1.0], metallicFactor=METAL)
        look.roughnessFactor = ROUGHNESS
        shown.visual = trimesh.visual.TextureVisuals(material=look)
        scene.add_geometry(shown, node_name=mesh.name, geom_name=mesh.name, transform=scale)
    return bytes(scene.export(file_type="glb", include_normals=True))
