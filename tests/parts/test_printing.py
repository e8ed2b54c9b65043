"""The gauge's mesh on its way to the printer, on small meshes by hand: no kernel needed."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from tests.parts.gauge_files import gauge_of
from tests.parts.gauge_jobs import job_of, turned
from wheelcad.arrays import Floats
from wheelcad.files.stl import write_triangles
from wheelcad.files.threemf import read_3mf
from wheelcad.parts.gauge.cover import PrintHole
from wheelcad.parts.gauge.joints import Joints
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.printing import as_printed, opened_holes, pieces_of, write_gauge_3mf

BED = {"rotary_table": {"ratio": 40}, "printer": {"bed": [220.0, 200.0], "nozzle": 0.4}}


def tube(x: float, y: float, radius: float, angles_deg: list[float]) -> Floats:
    """The wall of a hole from z = 0 to 3 with its corners at these angles, two triangles a flat."""
    ring = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in np.radians(angles_deg).tolist()]
    flats = [*pairwise(ring), (ring[-1], ring[0])]
    return np.array([row for (a, b) in flats for row in (((*a, 0), (*b, 0), (*a, 3)), ((*b, 0), (*b, 3), (*a, 3)))])


def box(low: tuple[float, float, float], high: tuple[float, float, float]) -> Floats:
    """Two opposite faces of a box, joined by one triangle."""
    (a, b, c), (d, e, f) = low, high
    lower = [[(a, b, c), (d, b, c), (d, e, c)], [(a, b, c), (d, e, c), (a, e, c)]]
    upper = [[(a, b, f), (d, b, f), (d, e, f)], [(a, b, f), (d, e, f), (a, e, f)]]
    return np.array([*lower, *upper, [(a, b, c), (d, b, c), (a, b, f)]], dtype=float)


@pytest.mark.parametrize("corners", [3, 8, 24])
def test_the_flats_of_a_hole_touch_its_circle(corners: int) -> None:
    angles = [360 * k / corners for k in range(corners)]
    mesh = np.concatenate([tube(10, -4, 3.0, angles), tube(-20, 7, 2.0, angles), tube(10, -4, 3.5, angles)])
    out = opened_holes(mesh, [PrintHole(10.0, -4.0, 3.0), PrintHole(-20.0, 7.0, 2.0)])
    size = len(mesh) // 3
    for part, x, y, radius in ((out[:size], 10, -4, 3.0), (out[size : 2 * size], -20, 7, 2.0)):
        reach = np.hypot(part[:, :, 0] - x, part[:, :, 1] - y)
        assert reach == pytest.approx(np.full(reach.shape, radius / math.cos(math.pi / corners)), abs=1e-7)
    assert (out[2 * size :] == mesh[2 * size :]).all()  # half a millimetre off the circle is another wall
    assert (out[:, :, 2] == mesh[:, :, 2]).all()
    for k, (x, y) in enumerate(((10, -4), (-20, 7))):  # straight outwards
        was, now = (rows[k * size : (k + 1) * size, :, :2] - [x, y] for rows in (mesh, out))
        assert (was * now).sum(axis=-1) == pytest.approx(np.hypot(*was.T).T * np.hypot(*now.T).T)


def test_of_uneven_flats_the_widest_counts() -> None:
    angles = [10.0, 40.0, 90.0, 170.0, 250.0, 310.0]  # 80 degrees are the widest
    out = opened_holes(tube(0, 0, 5.0, angles), [PrintHole(0.0, 0.0, 5.0)])
    assert np.hypot(out[:, :, 0], out[:, :, 1]).min() == pytest.approx(5 / math.cos(math.radians(40)))
    angles = [30.0, 100.0, 170.0, 240.0]  # and 150 where the last meets the first
    out = opened_holes(tube(0, 0, 5.0, angles), [PrintHole(0.0, 0.0, 5.0)])
    assert np.hypot(out[:, :, 0], out[:, :, 1]).min() == pytest.approx(5 / math.cos(math.radians(75)))
    angles = [-100.0, -30.0, 30.0, 100.0]  # 160 across the negative x axis
    out = opened_holes(tube(0, 0, 5.0, angles), [PrintHole(0.0, 0.0, 5.0)])
    assert np.hypot(out[:, :, 0], out[:, :, 1]).min() == pytest.approx(5 / math.cos(math.radians(80)))


@pytest.mark.parametrize(("off", "own"), [(0.00095, True), (0.00105, False)])
def test_corners_within_a_thousandth_of_a_circle_are_its_own(off: float, own: bool) -> None:
    mesh, holes = tube(0, 0, 5.0 + off, [0, 90, 180, 270]), [PrintHole(0.0, 0.0, 5.0)]
    if own:
        assert not np.allclose(opened_holes(mesh, holes), mesh)
    else:
        with pytest.raises(ValueError, match="a bolt hole is missing"):
            opened_holes(mesh, holes)


def test_a_hole_that_the_mesh_does_not_have() -> None:
    with pytest.raises(ValueError, match="a bolt hole is missing"):
        opened_holes(tube(0, 0, 5.0, [0, 90, 180, 270]), [PrintHole(0.0, 0.0, 4.9)])
    with pytest.raises(ValueError, match="a bolt hole is missing"):
        opened_holes(tube(0, 0, 5.0, [0, 180]), [PrintHole(0.0, 0.0, 5.0)])


def test_pieces_are_told_apart_and_come_in_the_order_of_their_angles() -> None:
    corners = [(10, 10), (-20, 10), (-20, -20), (10, -20)]
    boxes = [box((x, y, 0), (x + 10, y + 10, 3)) for x, y in corners]
    found = pieces_of(np.concatenate([boxes[1], boxes[0], boxes[2], boxes[3]]))
    middles = [part.reshape(-1, 3).mean(axis=0)[:2] for part in found]
    assert [len(part) for part in found] == [5, 5, 5, 5]
    assert [(x > 0, y > 0) for x, y in middles] == [(False, False), (True, False), (True, True), (False, True)]


@cache
def whole_gauge() -> GaugeDesign:
    return gauge_of(job_of(**turned(shop=BED)))


def gauge(bed: tuple[float, float] | None, shrinkage: float = 0.0) -> GaugeDesign:
    return replace(whole_gauge(), bed=bed, shrinkage=shrinkage)


def test_it_is_laid_face_down_in_the_middle_of_the_bed() -> None:
    made = gauge((220.0, 200.0), shrinkage=0.02)
    front = made.body.z_front
    laid = as_printed(made, box((10, 20, front - 4), (60, 50, front)))
    assert len(laid) == 1
    low, high = laid[0].reshape(-1, 3).min(axis=0), laid[0].reshape(-1, 3).max(axis=0)
    assert (low + high)[:2] / 2 == pytest.approx([110, 100])
    assert high - low == pytest.approx([50 / 0.98, 30 / 0.98, 4])
    assert low[2] == pytest.approx(0)
    # turned over about X: what was in front lies below, and what was left stays left
    joint = laid[0][4]  # left lower corner, right lower corner, left upper corner of the wheel frame's far side
    assert joint[1, 0] > joint[0, 0]
    assert joint[0, 2] == pytest.approx(4)
    assert joint[2, 2] == pytest.approx(0)


def test_without_a_printer_it_lies_about_the_origin() -> None:
    made = gauge(None)
    front = made.body.z_front
    (laid,) = as_printed(made, box((10, 20, front - 4), (60, 50, front)))
    low, high = laid.reshape(-1, 3).min(axis=0), laid.reshape(-1, 3).max(axis=0)
    assert (low + high) / 2 == pytest.approx([0, 0, 2])


@pytest.mark.parametrize(("long", "turn"), [(204.0, 0), (203.9, 0), (210.0, 48), (180.0, 0)])
def test_it_is_turned_by_the_least_that_lets_it_fit(long: float, turn: int) -> None:
    """A bed of 220 leaves 204 after its margins of 8; a stick of 210 x 1 fits first at some whole step of 3 degrees:
    210·cos + 1·sin <= 204 asks for 15, by hand."""
    made = gauge((220.0, 220.0))
    front = made.body.z_front
    (laid,) = as_printed(made, box((0, 0, front - 4), (long, 1, front)))
    across = laid[0][1] - laid[0][0]
    turned_by = math.degrees(math.atan2(across[1], across[0]))
    expected = next(
        step for step in range(0, 180, 3)
        if all(long * abs(f(math.radians(step))) + abs(g(math.radians(step))) <= 204 + 1e-9
               for f, g in ((math.cos, math.sin), (math.sin, math.cos)))
    )  # fmt: skip
    assert turned_by % 180 == pytest.approx(expected)
    assert (expected == 0) == (turn == 0)


@pytest.mark.parametrize(
    ("x", "y", "turned_at_all"), [(50, 84, False), (50, 84.1, True), (150, 20, False), (20, 150, True)]
)
def test_a_piece_that_just_fits_as_it_lies_is_not_turned(x: float, y: float, turned_at_all: bool) -> None:
    """A bed of 220 x 100 has 204 x 84."""
    (laid,) = as_printed(gauge((220.0, 100.0)), box((0, 0, -4), (x, y, 0)))
    assert (abs(float(np.ptp(laid[:, :, 0])) - x) > 1e-6) is turned_at_all


def test_a_turned_piece_keeps_its_shape() -> None:
    """A triangle of 210 and 30 at a right angle, too long for 204 as it lies."""
    corners = np.array([[[0.0, 0.0, 0.0], [210.0, 0.0, 0.0], [0.0, -30.0, -2.0]]])
    (laid,) = as_printed(gauge((220.0, 220.0)), corners)
    a, b, c = laid[0]
    assert [math.dist(a, b), math.dist(a, c), math.dist(b, c)] == pytest.approx(
        [210.0, math.hypot(30, 2), math.hypot(210, 30, 2)]
    )
    assert np.ptp(laid[:, :, 0]) < 204.0
    (u, v), (s, t) = (b - a)[:2], (c - a)[:2]
    assert u * t - v * s == pytest.approx(210.0 * 30.0)  # and is not mirrored


def test_what_a_slicer_opens_is_the_mesh_laid_down(tmp_path: Path) -> None:
    made = gauge((220.0, 200.0))
    front = made.body.z_front
    a, b, c, d = (10, 20, front - 4), (60, 20, front - 4), (10, 50, front - 4), (10, 20, front)
    write_triangles(tmp_path / "gauge.stl", np.array([[a, c, b], [a, b, d], [a, d, c], [b, c, d]]))
    write_gauge_3mf(tmp_path, made, "a gauge")
    unit, (piece,) = read_3mf(tmp_path / "gauge.3mf")
    assert (unit, piece.name) == ("MilliMeter", "gauge")
    corners = piece.triangles.reshape(-1, 3)
    assert corners.min(axis=0) == pytest.approx([110 - 25, 100 - 15, 0], abs=1e-4)
    assert corners.max(axis=0) == pytest.approx([110 + 25, 100 + 15, 4], abs=1e-4)


def test_what_fits_in_no_way_is_left_as_it_is() -> None:
    made = gauge((100.0, 60.0))
    front = made.body.z_front
    (laid,) = as_printed(made, box((0, 0, front - 4), (300, 100, front)))
    low, high = laid.reshape(-1, 3).min(axis=0), laid.reshape(-1, 3).max(axis=0)
    assert high - low == pytest.approx([300, 100, 4])
    assert (low + high)[:2] / 2 == pytest.approx([50, 30])


def test_pieces_stand_side_by_side() -> None:
    whole = gauge((220.0, 200.0))
    made = replace(whole, body=replace(whole.body, joints=Joints((0.0, 180.0), (), 2)))
    front = made.body.z_front
    boxes = [box((10, 10, front - 3), (20, 20, front)), box((-30, 10, front - 3), (-10, 20, front))]
    first, second = as_printed(made, np.concatenate(boxes))
    lows, highs = zip(
        *((p.reshape(-1, 3).min(axis=0), p.reshape(-1, 3).max(axis=0)) for p in (first, second)), strict=True
    )
    assert (lows[0] + highs[0])[:2] / 2 == pytest.approx([110, 100])
    assert lows[1][0] - highs[0][0] == pytest.approx(10.0)
    assert [low[2] for low in lows] == pytest.approx([0.0, 0.0])
    assert (lows[1] + highs[1])[1] / 2 == pytest.approx(100)
