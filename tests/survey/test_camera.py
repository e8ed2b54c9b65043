"""The camera against a projector written apart from it, and the bundle's exact changes against small steps."""

from __future__ import annotations

import numpy as np
import pytest

from tests.survey.scene import Lens, look_at
from wheelcad.survey.bundle import Bundle
from wheelcad.survey.camera import Camera, project, turned
from wheelcad.survey.unknowns import Corners, PhotoSetting, PhotoState, slots_of


def test_points_appear_where_another_projector_puts_them() -> None:
    rng = np.random.default_rng(0)
    lens = Lens(3100.0, 0.06, -0.02, (2010.0, 1490.0), (4000, 3000))
    turn, shift = look_at(np.array([200.0, -150.0, 450.0]), np.zeros(3), 7.0)
    points = rng.uniform(-120, 120, (50, 3))
    camera = Camera(lens.focal, lens.k1, lens.k2, lens.middle, turn, shift)
    assert np.allclose(project(points, camera), lens.see(points @ turn.T + shift), atol=1e-9)
    assert camera.place_mm == pytest.approx([200.0, -150.0, 450.0])


def test_the_camera_agrees_with_the_picture_library() -> None:
    cv2 = pytest.importorskip("cv2")
    turn, shift = look_at(np.array([100.0, 60.0, 500.0]), np.zeros(3), -12.0)
    points = np.random.default_rng(1).uniform(-100, 100, (40, 3))
    matrix = np.array([[2800.0, 0, 2000.0], [0, 2800.0, 1500.0], [0, 0, 1]])
    theirs, _ = cv2.projectPoints(points, cv2.Rodrigues(turn)[0], shift, matrix, np.array([0.05, 0.01, 0.0, 0.0]))
    ours = project(points, Camera(2800.0, 0.05, 0.01, (2000.0, 1500.0), turn, shift))
    assert np.allclose(ours, theirs.reshape(-1, 2), atol=1e-6)


def test_what_lies_behind_the_camera_does_not_appear() -> None:
    camera = Camera(1000.0, 0.0, 0.0, (500.0, 500.0), np.eye(3), np.zeros(3))
    assert np.isnan(project(np.array([0.0, 0.0, -10.0]), camera)).all()


def test_turns_are_rotations_and_small_changes_rotate_on_top() -> None:
    rng = np.random.default_rng(2)
    turns = np.concatenate([rng.normal(size=(6, 3)), np.zeros((1, 3)), rng.normal(size=(1, 3)) * 1e-7])
    rotation, lean = turned(turns)
    assert np.allclose(rotation @ rotation.transpose(0, 2, 1), np.eye(3), atol=1e-12)
    step = rng.normal(size=turns.shape) * 1e-6
    after, _ = turned(turns + step)
    small, _ = turned(np.einsum("nij,nj->ni", lean, step))
    assert np.allclose(after, small @ rotation, atol=1e-11)


def test_every_change_of_every_residual_is_exact() -> None:
    rng = np.random.default_rng(3)
    pictures, cards, count = 3, 2, 60
    seen = Corners(
        rng.integers(0, pictures, count),
        rng.integers(0, cards + 1, count),
        rng.integers(0, 5, count),
        rng.uniform(-80, 80, (count, 2)),
        rng.uniform(0, 3000, (count, 2)),
    )
    sizes = np.array([[4000.0, 3000.0]] * 2 + [[3000.0, 4000.0]])
    setting = PhotoSetting(sizes, np.zeros(pictures, int), np.array([0, 0, 1]), np.array([0, 0.3, 1.0]))
    state = PhotoState(
        focal=np.array([8.1]),
        bend=np.array([[0.05, -0.02]]),
        middle=rng.normal(size=(2, 2)) * 0.005,
        focus=rng.normal(size=pictures) * 0.003,
        camera_turn=turned(rng.normal(size=(pictures, 3)) * 0.3)[0],
        camera_shift=np.array([[0.0, 0.0, 600.0]] * pictures),
        card_turn=turned(rng.normal(size=(cards, 3)) * 0.3)[0],
        card_shift=rng.normal(size=(cards, 3)) * 50,
        card_size=rng.normal(size=cards) * 0.01,
        scale=np.array([0.01, -0.02]),
        lift=rng.normal(size=5),
        bow=rng.normal(size=cards + 1) * 0.1,
    )
    bundle = Bundle(seen, setting, state, 0.3)
    row = state.vector() + rng.normal(size=slots_of(state).count) * 1e-2
    exact = bundle.jacobian(row)
    for k in range(len(row)):
        step = np.zeros(len(row))
        step[k] = 1e-6
        change = (bundle.residuals(row + step) - bundle.residuals(row - step)) / 2e-6
        assert np.allclose(exact[:, k], change, rtol=1e-5, atol=1e-4 * (1 + np.abs(change).max() * 1e-3))
