"""Tolerances, threads, drills and rotating discs held against standards, handbooks and scipy."""

import itertools
import math

import numpy as np
import pytest
from scipy import integrate

from tests.outside.tables import THREADS
from wheelcad.trade import drills, fits, threads
from wheelcad.trade import rotating_stress as rs


@pytest.mark.parametrize(
    ("low", "high", "deviation"),
    # Source: ISO 2768-1 Table 1, class m
    [(0.5, 3, 0.1), (3.01, 6, 0.1), (6.01, 30, 0.2), (30.01, 120, 0.3), (120.01, 400, 0.5), (400.01, 1000, 0.8)],
)
def test_iso_2768_m(low, high, deviation):
    assert fits.iso2768_m(low) == deviation
    assert fits.iso2768_m(high) == deviation


@pytest.mark.parametrize(
    ("bolt", "row"),
    # Source: ISO 273
    [
        (5, (5.3, 5.5, 5.8)),
        (6, (6.4, 6.6, 7)),
        (8, (8.4, 9, 10)),
        (10, (10.5, 11, 12)),
        (12, (13, 13.5, 14.5)),
        (14, (15, 15.5, 16.5)),
    ],
)
def test_iso_273(bolt, row):
    assert tuple(fits.clearance_hole_mm(bolt, series) for series in ("fine", "medium", "coarse")) == row


@pytest.mark.parametrize(("low", "high", "upper"), [(18.01, 30, 0.021), (30.01, 50, 0.025), (50.01, 80, 0.030)])
def test_h7(low, high, upper):
    # Source: ISO 286-2
    assert fits.limits_mm(low, "H7") == (0, upper)
    assert fits.limits_mm(high, "H7") == (0, upper)


@pytest.mark.parametrize(("size", "um"), [(4, 8), (8, 9), (15, 11), (25, 13), (40, 16), (70, 19)])
def test_h6(size, um):
    # Source: ISO 286-2 h6 as fastener and metal-cutting firms print it
    assert fits.limits_mm(size, "h6") == (-um / 1000, 0)


STEPS = (3, 6, 10, 18, 30, 50, 80, 120, 180, 250)


@pytest.mark.parametrize(("low", "high"), list(itertools.pairwise(STEPS)))
def test_grades_follow_the_tolerance_unit(low, high):
    # Source: ISO 286-1: IT6 = 10 i, IT7 = 16 i, i = 0.45 D^(1/3) + 0.001 D µm, D the geometric mean; g = -2.5 D^0.34,
    # f = -5.5 D^0.41. The standard rounds, so small sizes may differ by most of a micrometre.
    d = math.sqrt(low * high)
    unit = 0.45 * d ** (1 / 3) + 0.001 * d
    assert -fits.limits_mm(high, "h6")[0] * 1000 == pytest.approx(10 * unit, rel=0.06, abs=0.7)
    assert fits.limits_mm(high, "H7")[1] * 1000 == pytest.approx(16 * unit, rel=0.06, abs=0.7)
    assert -fits.limits_mm(high, "g6")[1] * 1000 == pytest.approx(2.5 * d**0.34, abs=0.6)
    assert -fits.limits_mm(high, "f7")[1] * 1000 == pytest.approx(5.5 * d**0.41, rel=0.06)


@pytest.mark.parametrize(
    ("name", "d2", "d1", "area"),
    # Source: ISO 724 and ISO 898-1 as printed in fastener tables, from memory
    [
        ("M6", 5.350, 4.917, 20.1),
        ("M8", 7.188, 6.647, 36.6),
        ("M10", 9.026, 8.376, 58.0),
        ("M12", 10.863, 10.106, 84.3),
        ("M12x1", 11.350, 10.917, 96.1),
        ("M16", 14.701, 13.835, 157),
        ("M10x1", 9.350, 8.917, 64.5),
    ],
)
def test_thread_sizes(name, d2, d1, area):
    of = threads.thread(name)
    assert of.pitch_diameter_mm == pytest.approx(d2, abs=6e-4)
    assert of.minor_diameter_mm == pytest.approx(d1, abs=6e-4)
    assert of.stress_area_mm2 == pytest.approx(area, rel=2.5e-3)


@pytest.mark.parametrize(
    ("name", "d_width", "d2_width"),
    # Source: published ISO 965-4 limits of 6az threads, whose tolerances are as wide as those of 6g, µm
    [("M10", 236, 132), ("M12", 265, 150), ("M14", 280, 160), ("M16", 280, 160), ("M20", 335, 170), ("M24", 375, 200)],
)
def test_thread_tolerance_widths(name, d_width, d2_width):
    of = threads.thread(name)
    at = threads.limits(of)
    fundamental = round(15 + 11 * of.pitch_mm)  # ISO 965-1: es of position g
    assert (of.diameter_mm - at.d_min) * 1000 == pytest.approx(fundamental + d_width, abs=1.01)
    assert (of.pitch_diameter_mm - at.d2_min) * 1000 == pytest.approx(fundamental + d2_width, abs=1.01)


@pytest.mark.parametrize(
    ("name", "d_min", "d2_min"),
    # Source: published table of ISO 965 limits, 6g screws
    [("M5", 4.826, 4.361), ("M6", 5.794, 5.212), ("M4", 3.838, 3.433), ("M3", 2.874, 2.580)],
)
def test_thread_limits_of_small_screws(name, d_min, d2_min):
    at = threads.limits(threads.thread(name))
    assert at.d_min == pytest.approx(d_min, abs=1.01e-3)
    assert at.d2_min == pytest.approx(d2_min, abs=1.01e-3)


# Source: ISO 3, series R40 with the roundings of ISO 965-1; what a tolerance of a thread may be, µm
R40 = {
    *(71, 75, 80, 85, 90, 95, 100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236),
    *(250, 265, 280, 300, 315, 335, 355, 375, 400, 425, 450, 475, 500, 530),
}


@pytest.mark.parametrize("name", THREADS)
def test_tolerances_of_threads_are_preferred_numbers(name):
    # Source: ISO 965-1, 13: computed values are rounded to R40; fundamental deviation of g: 15 + 11 P, and of H nothing
    of = threads.thread(name)
    at = threads.limits(of)
    es = {0.5: 20, 0.7: 22, 0.75: 22, 0.8: 24, 1: 26, 1.25: 28, 1.5: 32, 1.75: 34, 2: 38, 2.5: 42, 3: 48}[of.pitch_mm]
    assert es == pytest.approx(15 + 11 * of.pitch_mm, abs=1.3)
    d2, d1 = round(of.pitch_diameter_mm, 3), round(of.minor_diameter_mm, 3)
    found = [(of.diameter_mm - at.d_min) * 1000 - es, (d2 - at.d2_min) * 1000 - es, (at.d2_nut_max - d2) * 1000,
             (at.d1_nut_max - d1) * 1000]  # fmt: skip
    assert [round(um, 6) for um in found] == [round(um) for um in found]
    assert {round(um) for um in found} <= R40


def test_engagement():
    # Source: engagement formula of FED-STD-H28 worked by hand; 8.8 bolt in EN-GJL-250
    m8, m10 = threads.thread("M8"), threads.thread("M10")
    assert threads.engagement_mm(m8) == pytest.approx(6.02, abs=5e-3)
    assert threads.engagement_mm(m10) == pytest.approx(7.44, abs=5e-3)
    iron = threads.engagement_mm(m8, 800, 250)
    assert iron == pytest.approx(13.9, abs=0.05)
    assert iron / 8 == pytest.approx(1.74, abs=5e-3)
    assert iron / 8 > threads.CAST_IRON_ENGAGEMENT_D


@pytest.mark.parametrize(
    ("name", "inches"),
    # Source: American drill gauge, from memory
    [("No. 60", 0.040), ("No. 29", 0.136), ("No. 7", 0.201), ("No. 1", 0.228), ("A", 0.234), ("F", 0.257),
     ("Q", 0.332), ("Z", 0.413), ("1/4 in", 0.25), ("17/64 in", 0.265625)],
)  # fmt: skip
def test_inch_drills(name, inches):
    assert {drill.name: drill.diameter_mm for drill in drills.drills("inch")}[name] == pytest.approx(25.4 * inches)


def test_letters_follow_the_numbers():
    # Source: American drill gauge: numbers end below letter A, letters end below 27/64
    assert drills.number_drills()[-1].diameter_mm < drills.letter_drills()[0].diameter_mm
    assert drills.letter_drills()[-1].diameter_mm < 25.4 * 27 / 64
    for family in (drills.number_drills(), drills.letter_drills()):
        sizes = [drill.diameter_mm for drill in family]
        assert all(a < b for a, b in itertools.pairwise(sizes))


def test_annular_disc():
    # Source: Shigley, rotating rings, worked by hand: steel, a 50, b 150, 3000 rpm
    assert rs.annular_disc(50, 150, 50, 7850, 0.3, 3000).hoop_mpa == pytest.approx(14.7205, abs=5e-5)
    assert rs.annular_disc(50, 150, math.sqrt(50 * 150), 7850, 0.3, 3000).radial_mpa == pytest.approx(3.1959, abs=5e-5)
    # Source: rho v^2 of a thin ring, any handbook, worked by hand: iron, r 75, 7000 rpm
    assert rs.annular_disc(74.999, 75.001, 75, 7200, 0.26, 7000).hoop_mpa == pytest.approx(21.762, abs=2e-3)


def test_disc_against_scipy():
    # Source: scipy's boundary-value solver on the equations of equilibrium and compatibility of a spinning disc
    a, b, rho, nu = 0.05, 0.15, 7850.0, 0.3
    w = rs.omega(3000)

    def slope(r, y):
        radial, hoop = y
        bend = (hoop - radial) / r - rho * w * w * r
        return [bend, nu * bend - (1 + nu) * (hoop - radial) / r]

    r = np.linspace(a, b, 200)
    found = integrate.solve_bvp(slope, lambda ya, yb: [ya[0], yb[0]], r, np.full((2, 200), 1e7), tol=1e-6)
    assert found.success
    for at in (a, 0.08, 0.12, b):
        radial, hoop = found.sol(at) * 1e-6
        ours = rs.annular_disc(50, 150, at * 1000, rho, nu, 3000)
        assert ours.radial_mpa == pytest.approx(radial, abs=1e-4)
        assert ours.hoop_mpa == pytest.approx(hoop, abs=1e-4)


def test_old_rim_rule():
    # Source: Shop Practice: 100 ft/s; on 150 mm that is 3881 rpm, worked by hand
    assert pytest.approx(30.48) == rs.RIM_SPEED_CAST_IRON_M_S
    assert rs.rpm_at_rim_speed(150) == pytest.approx(3881, abs=0.5)
    assert rs.rim_speed_m_s(150, 3881) == pytest.approx(30.48, abs=5e-3)
