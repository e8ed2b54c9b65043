"""A small block shaken slowly, with what it moves by made up: stresses, the nose's movement and modes by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from tests.checks.fem.blocks import block
from wheelcad.checks.fem import stiffness
from wheelcad.checks.fem.elastic import Elastic, ElasticBody, elastic_body
from wheelcad.checks.fem.model import FemError, Shake
from wheelcad.checks.fem.stiffness import Bolted

Floats = np.ndarray[Any, np.dtype[np.float64]]
LONG = 0.98765  # mm along x
STUFF = Elastic(200e3, 0.25, 7.85e-9)  # shear modulus 80 GPa


@pytest.fixture(scope="module")
def body() -> ElasticBody:
    return elastic_body(block((4, 1, 1), (LONG, 0.5, 0.4)), STUFF)


class Solver:
    """In place of the solver: displacements for each of the forces asked for."""

    def __init__(self, moved: Floats) -> None:
        self.moved, self.forces = moved, np.zeros(0)

    def displacements(self, forces: Floats) -> Floats:
        self.forces = forces
        return self.moved


def shaken(body: ElasticBody, by_mode: bool = True, keep_off: float = 0.1, stress: float = 0.05) -> Any:
    """Along x it is stretched the more the further out, to `stress` at its end; along y by a fifth of that all over;
    its first mode is sheared. Equivalent stress of stretching one way alone is twice the shear modulus times it."""
    x, y, z = body.places.T
    e, zero = stress / 160e3, 0.0 * x
    moved = np.array([[e * x**2 / 2 / LONG, zero, zero], [zero, e / 5 * y, zero]]).transpose(0, 2, 1).reshape(2, -1)
    shapes = np.array([[7 * e * y, zero, zero], [zero, zero, e * z]]).transpose(0, 2, 1).reshape(2, -1)
    hung = SimpleNamespace(
        inertia_force=lambda way, a: np.full(3 * body.size, 1e-9 * a * way[0]),
        tip_moves=lambda u: np.array([float(u @ u) * 1e9, 2.0, 3.0]), look=np.array([0.6, 0.0, 0.8]), mass=5e-10,
    )  # fmt: skip
    held = (np.flatnonzero(x < 1e-9),)
    solver = Solver(moved)
    bolted = cast(Bolted, SimpleNamespace(body=body, hung=hung, solver=solver, held=held))
    modes = cast(Any, SimpleNamespace(frequencies=np.array([50.0, 80.0]), shapes=shapes))
    shakes = (Shake("one", (2.0, 0.0, 0.0)), Shake("two", (0.0, 1.0, 0.0)))
    given = cast(Any, SimpleNamespace(shakes=shakes, thickness=keep_off))
    answers, at = stiffness._shaken(bolted, modes, given, by_mode)
    return answers, at, solver.forces, moved, shapes, hung


def test_stress_and_the_nose_s_movement(body: ElasticBody) -> None:
    (one, two), at, forces, moved, _, _ = shaken(body)
    assert (one.name, two.name, one.direction) == ("one", "two", (2.0, 0.0, 0.0))
    assert one.stress_mpa == pytest.approx(0.05, rel=1e-4)
    assert two.stress_mpa == pytest.approx(0.01, rel=1e-4)
    assert at[0] == 0.988  # to a thousandth of a millimetre, at its end
    # 10 g of all its mass along x, and the sensor's own
    whole = forces.reshape(2, -1, 3).sum(axis=1)
    mass = STUFF.density * LONG * 0.5 * 0.4
    assert whole[0] == pytest.approx(98066.5 * (np.array([mass, 0, 0]) + 1e-9 * body.size), rel=1e-6)
    assert whole[1] == pytest.approx([0.0, 98066.5 * mass, 0.0], rel=1e-6, abs=1e-12)
    x = float(moved[0] @ moved[0]) * 1e9
    towards = 0.6 * x + 0.8 * 3.0
    assert one.gap_change_mm == pytest.approx(-towards, rel=1e-4)
    assert one.sideways_mm == pytest.approx((x - 0.6 * towards, 2.0, 3.0 - 0.8 * towards), rel=1e-3)


def test_each_mode_s_part(body: ElasticBody) -> None:
    """Its own highest stress, 7·sqrt(3)/2 of what stretching has, times how far the shake drives it at 50 Hz; and its
    share of all the mass that swings."""
    (one, _), _, forces, _, shapes, _ = shaken(body)
    driven = float(shapes[0] @ forces[0])
    own = math.sqrt(3) * 7 * 0.05 / 2
    assert len(one.modes) == 2
    assert one.modes[0].stress_mpa == pytest.approx(own * abs(driven) / (100 * math.pi) ** 2, rel=1e-3, abs=0)
    mass = STUFF.density * LONG * 0.5 * 0.4 + 5e-10
    assert one.modes[0].load == pytest.approx((driven / 98066.5) ** 2 / mass, rel=1e-3, abs=0)
    assert [answer.modes for answer in shaken(body, by_mode=False)[0]] == [(), ()]


def test_stress_near_the_clamps_does_not_count(body: ElasticBody) -> None:
    with pytest.raises(FemError, match="clamped all over"):
        shaken(body, keep_off=9.0)


def test_nodes_under_all_rings_are_held_in_every_direction(monkeypatch: pytest.MonkeyPatch) -> None:
    rings = {"a": np.array([1, 2]), "b": np.array([2, 4])}
    monkeypatch.setattr(stiffness, "ring_nodes", lambda body, ring: rings[ring])
    monkeypatch.setattr(stiffness, "Solver", lambda body, fixed, attached: (fixed.tolist(), attached))
    hanging = SimpleNamespace(body=SimpleNamespace(size=5), hung=SimpleNamespace(attached="sensor"))
    made = stiffness.clamped(cast(Any, hanging), cast(Any, ["a", "b"]))
    fixed, attached = cast(Any, made.solver)
    assert [n for n, held in enumerate(fixed) if held] == [3, 4, 5, 6, 7, 8, 12, 13, 14]
    assert (len(fixed), attached) == (15, "sensor")
