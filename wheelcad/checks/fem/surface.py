"""A body's outer triangles: choosing them, and integrals over them by scikit-fem's facet bases. mm."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from skfem import FacetBasis, MappingIsoparametric
from skfem.quadrature import get_quadrature

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.checks.fem.elastic import ElasticBody

ORDER = 4  # quadrature over a triangle
CORNERS = np.array([[0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]])  # of a tetrahedron, by columns


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
    of = body.basis  # its numbering is at hand
    quadrature = get_quadrature(of.elem.refdom.brefdom, ORDER)
    mapping = _OnFacets(body.mesh, of.mapping.elem, of.mapping.bndelem)
    mapping.facets, mapping.points = facets, quadrature[0]
    return FacetBasis(body.mesh, of.elem, mapping=mapping, facets=facets, quadrature=quadrature, dofs=of.dofs)


class _OnFacets(MappingIsoparametric):  # type: ignore[misc]
    """The mapping of curved elements where only points on triangles are asked for. Where those lie in their element
    follows from its corners; the library looks for them by Newton's method, which does not end in every element.

    facets: (k,) triangles; points: (2, q) of a triangle's own coordinates.
    """

    facets: Ints
    points: Floats

    def invF(self, x: Floats, tind: Ints | None = None) -> Floats:  # noqa: N802  # the library's name
        """(3, k, q) where the points lie within the elements tind (k,). x: where they are, which is not looked at."""
        corners, own = self.mesh.facets[:, self.facets], self.mesh.t[:, tind]
        which = (own[None] == corners[:, None]).argmax(axis=1)  # (3, k): a triangle's corner among its element's four
        s, t = self.points
        a, b, c = CORNERS[:, which].transpose(1, 0, 2)[..., None]
        return np.asarray(a * (1 - s - t) + b * s + c * t)
