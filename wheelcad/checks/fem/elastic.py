"""An elastic body on quadratic tetrahedra: stiffness, mass, loads and stresses. mm, N, MPa, tonnes.

Linear, isotropic, small displacements. Elements are curved (the mesh's mid-side nodes lie on the solid's surface).
Displacement unknown 3·i + k is component k at node i; nodes are numbered as scikit-fem numbers its unknowns, and
`Body.places` says where each lies.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import bsr_matrix, csc_matrix, csr_matrix
from skfem import Basis, ElementTetP2, MeshTet2

from wheelcad.checks.fem.mesh import TetMesh
from wheelcad.trade.materials import Material

Floats = NDArray[np.float64]
CHUNK = 4000  # elements worked on at a time, to keep memory flat
STIFFNESS_ORDER = 2  # quadrature: exact for straight elements
MASS_ORDER = 4
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
        e, v = self.youngs, self.poisson
        return e * v / (1 + v) / (1 - 2 * v), e / 2 / (1 + v)


@dataclass(frozen=True)
class Body:
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


def elastic_body(mesh: TetMesh, material: Elastic) -> Body:
    """Assemble a body."""
    fem_mesh = MeshTet2(np.ascontiguousarray(mesh.points.T), np.ascontiguousarray(mesh.tets.T))
    basis = Basis(fem_mesh, ElementTetP2(), intorder=STIFFNESS_ORDER)
    pattern = _Pattern(np.asarray(basis.element_dofs).T, int(basis.N))
    gradients = np.stack([field[0].grad for field in basis.basis]).transpose(2, 0, 1, 3)  # (elements, 10, 3, points)
    stiffness = pattern.blocks(_stiffness(gradients, basis.dx, material))
    fine = Basis(fem_mesh, ElementTetP2(), intorder=MASS_ORDER)
    values = np.stack([np.broadcast_to(np.asarray(field[0]), fine.dx.shape) for field in fine.basis]).transpose(1, 0, 2)
    weights = material.density * fine.dx[:, None, :]
    mass = pattern.scalars((values * weights) @ values.transpose(0, 2, 1))
    return Body(fem_mesh, basis, stiffness, mass, material)


def _stiffness(gradients: Floats, weights: Floats, material: Elastic) -> Floats:
    """(elements, 10, 3, 10, 3) element stiffnesses: λ ∂iφa ∂jφb + μ (∂jφa ∂iφb + δij ∇φa·∇φb)."""
    lam, mu = material.lame
    out = np.empty((len(gradients), 10, 3, 10, 3))
    for at in range(0, len(gradients), CHUNK):
        part = gradients[at : at + CHUNK]
        flat = part.reshape(len(part), 30, -1)
        product = ((flat * weights[at : at + CHUNK, None, :]) @ flat.transpose(0, 2, 1)).reshape(-1, 10, 3, 10, 3)
        block = lam * product + mu * product.transpose(0, 1, 4, 3, 2)
        trace = np.einsum("eakbk->eab", product)
        for k in range(3):
            block[:, :, k, :, k] += mu * trace
        out[at : at + CHUNK] = block
    return out


class _Pattern:
    """Where element matrices go in the whole: worked out once, used for stiffness and mass."""

    def __init__(self, dofs: NDArray[np.int64], count: int) -> None:
        keys = (dofs[:, :, None].astype(np.int64) * count + dofs[:, None, :]).ravel()
        unique, self._into = np.unique(keys, return_inverse=True)
        self._count, self._columns = count, unique % count
        self._starts = np.searchsorted(unique // count, np.arange(count + 1))

    def _summed(self, values: Floats) -> Floats:
        summed = np.bincount(self._into, weights=values.ravel(), minlength=len(self._columns))
        return np.asarray(summed, dtype=float)

    def blocks(self, local: Floats) -> csc_matrix:
        """(3n, 3n) from (elements, 10, 3, 10, 3)."""
        data = np.empty((len(self._columns), 3, 3))
        for i in range(3):
            for j in range(3):
                data[:, i, j] = self._summed(local[:, :, i, :, j])
        size = 3 * self._count
        return bsr_matrix((data, self._columns, self._starts), shape=(size, size)).tocsc()

    def scalars(self, local: Floats) -> csr_matrix:
        """(n, n) from (elements, 10, 10)."""
        return csr_matrix((self._summed(local), self._columns, self._starts), shape=(self._count, self._count))


def inertia_force(body: Body, direction: Floats, acceleration: float) -> Floats:
    """(3n,) forces of a steady acceleration (mm/s²) of the body along a unit vector."""
    lumped = np.asarray(body.mass.sum(axis=1)).ravel()
    return np.outer(lumped * acceleration, direction).ravel()


def stresses(body: Body, displacement: Floats) -> Floats:
    """(n, 6) stress at every node, MPa, components in the order of COMPONENTS: elements' own, averaged by volume."""
    corners = np.asarray(ElementTetP2.doflocs).T
    at_nodes = Basis(body.mesh, ElementTetP2(), quadrature=(corners, np.full(10, 1 / 60)))
    lam, mu = body.material.lame
    dofs = np.asarray(at_nodes.element_dofs)
    u = displacement.reshape(-1, 3)[dofs]  # (10, elements, 3)
    slope = np.zeros((3, 3, *at_nodes.dx.shape))  # ∂u_i/∂x_j
    for local, field in enumerate(at_nodes.basis):
        slope += u[local].T[:, None, :, None] * field[0].grad[None]
    spread = lam * (slope[0, 0] + slope[1, 1] + slope[2, 2])
    weight = np.broadcast_to(at_nodes.dx.sum(axis=1)[:, None], at_nodes.dx.shape)
    total = np.bincount(dofs.T.ravel(), weights=weight.ravel(), minlength=body.size)
    out = np.empty((body.size, 6))
    for number, (i, j) in enumerate(COMPONENTS):
        local_stress = mu * (slope[i, j] + slope[j, i]) + (spread if i == j else 0.0)
        out[:, number] = (
            np.bincount(dofs.T.ravel(), weights=(local_stress * weight).ravel(), minlength=body.size) / total
        )
    return out


def von_mises(stress: Floats) -> Floats:
    """(n,) equivalent stress, MPa, of stresses (n, 6)."""
    x, y, z, xy, yz, zx = stress.T
    return np.asarray(np.sqrt(((x - y) ** 2 + (y - z) ** 2 + (z - x) ** 2) / 2 + 3 * (xy**2 + yz**2 + zx**2)))
