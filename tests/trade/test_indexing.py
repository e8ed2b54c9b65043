import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trade.plates import PLATE_SET_A, PLATE_SET_B
from wheelcad.trade import indexing as ix

ALL_A = [circle for plate in PLATE_SET_A for circle in plate]
RATIOS = [40, 60, 72, 80, 90]


@given(
    k=st.integers(0, 240),
    n=st.integers(3, 120),
    ratio=st.sampled_from(RATIOS),
    step=st.sampled_from([0.05, 0.1, 1 / 60, 0.25, 0.15, 0.7, 1.0]),
)
def test_dial_is_within_half_a_step_and_never_drifts(k, n, ratio, step):
    angle = k * 180 / n
    setting = ix.dial_setting(angle, ratio, step)
    reached = setting.turns * 360 / ratio + setting.dial_deg
    assert abs(setting.error_deg) <= step / 2 + 1e-12
    assert reached - angle == pytest.approx(setting.error_deg, abs=1e-9)
    assert 0 <= setting.dial_deg < 360 / ratio
    assert setting.dial_deg / step == pytest.approx(round(setting.dial_deg / step), abs=1e-6)


@pytest.mark.parametrize("ratio", RATIOS)
@pytest.mark.parametrize("n", range(3, 121))
def test_closing_after_a_whole_turn(n, ratio):
    assert ix.dial_setting(n * (360 / n), ratio, 0.05) == (ratio, 0.0, 0.0)


def test_rounding_up_to_the_next_turn():
    assert ix.dial_setting(8.99, 40, 0.1) == (1, 0.0, pytest.approx(0.01))


def test_dial_refuses():
    for bad in ((-1, 40, 0.1), (1, 0, 0.1), (1, 40, 0)):
        with pytest.raises(ValueError, match="must not be negative"):
            ix.dial_setting(*bad)


@pytest.mark.parametrize("q", [7, 11, 13, 36, 97, 113, 720])
def test_floats_stand_for_fractions(q):
    for k in range(2 * q):
        assert ix.exact_angle(k * 180 / q) == Fraction(k * 180, q)


def test_decimal_and_odd_floats():
    assert ix.exact_angle(0.05) == Fraction(1, 20)
    assert ix.exact_angle(10.12345678912) == Fraction("10.12345678912")
    with pytest.raises(ValueError, match="finite"):
        ix.exact_angle(math.nan)


@given(n=st.integers(1, 400), k=st.integers(0, 400), ratio=st.sampled_from(RATIOS))
def test_plate_settings_are_exact(n, k, ratio):
    angle = Fraction(360 * k, n)
    setting = ix.plate_setting(angle, ratio, ALL_A)
    exact = [c for c in ALL_A if (angle * ratio / 360 * c).denominator == 1]
    if setting is None:
        assert not exact
    else:
        assert setting.part * 360 / ratio == angle
        assert setting.circle == min(exact)
        assert 0 <= setting.holes < setting.circle


def test_one_circle_for_a_whole_chart():
    angles = [Fraction(5) + 10 * k for k in range(36)]
    circle = ix.common_circle(angles, 40, ALL_A)
    assert circle == 18
    assert all(ix.plate_setting(a, 40, (circle,)) for a in angles)
    assert ix.common_circle([Fraction(360, 61)], 40, ALL_A) is None


@pytest.mark.parametrize("plate", PLATE_SET_A + PLATE_SET_B)
@pytest.mark.parametrize("ratio", [40, 90])
def test_compound_adds_up(plate, ratio):
    found = {n: ix.compound_indexing(n, ratio, plate) for n in range(2, 130)}
    assert any(found.values())
    for n, setting in found.items():
        if setting is not None:
            assert setting.part == Fraction(ratio, n)
            assert setting.circle_1 in plate
            assert setting.circle_2 in plate
            assert setting.circle_1 != setting.circle_2


def test_compound_finds_the_fewest_holes():
    plate = (21, 23, 27, 29, 31, 33)
    found = ix.compound_indexing(69, 40, plate)
    least = min(
        abs(a) + abs(b)
        for c1 in plate
        for c2 in plate
        if c1 != c2
        for a in range(-2 * c1, 2 * c1)
        for b in range(-2 * c2, 2 * c2)
        if a and b and Fraction(a, c1) + Fraction(b, c2) == Fraction(40, 69)
    )
    assert abs(found.holes_1) + abs(found.holes_2) == least


GEARS = (24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100)


@pytest.mark.parametrize("n", [n for n in range(2, 121) if ix.simple_indexing(n, 40, ALL_A) is None])
def test_differential_makes_up_the_difference(n):
    setting = ix.differential_indexing(n, 40, ALL_A)
    # the worm turns as the pin moves against the plate, n times, plus as the plate itself turns:
    # 40 for one turn of the work
    assert n * setting.setting.part + setting.gear_ratio == 40


@pytest.mark.parametrize("n", [51, 53, 57, 59, 61, 63, 67, 69, 77, 83, 89, 97, 99])
def test_differential_with_real_gears(n):
    setting = ix.differential_indexing(n, 40, ALL_A, GEARS)
    assert setting is not None
    train = Fraction(1)
    for place, teeth in enumerate(setting.gears):
        train = train * teeth if place % 2 == 0 else train / teeth
    assert train == abs(setting.gear_ratio)
    for teeth in set(setting.gears):
        assert setting.gears.count(teeth) <= GEARS.count(teeth)


def test_gears_that_cannot():
    assert ix.gear_train(Fraction(7, 3), (24, 24)) == ()


def test_sector_arms():
    assert ix.sector_arms(3) == 4


def test_forgotten_part():
    assert ix.forgotten_part_turn_divisions(40, 36) == 40
    assert ix.forgotten_part_turn_divisions(90, 36) == 45
    assert ix.forgotten_part_turn_divisions(40, 60) is None
    assert ix.forgotten_part_turn_divisions(72, 36) == 36
