"""Circles through points that do not all belong to them. Lengths in mm, points (n, 2)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Bools, Floats
from wheelcad.checks.mesh import fitted_circle

ENOUGH = 20_000  # points of a circle: more make it no better
FEW = 2000  # points, up to which a hull is found in no time


@dataclass(frozen=True, eq=False)
class FittedRound:
    """A circle: centre x, y, radius; rest: (k,) distances of its points from it, outwards positive; used: (n,) which,
    where there are very many every second, third …"""

    x: float
    y: float
    radius: float
    rest: Floats
    used: Bools

    @property
    def centre(self) -> Floats:
        """(2,) mm."""
        return np.array([self.x, self.y])


def circle_through(
    points: Floats, start: tuple[float, float, float], reach: float, least_reach: float
) -> FittedRound | None:
    """The circle near `start` (x, y, radius) through the points within `reach` of it, narrowed down to least_reach.

    None when fewer than 12 points remain. Fitted to centred points, so that far-off coordinates cost no digits.
    """
    x, y, r = start
    near = np.flatnonzero(np.abs(np.hypot(points[:, 0] - x, points[:, 1] - y) - r) <= 2 * reach)
    if len(near) < 12:
        return None
    near = near[:: max(1, len(near) // ENOUGH)]
    every, points = points, points[near]
    origin = points.mean(axis=0)
    for _ in range(12):
        off = np.hypot(points[:, 0] - x, points[:, 1] - y) - r
        used = np.abs(off) <= reach
        if used.sum() < 12:
            return None
        x, y, r = fitted_circle(points[used] - origin)
        x, y = x + origin[0], y + origin[1]
        off = np.hypot(points[used, 0] - x, points[used, 1] - y) - r
        narrower = max(4 * 1.4826 * float(np.median(np.abs(off))), least_reach)
        if narrower >= reach * 0.999:
            break
        reach = max(narrower, reach / 3)
    off = np.hypot(points[:, 0] - x, points[:, 1] - y) - r
    inside = np.abs(off) <= reach
    used = np.zeros(len(every), dtype=bool)
    used[near[inside]] = True
    return FittedRound(x, y, r, off[inside], used)


def _outermost(points: Floats) -> Floats:
    """The points (n, 2) without those that lie within a circle inside their hull and so are none of its corners."""
    if len(points) < FEW:
        return points
    turns = np.radians(np.arange(32) * 360.0 / 32)
    corners = points[(points @ np.stack([np.cos(turns), np.sin(turns)])).argmax(axis=0)]
    middle = corners.mean(axis=0)
    (px, py), (dx, dy) = (corners - middle).T, (np.roll(corners, -1, axis=0) - corners).T
    long = np.hypot(dx, dy)
    apart = long > 0
    inner = float((np.abs(px * dy - py * dx)[apart] / long[apart]).min()) if apart.any() else 0.0
    x, y = (points - middle).T
    return np.asarray(points[x * x + y * y >= (0.999 * inner) ** 2])


def hull_circle(points: Floats) -> tuple[float, float, float] | None:
    """The circle through the outermost points all round: of a toothed wheel, the tops of its teeth. None for a line."""
    from scipy.spatial import ConvexHull, QhullError

    points = _outermost(points)
    try:
        hull = points[ConvexHull(points).vertices]
    except (QhullError, ValueError):
        return None
    x, y, r = fitted_circle(hull - hull.mean(axis=0))
    x, y = x + hull[:, 0].mean(), y + hull[:, 1].mean()
    for _ in range(4):
        off = np.hypot(hull[:, 0] - x, hull[:, 1] - y) - r
        near = np.abs(off) <= max(3 * 1.4826 * float(np.median(np.abs(off))), 1e-6 * r)
        if near.sum() < 6:
            break
        x, y, r = fitted_circle(hull[near] - [x, y]) + np.array([x, y, 0.0])
    return float(x), float(y), float(r)
