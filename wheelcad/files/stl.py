"""Binary STL as numbers: read without the kernel, and written from triangles."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import UnreadableError

_FACET = np.dtype([("normal", "<f4", 3), ("points", "<f4", (3, 3)), ("attribute", "<u2")])


def read_stl(path: Path) -> Floats:
    """The triangles of a binary STL, (n, 3, 3) in mm. ValueError when its length does not fit its count."""
    data = path.read_bytes()
    if len(data) < 84:
        raise UnreadableError(f"{path.name} is too short for a binary STL")
    count = int.from_bytes(data[80:84], "little")
    if len(data) != 84 + 50 * count:
        raise UnreadableError(f"{path.name} holds {len(data)} bytes, but {84 + 50 * count} were announced")
    return np.frombuffer(data, dtype=_FACET, count=count, offset=84)["points"].astype(np.float64)


def write_triangles(path: Path, triangles: Floats) -> None:
    """Write triangles (n, 3, 3), mm, as binary STL with normals from their corners."""
    facets = np.zeros(len(triangles), dtype=_FACET)
    cross = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    length = np.linalg.norm(cross, axis=1, keepdims=True)
    facets["normal"] = cross / np.where(length > 0, length, 1.0)
    facets["points"] = triangles
    path.write_bytes(b"wheelcad, millimetres".ljust(80) + len(triangles).to_bytes(4, "little") + facets.tobytes())
