import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelcad.trade import printing
from wheelcad.trade import rotating_stress as rs


@given(a=st.floats(5, 60), wide=st.floats(5, 100), share=st.floats(0.05, 0.95), nu=st.floats(0.2, 0.35))
def test_disc_is_in_equilibrium(a, wide, share, nu):
    """d(r·σr)/dr - σθ + ρω²r² = 0 all through the disc, σr nothing at both edges."""
    b, r, rpm, rho = a + wide, a + share * wide, 6000, 7200
    h = 1e-4 * wide
    at = {x: rs.annular_disc(a, b, x, rho, nu, rpm) for x in (r - h, r, r + h, a, b)}
    slope = ((r + h) * at[r + h].radial_mpa - (r - h) * at[r - h].radial_mpa) / (2 * h)
    load = rho * rs.omega(rpm) ** 2 * (r / 1000) ** 2 * 1e-6
    assert slope - at[r].hoop_mpa + load == pytest.approx(0, abs=1e-4 * at[a].hoop_mpa)
    assert at[a].radial_mpa == pytest.approx(0, abs=1e-9 * at[a].hoop_mpa)
    assert at[b].radial_mpa == pytest.approx(0, abs=1e-9 * at[a].hoop_mpa)


def test_radial_is_greatest_where_it_is_said_to_be():
    radii = np.linspace(50, 150, 2001)
    radial = [rs.annular_disc(50, 150, r, 7850, 0.3, 3000).radial_mpa for r in radii]
    assert radii[int(np.argmax(radial))] == pytest.approx(math.sqrt(50 * 150), abs=0.1)
    assert max(radial) == pytest.approx(rs.annular_disc(50, 150, math.sqrt(7500), 7850, 0.3, 3000).radial_mpa, rel=1e-6)


def test_thin_disc_becomes_a_ring():
    """ρ·v² of a thin ring."""
    ring = 7200 * (rs.omega(7000) * 0.1) ** 2 * 1e-6
    assert rs.annular_disc(99.99, 100.01, 99.99, 7200, 0.26, 7000).hoop_mpa == pytest.approx(ring, rel=1e-3)


def test_rim_pull_balances():
    """Hoop stress over the section carries the pull: ∫σθ dr = p·b."""
    r = np.linspace(20, 70, 20001)
    hoop = np.array([rs.rim_pull(20, 70, x, 3.0).hoop_mpa for x in r])
    assert np.trapezoid(hoop, r) == pytest.approx(3.0 * 70, rel=1e-6)
    assert rs.rim_pull(20, 70, 70, 3.0).radial_mpa == pytest.approx(3.0)
    assert rs.rim_pull(20, 70, 20, 3.0).radial_mpa == 0


def toothed(**changes):
    plain = {
        "bore_radius_mm": 16.0,
        "floor_radius_mm": 73.65,
        "rim_radius_mm": 80.0,
        "tooth_share": 0.55,
        "density_kg_m3": 7200.0,
        "poisson": 0.26,
        "rpm": 5200.0,
    }
    return rs.ToothedDisc(**{**plain, **changes})


def bore_of(disc):
    return disc.at(disc.bore_radius_mm).hoop_mpa


def test_teeth_load_the_disc_and_carry_nothing():
    """Above the disc without teeth; a full ring of them a little above the full disc, and the same when it is thin."""
    bare = bore_of(toothed(tooth_share=0.0))
    assert bare == pytest.approx(rs.annular_disc(16, 73.65, 16, 7200, 0.26, 5200).hoop_mpa)
    assert bare < bore_of(toothed()) < bore_of(toothed(tooth_share=1.0))
    full = rs.annular_disc(16, 80, 16, 7200, 0.26, 5200).hoop_mpa
    assert full < bore_of(toothed(tooth_share=1.0)) < 1.1 * full
    assert bore_of(toothed(tooth_share=1.0, floor_radius_mm=79.99)) == pytest.approx(full, rel=2e-4)


def test_the_teeth_pull_as_much_as_they_weigh():
    """All teeth together: mass times centre's radius times ω², over the floor circle; over their own roots the rest."""
    disc = toothed()
    mass = 0.55 * math.pi * (0.08**2 - 0.07365**2) * 7200  # for each metre of thickness
    r_cg = 2 / 3 * (0.08**3 - 0.07365**3) / (0.08**2 - 0.07365**2)
    pull = mass * r_cg * rs.omega(5200) ** 2 / (2 * math.pi * 0.07365) * 1e-6
    assert disc.pull_mpa == pytest.approx(pull)
    assert disc.root_mpa == pytest.approx(pull / 0.55)
    assert toothed(tooth_share=0.0).root_mpa == 0


def test_stress_goes_with_the_square_of_speed():
    assert toothed(rpm=10400).floor_peak_mpa(6, 0.2, False) == pytest.approx(
        4 * toothed().floor_peak_mpa(6, 0.2, False)
    )


def test_sharper_corners_and_wider_teeth_are_worse():
    disc = toothed()
    peaks = [disc.floor_peak_mpa(6, corner, False) for corner in (0.1, 0.2, 0.3, 1.0)]
    assert peaks == sorted(peaks, reverse=True)
    assert disc.floor_peak_mpa(9, 0.2, False) > disc.floor_peak_mpa(6, 0.2, False)
    assert rs.corner_peak_mpa(10, 5, 4, 1) == pytest.approx(10 + 0.42 * 2 * 15)
    round_floor = disc.floor_peak_mpa(6, 3, True)
    assert round_floor == pytest.approx(2.1 * disc.at(73.65).hoop_mpa)
    with pytest.raises(ValueError, match="greater than nothing"):
        rs.corner_peak_mpa(10, 5, 4, 0)


def test_holes_and_keyways():
    assert rs.hole_peak_mpa(rs.DiscStress(0.0, 10.0)) == 30
    assert rs.hole_peak_mpa(rs.DiscStress(10.0, 10.0)) == 20
    assert rs.hole_peak_mpa(rs.DiscStress(12.0, 10.0)) == 26
    assert rs.keyway_peak_mpa(10.0, 4.0, 1.0) == pytest.approx(38)
    with pytest.raises(ValueError, match="sharp"):
        rs.keyway_peak_mpa(10.0, 4.0, 0.0)
    with pytest.raises(ValueError, match="slot floor"):
        toothed(floor_radius_mm=90.0)


def test_refusals():
    for call, words in (
        (lambda: rs.annular_disc(0, 10, 5, 1, 0.3, 1), "0 < bore < rim"),
        (lambda: rs.annular_disc(5, 10, 11, 1, 0.3, 1), "0 < bore < rim"),
        (lambda: rs.annular_disc(5, 10, 4.9, 1, 0.3, 1), "0 < bore < rim"),
        (lambda: rs.rim_pull(10, 5, 7, 1), "0 < bore < rim"),
        (lambda: rs.rim_pull(0, 5, 3, 1), "0 < bore < rim"),
        (lambda: rs.rim_pull(2, 5, 5.1, 1), "0 < bore < rim"),
        (lambda: rs.keyway_peak_mpa(1, -1, 1), "cannot be negative"),
        (lambda: toothed(bore_radius_mm=74.0), "bore < slot floor < rim"),
        (lambda: toothed(tooth_share=1.1), "tooth share of 0 to 1"),
        (lambda: toothed(tooth_share=-0.1), "tooth share of 0 to 1"),
        (lambda: rs.rpm_at_rim_speed(0), "a diameter is greater"),
        (lambda: printing.printed_hole_mm(0.1, -0.2), "closes the hole"),
        (lambda: printing.printed_hole_mm(0.2, -0.2), "closes the hole"),
        (lambda: printing.shrinkage_scale(0.2), "0 to 0.1"),
        (lambda: printing.shrinkage_scale(0.1), "0 to 0.1"),
        (lambda: printing.shrinkage_scale(-0.001), "0 to 0.1"),
        (lambda: printing.gauge_slop(1, 0.4, 80, 80), "two bolts at least"),
        (lambda: printing.gauge_slop(2, -0.1, 80, 80), "no negative clearance"),
        (lambda: printing.gauge_slop(2, 0.4, 0, 80), "circles have a size"),
        (lambda: printing.gauge_slop(2, 0.4, 80, 0), "circles have a size"),
    ):
        with pytest.raises(ValueError, match=words):
            call()
    assert printing.shrinkage_scale(0.0) == 1
    assert printing.gauge_slop(2, 0.0, 0.5, 0.5).worst_deg == 0
    assert rs.annular_disc(0.2, 0.5, 0.2, 7850, 0.3, 60).hoop_mpa > 0
    assert rs.rpm_at_rim_speed(0.5, 1.0) == pytest.approx(60_000 / (0.5 * math.pi))
    assert rs.keyway_peak_mpa(10.0, 0.0, 0.5) == 10
    assert rs.corner_peak_mpa(10, 5, 0.5, 0.5) == pytest.approx(10 + 0.42 * 15)


def test_text_and_walls_follow_the_nozzle():
    assert printing.least_text(0.4) == pytest.approx((3.0, 0.6))
    assert printing.least_text(0.8) == pytest.approx((6.0, 1.2))
    assert printing.least_wall_mm(0.4) == pytest.approx(0.8)


@pytest.mark.parametrize("bolts", [2, 3, 4, 6])
@pytest.mark.parametrize("mark", [30.0, 50.0, 60.0, 80.0])
def test_gauge_slop_against_trying_all_places(bolts, mark):
    """Push the gauge every way its bolts allow, and see how far a mark goes along its circle."""
    circle, clearance = 80.0, 0.4
    c, radius = clearance / 2, circle / 2
    at = 2 * np.pi * np.arange(bolts) / bolts
    tangent = np.stack([-np.sin(at), np.cos(at)], axis=-1)
    way = np.linspace(0, 2 * np.pi, 721)
    worst = 0.0
    for turn in np.linspace(0, c / radius, 201):
        # the greatest shift in each direction that every bolt still allows
        u = np.stack([np.cos(way), np.sin(way)], axis=-1) @ tangent.T * turn * radius
        shift = (-u + np.sqrt(np.maximum(u * u + c * c - (turn * radius) ** 2, 0))).min(axis=1)
        worst = max(worst, (shift.max() + turn * mark) / mark)
    got = printing.gauge_slop(bolts, clearance, circle, mark)
    assert math.radians(got.worst_deg) == pytest.approx(worst, rel=2e-3)
    assert got.shift_mm == pytest.approx(0.2)
    assert got.turn_deg == pytest.approx(math.degrees(0.2 / 40))
