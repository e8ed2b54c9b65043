import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from wheelcad.trade import unbalance as ub

POSITIVE = st.floats(0.1, 1000)


@given(r1=st.floats(0, 100), wide=st.floats(0.5, 80), angle=st.floats(0.5, 360), thick=st.floats(0.5, 50))
def test_sector_against_integration(r1, wide, angle, thick):
    mass, r_cg, moment = ub.annular_sector(r1, r1 + wide, angle, thick, 7850)
    half = math.radians(angle) / 2
    want_mass = integrate.quad(lambda r: 2 * half * r, r1, r1 + wide)[0] * thick * 7850e-6
    first = integrate.quad(lambda r: r * r * 2 * math.sin(half), r1, r1 + wide)[0] * thick * 7850e-6
    assert mass == pytest.approx(want_mass, rel=1e-9)
    assert moment == pytest.approx(first, rel=1e-7, abs=1e-6)
    assert mass * r_cg == pytest.approx(moment)


def test_whole_ring_is_balanced():
    assert ub.annular_sector(70, 75, 360, 8, 7850)[2] == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    "bad", [(75, 70, 5, 8, 1), (70, 75, 0, 8, 1), (70, 75, 361, 8, 1), (70, 75, 5, 0, 1), (-1, 2, 5, 8, 1)]
)
def test_sector_refuses(bad):
    with pytest.raises(ValueError, match="annular sector"):
        ub.annular_sector(*bad)


def test_blind_hole_has_its_point_on_top():
    flat = ub.hole_mass_g(10, 8, 7850)
    blind = ub.hole_mass_g(10, 8, 7850, ub.POINT_DEG)
    cone = math.pi / 3 * 5**2 * (5 / math.tan(math.radians(59))) * 7850e-6
    assert blind - flat == pytest.approx(cone)
    assert ub.hole_mass_g(10, 8, 7850, 180.0) == pytest.approx(flat)


def test_two_planes_as_vectors():
    planes = ub.two_planes([[10.0, 0.0], [0.0, 6.0]], [0.0, 5.0], -10.0, 10.0)
    np.testing.assert_allclose(planes, [[5.0, 1.5], [5.0, 4.5]])
    with pytest.raises(ValueError, match="apart"):
        ub.two_planes([[1.0, 0.0]], [0.0], 3.0, 3.0)
    with pytest.raises(ValueError, match="heights"):
        ub.two_planes([[1.0, 0.0]], [0.0, 1.0], 0.0, 3.0)


def test_disc_keeps_all_in_one_plane():
    assert ub.plane_shares(30.0, disc_shaped=True) == (30.0,)
    assert ub.plane_shares(30.0, disc_shaped=False) == (15.0, 15.0)


def test_knife_edge():
    assert ub.knife_edge_visible_g_mm(2.0, 0.01) == pytest.approx(20.0)
    tilted = ub.knife_edge_visible_g_mm(2.0, 0.01, mandrel_diameter_mm=20, level_error_mm_m=1.0)
    assert tilted == pytest.approx(20.0 + 2000 * 10 * 0.001)
    with pytest.raises(ValueError, match="rolling arm"):
        ub.knife_edge_visible_g_mm(0.0)


@pytest.mark.parametrize("bad", [(0, 1, 1), (16, 0, 1), (16, 1, 0)])
def test_permissible_refuses(bad):
    with pytest.raises(ValueError, match="greater than nothing"):
        ub.permissible_g_mm(*bad)


def test_runout_of_a_shifted_circle():
    """Metal between a circle about the axis and one shifted by e: its moment is the whole disc's times e."""
    radius, e, length, density = 59.0, 0.05, 22.8, 7200.0

    def rim(theta: float) -> float:
        return e * math.cos(theta) + math.sqrt(radius**2 - (e * math.sin(theta)) ** 2)

    area_moment = integrate.quad(lambda t: (rim(t) ** 3 - radius**3) / 3 * math.cos(t), 0, 2 * math.pi)[0]
    mass = ub.mass_within_surface_g(2 * radius, length, density)
    assert ub.runout_for_unbalance_mm(area_moment * length * density * 1e-6, mass) == pytest.approx(2 * e, rel=1e-6)
    with pytest.raises(ValueError, match="not negative"):
        ub.runout_for_unbalance_mm(-1.0, mass)


@given(u=POSITIVE, at=st.floats(0, 359), v=POSITIVE, other=st.floats(0, 359))
def test_polar_sum_against_components(u, at, v, other):
    size, heavy = ub.polar_sum([u, v], [at, other])
    x = u * math.cos(math.radians(at)) + v * math.cos(math.radians(other))
    y = u * math.sin(math.radians(at)) + v * math.sin(math.radians(other))
    assert size == pytest.approx(math.hypot(x, y), abs=1e-9)
    assert size * math.cos(math.radians(heavy)) == pytest.approx(x, abs=1e-6)
    assert size * math.sin(math.radians(heavy)) == pytest.approx(y, abs=1e-6)
    assert 0 <= heavy < 360


@given(u=POSITIVE, z=st.floats(-50, 50), z1=st.floats(-40, -1), z2=st.floats(1, 40))
def test_two_planes_keep_sum_and_couple(u, z, z1, z2):
    (first, _), (second, _) = ub.two_planes([[u, 0.0]], [z], z1, z2)
    assert first + second == pytest.approx(u, rel=1e-9, abs=1e-6)
    assert first * z1 + second * z2 == pytest.approx(u * z, rel=1e-9, abs=1e-6)
