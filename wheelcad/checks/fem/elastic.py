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
from numpy.typing import NDArray
from scipy.sparse import bsr_matrix, csc_matrix, csr_matrix
from skfem import Basis, BilinearForm, ElementTetP2, MeshTet2
from skfem.models.elasticity import lame_parameters

from wheelcad.checks.fem.mesh import TetMesh
from wheelcad.trade.materials import Material

Floats = NDArray[np.float64]
STIFFNESS_ORDER = 2  # quadrature: exact for straight elements
MASS_ORDER = 4
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

    @cached_property
    def at_nodes(self) -> Any:
        """The basis at the elements' own nodes instead of points of quadrature."""
        corners = np.asarray(ElementTetP2.doflocs).T
        return Basis(self.mesh, ElementTetP2(), quadrature=(corners, np.full(10, 1 / 60)))


def elastic_body(mesh: TetMesh, material: Elastic) -> Body:
    """Assemble a body."""
    curved = MeshTet2(np.ascontiguousarray(mesh.points.T), np.ascontiguousarray(mesh.tets.T))
    basis = Basis(curved, ElementTetP2(), intorder=STIFFNESS_ORDER)
    mass = BilinearForm(lambda u, v, _: material.density * u * v)
    fine = Basis(curved, ElementTetP2(), intorder=MASS_ORDER)
    return Body(curved, basis, _stiffness(basis, material), mass.assemble(fine), material)


def _stiffness(basis: Any, material: Elastic) -> csc_matrix:
    """(3n, 3n): λ ∂iφa ∂jφb + μ (∂jφa ∂iφb + δij ∇φa·∇φb).

    As scikit-fem's linear_elasticity, whose 900 pairs of vector functions take three times as long to assemble as these
    900 pairs of slopes, which share one pattern.
    """
    lam, mu = material.lame
    forms = [[BilinearForm(lambda u, v, _, i=i, j=j: v.grad[i] * u.grad[j]) for j in AXES] for i in AXES]
    parts = [[form.coo_data(basis) for form in row] for row in forms]
    (rows, columns), count = parts[0][0].indices.astype(np.int64), int(basis.N)
    keys, into = np.unique(rows * count + columns, return_inverse=True)
    slopes = np.array([[np.bincount(into, weights=part.data) for part in row] for row in parts])
    blocks = lam * slopes + mu * slopes.transpose(1, 0, 2)
    blocks[AXES, AXES] += mu * np.trace(slopes)
    starts = np.searchsorted(keys, np.arange(count + 1) * count)
    whole = (3 * count, 3 * count)
    return bsr_matrix((blocks.transpose(2, 0, 1), keys % count, starts), shape=whole).tocsc()


def inertia_force(body: Body, direction: Floats, acceleration: float) -> Floats:
    """(3n,) forces of a steady acceleration (mm/s²) of the body along a unit vector."""
    lumped = np.asarray(body.mass.sum(axis=1)).ravel()
    return np.outer(lumped * acceleration, direction).ravel()


def stresses(body: Body, displacement: Floats) -> Floats:
    """(n, 6) stress at every node, MPa, components in the order of COMPONENTS: elements' own, averaged by volume."""
    at_nodes, (lam, mu) = body.at_nodes, body.material.lame
    nodes = np.asarray(at_nodes.element_dofs).T.ravel()
    slope = np.stack([at_nodes.interpolate(u).grad for u in displacement.reshape(-1, 3).T])  # ∂u_i/∂x_j
    spread = lam * np.trace(slope)
    weight = np.broadcast_to(at_nodes.dx.sum(axis=1)[:, None], at_nodes.dx.shape)

    def averaged(values: Floats) -> Floats:
        return np.bincount(nodes, weights=(values * weight).ravel(), minlength=body.size).astype(float)

    total = averaged(np.ones(weight.shape))
    parts = [mu * (slope[i, j] + slope[j, i]) + (spread if i == j else 0.0) for i, j in COMPONENTS]
    return np.column_stack([averaged(part) / total for part in parts])


def von_mises(stress: Floats) -> Floats:
    """(n,) equivalent stress, MPa, of stresses (n, 6)."""
    x, y, z, xy, yz, zx = stress.T
    return np.asarray(np.sqrt(((x - y) ** 2 + (y - z) ** 2 + (z - x) ** 2) / 2 + 3 * (xy**2 + yz**2 + zx**2)))
