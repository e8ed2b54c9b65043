"""Triangles out of mesh files: STL, PLY, OBJ, 3MF.

Binary STL and binary PLY of triangles are read as whole arrays, since scans have a million triangles and more; all
other kinds go through well-kept libraries. Lengths come out in mm: only 3MF states its unit, the others are taken to
be in mm.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.measure.reading import refused
from wheelcad.units import INCH_MM

Numbers = np.ndarray[tuple[int, ...], np.dtype[np.uint64]]

SUFFIXES = (".stl", ".ply", ".obj", ".3mf")
MOST_BYTES = 2_000_000_000
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
_PLY_TYPES = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1", "short": "i2", "int16": "i2", "ushort": "u2",
    "uint16": "u2", "int": "i4", "int32": "i4", "uint": "u4", "uint32": "u4", "float": "f4", "float32": "f4",
    "double": "f8", "float64": "f8",
}  # fmt: skip
_3MF_UNITS = {
    "MicroMeter": 0.001,
    "MilliMeter": 1.0,
    "CentiMeter": 10.0,
    "Inch": INCH_MM,
    "Foot": 12 * INCH_MM,
    "Meter": 1000.0,
}


def read_triangles(path: Path) -> Floats:
    """(n, 3, 3) corners in mm, single or double precision as the file has them. JobFileError for a file that is no
    mesh."""
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise refused(path, "is larger than 2 GB: thin the mesh out first")
        suffix = path.suffix.lower()
        triangles = None
        if suffix == ".stl":
            triangles = _binary_stl(path, size)
        elif suffix == ".ply":
            triangles = _binary_ply(path)
        elif suffix == ".3mf":
            triangles = _from_3mf(path)
        if triangles is None:
            triangles = _by_library(path)
    except OSError as error:
        raise refused(path, f"cannot be read: {error.strerror or error}") from None
    if triangles.ndim != 3 or not len(triangles):
        raise refused(path, "holds no triangles")
    if not np.isfinite(triangles).all():
        raise refused(path, "holds corners that are no numbers")
    return triangles


def _binary_stl(path: Path, size: int) -> Floats | None:
    """None for an ASCII file."""
    with path.open("rb") as handle:
        head = handle.read(84)
    if len(head) < 84:
        return None
    count = int.from_bytes(head[80:84], "little")
    if 84 + _FACET.itemsize * count != size:
        if head[:5].lower() == b"solid":
            return None
        raise refused(path, "is cut short or no STL: its length does not fit the number of triangles it states")
    return np.ascontiguousarray(np.fromfile(path, dtype=_FACET, count=count, offset=84)["corners"])


def _binary_ply(path: Path) -> Floats | None:
    """None for what is not binary or not of triangles alone."""
    with path.open("rb") as handle:
        head = handle.read(65536)
        found = re.search(rb"end_header\r?\n", head)
        words = head[: found.end()].decode("ascii", "replace").split("\n") if found else []
        order = next((line.split()[1] for line in words if line.startswith("format")), "")
        if not found or order not in ("binary_little_endian", "binary_big_endian"):
            return None
        sign = "<" if order == "binary_little_endian" else ">"
        elements = _ply_elements(words)
        if [name for name, *_ in elements][:2] != ["vertex", "face"]:
            return None
        (_, corners, fields), (_, faces, lists) = elements[:2]
        if any(kind not in _PLY_TYPES for _, kind in fields) or len(lists) != 1 or not lists[0][1].startswith("list"):
            return None
        rows = np.dtype([(name, sign + _PLY_TYPES[kind]) for name, kind in fields])
        _, counted, indexed = lists[0][1].split()
        face = np.dtype([("count", sign + _PLY_TYPES[counted]), ("at", sign + _PLY_TYPES[indexed], 3)])
        handle.seek(found.end())
        data = np.fromfile(handle, dtype=rows, count=corners)
        index = np.fromfile(handle, dtype=face, count=faces)
    if len(data) != corners or not {"x", "y", "z"} <= set(rows.names or ()):
        raise refused(path, "is cut short: it holds fewer corners than it states")
    if len(index) != faces or (index["count"] != 3).any():
        return None
    if len(index) and (int(index["at"].max()) >= corners or int(index["at"].min()) < 0):
        raise refused(path, "names corners that it does not hold")
    points = np.column_stack([data[axis] for axis in "xyz"])
    return np.ascontiguousarray(points[index["at"]])


def _ply_elements(words: list[str]) -> list[tuple[str, int, list[tuple[str, str]]]]:
    out: list[tuple[str, int, list[tuple[str, str]]]] = []
    for line in words:
        parts = line.split()
        if parts[:1] == ["element"] and len(parts) == 3 and parts[2].isdigit():
            out.append((parts[1], int(parts[2]), []))
        elif parts[:1] == ["property"] and out:
            out[-1][2].append((parts[-1], " ".join(parts[1:-1])))
    return out


def _from_3mf(path: Path) -> Floats:
    from wheelcad.files.threemf import read_3mf

    try:
        unit, bodies = read_3mf(path)
    except ValueError as error:
        raise refused(path, f"cannot be read: {error}") from None
    if not bodies:
        raise refused(path, "holds no body")
    return np.concatenate([body.triangles for body in bodies]) * _3MF_UNITS.get(unit, 1.0)


def _by_library(path: Path) -> Floats:
    import trimesh

    try:
        mesh = trimesh.load(str(path), process=False, force="mesh")
        return np.ascontiguousarray(mesh.triangles, dtype=float)
    except Exception as error:  # the library's readers raise whatever they trip over
        raise refused(path, f"is no {path.suffix[1:].upper()} that can be read ({type(error).__name__})") from None


def open_share(triangles: Floats) -> float:
    """How open a mesh is: 0 when every edge meets its opposite; else the share of edges or of surface that do not.

    Each edge from a to b adds h(a)·g(b) - h(b)·g(a), h and g scrambled from the corners' bits, in whole numbers that
    wrap: an edge and its opposite cancel exactly, an edge alone does not but by a chance of one in 2^64. Only where
    they do not cancel are the lone edges counted, and the areas added, which as vectors give nothing over a closed
    surface.
    """
    h, g = _scrambled(triangles)
    with np.errstate(over="ignore"):
        edges = np.concatenate([h[:, a] * g[:, b] - h[:, b] * g[:, a] for a, b in ((0, 1), (1, 2), (2, 0))])
        if edges.sum(dtype=np.uint64) == 0:
            return 0.0
        opposite = np.uint64(0) - edges
    lone = float(np.isin(edges, opposite, invert=True).mean())
    t = triangles.astype(float)
    areas = np.cross(t[:, 1] - t[:, 0], t[:, 2] - t[:, 0])
    whole = float(np.linalg.norm(areas, axis=1).sum())
    missing = float(np.linalg.norm(areas.sum(axis=0))) / whole if whole > 0 else 1.0
    return max(lone, missing)


def _scrambled(triangles: Floats) -> tuple[Numbers, Numbers]:
    """(n, 3) two numbers of each corner, the same for corners that are equal in single precision."""
    bits = np.ascontiguousarray(triangles.astype(np.float32) + np.float32(0.0)).view(np.uint32).astype(np.uint64)
    with np.errstate(over="ignore"):
        x, y, z = bits[..., 0], bits[..., 1], bits[..., 2]
        h = x * np.uint64(0x9E3779B97F4A7C15) + y * np.uint64(0xC2B2AE3D27D4EB4F) + z * np.uint64(0x165667B19E3779F9)
        h ^= h >> np.uint64(29)
        h *= np.uint64(0xBF58476D1CE4E5B9)
        h ^= h >> np.uint64(32)
        g = h * np.uint64(0x94D049BB133111EB)
        g ^= g >> np.uint64(31)
    return h, g
