"""Settings at the dial's and the plates' limits, and the searches against trying everything."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from tests.trade.plates import PLATE_SET_A, PLATE_SET_B
from wheelcad.trade import ignition as ig
from wheelcad.trade import indexing as ix

ALL_A = [circle for plate in PLATE_SET_A for circle in plate]


def test_half_a_mark_goes_up_and_less_goes_down() -> None:
    assert ix.dial_setting(0.025, 40, 0.05)[:2] == (0, 0.05)
    assert ix.dial_setting(0.03, 40, 0.05)[:2] == (0, 0.05)
    assert ix.dial_setting(0.024, 40, 0.05)[:2] == (0, 0.0)
    assert ix.dial_setting(0.07, 40, 0.05)[:2] == (0, 0.05)
    assert ix.dial_setting(0, 1, 0.05) == (0, 0.0, 0.0)
    assert ix.dial_setting(0.5, 1, 0.25) == (0, 0.5, 0.0)
    for bad in ((-0.5, 40, 0.1), (1, 0.5, 0.1), (1, 40, -0.1), (1, 40, 0)):
        with pytest.raises(ValueError, match="must not be negative"):
            ix.dial_setting(*bad)


def test_a_turn_that_is_no_whole_number_of_marks() -> None:
    """9° a turn by marks of 0.7°: the 13th would stand at 9.1; 8.8 lies nearer to the next turn's zero than to 8.4."""
    assert ix.exact_dial(Fraction("8.8"), Fraction(9), Fraction("0.7")) == (1, 0)
    assert ix.exact_dial(Fraction("8.7"), Fraction(9), Fraction("0.7")) == (
        0,
        Fraction("8.4"),
    )  # as near: not turned on
    assert ix.exact_dial(Fraction("8.6"), Fraction(9), Fraction("0.7")) == (0, Fraction("8.4"))
    assert ix.exact_dial(Fraction("17.9"), Fraction(9), Fraction("0.7")) == (2, 0)
    assert ix.exact_dial(Fraction("8.96"), Fraction(9), Fraction("0.1")) == (1, 0)
    assert ix.exact_dial(Fraction("8.95"), Fraction(9), Fraction("0.1")) == (1, 0)
    assert ix.exact_dial(Fraction("8.94"), Fraction(9), Fraction("0.1")) == (0, Fraction("8.9"))


def test_what_a_float_stands_for() -> None:
    assert ix.exact_angle(1 / 3) == Fraction(1, 3)
    assert ix.exact_angle(0.1 + 1e-8) != Fraction(1, 10)
    assert ix.exact_angle(1 / 19_997) == Fraction(1, 19_997)
    assert ix.degrees_per_turn(0.5) == 720
    for bad in (0, -1):
        with pytest.raises(ValueError, match="ratio"):
            ix.degrees_per_turn(bad)


def test_plates_at_their_limits() -> None:
    assert ix.plate_setting(0, 40, ALL_A) == (0, 15, 0)
    assert ix.plate_setting(Fraction(1, 2), 40, [18, 36]) == (0, 18, 1)
    assert ix.simple_indexing(1, 40, ALL_A) == (40, 15, 0)
    assert ix.simple_indexing(2, 40, ALL_A) == (20, 15, 0)
    for call in (ix.simple_indexing, ix.compound_indexing):
        with pytest.raises(ValueError, match="one division"):
            call(0, 40, ALL_A)
    with pytest.raises(ValueError, match="negative"):
        ix.plate_setting(-0.5, 40, ALL_A)
    assert ix.compound_indexing(1, 40, (15, 16)) is None or ix.compound_indexing(1, 40, (15, 16)).part == 40


@pytest.mark.parametrize("plate", [PLATE_SET_A[0], PLATE_SET_A[1], PLATE_SET_B[0][:6], (20, 61), (3, 5, 7), (2, 3)])
@pytest.mark.parametrize("divisions", [22, 41, 51, 57, 63, 69, 77, 87, 91, 93, 99, 1220])
def test_compound_against_trying_everything(plate: tuple[int, ...], divisions: int) -> None:
    """The first move forwards, fewest holes in all, the longer first move of several."""
    _compound_is_best(plate, divisions, 40)


@pytest.mark.parametrize(("divisions", "ratio"), [(122, 1161), (15, 8), (6, 5), (15, 11), (35, 12), (35, 38), (1, 4)])
def test_compound_where_one_hole_or_more_than_the_division_is_best(divisions: int, ratio: int) -> None:
    for plate in ((20, 61), (3, 5), (5, 7), (2, 3)):
        _compound_is_best(plate, divisions, ratio)


def _compound_is_best(plate: tuple[int, ...], divisions: int, ratio: int) -> None:
    wanted = Fraction(ratio, divisions)
    tried = [
        (abs(a) + abs(b), -a)
        for one in plate
        for two in plate
        if one != two
        for a in range(1, one * (math.floor(wanted) + 5))
        for b in [(wanted - Fraction(a, one)) * two]
        if b.denominator == 1 and b != 0
    ]
    found = ix.compound_indexing(divisions, ratio, plate)
    if not tried:
        assert found is None
        return
    assert found is not None
    assert (abs(found.holes_1) + abs(found.holes_2), -found.holes_1) == min(tried)
    sign = "-" if found.holes_2 < 0 else "+"
    text = f"{found.holes_1}/{found.circle_1} {sign} {abs(found.holes_2)}/{found.circle_2}"
    assert found.arithmetic == f"{text} = {wanted.numerator}/{wanted.denominator}"


def test_differential_takes_the_nearest_count_and_looks_twelve_away() -> None:
    found = ix.differential_indexing(51, 40, ALL_A)
    assert found is not None
    assert abs(found.assumed - 51) == 1
    assert found.gear_ratio == Fraction(40 * (found.assumed - 51), found.assumed)
    assert ix.differential_indexing(52, 40, [64]) == (64, (0, 64, 40), Fraction(40 * 12, 64), ())
    twelve = ix.differential_indexing(52, 40, [1])
    assert twelve is not None
    assert (twelve.assumed, twelve.gear_ratio) == (40, -12)
    assert ix.differential_indexing(53, 40, [1]) is None  # thirteen away
    assert ix.differential_indexing(13, 1, [1]) == (1, (1, 1, 0), Fraction(-12), ())
    assert ix.differential_indexing(14, 1, [1]) is None
    assert ix.differential_indexing(2, 40, [7]) is not None
    one = ix.differential_indexing(13, 40, [1])
    assert one is not None
    assert one.assumed == 10  # 14, 12, 15, 11, 16 cannot be had by whole turns


def test_trains_of_gears() -> None:
    assert ix.gear_train(Fraction(3, 1), (24, 72)) == (72, 24)
    assert ix.gear_train(Fraction(1, 1), (24, 24)) == (24, 24)
    assert ix.gear_train(Fraction(1, 1), (24,)) == ()
    train = ix.gear_train(Fraction(9, 1), (24, 24, 72, 72))
    assert sorted(train) == [24, 24, 72, 72]
    assert Fraction(train[0] * train[2], train[1] * train[3]) == 9
    assert ix.gear_train(Fraction(9, 1), (24, 24, 72)) == ()
    assert ix.gear_train(Fraction(6, 1), (20, 40, 60, 80)) == ix.gear_train(Fraction(6, 1), (80, 60, 40, 20))


def test_forgetting_and_arms() -> None:
    assert ix.forgotten_part_turn_divisions(40, 40) == 40
    assert ix.forgotten_part_turn_divisions(40, 41) is None
    assert ix.sector_arms(1) == 2


def test_windows_at_their_limits() -> None:
    assert ig.coil_windows_deg([0, 360], 10, 10) == ((350.0, 0.0),)
    assert ig.coil_windows_deg([0], 10, 10, 0.0) == ((350.0, 0.0),)
    assert ig.coil_windows_deg([0, 90.0], 0, 40, 0.5) == ((49.5, 40.5), (319.5, 40.5))
    for bad in ((10.5, 10, 0), (0, 10, -0.5)):
        with pytest.raises(ValueError, match="advance"):
            ig.coil_windows_deg([0], *bad)
    assert ig.gap_clearance_deg(0, 10, ((20.0, 10.0),)) == pytest.approx(15)
    assert ig.gap_clearance_deg(350, 10, ((340.0, 10.0), (20.0, 10.0))) == pytest.approx(-5)
    assert tuple(ig.companions((1, 2), (0.0, 360.05))) == ()
    assert tuple(ig.companions((1, 2, 3), (0.0, 300.0, 660.0))) == ((2, 3),)
    assert ig.from_cylinder_one((3, 2), (90.0, 300.0)) == ((3, 2), (0.0, 210.0))
    assert ig.firing_angles_even(1) == (0.0,)
    assert ig.firing_intervals_deg((0.0, 315.0)) == (315.0, 405.0)
    assert ig.first_tooth_centre_deg(100, 10, 2) == 85
    assert ig.first_tooth_to_tdc(100, 10, 2, 4, 40) == (47, 45, 43)
