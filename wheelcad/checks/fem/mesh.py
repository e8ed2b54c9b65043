"""A solid from a STEP file as quadratic tetrahedra, the same ones every time. Lengths in mm.

One thread, a fixed seed and nobody's settings file: the same file and size give the same mesh.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from skfem import ElementTetP2

from wheelcad.arrays import Floats, Ints
from wheelcad.checks.fem.model import FemError, HeadRing, Vector
from wheelcad.libraries import missing_words

JOIN_TOLERANCE = 1e-4  # mm: faces of plate and gusset nearer than this are one face
ON_CIRCLE = 1e-3  # mm: a ring's curves lie this close to its circle
RING_REACH = 0.7  # of the size all over: how far from a ring elements have grown to it
ARC_SAMPLES = 60  # points along a curve that distances are taken to
SLIVER = 0.02  # least share of an element's mean volume factor, anywhere in it, that a curved element may have
# the mid-side nodes of a quadratic tetrahedron, after its four corners: which corners each lies between
SIDES = ((0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3))
_FROM_MESHER = (0, 1, 2, 3, 4, 5, 6, 7, 9, 8)  # the mesher swaps the last two sides
LIBRARIES = "libglu1-mesa libgl1 libxft2 libxcursor1 libxinerama1 libgomp1"  # what the mesher links against


@dataclass(frozen=True)
class TetMesh:
    """points: (n, 3), mm. tets: (m, 10), four corners and six mid-side nodes in the order of SIDES."""

    points: Floats
    tets: Ints


@dataclass(frozen=True)
class Fineness:
    """How fine a mesh is. size: edge length aimed at, mm; per_turn: elements round a full circle, at least.

    at_ring: edge length on a ring's circle, where stress is highest, over the ring's diameter; least: edge length that
    nothing makes smaller, mm, a twentieth of the size where it is 0.
    """

    size: float
    per_turn: float
    at_ring: float = 0.2
    least: float = 0.0


def mesh_step(path: Path, rings: Sequence[HeadRing], fine: Fineness) -> TetMesh:
    """Mesh of all solids in the STEP file, joined where they touch, with the rings' circles imprinted on their faces.

    Raises FemError.
    """
    with mesher() as gmsh:
        try:
            volumes = [e for e in gmsh.model.occ.importShapes(str(path), highestDimOnly=True) if e[0] == 3]
            if not volumes:
                raise FemError(f"{path.name} holds no solid")
            discs = [_disc(gmsh, ring) for ring in rings]
            if discs or len(volumes) > 1:
                gmsh.model.occ.fragment(volumes, discs)
            gmsh.model.occ.synchronize()
            _remove_strays(gmsh)
            _sizes(gmsh, rings, fine)
            gmsh.model.mesh.generate(3)
            tags, xyz, _ = gmsh.model.mesh.getNodes()
            kinds, _, nodes = gmsh.model.mesh.getElements(3)
        except FemError:
            raise
        except Exception as error:  # the mesher raises bare exceptions with its own words
            raise FemError(f"{path.name} could not be meshed: {error}") from None
    if list(kinds) != [11]:  # 11: ten-node tetrahedron
        raise FemError(f"{path.name} could not be meshed with quadratic tetrahedra")
    return tidy(np.asarray(tags), np.asarray(xyz).reshape(-1, 3), np.asarray(nodes[0]).reshape(-1, 10)[:, _FROM_MESHER])


@contextmanager
def mesher() -> Iterator[Any]:
    """The mesher, started afresh and shut down again: one thread, a fixed seed. FemError where it cannot be loaded."""
    try:
        import gmsh
    except ModuleNotFoundError as error:
        raise FemError(missing_words(error) or str(error)) from None
    except (ImportError, OSError) as error:
        raise FemError(
            f"the mesher cannot be loaded: {error} (on Debian and Ubuntu: apt-get install {LIBRARIES})"
        ) from None
    gmsh.initialize(readConfigFiles=False, interruptible=False)
    try:
        for name, value in (
            ("General.Terminal", 0),
            ("General.NumThreads", 1),
            ("Mesh.MaxNumThreads1D", 1),
            ("Mesh.MaxNumThreads2D", 1),
            ("Mesh.MaxNumThreads3D", 1),
            ("Mesh.RandomSeed", 1),
            ("Mesh.ElementOrder", 2),
            ("Mesh.Algorithm", 6),  # frontal
            ("Mesh.Algorithm3D", 1),  # Delaunay
            # of a curve's length in elements: the mesher's own 1e-9 took half of all the meshing's time
            ("Mesh.LcIntegrationPrecision", 1e-4),
            ("Geometry.ToleranceBoolean", JOIN_TOLERANCE),
        ):
            gmsh.option.setNumber(name, value)
        gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
        yield gmsh
    finally:
        gmsh.finalize()


def _disc(gmsh: Any, ring: HeadRing) -> tuple[int, int]:
    r = ring.diameter / 2
    return 2, gmsh.model.occ.addDisk(*ring.centre, r, r, zAxis=list(ring.normal))


def _remove_strays(gmsh: Any) -> None:
    """Take away what is left of imprinted discs beyond the solid's faces: over holes, slots and edges."""
    volumes = gmsh.model.getEntities(3)
    used = {tag for _, tag in gmsh.model.getBoundary(volumes, combined=False, oriented=False)}
    strays = [entity for entity in gmsh.model.getEntities(2) if entity[1] not in used]
    if strays:
        gmsh.model.occ.remove(strays, recursive=True)
        gmsh.model.occ.synchronize()


def _sizes(gmsh: Any, rings: Sequence[HeadRing], fine: Fineness) -> None:
    """Sizes: all over, along curves, and falling towards the rings' circles."""
    gmsh.option.setNumber("Mesh.MeshSizeMax", fine.size)
    gmsh.option.setNumber("Mesh.MeshSizeMin", fine.least or fine.size / 20)
    gmsh.option.setNumber("Mesh.MeshSizeFromCurvature", round(fine.per_turn))
    field = gmsh.model.mesh.field
    falling, curves = [], _curves(gmsh)
    for ring in rings:
        arcs = _arcs(curves, ring)
        if not arcs:
            continue
        distance, size = field.add("Distance"), field.add("Threshold")
        field.setNumbers(distance, "CurvesList", arcs)
        field.setNumber(distance, "Sampling", ARC_SAMPLES)
        for name, value in (
            ("InField", distance),
            ("SizeMin", min(fine.size, fine.at_ring * ring.diameter)),
            ("SizeMax", fine.size),
            ("DistMin", 0.0),
            ("DistMax", RING_REACH * fine.size),
        ):
            field.setNumber(size, name, value)
        falling.append(size)
    if falling:
        least = field.add("Min")
        field.setNumbers(least, "FieldsList", falling)
        field.setAsBackgroundMesh(least)


def _curves(gmsh: Any) -> list[tuple[int, Floats]]:
    """Every curve of the solid: its number, and five points on it (5, 3)."""
    out = []
    for _, tag in gmsh.model.getEntities(1):
        (low,), (high,) = gmsh.model.getParametrizationBounds(1, tag)
        out.append((tag, np.array(gmsh.model.getValue(1, tag, list(np.linspace(low, high, 5)))).reshape(-1, 3)))
    return out


def _arcs(curves: Sequence[tuple[int, Floats]], ring: HeadRing) -> list[int]:
    """The curves that the ring's circle left on the solid."""
    centre, normal = np.array(ring.centre), unit(ring.normal)
    out = []
    for tag, points in curves:
        at = points - centre
        off_circle = np.abs(np.linalg.norm(at, axis=1) - ring.diameter / 2)
        if off_circle.max() < ON_CIRCLE and np.abs(at @ normal).max() < ON_CIRCLE:
            out.append(tag)
    return out


def tidy(tags: NDArray[Any], points: Floats, tets: NDArray[Any]) -> TetMesh:
    """The mesh with unused nodes dropped, nodes sorted by place, elements by nodes, and none turned inside out.

    tags: (n,) what `tets` calls each of the points. Raises FemError when the pieces do not hang together.
    """
    place = np.full(int(tags.max()) + 1, -1, dtype=np.int64)
    place[tags.astype(np.int64)] = np.arange(len(tags))
    cells = place[tets.astype(np.int64)]
    used = np.unique(cells)
    order = used[np.lexsort(points[used].T[::-1])]
    number = np.full(len(points), -1, dtype=np.int64)
    number[order] = np.arange(len(order))
    cells = number[cells]
    cells = cells[np.lexsort(cells[:, :4].T[::-1])]
    points = np.ascontiguousarray(points[order])
    _check_joined(len(points), cells)
    return TetMesh(_sound(points, cells), cells)


def _check_joined(count: int, cells: Ints) -> None:
    rows, columns = np.repeat(cells[:, 0], 9), cells[:, 1:].ravel()
    graph = coo_matrix((np.ones(len(rows)), (rows, columns)), shape=(count, count))
    pieces, _ = connected_components(graph, directed=False)
    if pieces > 1:
        raise FemError(f"the solid is in {pieces} pieces that do not touch each other")


def _sound(points: Floats, cells: Ints) -> Floats:
    """The points, with the curved sides straightened of elements that curving would turn inside out."""
    points = points.copy()
    for _ in range(10):
        bad = cells[distortion(points, cells) < SLIVER]
        if not len(bad):
            return points
        for side, (a, b) in enumerate(SIDES):
            points[bad[:, 4 + side]] = (points[bad[:, a]] + points[bad[:, b]]) / 2
    raise FemError("the mesh has elements turned inside out")


def distortion(points: Floats, cells: Ints) -> Floats:
    """(m,) least over greatest volume factor (Jacobian) at corners and middle of every element; 1 when straight."""
    at = np.vstack([np.zeros(3), np.eye(3), np.full(3, 0.25)]).T
    gradients = np.stack([ElementTetP2().lbasis(at, k)[1] for k in range(10)])  # (10, 3, 5)
    jacobian = np.einsum("adq,eai->eqid", gradients, points[cells])
    factor = np.linalg.det(jacobian)
    return np.asarray(factor.min(axis=1) / np.abs(factor).max(axis=1))


def unit(v: Vector) -> Floats:
    """The vector at length 1."""
    a = np.array(v, dtype=float)
    return np.asarray(a / np.linalg.norm(a))
