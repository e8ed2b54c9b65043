"""A body's outer triangles: choosing them, and integrals over them. mm, N, MPa.

Triangles are quadratic and curved like the elements they belong to.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wheelcad.checks.fem.elastic import Body
from wheelcad.checks.fem.mesh import SIDES

Floats = NDArray[np.float64]
# faces of a tetrahedron as corners, turning anticlockwise seen from outside
_FACES = ((0, 2, 1), (0, 1, 3), (1, 2, 3), (0, 3, 2))
# six points of a triangle that integrate polynomials up to the fourth degree. Source: Dunavant 1985
_NEAR, _FAR = 0.445948490915965, 0.091576213509771
_WEIGHTS = np.array([0.223381589678011] * 3 + [0.109951743655322] * 3) / 2


@dataclass(frozen=True)
class Surface:
    """nodes: (k, 6) of each triangle: three corners, then the middles of the sides 0-1, 1-2, 2-0.

    values: (6, p) shape functions at the p points; at: (k, p, 3) where the points lie; areas: (k, p) outward vectors'
    lengths times weights; normals: (k, p, 3) outward unit vectors.
    """

    nodes: NDArray[np.int64]
    values: Floats
    at: Floats
    areas: Floats
    normals: Floats

    @property
    def area(self) -> float:
        """mm²."""
        return float(self.areas.sum())

    @property
    def touched(self) -> NDArray[np.int64]:
        """Nodes of the triangles, sorted."""
        return np.unique(self.nodes)

    def loads(self, weights: Floats) -> Floats:
        """(k, 6, …): ∫ φ·w over each triangle, of weights (k, p, …) at the points."""
        return np.asarray(np.einsum("ap,kp,kp...->ka...", self.values, self.areas, weights))


def surface(body: Body, wanted: Callable[[Floats], NDArray[np.bool_]]) -> Surface:
    """The outer triangles that are wanted. wanted: corners (k, 3, 3), [triangle, corner, xyz], to (k,) true."""
    nodes = _outer(np.asarray(body.basis.element_dofs).T)
    nodes = nodes[wanted(body.places[nodes[:, :3]])]
    points = body.places[nodes]
    values, slopes = _shapes()
    tangents = np.einsum("apd,kai->kpdi", slopes, points)
    outward = np.cross(tangents[:, :, 0], tangents[:, :, 1])
    length = np.linalg.norm(outward, axis=-1)
    at = np.einsum("ap,kai->kpi", values, points)
    return Surface(nodes, values, at, length * _WEIGHTS, outward / np.where(length > 0, length, 1.0)[..., None])


def _outer(cells: NDArray[np.int64]) -> NDArray[np.int64]:
    """(k, 6) nodes of the faces that belong to one element only. cells: (m, 10)."""
    side_of = {frozenset(pair): 4 + number for number, pair in enumerate(SIDES)}
    faces = []
    for a, b, c in _FACES:
        local = [a, b, c, *(side_of[frozenset(pair)] for pair in ((a, b), (b, c), (c, a)))]
        faces.append(cells[:, local])
    every = np.vstack(faces)
    _, first, count = np.unique(np.sort(every[:, :3], axis=1), axis=0, return_index=True, return_counts=True)
    return np.asarray(every[np.sort(first[count == 1])])


def _shapes() -> tuple[Floats, Floats]:
    """(6, p) values and (6, p, 2) slopes of a triangle's six shape functions at the points."""
    shares = [(1 - 2 * a, a, a) for a in (_NEAR, _FAR)]
    corner = np.array([(s[i], s[(i + 1) % 3], s[(i + 2) % 3]) for s in shares for i in range(3)]).T  # (3, p)
    slope = np.array([[-1.0, -1.0], [1.0, 0.0], [0.0, 1.0]])
    ends = [corner[i] * (2 * corner[i] - 1) for i in range(3)]
    end_slopes = [np.outer(4 * corner[i] - 1, slope[i]) for i in range(3)]
    pairs = ((0, 1), (1, 2), (2, 0))
    middles = [4 * corner[i] * corner[j] for i, j in pairs]
    middle_slopes = [4 * (np.outer(corner[i], slope[j]) + np.outer(corner[j], slope[i])) for i, j in pairs]
    return np.array(ends + middles), np.array(end_slopes + middle_slopes)


def pressure(body: Body, on: Surface, mpa: float) -> Floats:
    """(3n,) forces of a pressure (positive pushes into the body) on outer triangles."""
    out = np.zeros((body.size, 3))
    np.add.at(out, on.nodes, on.loads(-mpa * on.normals))
    return out.ravel()
