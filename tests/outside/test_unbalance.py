"""Unbalance held against the standard, published examples and a units library."""

import math

import pint
import pytest

from wheelcad.trade import unbalance as ub

UNITS = pint.UnitRegistry()


def test_thousand_pounds_at_fifteen_thousand():
    # Source: balancing article in an energy-technology magazine: 1000 lb, 15,000 rpm, G2.5 gives 1.0 oz.in
    assert ub.permissible_oz_in(ub.GRADES["G2.5"], 1000, 15_000) == pytest.approx(1.0, abs=0.005)


@pytest.mark.parametrize(("grade", "want"), [("G16", 25.465), ("G6.3", 10.027)])
def test_one_kilogram_at_six_thousand(grade, want):
    # Source: formula of ISO 21940-11, e.omega = G, computed by hand
    assert ub.permissible_g_mm(ub.GRADES[grade], 1.0, 6000) == pytest.approx(want, abs=5e-4)


def test_factors_printed_in_the_trade():
    # Source: ISO 21940-11 as usually printed, U = 9549 G m/n and 6.015 G W/n
    assert ub.permissible_g_mm(1, 1, 1) == pytest.approx(9549.3, abs=0.05)
    assert ub.permissible_oz_in(1, 1, 1) == pytest.approx(6.015, abs=5e-4)


def test_ounce_inches_against_pint():
    # Source: pint, an independent library of units
    want = UNITS.Quantity(1, "ounce * inch").to("gram * millimeter").magnitude
    assert ub.g_mm(1.0) == pytest.approx(want, rel=1e-12)
    assert ub.oz_in(720.08) == pytest.approx(1.0, abs=1e-5)


def test_permissible_against_pint():
    # Source: pint: e = G/omega with units carried through
    omega = UNITS.Quantity(5200, "revolution / minute").to("radian / second")
    want = (UNITS.Quantity(16, "mm/s") / omega * UNITS.Quantity(3.3, "kg")).to("gram * millimeter / radian").magnitude
    assert ub.permissible_g_mm(16, 3.3, 5200) == pytest.approx(want, rel=1e-12)


def test_sector_tooth():
    # Source: centroid of an annular sector, computed by hand: r 70-75, 5 degrees, 8 thick, steel
    mass, r_cg, moment = ub.annular_sector(70, 75, 5, 8, 7850)
    assert mass == pytest.approx(1.98662, abs=5e-6)
    assert r_cg == pytest.approx(72.5057, abs=5e-5)
    assert moment == pytest.approx(144.041, abs=5e-4)
    assert ub.centrifugal_n(moment, 6000) == pytest.approx(56.87, abs=5e-3)


def test_drilled_hole():
    # Source: volume of a cylinder, computed by hand: 10 mm, 8 deep at r 60 in steel
    assert ub.hole_mass_g(10, 8, 7850) == pytest.approx(4.9323, abs=5e-5)
    assert ub.hole_moment_g_mm(60, 10, 8, 7850) == pytest.approx(295.94, abs=5e-3)


def test_two_supports_of_a_beam():
    # Source: lever rule, any textbook of statics: a load at a quarter of the span gives 3/4 and 1/4
    assert ub.split_two_planes(100, 25, 0, 100) == pytest.approx((75, 25))


def test_pair_at_sixty_degrees_equals_one_hole():
    # Source: two equal vectors at 120 degrees add up to one of them
    assert ub.pair_half_angle_deg(100, 100) == pytest.approx(60)
    assert math.isclose(ub.pair_half_angle_deg(200, 100), 0, abs_tol=1e-6)
