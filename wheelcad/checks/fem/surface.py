"""A body's outer triangles: choosing them, and integrals over them by scikit-fem's facet bases. mm."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from skfem import FacetBasis, MappingIsoparametric

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.checks.fem.elastic import Body

ORDER = 4  # quadrature over a triangle
NEAR = 1e-9  # of an element: the library's own 1e-12 is beyond what places some 100 mm from the axis are known to


def outer_facets(body: Body, wanted: Callable[[Floats], Bools]) -> Ints:
    """Numbers of the outer triangles that are wanted. wanted: corners (k, 3, 3), [triangle, corner, xyz], to (k,)."""
    outer = body.mesh.boundary_facets()
    corners = body.mesh.p[:, body.mesh.facets[:, outer]].transpose(2, 1, 0)
    return np.asarray(outer[wanted(corners)])


def nodes_of(body: Body, facets: Ints) -> Ints:
    """Nodes of triangles, corners and mid-sides."""
    return np.asarray(body.basis.get_dofs(facets).all())


def surface(body: Body, facets: Ints) -> FacetBasis:
    """The basis on triangles: `dx` their areas by points, `normals` outward, `global_coordinates()` the points."""
    of = body.basis  # its numbering is at hand
    mapping = _Mapping(body.mesh, of.mapping.elem, of.mapping.bndelem)
    return FacetBasis(body.mesh, of.elem, mapping=mapping, facets=facets, intorder=ORDER, dofs=of.dofs)


class _Mapping(MappingIsoparametric):  # type: ignore[misc]
    """The mapping of curved elements that is content with places in an element as good as numbers can tell them."""

    def invF(self, x: Floats, tind: Ints | None = None) -> Floats:  # noqa: N802  # the library's name
        """Places within elements of places (3, elements, points)."""
        return np.asarray(super().invF(x, tind, newton_tol=NEAR))
