"""Meshes measured: a skew tetrahedron's moments and sections by closed forms, circles through plain outlines."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from wheelcad.checks.mesh import circle_crossings, extent_off, fitted_circle, mesh_moments, section_segments

Floats = np.ndarray[Any, np.dtype[np.float64]]
CORNERS = np.array([[1.0, -2.0, 0.5], [7.0, 1.5, 2.0], [-1.0, 6.0, 3.5], [3.0, 2.0, 11.0]])
FACES = ((0, 2, 1), (0, 1, 3), (1, 2, 3), (2, 0, 3))  # anticlockwise seen from outside


def tetrahedron(first: int = 0) -> Floats:
    """(4, 3, 3), each face from its `first` corner on."""
    return np.array([[CORNERS[face[(first + k) % 3]] for k in range(3)] for face in FACES])


@pytest.mark.parametrize("first", [0, 1, 2])
def test_moments_of_a_skew_tetrahedron(first: int) -> None:
    """Volume by its three edges; mean of a square over a tetrahedron: (sum of squares + square of the sum) / 20."""
    edges = CORNERS[1:] - CORNERS[0]
    volume = float(np.linalg.det(edges)) / 6
    found = mesh_moments(tetrahedron(first))
    assert volume > 40
    assert found.volume == pytest.approx(volume, rel=1e-12)
    assert found.first == pytest.approx(volume * CORNERS.mean(axis=0), rel=1e-12)
    squares = [(sum(v * v for v in CORNERS[:, k]) + sum(CORNERS[:, k]) ** 2) / 20 for k in (0, 1)]
    assert found.polar == pytest.approx(volume * sum(squares), rel=1e-12)


@pytest.mark.parametrize(
    ("low", "high", "off"),
    [
        ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), 0.0),
        ((0.3, -0.1, 0.0), (0.0, 0.2, 0.0), 0.3),
        ((0.1, -0.4, 0.2), (0.0, 0.0, 0.0), 0.4),
        ((0.0, 0.1, -0.5), (0.2, 0.0, 0.3), 0.5),
        ((0.1, 0.0, 0.0), (-0.6, 0.2, 0.0), 0.6),
        ((0.2, 0.0, 0.1), (0.0, 0.7, -0.3), 0.7),
        ((0.0, -0.2, 0.0), (0.1, 0.0, 0.8), 0.8),
    ],
)
def test_how_far_boxes_lie_apart(low: tuple[float, ...], high: tuple[float, ...], off: float) -> None:
    """One axis, at one end, is the worst."""
    box = np.array([[[2.0, -3.0, 5.0], [9.0, 4.0, 6.0]], [[9.0, -3.0, 8.0], [4.0, 4.0, 5.5]]])
    other = np.array([np.array([2.0, -3.0, 5.0]) + low, np.array([9.0, 4.0, 8.0]) + high, [6.0, 1.0, 7.0]])
    assert extent_off(box, other) == pytest.approx(off, abs=1e-12)
    assert extent_off(other, box) == pytest.approx(off, abs=1e-12)


def _cut(face: Floats, z: float) -> set[tuple[float, float]]:
    """Where a triangle's edges pass the height z."""
    found = set()
    for p, q in pairwise([*face, face[0]]):
        if (p[2] >= z) != (q[2] >= z):
            x, y = (np.interp(z, *zip(*sorted([(p[2], p[k]), (q[2], q[k])]), strict=True)) for k in (0, 1))
            found.add((round(float(x), 9), round(float(y), 9)))
    return found


@pytest.mark.parametrize("first", [0, 1, 2])
@pytest.mark.parametrize("z", [1.0, 2.0, 3.0, 3.5, 8.0])
def test_the_section_of_a_skew_tetrahedron(z: float, first: int) -> None:
    """With one, two and three corners under the plane, and with a corner just in it, which counts as above."""
    faces = tetrahedron(first)
    below = sum(corner[2] < z for corner in CORNERS)
    segments, normals = section_segments(faces, z)
    cut = [face for face in faces if len({corner[2] >= z for corner in face}) == 2]
    assert len(segments) == len(cut) == (4 if below == 2 else 3)
    for segment, normal, face in zip(segments, normals, cut, strict=True):
        assert {(round(x, 9), round(y, 9)) for x, y in segment.tolist()} == _cut(face, z)
        assert normal == pytest.approx(np.cross(face[1] - face[0], face[2] - face[0])[:2], rel=1e-12)


def test_a_corner_in_the_plane_is_above_it() -> None:
    """So that a face in the plane is cut where it is a body's lower one's, not its upper one's: each wall once."""
    z = CORNERS[3, 2]
    segments, _ = section_segments(tetrahedron(), z)
    assert segments == pytest.approx(np.broadcast_to(CORNERS[3, :2], (3, 2, 2)))
    assert len(section_segments(tetrahedron(), CORNERS[0, 2])[0]) == 0


# --- a circle of 5 mm through plain outlines --------------------------------------------------------------------------
def outline(*corners: tuple[float, float], scale: float = 1.0) -> tuple[Floats, Floats]:
    """Segments of a closed outline, anticlockwise, and normals out of it, each of its segment's length times scale."""
    segments = np.array(list(pairwise([*corners, corners[0]])))
    way = segments[:, 1] - segments[:, 0]
    return segments, scale * np.column_stack([way[:, 1], -way[:, 0]])


def degrees(x: float, y: float, sense: int) -> float:
    """From the TDC line, positive the way the crank turns."""
    return math.degrees(math.atan2(sense * x, y)) % 360.0


@pytest.mark.parametrize("scale", [1.0, 1e-3])
@pytest.mark.parametrize("sense", [1, -1])
@pytest.mark.parametrize(
    ("corners", "enters", "leaves"),  # going clockwise
    [
        (((4.0, 2.0), (4.0, 12.0), (-1.0, 12.0), (-1.0, 2.0)), [(-1.0, 24**0.5)], [(4.0, 3.0)]),
        (((20.0, -3.0), (20.0, 4.0), (2.0, 4.0), (2.0, -3.0)), [(3.0, 4.0)], [(4.0, -3.0)]),
        (((-2.0, -3.0), (-2.0, 4.0), (-20.0, 4.0), (-20.0, -3.0)), [(-4.0, -3.0)], [(-3.0, 4.0)]),
        (((1.0, 1.0), (7.0, 7.0), (1.0, 7.0)), [(1.0, 24**0.5)], [(12.5**0.5, 12.5**0.5)]),
        (((-1.0, -1.0), (-7.0, -7.0), (-1.0, -7.0)), [(-1.0, -(24**0.5))], [(-(12.5**0.5), -(12.5**0.5))]),
        (((-10.0, -9.0), (10.0, -9.0), (10.0, 3.0), (-10.0, 3.0)), [(4.0, 3.0)], [(-4.0, 3.0)]),  # a chord
        (((-9.0, -10.0), (4.0, -10.0), (4.0, 2.0), (-9.0, 2.0)), [(4.0, -3.0)], [(-(21**0.5), 2.0)]),  # stops short
        (((6.0, 24**0.5 - 5), (6.0, 24**0.5 + 5), (-4.0, 24**0.5 + 5)), [(1.0, 24**0.5)], [(24**0.5, 1.0)]),  # askew
        (((-0.02, 4.98), (0.02, 4.98), (0.02, 5.02), (-0.02, 5.02)), [(-0.02, 4.99996)], [(0.02, 4.99996)]),  # thin
        (((-3.0, -3.0), (3.0, -3.0), (3.0, 3.0), (-3.0, 3.0)), [], []),  # inside it
        (((-3.0, 6.0), (3.0, 6.0), (3.0, 9.0), (-3.0, 9.0)), [], []),  # beyond it
    ],
)
def test_where_a_circle_enters_and_leaves_metal(
    corners: tuple[tuple[float, float], ...],
    enters: list[tuple[float, float]],
    leaves: list[tuple[float, float]],
    sense: int,
    scale: float,
) -> None:
    """However long the normals are. For an engine that turns the other way both are exchanged."""
    found = circle_crossings(*outline(*corners, scale=scale), 5.0, sense)
    wanted = (enters, leaves) if sense == 1 else (leaves, enters)
    for angles, points in zip(found, wanted, strict=True):
        assert angles.tolist() == pytest.approx(sorted(degrees(x, y, sense) for x, y in points))


def test_a_needle_of_no_area_is_no_wall() -> None:
    """It has no normal, and so no side on which there is metal."""
    entering, leaving = circle_crossings(np.array([[[0.0, 0.0], [6.0, 8.0]]]), np.zeros((1, 2)), 5.0, 1)
    assert (len(entering), len(leaving)) == (0, 0)


@pytest.mark.parametrize(("start", "sweep"), [(0.0, 360.0), (20.0, 90.0), (200.0, 130.0)])
def test_a_circle_through_points_of_an_arc(start: float, sweep: float) -> None:
    turn = np.radians(start + sweep * np.arange(7) / 7)
    points = np.column_stack([3.0 + 2.5 * np.cos(turn), -4.0 + 2.5 * np.sin(turn)])
    assert fitted_circle(points) == pytest.approx((3.0, -4.0, 2.5))


def test_a_circle_among_points_that_lie_to_both_sides() -> None:
    """Four of an even cross, two by a tenth out and two in: of the squares' mean, by symmetry."""
    points = np.array([[8.2, 2.0], [2.1, 7.9], [-4.0, 2.0], [2.1, -3.9]])
    x, y, radius = fitted_circle(points)
    assert (x, y) == pytest.approx((2.1, 2.0))
    assert radius == pytest.approx(math.sqrt((6.1**2 + 5.9**2) / 2))
