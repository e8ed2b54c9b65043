"""The sensor as a rigid body on its hole: motions and inertia by hand."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from tests.checks.fem.blocks import plate_step, round_hole
from wheelcad.checks.fem.elastic import Elastic, ElasticBody, elastic_body
from wheelcad.checks.fem.mesh import Fineness, mesh_step
from wheelcad.checks.fem.model import FemError, RigidSensor, TabWall
from wheelcad.checks.fem.sensor import Hung, hang, wall_surface
from wheelcad.trade.loop import Loop
from wheelcad.trade.materials import material

STEEL = Elastic.of(material("mild-steel"))
WALL = TabWall((20.0, 3.0, 0.0), (20.0, 3.0, 5.0), 12.0)
ROD = RigidSensor(0.08, (20.0, 3.0, 31.0), (0.0, 0.0, 1.0), 40.0, 12.0)


@pytest.fixture(scope="module")
def body(tmp_path_factory: pytest.TempPathFactory) -> ElasticBody:
    path = plate_step(tmp_path_factory.mktemp("p") / "p.step", 40, 30, 5, [round_hole(20, 3, 12)])
    return elastic_body(mesh_step(path, [], Fineness(6.0, 12)), STEEL)


@pytest.fixture(scope="module")
def hung(body: ElasticBody) -> Hung:
    return hang(body, WALL, ROD)


def rigid(body: ElasticBody, shift: tuple[float, ...], turn: tuple[float, ...]) -> np.ndarray:
    """(3n,) a small rigid motion: shift plus a turn about the origin."""
    return np.asarray(np.array(shift) + np.cross(turn, body.places)).ravel()


def test_rigid_motions_reach_tip_and_wall_unchanged(body: ElasticBody, hung: Hung) -> None:
    assert hung.centre == pytest.approx([20.0, 3.0, 2.5], abs=1e-6)
    for shift, turn in (((1, 2, 3), (0, 0, 0)), ((0, 0, 0), (1, 0, 0)), ((0.5, 0, -1), (0.2, -0.3, 0.7))):
        moved = rigid(body, shift, turn)
        wanted = np.array(shift) + np.cross(turn, hung.centre)
        assert hung.attached.motion @ moved == pytest.approx(np.concatenate([wanted, turn]), abs=1e-6)
        assert hung.tip_moves(moved) == pytest.approx(np.array(shift) + np.cross(turn, ROD.tip), abs=1e-6)


def test_kinetic_energy_is_that_of_a_rod(body: ElasticBody, hung: Hung) -> None:
    """½·m·v² of its centre plus its own turning: m(l²/12 + d²/16) across, m·d²/8 about its axis. Source: mechanics."""
    mass, middle = 0.08e-3, np.array([20.0, 3.0, 11.0])
    across, along = mass * (40.0**2 / 12 + 12.0**2 / 16), mass * 12.0**2 / 8
    for shift, turn in (((1, 0, 0), (0, 0, 0)), ((0, 0, 0), (0, 1, 0)), ((0, 0, 0), (0, 0, 1)), ((1, 2, 0), (1, 1, 1))):
        motion = hung.attached.motion @ rigid(body, shift, turn)
        speed = np.array(shift) + np.cross(turn, middle)
        own = across * (turn[0] ** 2 + turn[1] ** 2) + along * turn[2] ** 2
        assert motion @ hung.attached.inertia @ motion == pytest.approx(mass * speed @ speed + own, rel=1e-6)


def test_inertia_force_has_its_size_and_its_lever(body: ElasticBody, hung: Hung) -> None:
    force = hung.inertia_force(np.array([1.0, 0.0, 0.0]), 98066.5).reshape(-1, 3)
    push = 0.08e-3 * 98066.5
    assert force.sum(axis=0) == pytest.approx([push, 0.0, 0.0], abs=1e-6)
    moment = np.cross(body.places, force).sum(axis=0)
    assert moment == pytest.approx(np.cross([20.0, 3.0, 11.0], [push, 0.0, 0.0]), abs=1e-4)


@pytest.mark.parametrize(
    "wrong",
    [
        TabWall((21.0, 3.0, 0.0), (21.0, 3.0, 5.0), 12.0),
        TabWall((20.0, 3.0, 0.0), (20.0, 3.0, 5.0), 11.0),
        TabWall((20.0, 3.0, 0.0), (20.0, 3.0, 8.0), 12.0),
    ],
)
def test_a_hole_that_is_not_there_is_noticed(body: ElasticBody, wrong: TabWall) -> None:
    with pytest.raises(FemError, match="hole"):
        hang(body, wrong, ROD)


def test_a_slot_carries_the_sensor_on_all_of_its_wall(tmp_path: Path) -> None:
    slot = Loop.slot(17, 0, 23, 0, 10)
    body = elastic_body(mesh_step(plate_step(tmp_path / "s.step", 40, 30, 5, [slot]), [], Fineness(6.0, 12)), STEEL)
    wall = TabWall((20.0, 0.0, 0.0), (20.0, 0.0, 5.0), 10.0, (6.0, 0.0, 0.0))
    assert wall_surface(body, wall).dx.sum() == pytest.approx(5 * (math.pi * 10 + 12), rel=1e-4)
