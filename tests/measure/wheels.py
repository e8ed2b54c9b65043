"""Wheels for the tests, drawn without a line of the program's own: polygons by shapely, meshes, pictures, voltages.

Angles from +Y, clockwise seen from the front, degrees; lengths mm.
"""

from __future__ import annotations

import math
import struct
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon


def nominal_slots(teeth: int, missing: int) -> np.ndarray:
    """Slot centres from the middle of the gap, in the order of cutting."""
    pitch = 360.0 / teeth
    count = teeth - missing + 1 if missing else teeth
    return missing * pitch / 2 + pitch * np.arange(count)


def wheel_polygon(
    slots: Sequence[float],
    missing: int,
    radius: float = 75.0,
    width: float = 6.0,
    depth: float = 6.35,
    bore: float = 20.0,
    rim_offset: tuple[float, float] = (0.0, 0.0),
    holes: Sequence[tuple[float, float, float]] = (),
    points: int = 1440,
) -> Polygon:
    """The plate: slots with round floors about the origin, gap cleared, bore about the origin, rim about rim_offset."""
    a = np.radians(np.arange(points) * 360 / points)
    disc = Polygon(np.column_stack([radius * np.sin(a) + rim_offset[0], radius * np.cos(a) + rim_offset[1]]))
    floor = radius - depth
    slot = shapely.box(-width / 2, floor + width / 2, width / 2, radius + 8)
    slot = slot.union(Point(0, floor + width / 2).buffer(width / 2, quad_segs=16))
    cuts = [affinity.rotate(slot, -angle, origin=(0, 0)) for angle in slots]
    if missing:
        t = np.radians(np.linspace(slots[-1] - 360, slots[0], 100))
        r = np.concatenate([np.full(100, floor), np.full(100, radius + 8)])
        both = np.concatenate([t, t[::-1]])
        cuts.append(Polygon(np.column_stack([r * np.sin(both), r * np.cos(both)])))
    plate = disc.difference(shapely.unary_union(cuts))
    if bore:
        b = np.radians(np.arange(360))
        plate = plate.difference(Polygon(np.column_stack([bore * np.sin(b), bore * np.cos(b)])))
    for x, y, r in holes:
        plate = plate.difference(Point(x, y).buffer(r, quad_segs=16))
    return plate


def extruded(plate: Polygon, low: float, high: float) -> np.ndarray:
    """(n, 3, 3) a closed mesh of the plate between two heights."""
    flat = []
    for piece in shapely.constrained_delaunay_triangles(plate).geoms:
        corners = np.array(piece.exterior.coords)[:3]
        (ax, ay), (bx, by) = corners[1] - corners[0], corners[2] - corners[0]
        turn = ax * by - ay * bx
        flat.append(corners if turn > 0 else corners[::-1])
    flat = np.array(flat)
    top = np.dstack([flat, np.full(flat.shape[:2], high)])
    bottom = np.dstack([flat, np.full(flat.shape[:2], low)])[:, ::-1]
    walls = []
    plate = shapely.geometry.polygon.orient(plate)
    for ring in [plate.exterior, *plate.interiors]:
        p = np.array(ring.coords)
        a, b = p[:-1], p[1:]
        n = len(a)
        a0, a1 = np.c_[a, np.full(n, low)], np.c_[a, np.full(n, high)]
        b0, b1 = np.c_[b, np.full(n, low)], np.c_[b, np.full(n, high)]
        walls += [np.stack([a0, b0, b1], axis=1), np.stack([a0, b1, a1], axis=1)]
    return np.concatenate([top, bottom, *walls])


def turned(rng: np.random.Generator) -> np.ndarray:
    """A random rotation (3, 3), any pose."""
    q = rng.standard_normal(4)
    w, x, y, z = q / np.linalg.norm(q)
    return np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    )


def write_stl(path: Path, triangles: np.ndarray) -> Path:
    """Binary STL."""
    rows = np.zeros(len(triangles), dtype=[("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")])
    rows["c"] = triangles
    path.write_bytes(b"\0" * 80 + struct.pack("<I", len(triangles)) + rows.tobytes())
    return path


def wrapped(angle: np.ndarray) -> np.ndarray:
    """Into -180 … 180."""
    return (np.asarray(angle) + 180.0) % 360.0 - 180.0


def from_gap(slots: np.ndarray) -> np.ndarray:
    """The same slots counted from midway between the last and the first."""
    middle = (slots[0] + slots[-1] - 360.0) / 2
    return slots - middle


assert math.isclose(float(nominal_slots(36, 1)[0]), 5.0)
