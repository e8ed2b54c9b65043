"""Plane finite elements of a flat piece with holes: of a spinning disc with teeth, a second opinion on closed forms.

Plane stress, quadratic triangles (gmsh meshes, scikit-fem solves). Lengths mm, stress MPa, density kg/m³.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import skfem
from skfem.helpers import ddot, dot, eye, sym_grad, trace

from wheelcad.arrays import Floats
from wheelcad.checks.fem.mesh import mesher
from wheelcad.checks.fem.model import FemError
from wheelcad.trade.loop import Loop

E_MPA = 210_000.0  # it cancels out of stresses; any value does
A_TURN = 40  # elements round a full circle, however small


@dataclass(frozen=True)
class Stressed:
    """points (n, 2) mm; greatest (n,) principal stress at each, MPa."""

    points: Floats
    greatest: Floats


def meshed(outline: Loop, holes: Sequence[Loop], size: float, a_turn: int = A_TURN) -> Any:
    """A triangle mesh of the outline less the holes; elements of `size` mm, small on small arcs. FemError."""
    with mesher() as gmsh:
        try:
            gmsh.option.setNumber("Mesh.ElementOrder", 1)
            gmsh.model.add("plane")
            occ = gmsh.model.occ
            loops = [_curve_loop(occ, loop) for loop in (outline.oriented(), *(hole.oriented() for hole in holes))]
            occ.addPlaneSurface(loops)
            occ.synchronize()
            gmsh.option.setNumber("Mesh.MeshSizeFromCurvature", a_turn)
            gmsh.option.setNumber("Mesh.MeshSizeMax", size)
            gmsh.model.mesh.generate(2)
            tags, xyz, _ = gmsh.model.mesh.getNodes()
            _, _, nodes = gmsh.model.mesh.getElements(2)
        except Exception as error:  # the mesher raises bare exceptions with its own words
            raise FemError(f"the flat piece could not be meshed: {error}") from None
    index = np.zeros(int(tags.max()) + 1, dtype=int)
    index[tags.astype(int)] = np.arange(len(tags))
    triangles = index[nodes[0].astype(int).reshape(-1, 3)]
    used, triangles = np.unique(triangles, return_inverse=True)
    return skfem.MeshTri(xyz.reshape(-1, 3)[used, :2].T.copy(), triangles.reshape(-1, 3).T.copy())


def _curve_loop(occ: Any, loop: Loop) -> int:
    points = [occ.addPoint(x, y, 0.0) for x, y, _ in loop.vertices.tolist()]
    curves = []
    for i, edge in enumerate(loop.edges()):
        a, b = points[i], points[(i + 1) % len(points)]
        if edge.is_line:
            curves.append(occ.addLine(a, b))
            continue
        x, y = edge.middle
        curves.append(occ.addCircleArc(a, occ.addPoint(x, y, 0.0), b, center=False))
    return int(occ.addCurveLoop(curves))


def solved(mesh: Any, poisson: float, load: Callable[[Any], Floats] | float) -> Stressed:
    """Principal stresses. load: force a volume at points (2, …), N/mm³, or the pull (MPa) on both ends in x."""
    lam, mu = E_MPA * poisson / (1 - poisson**2), E_MPA / (2 * (1 + poisson))  # plane stress
    basis = skfem.Basis(mesh, skfem.ElementVector(skfem.ElementTriP2()))

    @skfem.BilinearForm  # type: ignore[untyped-decorator]
    def stiffness(u: Any, v: Any, w: Any) -> Any:
        strain = sym_grad(u)
        return ddot(lam * eye(trace(strain), 2) + 2 * mu * strain, sym_grad(v))

    matrix = stiffness.assemble(basis)
    if callable(load):
        middle = _centre(mesh)
        force = skfem.LinearForm(lambda v, w: dot(load(w.x - middle[:, None, None]), v)).assemble(basis)
    else:
        ends = mesh.facets_satisfying(lambda x: np.isclose(np.abs(x[0]), np.abs(mesh.p[0]).max()), boundaries_only=True)
        facets = skfem.FacetBasis(mesh, basis.elem, facets=ends)
        force = skfem.LinearForm(lambda v, w: load * np.sign(w.x[0]) * v[0]).assemble(facets)
    # what is left free turns and shifts as one: three unknowns held, the load being in equilibrium with itself
    at = basis.nodal_dofs
    far = int(np.argmax(mesh.p[0]))
    first = int(np.argmin(mesh.p[0]))
    held = np.array([at[0, first], at[1, first], at[1, far]])
    u = skfem.solve(*skfem.condense(matrix, force, D=held))
    return _principal(mesh, basis, u, lam, mu)


def _centre(mesh: Any) -> Floats:
    corners = mesh.p[:, mesh.t]
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    area = np.abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])) / 2
    return np.asarray((corners.mean(axis=1) * area).sum(axis=1) / area.sum())


def _principal(mesh: Any, basis: Any, u: Floats, lam: float, mu: float) -> Stressed:
    """Stresses at the corners of the elements, averaged over those that share a corner."""
    corners = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    at_corners = skfem.Basis(mesh, basis.elem, quadrature=(corners, np.ones(3)))
    gradient = at_corners.interpolate(u).grad  # (2, 2, elements, 3)
    xx, yy, xy = gradient[0, 0], gradient[1, 1], (gradient[0, 1] + gradient[1, 0]) / 2
    stress = [lam * (xx + yy) + 2 * mu * xx, lam * (xx + yy) + 2 * mu * yy, 2 * mu * xy]
    count = np.bincount(mesh.t.T.ravel(), minlength=mesh.p.shape[1])
    sx, sy, sxy = (np.bincount(mesh.t.T.ravel(), of.ravel(), mesh.p.shape[1]) / count for of in stress)
    return Stressed(mesh.p.T, (sx + sy) / 2 + np.hypot((sx - sy) / 2, sxy))


def spin(density_kg_m3: float, rpm: float) -> Callable[[Floats], Floats]:
    """The load of spinning about the centre of mass, N/mm³ at points in mm."""
    whole = density_kg_m3 * 1e-12 * (2 * math.pi * rpm / 60) ** 2  # tonnes/mm³ · 1/s²: N/mm³ for each mm
    return lambda x: whole * x
