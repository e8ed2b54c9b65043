"""GLB (binary glTF 2.0) read back: the named meshes of a file, where its nodes put them.

Read here, after the specification's chapters 3 and 4.4, and not by trimesh, which takes longer to load than all files
of a job to read; the tests hold each reader against the other. Of the format as much as solid parts need: triangles in
one buffer, nodes placed by matrices. What else a file may hold is refused and not guessed at.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wheelcad.arrays import Floats
from wheelcad.errors import UnreadableError
from wheelcad.files.glb import METRES_PER_MM, Mesh

TRIANGLES = 4  # glTF's number of the kind of primitive
NUMBERS = {5121: "<u1", 5123: "<u2", 5125: "<u4", 5126: "<f4"}  # glTF's component types -> numpy's
WIDTHS = {"SCALAR": 1, "VEC3": 3}
UNKNOWN = frozenset({"translation", "rotation", "scale", "skin"})  # ways to place a node that we never write
Json = dict[str, Any]


def read_glb(path: Path) -> list[Mesh]:
    """The meshes of a file, in mm, in the order of its nodes. UnreadableError when it is none, or holds more."""
    data = path.read_bytes()
    try:
        head, body = _chunks(data)
        scene = head["scenes"][head.get("scene", 0)]
        return [mesh for node in scene["nodes"] for mesh in _under(head, body, node, np.eye(4), 0)]
    except (struct.error, ValueError, LookupError, TypeError, AttributeError, OverflowError, RecursionError) as error:
        raise UnreadableError(f"{path.name} is no GLB file, or is cut short: {error}") from None


def _chunks(data: bytes) -> tuple[Json, bytes]:
    """The file's JSON and its binary chunk."""
    magic, version, length = struct.unpack_from("<4sII", data)
    if (magic, version, length) != (b"glTF", 2, len(data)):
        raise ValueError(f"{length} bytes of version {version} announced, {len(data)} there")
    parts: dict[bytes, bytes] = {}
    at = 12
    while at < length:
        size, kind = struct.unpack_from("<I4s", data, at)
        parts.setdefault(kind, data[at + 8 : at + 8 + size])
        at += 8 + size
    if at != length:
        raise ValueError("its last part goes beyond its end")
    head = json.loads(parts[b"JSON"])
    return head, parts[b"BIN\0"][: head["buffers"][0]["byteLength"]]


def _under(head: Json, body: bytes, number: int, above: Floats, deep: int) -> Iterator[Mesh]:
    """The meshes of a node and of those below it. above: where the node it hangs on stands."""
    node = head["nodes"][number]
    if UNKNOWN & set(node) or deep > len(head["nodes"]):
        raise ValueError(f"node {number} stands as none of ours does")
    place = above @ np.array(node.get("matrix", np.eye(4)), dtype=np.float64).reshape(4, 4).T  # written by columns
    if "mesh" in node:
        mesh = head["meshes"][node["mesh"]]
        for primitive in mesh["primitives"]:
            yield _mesh(head, body, str(node.get("name", mesh.get("name", ""))), primitive, place)
    for child in node.get("children", ()):
        yield from _under(head, body, child, place, deep + 1)


def _mesh(head: Json, body: bytes, name: str, primitive: Json, place: Floats) -> Mesh:
    if primitive.get("mode", TRIANGLES) != TRIANGLES:
        raise ValueError(f"{name} is not made of triangles")
    corners = _array(head, body, primitive["attributes"]["POSITION"], 3).astype(np.float64)
    points = (corners @ place[:3, :3].T + place[:3, 3]) / METRES_PER_MM
    rows = np.arange(len(points))
    if "indices" in primitive:
        rows = _array(head, body, primitive["indices"], 1).ravel().astype(np.int64)
    if len(rows) % 3 or rows.max(initial=-1) >= len(points):
        raise ValueError(f"{name} has triangles without corners")
    colour = head["materials"][primitive["material"]]["pbrMetallicRoughness"]["baseColorFactor"][:3]
    return Mesh(name, points, rows.reshape(-1, 3), (float(colour[0]), float(colour[1]), float(colour[2])))


def _array(head: Json, body: bytes, number: int, width: int) -> NDArray[Any]:
    """An accessor's numbers, (count, width), from the one buffer there is."""
    accessor = head["accessors"][number]
    view, kind = head["bufferViews"][accessor["bufferView"]], np.dtype(NUMBERS[accessor["componentType"]])
    if WIDTHS[accessor["type"]] != width or "sparse" in accessor or view["buffer"] != 0:
        raise ValueError(f"array {number} is packed as none of ours is")
    if view.get("byteStride", width * kind.itemsize) != width * kind.itemsize:
        raise ValueError(f"array {number} is packed as none of ours is")
    start, count = accessor.get("byteOffset", 0), int(accessor["count"])
    if start + count * width * kind.itemsize > view["byteLength"]:
        raise ValueError(f"array {number} is longer than its place")
    return np.frombuffer(body, kind, count * width, view.get("byteOffset", 0) + start).reshape(count, width)


__all__ = ["read_glb"]
