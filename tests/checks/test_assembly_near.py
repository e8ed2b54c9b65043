"""How the nearest point of a mesh to what turns is found: against a search of its own, and without looking all over."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.optimize import minimize

from wheelcad.arrays import Floats
from wheelcad.checks import assembly
from wheelcad.checks.assembly import Envelope

PULLEY = Envelope(np.array([-10.0, 4.0]), np.array([4.0, 9.0]), np.array([60.0, 35.0]))


def to_cylinder(point: Floats, low: float, high: float, reach: float) -> float:
    """Distance of one point to a cylinder about z, mm."""
    beside = max(0.0, math.sqrt(point[0] ** 2 + point[1] ** 2) - reach)
    return math.sqrt(beside**2 + max(0.0, point[2] - high, low - point[2]) ** 2)


def nearest(triangle: Floats, slices: Envelope) -> float:
    """The least distance of a triangle's points to the slices, each searched by SLSQP from its middle and corners."""
    found = math.inf
    for low, high, reach in zip(slices.z_low, slices.z_high, slices.radius, strict=True):

        def away(share: Floats, sizes: tuple[float, float, float] = (low, high, reach)) -> float:
            return to_cylinder(share @ triangle, *sizes)

        for start in (np.full(3, 1 / 3), *np.eye(3)):
            whole: Any = {"type": "eq", "fun": lambda share: share.sum() - 1.0}
            said = minimize(away, start, bounds=[(0.0, 1.0)] * 3, constraints=whole, method="SLSQP")
            found = min(found, away(start), away(np.clip(said.x, 0, 1) / np.clip(said.x, 0, 1).sum()))
    return found


def chance(count: int, seed: int) -> Floats:
    """Triangles of all sizes about the pulley; some lie in it."""
    rng = np.random.default_rng(seed)
    sizes = rng.choice([0.4, 3.0, 30.0, 120.0], count)
    shapes = rng.uniform(-1, 1, (count, 3, 3)) * sizes[:, None, None]
    return np.asarray(shapes + rng.uniform(-90, 90, (count, 1, 3)), dtype=float)


def test_no_point_of_a_triangle_is_nearer_than_its_tangents_say() -> None:
    triangles = chance(60, 3)
    least = assembly._least_on(triangles, PULLEY)
    found = np.array([nearest(triangle, PULLEY) for triangle in triangles])
    assert (least <= found + 1e-6).all()
    small = np.ptp(triangles, axis=1).max(axis=1) < 1.0  # a small one is nearly as far everywhere
    assert small.sum() > 5
    assert least[small] == pytest.approx(found[small], abs=0.05)


def test_the_least_distance_is_what_another_search_finds() -> None:
    for triangle in chance(60, 4):
        found = assembly.least_room(triangle[None], PULLEY)
        assert found == pytest.approx(nearest(triangle, PULLEY), abs=assembly.SPACING / 2)


RING = Envelope(np.array([-1.0]), np.array([1.0]), np.array([10.0]))
BESIDE = 16 - 10  # of a side across the way to the axis, at its middle
ENDS = math.hypot(16, 8) - 10  # of its ends


@pytest.mark.parametrize(
    ("corners", "least"),
    [
        ([(0, 0, 5), (4, 0, 5), (0, 4, 7)], 4.0),  # before the face the distance is z - 1
        ([(0, 0, -5), (4, 0, -5), (0, 4, -7)], 4.0),
        ([(16, 0, 0.5), (16, 0, -0.5), (20, 0, 0)], 6.0),  # along a ray from the axis r - 10
        ([(13, 0, 5), (16, 0, 9), (19, 0, 13)], 5.0),  # along a ray from the edge 5, 10, 15
        ([(10.5, 0, 0), (10.5, 0, 0.5), (10.9, 0, 0)], 0.5),
        ([(0, 0, 1.5), (3, 0, 1.5), (0, 4, 1.9)], 0.5),
        ([(3, 4, 0), (0, 30, 0), (0, 30, 3)], 0.0),  # in the metal
        ([(16, 8, 0), (16, -8, 0), (20, 0, 0)], BESIDE),  # its third corner's tangent alone is true
        # the ends' own falls by (16, 8) / 17.9 times the 16 mm to the other: far too low, and never too high
        ([(16, 8, 0), (16, -8, 0), (16, 8, 0.5)], ENDS - 8 * 16 / math.hypot(16, 8)),
    ],
)
def test_tangents_by_hand(corners: list[tuple[float, float, float]], least: float) -> None:
    for turn in range(3):
        triangle = np.array([np.roll(corners, turn, axis=0)], dtype=float)
        assert assembly._least_on(triangle, RING) == pytest.approx([least], abs=1e-9)


def test_of_two_slices_the_nearer_counts() -> None:
    flat = np.array(
        [[(50.0, 0.0, 5.0), (40.0, 0.0, 5.0), (40.0, 5.0, 5.0)], [(0.0, 0.0, 20.0), (5, 0, 20), (0, 5, 20)]]
    )
    assert assembly._least_on(flat, PULLEY) == pytest.approx([1.0, 11.0], abs=1e-9)


@pytest.mark.parametrize(("below", "found"), [(10.0005, 10.0005), (10.001, 10.001), (10.00105, 10.0)])
def test_a_thousandth_nearer_is_not_looked_for(below: float, found: float) -> None:
    """The middle of a side of 80 mm across the way to the axis is 10 mm from a ring of 10 mm radius."""
    flat = np.array([[(20.0, -40.0, 0.0), (20.0, 40.0, 0.0), (40.0, 0.0, 0.0)]])
    assert assembly.least_room(flat, RING, below) == pytest.approx(found, abs=1e-9)


def test_a_plate_along_a_face_is_not_looked_at_all_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plate of 400 by 300 mm, 7 mm before a disc of 100 mm radius: all of it that faces the disc is as near. Split to
    the end it was half a million points."""
    looked = []
    distances = assembly._distances

    def counted(points: Floats, slices: Envelope) -> Floats:
        looked.append(len(points))
        return distances(points, slices)

    monkeypatch.setattr(assembly, "_distances", counted)
    a, b, c, d = (-90.0, -60.0, 8.0), (310.0, -60.0, 8.0), (310.0, 240.0, 8.0), (-90.0, 240.0, 8.0)
    disc = Envelope(np.array([-1.0]), np.array([1.0]), np.array([100.0]))
    assert assembly.least_room(np.array([[a, b, c], [a, c, d]]), disc) == 7.0
    assert sum(looked) < 500
