"""The balance design against published rules and independent arithmetic."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.conftest import plate_job
from wheelcad.files.brep import drill, figures
from wheelcad.parts.balance.alternatives import arc_slot_half_deg, arc_slot_moment
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.common.holes import CorrectionHole, taken_out
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.trade.unbalance import annular_sector, centrifugal_n, two_planes


def test_dynamic_balance_of_three_masses() -> None:
    # Source: Norton, Design of Machinery, example of dynamic balance, from memory: 1.2 kg at 1.135 m and 113.4 deg,
    # 1.8 kg at 0.822 m and 48.8 deg, 2.4 kg at 1.04 m and 251.4 deg, 0.854, 1.701 and 2.396 m from plane A; plane B
    # 3.097 m from A. Printed there: mR 0.904 kg.m at 75.5 deg in B (a last digit of rounding), 0.882 kg.m in A.
    size = np.array([1.2 * 1.135, 1.8 * 0.822, 2.4 * 1.04])
    angle = np.radians([113.4, 48.8, 251.4])
    vectors = np.column_stack([size * np.cos(angle), size * np.sin(angle)])
    planes = -two_planes(vectors, np.array([0.854, 1.701, 2.396]), 0.0, 3.097)
    assert np.hypot(*planes[1]) == pytest.approx(0.904, abs=0.002)
    assert np.degrees(np.arctan2(planes[1][1], planes[1][0])) == pytest.approx(75.4, abs=0.3)
    assert np.hypot(*planes[0]) == pytest.approx(0.882, abs=0.002)


def test_two_planes_as_a_handbook_writes_them() -> None:
    # Source: Machinery's Handbook, counterbalancing masses in two or more planes: M_A r_A = sqrt((sum M r b cos)^2 +
    # (sum M r b sin)^2) / c and tan(theta_A) = -sum / -sum, with a from plane A, b from plane B, c between them
    m_r, theta = np.array([30.0, 45.0, 12.0]), np.radians([20.0, 140.0, 300.0])
    a, c = np.array([40.0, 90.0, 130.0]), 150.0
    b = c - a
    x, y = m_r * np.cos(theta), m_r * np.sin(theta)
    wanted_a = np.hypot((x * b).sum(), (y * b).sum()) / c
    wanted_b = np.hypot((x * a).sum(), (y * a).sum()) / c
    angle_a = np.arctan2(-(y * b).sum(), -(x * b).sum())
    planes = -two_planes(np.column_stack([x, y]), a, 0.0, c)
    assert np.hypot(*planes[0]) == pytest.approx(wanted_a)
    assert np.hypot(*planes[1]) == pytest.approx(wanted_b)
    assert np.arctan2(planes[0][1], planes[0][0]) == pytest.approx(angle_a)


def test_a_tooth_between_radial_sides_on_an_arc_floor() -> None:
    """Missing teeth against the annular sector, in the limit of many narrow slots where floors are nearly arcs.

    Source: centroid of an annular sector, any handbook of mechanics.
    """
    job = plate_job(120, 1, 300, slot="{width: 3.5, depth: 6, sides: radial, floor: flat}")
    wheel = design_wheel(job)
    half = math.degrees(math.asin(3.5 / 2 / 150))
    sector = annular_sector(144, 150, 3 - 2 * half, 3.2, 7850)[2]
    assert math.hypot(*design_balance(job, wheel).before) == pytest.approx(sector, rel=0.003)


def test_permissible_of_a_design_by_the_standards_formula() -> None:
    # Source: ISO 21940-11: e_per times omega is the grade, here with omega in radians a second worked out by hand
    job = plate_job(extra="balance: {grade: G16, largest_drill: 8, turns_with: 18 kg}")
    balance = design_balance(job, design_wheel(job))
    omega = 6000 * math.pi / 30
    e_per_mm = 16 / omega
    assert balance.permissible_g_mm == pytest.approx(e_per_mm * 18_000, rel=1e-12)
    assert balance.permissible_alone_g_mm == pytest.approx(e_per_mm * balance.mass_kg * 1000, rel=1e-12)
    assert balance.aim_g_mm == pytest.approx(6.3 / 16 * balance.permissible_g_mm, rel=1e-12)
    force = balance.report()["before"]["force_n"]
    assert force == pytest.approx(math.hypot(*balance.before) / 1e6 * omega**2, rel=1e-12)
    assert force == pytest.approx(centrifugal_n(math.hypot(*balance.before), 6000))


@pytest.mark.parametrize("point", [None, 118.0, 135.0])
@pytest.mark.parametrize("from_back", [False, True])
def test_a_hole_against_the_kernel(point: float | None, from_back: bool) -> None:
    # Source: OpenCASCADE's own integration of the drilled volume
    hole = CorrectionHole(33.0, 60.0, 10.0, 5.0, -3.0, point is None, point, from_back)
    x, y = hole.centre(1)
    solid = drill(x, y, 5.0, -3.0, 10.0, point)
    if from_back:
        solid = drill(x, y, 3.0, -5.0, 10.0, point).mirror("XY")
    found = figures(solid)
    assert hole.volume_mm3 == pytest.approx(found.volume, rel=1e-6)
    assert hole.z_mean == pytest.approx(found.centre[2], abs=1e-6)
    assert taken_out([hole], 7850, 1) == pytest.approx(np.array(found.first[:2]) * 7850e-6, rel=1e-6)
    if point is None:
        # Source: volume of a cylinder, computed by hand: 10 mm, 8 deep at r 60 in steel
        assert hole.mass_g(7850) == pytest.approx(4.9323, abs=5e-5)
        assert float(np.hypot(*taken_out([hole], 7850, 1))) == pytest.approx(295.94, abs=5e-3)


def test_an_arc_slot_against_shapely() -> None:
    # Source: shapely, an independent library of plane geometry: the cutter's path thickened by its radius
    import shapely

    radius, width, half = 68.5, 6.0, 12.0
    angles = np.radians(np.linspace(-half, half, 2001))
    path = shapely.LineString(np.column_stack([radius * np.cos(angles), radius * np.sin(angles)]))
    shape = path.buffer(width / 2, quad_segs=256)
    assert arc_slot_moment(radius, width, half) == pytest.approx(shape.area * shape.centroid.x, rel=1e-5)
    assert arc_slot_half_deg(arc_slot_moment(radius, width, half), radius, width) == pytest.approx(half)
    assert arc_slot_half_deg(1e9, radius, width) is None
