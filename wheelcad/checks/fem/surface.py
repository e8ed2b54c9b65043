"""A body's outer triangles: choosing them, and integrals over them by scikit-fem's facet bases. mm."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from skfem import ElementTetP2, FacetBasis

from wheelcad.checks.fem.elastic import Body

Floats = NDArray[np.float64]
ORDER = 4  # quadrature over a triangle


def outer_facets(body: Body, wanted: Callable[[Floats], NDArray[np.bool_]]) -> NDArray[np.int64]:
    """Numbers of the outer triangles that are wanted. wanted: corners (k, 3, 3), [triangle, corner, xyz], to (k,)."""
    outer = body.mesh.boundary_facets()
    corners = body.mesh.p[:, body.mesh.facets[:, outer]].transpose(2, 1, 0)
    return np.asarray(outer[wanted(corners)])


def nodes_of(body: Body, facets: NDArray[np.int64]) -> NDArray[np.int64]:
    """Nodes of triangles, corners and mid-sides."""
    return np.asarray(body.basis.get_dofs(facets).all())


def surface(body: Body, facets: NDArray[np.int64]) -> FacetBasis:
    """The basis on triangles: `dx` their areas by points, `normals` outward, `global_coordinates()` the points."""
    return FacetBasis(body.mesh, ElementTetP2(), facets=facets, intorder=ORDER)
