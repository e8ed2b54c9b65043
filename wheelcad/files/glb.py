"""GLB (binary glTF 2.0): named, coloured triangle meshes in one file that browsers and phones show. Numpy only.

Meshes come in mm in the engine frame (X right, Y up, Z towards the reader), whose axes are glTF's own; glTF is in
metres, so one node above all scales by 0.001. Source: Khronos glTF 2.0 specification, from memory.
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

MAGIC, VERSION = b"glTF", 2
FLOAT = 5126  # component type
ARRAY = 34962  # buffer target
METRES_PER_MM = 0.001
ROUGHNESS, METAL = 0.55, 0.35


@dataclass(frozen=True)
class Mesh:
    """points (n, 3) mm; triangles (m, 3) of indices, anticlockwise from outside; colour red, green, blue, 0 to 1."""

    name: str
    points: NDArray[np.float64]
    triangles: NDArray[np.int64]
    colour: tuple[float, float, float]


def write_glb(path: Path, meshes: Sequence[Mesh]) -> None:
    """Write the meshes; the same meshes give the same bytes.

    Faces are flat-shaded: every triangle has its own corners.
    """
    path.write_bytes(glb_bytes(meshes))


def glb_bytes(meshes: Sequence[Mesh]) -> bytes:
    """The file's bytes. ValueError for a mesh without triangles."""
    binary = bytearray()
    head: dict[str, Any] = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"name": "assembly", "scale": [METRES_PER_MM] * 3, "children": []}],
        "meshes": [],
        "materials": [],
        "accessors": [],
        "bufferViews": [],
    }
    for mesh in meshes:
        if len(mesh.triangles) == 0:
            raise ValueError(f"{mesh.name} has no triangles")
        _add(head, binary, mesh)
    head["buffers"] = [{"byteLength": len(binary)}]
    text = json.dumps(head, separators=(",", ":"), ensure_ascii=False).encode()
    text += b" " * (-len(text) % 4)
    total = 12 + 8 + len(text) + 8 + len(binary)
    return b"".join(
        (
            struct.pack("<4sII", MAGIC, VERSION, total),
            struct.pack("<I4s", len(text), b"JSON"),
            text,
            struct.pack("<I4s", len(binary), b"BIN\0"),
            bytes(binary),
        )
    )


def _add(head: dict[str, Any], binary: bytearray, mesh: Mesh) -> None:
    corners = mesh.points[mesh.triangles].astype("<f4").reshape(-1, 3)
    cross = np.cross(corners[1::3] - corners[::3], corners[2::3] - corners[::3])
    length = np.linalg.norm(cross, axis=1, keepdims=True)
    normals = np.repeat(cross / np.where(length > 0, length, 1.0), 3, axis=0).astype("<f4")
    number = len(head["meshes"])
    places = [_accessor(head, binary, data) for data in (corners, normals)]
    head["accessors"][places[0]] |= {"min": corners.min(axis=0).tolist(), "max": corners.max(axis=0).tolist()}
    head["materials"].append(
        {
            "name": mesh.name,
            "pbrMetallicRoughness": {
                "baseColorFactor": [*mesh.colour, 1.0],
                "metallicFactor": METAL,
                "roughnessFactor": ROUGHNESS,
            },
        }
    )
    attributes = {"POSITION": places[0], "NORMAL": places[1]}
    head["meshes"].append({"name": mesh.name, "primitives": [{"attributes": attributes, "material": number}]})
    head["nodes"][0]["children"].append(len(head["nodes"]))
    head["nodes"].append({"name": mesh.name, "mesh": number})


def _accessor(head: dict[str, Any], binary: bytearray, data: NDArray[np.float32]) -> int:
    raw = data.tobytes()
    view = {"buffer": 0, "byteOffset": len(binary), "byteLength": len(raw), "target": ARRAY}
    head["bufferViews"].append(view)
    binary += raw
    accessor = {"bufferView": len(head["bufferViews"]) - 1, "componentType": FLOAT, "count": len(data), "type": "VEC3"}
    head["accessors"].append(accessor)
    return len(head["accessors"]) - 1


def read_glb(path: Path) -> list[Mesh]:
    """The meshes of a file written here, in mm. ValueError when it is none."""
    data = path.read_bytes()
    if len(data) < 20 or data[:4] != MAGIC or struct.unpack("<I", data[8:12])[0] != len(data):
        raise ValueError(f"{path.name} is no GLB file, or is cut short")
    size = struct.unpack("<I", data[12:16])[0]
    head = json.loads(data[20 : 20 + size])
    binary = data[20 + size + 8 :]
    scale = head["nodes"][0]["scale"][0] / METRES_PER_MM
    out = []
    for mesh in head["meshes"]:
        primitive = mesh["primitives"][0]
        accessor = head["accessors"][primitive["attributes"]["POSITION"]]
        view = head["bufferViews"][accessor["bufferView"]]
        raw = binary[view["byteOffset"] : view["byteOffset"] + view["byteLength"]]
        points = np.frombuffer(raw, "<f4").reshape(-1, 3).astype(float) * scale
        colour = tuple(head["materials"][primitive["material"]]["pbrMetallicRoughness"]["baseColorFactor"][:3])
        out.append(Mesh(mesh["name"], points, np.arange(len(points)).reshape(-1, 3), colour))
    return out
