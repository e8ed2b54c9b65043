"""Meshes by hand: which curves are a ring's, how fine it gets, how bent an element is; what the mesher is told."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from tests.checks.fem.blocks import block
from wheelcad.checks.fem import mesh
from wheelcad.checks.fem.elastic import Elastic, elastic_body, von_mises
from wheelcad.checks.fem.mesh import SIDES, Fineness
from wheelcad.checks.fem.model import FemError, HeadRing
from wheelcad.trade.materials import Material

Floats = np.ndarray[Any, np.dtype[np.float64]]
RING = HeadRing((10.0, 4.0, 5.0), (0.0, 0.0, 2.0), 16.0)


@pytest.mark.parametrize(
    ("wider", "higher", "found"),
    [
        (0.0, 0.0, True),
        (0.00096, 0.0, True),
        (0.00104, 0.0, False),
        (-0.00104, 0.0, False),
        (0.0, 0.00096, True),
        (0.0, 0.00104, False),
        (0.0, -0.00104, False),
    ],
)
def test_curves_on_a_ring_s_circle(wider: float, higher: float, found: bool) -> None:
    """To a thousandth of a millimetre, all along; a wider circle and a straight edge are none."""
    turn = np.linspace(0.2, 1.9, 5)

    def arc(radius: float, z: float) -> Floats:
        return np.column_stack([10 + radius * np.cos(turn), 4 + radius * np.sin(turn), z + 0 * turn])

    good, other = arc(8.0, 5.0), arc(8.0 + wider, 5.0 + higher)
    mixed = np.concatenate([good[:4], other[4:]])
    curves = [(3, arc(9.0, 5.0)), (5, good), (7, mixed), (9, np.linspace((18.0, 4.0, 5.0), (18.0, 9.0, 5.0), 5))]
    assert mesh._arcs(curves, RING) == ([5, 7] if found else [5])


class Told:
    """In place of the mesher: what it is told."""

    def __init__(self) -> None:
        self.numbers: dict[str, float] = {}
        self.fields: dict[int, dict[str, Any]] = {}
        self.background = 0
        self.option = SimpleNamespace(setNumber=self.numbers.__setitem__)
        field = SimpleNamespace(
            add=self._add,
            setNumber=lambda n, name, value: self.fields[n].__setitem__(name, value),
            setNumbers=lambda n, name, values: self.fields[n].__setitem__(name, values),
            setAsBackgroundMesh=lambda n: setattr(self, "background", n),
        )
        self.model = SimpleNamespace(mesh=SimpleNamespace(field=field))

    def _add(self, kind: str) -> int:
        self.fields[len(self.fields) + 1] = {"kind": kind}
        return len(self.fields)


@pytest.mark.parametrize(("diameter", "on_ring"), [(16.0, 3.2), (60.0, 10.0)])
@pytest.mark.parametrize(("least", "smallest"), [(0.0, 0.5), (0.8, 0.8)])
def test_sizes_that_the_mesher_is_told(
    diameter: float, on_ring: float, least: float, smallest: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """10 mm all over; a fifth of the ring's diameter on its circle, never more than all over, grown to that within
    7 mm; nothing under a twentieth, or under what is said."""
    told = Told()
    monkeypatch.setattr(mesh, "_curves", lambda gmsh: [])
    found = iter([[4, 6], [], [9]])
    monkeypatch.setattr(mesh, "_arcs", lambda curves, ring: next(found))
    ring = HeadRing((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), diameter)
    mesh._sizes(told, [ring] * 3, Fineness(10.0, 9.6, least=least))
    assert told.numbers == {
        "Mesh.MeshSizeMax": 10.0,
        "Mesh.MeshSizeMin": pytest.approx(smallest),
        "Mesh.MeshSizeFromCurvature": 10,
    }
    kinds = [one["kind"] for one in told.fields.values()]
    assert kinds == ["Distance", "Threshold", "Distance", "Threshold", "Min"]
    assert [told.fields[n]["CurvesList"] for n in (1, 3)] == [[4, 6], [9]]
    for n in (2, 4):
        falling = told.fields[n]
        assert (falling["InField"], falling["SizeMin"]) == (n - 1, pytest.approx(on_ring))
        assert (falling["SizeMax"], falling["DistMin"], falling["DistMax"]) == (10.0, 0.0, pytest.approx(7.0))
    assert (told.fields[5]["FieldsList"], told.background) == ([2, 4], 5)
    none = Told()
    monkeypatch.setattr(mesh, "_arcs", lambda curves, ring: [])
    mesh._sizes(none, [ring], Fineness(10.0, 9.6))
    assert (none.fields, none.background) == ({}, 0)


def test_the_mesher_works_alone_and_by_the_same_rules_everywhere() -> None:
    """One thread in every dimension and silent, or two runs may differ. Frontal in the plane, Delaunay in space:
    numbers 6 and 1 of the mesher's reference manual, from memory."""
    with mesh.mesher() as gmsh:
        told = {
            name: gmsh.option.getNumber(name)
            for name in (
                "General.Terminal", "General.NumThreads", "Mesh.MaxNumThreads1D", "Mesh.MaxNumThreads2D",
                "Mesh.MaxNumThreads3D", "Mesh.ElementOrder", "Mesh.Algorithm", "Mesh.Algorithm3D",
            )
        }  # fmt: skip
        close = gmsh.option.getNumber("Geometry.ToleranceBoolean")
        fine = gmsh.option.getNumber("Mesh.LcIntegrationPrecision")
    assert list(told.values()) == [0, 1, 1, 1, 1, 2, 6, 1]
    assert close == pytest.approx(1e-4)
    assert fine <= 1e-4


def test_rings_are_discs_on_their_face() -> None:
    """A disc of the mesher's has its radius, and its middle where the ring's is."""
    with mesh.mesher() as gmsh:
        gmsh.model.add("ring")
        made = mesh._disc(gmsh, RING)
        gmsh.model.occ.synchronize()
        box = gmsh.model.getBoundingBox(*made)
        area = gmsh.model.occ.getMass(*made)
        points = mesh._curves(gmsh)
    assert box == pytest.approx((2.0, -4.0, 5.0, 18.0, 12.0, 5.0), abs=1e-4)
    assert area == pytest.approx(np.pi * 64)
    ((_, on),) = points
    assert on.shape == (5, 3)
    assert np.hypot(on[:, 0] - 10, on[:, 1] - 4) == pytest.approx(np.full(5, 8.0))
    assert mesh._arcs(points, RING) == [1]


def bent(seed: int) -> tuple[Floats, Any]:
    """A tetrahedron whose sides' middles lie off by up to a tenth."""
    corners = np.array([[0.0, 0, 0], [1, 0.1, 0], [0.2, 1, 0], [0.1, 0.2, 1]])
    middles = np.array([(corners[a] + corners[b]) / 2 for a, b in SIDES])
    off = np.random.default_rng(seed).uniform(-0.1, 0.1, middles.shape)
    return np.vstack([corners, middles + off]), np.arange(10)[None]


@pytest.mark.parametrize("seed", [0, 1, 35, 126])  # of the last two the middle's is greatest
def test_how_bent_an_element_is(seed: int) -> None:
    """Its volume factor at its corners and its middle, by small steps in the element's own coordinates."""
    points, cells = bent(seed)

    def at(r: float, s: float, t: float) -> Floats:
        share = np.array([1 - r - s - t, r, s, t])
        shape = [x * (2 * x - 1) for x in share] + [4 * share[a] * share[b] for a, b in SIDES]
        return np.asarray(np.array(shape) @ points)

    factors = []
    for spot in ((0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1), (0.25, 0.25, 0.25)):
        steps = [(at(*(np.array(spot) + h)) - at(*(np.array(spot) - h))) / 2e-4 for h in 1e-4 * np.eye(3)]
        factors.append(float(np.linalg.det(np.array(steps))))
    assert mesh.distortion(points, cells)[0] == pytest.approx(min(factors) / max(map(abs, factors)), rel=1e-6)


def test_what_hangs_together_by_any_node_is_one() -> None:
    """Two elements that share a single middle node; and two that share none."""
    together = np.array([[0, 1, 2, 3, 4, 5, 6, 7, 8, 9], [10, 11, 12, 13, 14, 15, 16, 17, 18, 9]])
    mesh._check_joined(19, together)
    with pytest.raises(FemError, match="2 pieces"):
        mesh._check_joined(20, np.arange(20).reshape(2, 10))


def test_elements_are_straightened_until_none_is_bad(monkeypatch: pytest.MonkeyPatch) -> None:
    """Straightening one may bend its neighbour: ten rounds of it at most."""
    points, cells = bent(1)
    for rounds, mended in ((9, True), (10, False)):
        left = iter([0.0] * rounds + [1.0] * 5)
        monkeypatch.setattr(mesh, "distortion", lambda points, cells, left=left: np.array([next(left)]))
        if mended:
            straight = mesh._sound(points, cells)
            assert straight[4:] == pytest.approx(np.array([(points[a] + points[b]) / 2 for a, b in SIDES]))
        else:
            with pytest.raises(FemError, match="inside out"):
                mesh._sound(points, cells)


@pytest.mark.parametrize(("least", "bad"), [(0.0192, True), (0.0208, False)])
def test_an_element_bent_to_a_fiftieth_is_straightened(
    least: float, bad: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    points, cells = bent(1)
    left = iter([least, 1.0])
    monkeypatch.setattr(mesh, "distortion", lambda points, cells: np.array([next(left)]))
    assert np.array_equal(mesh._sound(points, cells), points) != bad


def test_a_direction_has_length_one() -> None:
    assert mesh.unit((3.0, -4.0, 12.0)).tolist() == pytest.approx([3 / 13, -4 / 13, 12 / 13])


def test_a_material_in_tonnes_and_megapascals() -> None:
    """Aluminium of 70 GPa and 2700 kg/m³. Lamé's numbers by a textbook's formulas, from memory."""
    made = Elastic.of(cast(Material, SimpleNamespace(youngs_gpa=70.0, poisson=0.25, density_kg_m3=2700.0)))
    assert (made.youngs, made.poisson, made.density) == (70000.0, 0.25, pytest.approx(2.7e-9, rel=1e-12))
    assert made.lame == pytest.approx((70000 * 0.25 / (1.25 * 0.5), 70000 / 2.5))


def test_a_body_s_mass_is_the_library_s() -> None:
    """Not its sum alone: every pair of nodes, of bent elements."""
    from skfem import BilinearForm

    body = elastic_body(
        block((2, 1, 1), (20.0, 9.0, 5.0), lambda p: p + 0.02 * p[:, :1] * p[:, [1, 2, 0]]),
        Elastic(200e3, 0.3, 7.85e-9),
    )
    theirs = 7.85e-9 * BilinearForm(lambda u, v, _: u * v).assemble(body.basis)
    assert abs(theirs - body.mass).max() < 1e-12 * abs(theirs).max()


def test_equivalent_stress_by_the_principal_ones() -> None:
    """The root of half the sum of their differences in square, whichever way the axes lie. Source: von Mises."""
    for x, y, z, xy, yz, zx in np.random.default_rng(3).uniform(-90.0, 90.0, (9, 6)):
        a, b, c = np.linalg.eigvalsh([[x, xy, zx], [xy, y, yz], [zx, yz, z]])
        wanted = np.sqrt(((a - b) ** 2 + (b - c) ** 2 + (c - a) ** 2) / 2)
        assert von_mises(np.array([[x, y, z, xy, yz, zx]])) == pytest.approx(wanted)
