"""The body's matrices against scikit-fem's own forms, rigid motions and constant strains."""

from __future__ import annotations

import numpy as np
import pytest
from skfem import Basis, ElementTetP2, ElementVector
from skfem.models.elasticity import lame_parameters, linear_elasticity

from tests.checks.fem.blocks import Floats, block, face
from wheelcad.checks.fem.elastic import ORDER, Elastic, ElasticBody, elastic_body, inertia_force, stresses, von_mises
from wheelcad.trade.materials import material

STEEL = Elastic.of(material("mild-steel"))
SIZE = (30.0, 20.0, 6.0)


def bent(p: Floats) -> Floats:
    """The block rolled up a little, so that its elements are curved."""
    turn = p[:, 0] / 60.0
    radius = 60.0 - p[:, 2]
    return np.column_stack([radius * np.sin(turn), p[:, 1], 60.0 - radius * np.cos(turn)])


@pytest.fixture(scope="module")
def rolled() -> ElasticBody:
    return elastic_body(block((3, 2, 1), SIZE, bent), STEEL)


def test_units() -> None:
    assert (STEEL.youngs, STEEL.poisson) == (200e3, 0.3)
    assert pytest.approx(7.85e-9) == STEEL.density


def test_stiffness_is_scikit_fems(rolled: ElasticBody) -> None:
    vector = Basis(rolled.mesh, ElementVector(ElementTetP2()), intorder=ORDER)
    theirs = linear_elasticity(*lame_parameters(STEEL.youngs, STEEL.poisson)).assemble(vector)
    assert abs(theirs - rolled.stiffness).max() < 1e-12 * abs(theirs).max()


def test_rigid_motions_cost_nothing_and_weigh_what_they_should(rolled: ElasticBody) -> None:
    x, y, z = rolled.places.T
    zero = np.zeros_like(x)
    scale = abs(rolled.stiffness).max()
    for motion in ([1 + zero, zero, zero], [zero, zero, 1 + zero], [-y, x, zero], [zero, -z, y]):
        assert abs(rolled.stiffness @ np.column_stack(motion).ravel()).max() < 1e-9 * scale * 30
    # mean radius of the rolled plate's middle is 57
    exact = STEEL.density * SIZE[0] / 60 * 57.0 * SIZE[1] * SIZE[2]
    assert rolled.mass.sum() == pytest.approx(exact, rel=1e-5)
    assert rolled.volume * STEEL.density == pytest.approx(exact, rel=1e-5)
    push = inertia_force(rolled, np.array([0.0, 0.6, 0.8]), 9806.65).reshape(-1, 3).sum(axis=0)
    assert push == pytest.approx(exact * 9806.65 * np.array([0.0, 0.6, 0.8]), rel=1e-5)


def test_a_constant_strain_gives_its_stress_everywhere() -> None:
    body = elastic_body(block((2, 2, 1), SIZE), STEEL)
    strain = np.array([[1e-3, 2e-4, 0.0], [2e-4, -3e-4, 1e-4], [0.0, 1e-4, 5e-4]])
    lam, mu = STEEL.lame
    wanted = lam * np.trace(strain) * np.eye(3) + 2 * mu * strain
    found = stresses(body, (body.places @ strain.T).reshape(1, -1))[0]
    x, y, z, xy, yz, zx = found.T
    for values, (i, j) in zip((x, y, z, xy, yz, zx), ((0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (2, 0)), strict=True):
        assert values == pytest.approx(np.full(body.size, wanted[i, j]), abs=1e-9)


def test_equivalent_stress() -> None:
    """A pull counts as itself, shear as √3 times itself, pressure from all sides as nothing. Source: von Mises."""
    assert von_mises(np.array([[200.0, 0, 0, 0, 0, 0], [0, 0, 0, 100.0, 0, 0], [50.0, 50.0, 50.0, 0, 0, 0]])) == (
        pytest.approx([200.0, 100.0 * 3**0.5, 0.0], abs=1e-9)
    )


def test_outer_surface_is_closed(rolled: ElasticBody) -> None:
    """The outward vectors of a closed surface cancel, and carry its volume (divergence theorem)."""
    skin = face(rolled, lambda corners: np.ones(len(corners), dtype=bool))
    outward = skin.normals * skin.dx
    assert outward.sum(axis=(1, 2)) == pytest.approx(np.zeros(3), abs=1e-9)
    assert (outward * skin.global_coordinates()).sum() / 3 == pytest.approx(rolled.volume, rel=1e-4)
    inner = face(rolled, lambda c: (np.abs(np.hypot(c[..., 0], c[..., 2] - 60.0) - 54.0) < 1e-6).all(axis=-1))
    assert inner.dx.sum() == pytest.approx(SIZE[0] / 60 * 54.0 * SIZE[1], rel=1e-5)


def test_small_elements_far_from_the_axis_have_their_surface() -> None:
    """Half-millimetre elements a metre away: the library's own search for places in elements does not end there."""
    body = elastic_body(block((4, 4, 4), (2.0, 2.0, 2.0), lambda p: p + np.array([-700.0, 600.0, -300.0])), STEEL)
    assert float(face(body, lambda c: np.ones(len(c), dtype=bool)).dx.sum()) == pytest.approx(6 * 4.0)


def test_places_on_triangles_are_the_librarys(rolled: ElasticBody) -> None:
    """Where it finds them, by Newton's method, curved elements and all."""
    skin = face(rolled, lambda corners: np.ones(len(corners), dtype=bool))
    at = np.asarray(skin.global_coordinates())
    searched = rolled.basis.mapping.invF(at, tind=skin.tind)
    assert skin.mapping.invF(at, tind=skin.tind) == pytest.approx(searched, abs=1e-9)
