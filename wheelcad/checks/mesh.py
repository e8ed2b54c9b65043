"""What a triangle mesh says: sections, edges on a circle, volume and moments. Plain numpy, mm.

Triangles are (n, 3, 3) arrays, corners anticlockwise seen from outside. trimesh is the second opinion, in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.trade.frames import angle_of


@dataclass(frozen=True)
class MeshMoments:
    """volume mm³; first: ∫x, ∫y, ∫z dV (3,) mm⁴; polar: ∫(x²+y²) dV, mm⁵."""

    volume: float
    first: Floats
    polar: float


def mesh_moments(triangles: Floats) -> MeshMoments:
    """Exact moments of a closed mesh: the sum over the tetrahedra between the origin and each triangle."""
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    six = np.einsum("ij,ij->i", a, np.cross(b, c))
    first = (six[:, None] * (a + b + c)).sum(axis=0) / 24
    square = (a * a + b * b + c * c + a * b + a * c + b * c)[:, :2].sum(axis=1)
    return MeshMoments(float(six.sum() / 6), first, float((six * square).sum() / 60))


def extent_off(one: Floats, two: Floats) -> float:
    """How far (mm) the corners of the boxes round two sets of points (..., 3) lie apart, along one axis."""
    a, b = one.reshape(-1, 3), two.reshape(-1, 3)
    return float(max(np.abs(a.min(axis=0) - b.min(axis=0)).max(), np.abs(a.max(axis=0) - b.max(axis=0)).max()))


def section_segments(triangles: Floats, z: float) -> tuple[Floats, Floats]:
    """The cut of a mesh at height z: segments (m, 2, 2) and the outward normals (m, 2) of the walls they come from.

    Corners exactly at z count as above it, so that every wall is cut once.
    """
    # column by column: sums over an axis of two or three take ten times as long
    a, b, c = (triangles[:, k, 2] >= z for k in range(3))
    crossing = (a | b | c) & ~(a & b & c)
    t, a, b, c = triangles[crossing], a[crossing], b[crossing], c[crossing]
    # the corner that stands alone on its side, and the two others
    alone = np.where(b == c, 0, np.where(a == c, 1, 2))
    rows = np.arange(len(t))
    p = t[rows, alone]
    ends = []
    for k in (1, 2):
        q = t[rows, (alone + k) % 3]
        share = (z - p[:, 2]) / (q[:, 2] - p[:, 2])
        ends.append(p[:, :2] + share[:, None] * (q - p)[:, :2])
    (ax, ay, az), (bx, by, bz) = (t[:, 1] - t[:, 0]).T, (t[:, 2] - t[:, 0]).T
    return np.stack(ends, axis=1), np.column_stack([ay * bz - az * by, az * bx - ax * bz])


def circle_crossings(segments: Floats, normals: Floats, radius: float, sense: int) -> tuple[Floats, Floats]:
    """Angles (degrees, sorted) at which a circle about the axis enters metal and leaves it, going with rising angle."""
    (px, py), (qx, qy) = segments[:, 0].T, segments[:, 1].T
    # a segment with both ends well inside the circle never meets it, and most of a fine mesh's do not
    reach = np.maximum(px * px + py * py, qx * qx + qy * qy) >= radius**2
    segments, normals = segments[reach], normals[reach]
    p, d = segments[:, 0], segments[:, 1] - segments[:, 0]
    (px, py), (dx, dy) = p.T, d.T
    a, b = dx * dx + dy * dy, 2 * (px * dx + py * dy)
    c = px * px + py * py - radius**2
    root = b * b - 4 * a * c
    entering: list[float] = []
    leaving: list[float] = []
    with np.errstate(divide="ignore", invalid="ignore"):
        for sign in (-1.0, 1.0):
            u = (-b + sign * np.sqrt(root)) / (2 * a)
            hit = (root > 0) & (u >= 0) & (u < 1)
            points = p[hit] + u[hit, None] * d[hit]
            # the direction of rising angle at a point is sense·(y, -x)
            along = sense * (normals[hit, 0] * points[:, 1] - normals[hit, 1] * points[:, 0])
            angles = angle_of(points[:, 0], points[:, 1], sense)
            entering += angles[along < 0].tolist()
            leaving += angles[along > 0].tolist()
    return np.sort(np.array(entering)), np.sort(np.array(leaving))


def fitted_circle(points: Floats) -> tuple[float, float, float]:
    """Centre x, y and radius of the circle nearest to points (n, 2) in the least-squares sense, mm."""
    m = np.column_stack([points, np.ones(len(points))])
    solution = np.linalg.lstsq(m, (points**2).sum(axis=1), rcond=None)[0]
    x, y = solution[0] / 2, solution[1] / 2
    return float(x), float(y), float(np.sqrt(solution[2] + x * x + y * y))
