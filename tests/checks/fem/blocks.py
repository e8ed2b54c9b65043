"""Meshes made in the tests themselves, and small plates as STEP files. Lengths mm."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from skfem import FacetBasis, LinearForm, MeshTet

from wheelcad.checks.fem.elastic import ElasticBody
from wheelcad.checks.fem.mesh import SIDES, TetMesh, tidy
from wheelcad.checks.fem.surface import outer_facets, surface
from wheelcad.trade.loop import Loop

Floats = NDArray[np.float64]


def straight(points: Floats) -> Floats:
    """A block stays a block."""
    return points


def block(
    cells: tuple[int, int, int],
    size: tuple[float, float, float],
    shape: Callable[[Floats], Floats] = straight,
    crowd: tuple[float, float, float] = (1.0, 1.0, 1.0),
) -> TetMesh:
    """A regular block of quadratic tetrahedra, its points (mid-sides too) moved by `shape`: (n, 3) to (n, 3).

    crowd: along each axis, planes lie at (k/cells)**crowd of the size: over 1 crowds them at the start.
    """
    planes = [np.linspace(0.0, 1.0, count + 1) ** power for count, power in zip(cells, crowd, strict=True)]
    axes = [length * at for length, at in zip(size, planes, strict=True)]
    plain = MeshTet.init_tensor(*axes)
    corners, points = plain.t.T, plain.p.T
    edges = np.sort(np.vstack([corners[:, side] for side in SIDES]), axis=1)
    unique, number = np.unique(edges, axis=0, return_inverse=True)
    middles = points[unique].mean(axis=1)
    tets = np.hstack([corners, len(points) + number.reshape(6, -1).T])
    every = shape(np.vstack([points, middles]))
    turned = np.linalg.det(np.stack([every[tets[:, k]] - every[tets[:, 0]] for k in (1, 2, 3)], axis=1)) < 0
    tets[turned] = tets[turned][:, (0, 2, 1, 3, 6, 5, 4, 7, 9, 8)]  # corners 1 and 2 swapped, their sides with them
    return tidy(np.arange(len(every)), every, tets)


def plate_step(path: Path, length: float, width: float, thickness: float, holes: Sequence[Loop] = ()) -> Path:
    """A plate from (0, -width/2, 0) to (length, width/2, thickness) with holes, as a STEP file."""
    from wheelcad.files.brep import prism
    from wheelcad.files.step import write_step

    half = width / 2
    outline = Loop.polygon([(0.0, -half), (length, -half), (length, half), (0.0, half)])
    write_step(path, prism(outline, tuple(holes), 0.0, thickness), "plate")
    return path


def round_hole(x: float, y: float, diameter: float) -> Loop:
    """A hole's outline."""
    return Loop.slot(x, y, x, y, diameter)


def face(body: ElasticBody, wanted: Callable[[Floats], NDArray[np.bool_]]) -> FacetBasis:
    """The basis on the outer triangles that are wanted, see `outer_facets`."""
    return surface(body, outer_facets(body, wanted))


def pressure(on: FacetBasis, mpa: float) -> Floats:
    """(3n,) forces of a pressure (positive pushes into the body) on outer triangles."""
    pushes = [LinearForm(lambda v, w, k=k: -mpa * w.n[k] * v).assemble(on) for k in range(3)]
    return np.column_stack(pushes).ravel()
