"""A body's outer triangles: choosing them, and integrals over them by scikit-fem's facet bases. mm."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from skfem import FacetBasis

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.checks.fem.elastic import ElasticBody

ORDER = 4  # quadrature over a triangle


def outer_facets(body: ElasticBody, wanted: Callable[[Floats], Bools]) -> Ints:
    """Numbers of the outer triangles that are wanted. wanted: corners (k, 3, 3), [triangle, corner, xyz], to (k,)."""
    outer = body.mesh.boundary_facets()
    corners = body.mesh.p[:, body.mesh.facets[:, outer]].transpose(2, 1, 0)
    return np.asarray(outer[wanted(corners)])


def nodes_of(body: ElasticBody, facets: Ints) -> Ints:
    """Nodes of triangles, corners and mid-sides."""
    return np.asarray(body.basis.get_dofs(facets).all())


def surface(body: ElasticBody, facets: Ints) -> FacetBasis:
    """The basis on triangles: `dx` their areas by points, `normals` outward, `global_coordinates()` the points."""
    of = body.basis  # its numbering and its mapping are at hand
    return FacetBasis(body.mesh, of.elem, mapping=of.mapping, facets=facets, intorder=ORDER, dofs=of.dofs)
