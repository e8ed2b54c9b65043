"""Closed or not, and how many bodies: ours against trimesh, on whole and on spoilt meshes."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from wheelcad.checks.sections import NEAR, away_from
from wheelcad.checks.topology import topology

Floats = NDArray[np.float64]

BALL = np.array(trimesh.creation.icosphere(3, 10.0).triangles)
RING = np.array(trimesh.creation.annulus(5, 9, 4, sections=40).triangles)
BOX = np.array(trimesh.creation.box((4, 5, 6)).triangles)


def spoilt(seed: int) -> Floats:
    """Some bodies, then a fault or two: a triangle lost, doubled, turned over, flattened, or a corner moved."""
    random = np.random.default_rng(seed)
    bodies = [
        (BALL, RING, BOX)[k] + 30.0 * place for place, k in enumerate(random.integers(0, 3, random.integers(1, 4)))
    ]
    out = np.concatenate(bodies)
    for _ in range(random.integers(0, 3)):
        k = int(random.integers(len(out)))
        what = int(random.integers(5))
        if what == 0:
            out = np.delete(out, k, axis=0)
        elif what == 1:
            out = np.concatenate([out, out[k : k + 1]])
        elif what == 2:
            out[k] = out[k, ::-1]
        elif what == 3:
            out[k, 1] = out[k, 0]
        else:
            out[k, 0] += 1e-4
    return out[random.permutation(len(out))]


@pytest.mark.parametrize("seed", range(60))
def test_as_trimesh_sees_it(seed: int) -> None:
    triangles = spoilt(seed)
    theirs = trimesh.Trimesh(triangles.reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3), process=False)
    theirs.merge_vertices()
    ours = topology(triangles)
    assert ours.watertight == theirs.is_watertight
    assert ours.closed == (theirs.is_watertight and theirs.is_winding_consistent)
    if ours.watertight:
        assert ours.bodies == theirs.body_count


def test_bodies_that_touch_in_a_corner_are_two_and_a_long_tube_is_one() -> None:
    assert topology(np.concatenate([BOX, BOX + np.array([4, 5, 6])])).bodies == 2
    rings = np.array([[[x, y, z] for x, y in ((0, 0), (1, 0), (0, 1))] for z in range(3000)], dtype=float)
    low, high, turn = rings[:-1], rings[1:], [1, 2, 0]
    tube = np.stack([low, low[:, turn], high, high, low[:, turn], high[:, turn]], axis=2).reshape(-1, 3, 3)
    tube = tube[np.random.default_rng(1).permutation(len(tube))]
    found = topology(tube)
    assert (found.watertight, found.consistent, found.bodies) == (False, True, 1)  # open at both ends
    assert topology(np.zeros((0, 3, 3))).bodies == 0


def test_distance_from_pieces_is_the_least_of_all() -> None:
    """Points near and far, pieces long, short and of no length: as by trying every piece."""
    random = np.random.default_rng(5)
    pieces = random.normal(0, 20, (200, 1, 2)) + random.normal(0, 1, (200, 2, 2)) * random.choice(
        [0, 1e-3, 1, 30], (200, 1, 1)
    )
    on = pieces[:, 0] + random.random((200, 1)) * (pieces[:, 1] - pieces[:, 0])
    points = np.concatenate([on, on + random.normal(0, NEAR, on.shape), random.normal(0, 40, (300, 2))])
    start, along = pieces[:, 0], pieces[:, 1] - pieces[:, 0]
    share = np.einsum("pkx,kx->pk", points[:, None] - start, along) / np.maximum((along**2).sum(axis=1), 1e-300)
    nearest = start + np.clip(share, 0, 1)[:, :, None] * along
    least = np.linalg.norm(points[:, None] - nearest, axis=2).min(axis=1)
    assert np.abs(away_from(points, pieces) - least).max() < 1e-9
    assert (away_from(points, pieces[:0]) == np.inf).all()
