"""An elastic body on quadratic tetrahedra: stiffness, mass, loads and stresses. mm, N, MPa, tonnes.

Linear, isotropic, small displacements. Elements are curved (the mesh's mid-side nodes lie on the solid's surface).
Displacement unknown 3·i + k is component k at node i; nodes are numbered as scikit-fem numbers its unknowns, and
`Body.places` says where each lies.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy.sparse import bsr_matrix, csc_matrix, csr_matrix
from skfem import Basis, ElementTetP2, MeshTet2
from skfem.models.elasticity import lame_parameters

from wheelcad.arrays import Floats, Ints
from wheelcad.checks.fem.mesh import TetMesh
from wheelcad.trade.materials import Material

ORDER = 4  # quadrature: exact for the mass of straight elements, and more than that for their stiffness
AXES = range(3)
COMPONENTS = ((0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0))  # of a stress, in the order used here


@dataclass(frozen=True)
class Elastic:
    """youngs: MPa; poisson: no unit; density: tonnes/mm³."""

    youngs: float
    poisson: float
    density: float

    @classmethod
    def of(cls, material: Material) -> Elastic:
        """From the trade's material."""
        return cls(material.youngs_gpa * 1e3, material.poisson, material.density_kg_m3 * 1e-12)

    @property
    def lame(self) -> tuple[float, float]:
        """λ and μ, MPa."""
        lam, mu = lame_parameters(self.youngs, self.poisson)
        return float(lam), float(mu)


@dataclass(frozen=True)
class ElasticBody:
    """A meshed body. stiffness: (3n, 3n), N/mm; mass: (n, n), tonnes, the same for each direction.

    mesh: scikit-fem's; basis: its scalar quadratic basis.
    """

    mesh: Any
    basis: Any
    stiffness: csc_matrix
    mass: csr_matrix
    material: Elastic

    @property
    def size(self) -> int:
        """How many nodes."""
        return int(self.basis.N)

    @property
    def places(self) -> Floats:
        """(n, 3) where each node lies."""
        return np.asarray(self.basis.doflocs.T)

    @property
    def volume(self) -> float:
        """mm³."""
        return float(self.basis.dx.sum())

    @cached_property
    def at_nodes(self) -> Any:
        """The basis at the elements' own nodes instead of points of quadrature."""
        corners = np.asarray(ElementTetP2.doflocs).T
        of, quadrature = self.basis, (corners, np.full(10, 1 / 60))
        return Basis(self.mesh, of.elem, mapping=of.mapping, quadrature=quadrature, dofs=of.dofs)


def elastic_body(mesh: TetMesh, material: Elastic) -> ElasticBody:
    """Assemble a body."""
    curved = MeshTet2(np.ascontiguousarray(mesh.points.T), np.ascontiguousarray(mesh.tets.T))
    basis = Basis(curved, ElementTetP2(), intorder=ORDER)
    pattern = _Pattern.of(basis)
    return ElasticBody(curved, basis, _stiffness(basis, pattern, material), _mass(basis, pattern, material), material)


@dataclass(frozen=True)
class _Pattern:
    """Where elements' own (10, 10) matrices go. into: (100·e,) which of the pairs of nodes each entry belongs to;
    columns: (p,) of the pairs; starts: (n + 1,) of the rows; across: (p,) the same pair the other way round."""

    into: Ints
    columns: Ints
    starts: Ints
    across: Ints

    @classmethod
    def of(cls, basis: Any) -> _Pattern:
        nodes, count = np.asarray(basis.element_dofs).T.astype(np.int64), int(basis.N)
        pairs = (nodes[:, :, None] * count + nodes[:, None, :]).ravel()
        keys, into = np.unique(pairs, return_inverse=True)
        rows, columns = keys // count, keys % count
        across = np.searchsorted(keys, columns * count + rows)
        return cls(into, columns, np.searchsorted(keys, np.arange(count + 1) * count), across)

    def summed(self, parts: Floats) -> Floats:
        """(p,) sums of elements' (e, 10, 10) entries over those that share a pair of nodes."""
        return np.asarray(np.bincount(self.into, weights=parts.ravel(), minlength=len(self.columns)), dtype=float)


def _stiffness(basis: Any, pattern: _Pattern, material: Elastic) -> csc_matrix:
    """(3n, 3n): λ ∂iφa ∂jφb + μ (∂jφa ∂iφb + δij ∇φa·∇φb).

    As scikit-fem's linear_elasticity, whose 900 pairs of vector functions take several times as long to assemble as
    these products of slopes, all elements at once.
    """
    lam, mu = material.lame
    slope = np.stack([function[0].grad for function in basis.basis])  # (10, 3, e, q)
    weighted = slope * basis.dx
    slopes = np.empty((3, 3, len(pattern.columns)))
    for i, j in ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2)):
        one, other = weighted[:, i].transpose(1, 0, 2), slope[:, j].transpose(1, 2, 0)
        slopes[i, j] = pattern.summed(one @ other)
        slopes[j, i] = slopes[i, j][pattern.across]
    blocks = lam * slopes + mu * slopes.transpose(1, 0, 2)
    blocks[AXES, AXES] += mu * np.trace(slopes)
    whole = (3 * int(basis.N),) * 2
    rows = bsr_matrix((blocks.transpose(2, 0, 1), pattern.columns, pattern.starts), shape=whole).tocsr()
    return csc_matrix((rows.data, rows.indices, rows.indptr), shape=whole)  # symmetric: its rows are its columns


def _mass(basis: Any, pattern: _Pattern, material: Elastic) -> csr_matrix:
    """(n, n): ρ φa φb."""
    value = np.stack(
        [np.broadcast_to(np.asarray(function[0]), basis.dx.shape) for function in basis.basis]
    )  # (10, e, q)
    parts = (value * basis.dx).transpose(1, 0, 2) @ value.transpose(1, 2, 0)
    data = material.density * pattern.summed(parts)
    return csr_matrix((data, pattern.columns, pattern.starts), shape=(int(basis.N),) * 2)


def inertia_force(body: ElasticBody, direction: Floats, acceleration: float) -> Floats:
    """(3n,) forces of a steady acceleration (mm/s²) of the body along a unit vector."""
    lumped = np.asarray(body.mass.sum(axis=1)).ravel()
    return np.outer(lumped * acceleration, direction).ravel()


def stresses(body: ElasticBody, displacements: Floats) -> Floats:
    """(k, n, 6) stress at every node, MPa, of k displacements (k, 3n): elements' own, averaged by volume; components in
    the order of COMPONENTS."""
    at_nodes, (lam, mu) = body.at_nodes, body.material.lame
    nodes = np.asarray(at_nodes.element_dofs).T  # (e, 10)
    count, spots = len(displacements), nodes.size
    slopes = np.stack([function[0].grad for function in at_nodes.basis])  # (10 functions, 3, e, 10 nodes)
    slopes = slopes.transpose(2, 0, 1, 3).reshape(len(nodes), 10, 30)
    moved = displacements.reshape(count, -1, 3)[:, nodes].transpose(1, 0, 3, 2).reshape(len(nodes), 3 * count, 10)
    gradient = (moved @ slopes).reshape(len(nodes), count, 3, 3, 10)  # of u_i along x_j, at each node of each element
    spread = lam * np.trace(gradient, axis1=2, axis2=3)
    parts = [mu * (gradient[:, :, i, j] + gradient[:, :, j, i]) + (spread if i == j else 0.0) for i, j in COMPONENTS]
    own = np.stack(parts, axis=3).transpose(0, 2, 1, 3).reshape(spots, -1)  # (e·10, k·6)
    weight = np.repeat(at_nodes.dx.sum(axis=1), 10)
    gather = csr_matrix((weight, (nodes.ravel(), np.arange(spots))), shape=(body.size, spots))
    total = np.asarray(gather.sum(axis=1))
    return np.asarray((gather @ own / total).reshape(body.size, count, 6).transpose(1, 0, 2))


def von_mises(stress: Floats) -> Floats:
    """(…, n) equivalent stress, MPa, of stresses (…, n, 6)."""
    x, y, z, xy, yz, zx = np.moveaxis(stress, -1, 0)
    return np.asarray(np.sqrt(((x - y) ** 2 + (y - z) ** 2 + (z - x) ** 2) / 2 + 3 * (xy**2 + yz**2 + zx**2)))
