"""GLB (binary glTF 2.0): named, coloured triangle meshes in one file that browsers and phones show.

Meshes come in mm in the engine frame (X right, Y up, Z towards the reader), whose axes are glTF's own; glTF is in
metres, so every node scales by 0.001. Written here after the specification, for trimesh takes longer to load than all
parts to make; read back by `glb_reader`; the tests hold each against trimesh.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wheelcad.arrays import Floats, Ints

METRES_PER_MM = 0.001
ROUGHNESS, METAL = 0.55, 0.35
FLOAT, ARRAY_BUFFER = 5126, 34962  # glTF 2.0's numbers for single precision and for what holds corners


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
    """The file's bytes (glTF 2.0, section 4.4). ValueError for a mesh without triangles.

    Plain arrays without indices: no corner is shared where every face is flat.
    """
    arrays: list[NDArray[np.float32]] = []
    for mesh in meshes:
        if len(mesh.triangles) == 0:
            raise ValueError(f"{mesh.name} has no triangles")
        corners = mesh.points[mesh.triangles]
        arrays += [corners.reshape(-1, 3).astype("<f4"), _normals(corners).astype("<f4")]
    head = json.dumps(_head(meshes, arrays), separators=(",", ":"), ensure_ascii=False).encode()
    head += b" " * (-len(head) % 4)
    body = b"".join(array.tobytes() for array in arrays)
    chunks = b"".join(struct.pack("<I4s", len(data), kind) + data for data, kind in ((head, b"JSON"), (body, b"BIN\0")))
    return struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks


def _normals(corners: NDArray[np.float64]) -> NDArray[np.float64]:
    """Outward unit normals of triangles (n, 3, 3), one a corner, (3n, 3); of one without area along z."""
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    long = np.linalg.norm(across, axis=1, keepdims=True)
    unit = np.where(long > 0, across / np.where(long > 0, long, 1.0), (0.0, 0.0, 1.0))
    return np.repeat(unit, 3, axis=0)


def _head(meshes: Sequence[Mesh], arrays: Sequence[NDArray[np.float32]]) -> dict[str, Any]:
    """The file's JSON. arrays: corners and normals of each mesh in turn, as they stand in the binary chunk."""
    starts = np.cumsum([0, *(array.nbytes for array in arrays)]).tolist()
    scale = np.diag([METRES_PER_MM, METRES_PER_MM, METRES_PER_MM, 1.0]).ravel().tolist()
    return {
        "asset": {"version": "2.0", "generator": "wheelcad"},
        "scene": 0,
        "scenes": [{"name": "assembly", "nodes": list(range(len(meshes)))}],
        "nodes": [{"name": mesh.name, "mesh": k, "matrix": scale} for k, mesh in enumerate(meshes)],
        "meshes": [
            {
                "name": mesh.name,
                "primitives": [{"attributes": {"POSITION": 2 * k, "NORMAL": 2 * k + 1}, "material": k}],
            }
            for k, mesh in enumerate(meshes)
        ],
        "materials": [
            {
                "name": mesh.name,
                "pbrMetallicRoughness": {
                    "baseColorFactor": [*mesh.colour, 1.0],
                    "metallicFactor": METAL,
                    "roughnessFactor": ROUGHNESS,
                },
            }
            for mesh in meshes
        ],
        "accessors": [
            {
                "bufferView": k,
                "componentType": FLOAT,
                "count": len(array),
                "type": "VEC3",
                "min": array.min(axis=0).tolist(),
                "max": array.max(axis=0).tolist(),
            }
            for k, array in enumerate(arrays)
        ],
        "bufferViews": [
            {"buffer": 0, "byteOffset": start, "byteLength": array.nbytes, "target": ARRAY_BUFFER}
            for start, array in zip(starts, arrays, strict=False)
        ],
        "buffers": [{"byteLength": starts[-1]}],
    }
