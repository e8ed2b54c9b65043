"""A level cut of a mesh as an area: for thin walls, strokes and whatever else depends on what lies beside what."""

from __future__ import annotations

import numpy as np
import shapely

from wheelcad.arrays import Floats
from wheelcad.checks.mesh import section_segments

GRID = 1e-5  # mm: ends of cut segments closer than this are the same point


def section_area(triangles: Floats, z: float) -> shapely.Geometry:
    """The metal cut at height z, as polygons with holes (mm)."""
    segments, _ = section_segments(triangles, z)
    ends = np.round(segments / GRID) * GRID
    ends = ends[np.abs(ends[:, 0] - ends[:, 1]).max(axis=1) > GRID / 2]
    return shapely.build_area(shapely.geometrycollections(shapely.linestrings(ends)))


def parts_and_holes(area: shapely.Geometry) -> tuple[int, int]:
    """How many pieces an area has, and how many holes they have together."""
    pieces = [p for p in shapely.get_parts(area) if not p.is_empty]
    return len(pieces), sum(len(p.interiors) for p in pieces)


def narrowest(area: shapely.Geometry, upto: float, step: float = 0.02) -> float:
    """Width (mm) of the narrowest neck or rib in an area: the least thickness to take off all round, on both sides
    together, that parts a piece, joins two holes or loses a piece. At most `upto`; good to `step`.

    A free-standing finger only gets shorter: it is no neck.
    """
    area = area.simplify(step / 2)
    whole = parts_and_holes(area)
    low, high = 0.0, upto
    if parts_and_holes(_worn(area, upto)) == whole:
        return upto
    while high - low > step:
        middle = (low + high) / 2
        if parts_and_holes(_worn(area, middle)) == whole:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _worn(area: shapely.Geometry, width: float) -> shapely.Geometry:
    return area.buffer(-width / 2, quad_segs=4)
