"""Indexing held against what the milling handbooks print."""

from fractions import Fraction

import pytest

from tests.trade.plates import PLATE_SET_A, PLATE_SET_B
from wheelcad.trade import indexing as ix

ALL_A = [circle for plate in PLATE_SET_A for circle in plate]
ALL_B = [circle for plate in PLATE_SET_B for circle in plate]

BY_ARITHMETIC = "turns = ratio/divisions, computed by hand"
ROWS = [
    # ratio, circles, divisions, turns, holes, circle, source
    (40, ALL_A, 12, 3, 6, 18, BY_ARITHMETIC),
    (40, ALL_A, 18, 2, 6, 27, BY_ARITHMETIC),
    (40, ALL_A, 24, 1, 12, 18, BY_ARITHMETIC),
    (40, ALL_A, 30, 1, 6, 18, BY_ARITHMETIC),
    (40, ALL_A, 32, 1, 5, 20, BY_ARITHMETIC),
    (40, ALL_A, 36, 1, 3, 27, BY_ARITHMETIC),
    (40, ALL_A, 48, 0, 15, 18, BY_ARITHMETIC),
    (40, ALL_A, 60, 0, 12, 18, BY_ARITHMETIC),
    (40, ALL_A, 120, 0, 6, 18, BY_ARITHMETIC),
    (60, ALL_A, 36, 1, 12, 18, BY_ARITHMETIC),
    (72, ALL_A, 36, 2, 0, 15, BY_ARITHMETIC),
    (80, ALL_A, 36, 2, 4, 18, BY_ARITHMETIC),
    (90, ALL_A, 36, 2, 9, 18, BY_ARITHMETIC),
    (40, ALL_B, 6, 6, 26, 39, "Army subcourse OD1644, milling"),
    (40, ALL_B, 42, 0, 40, 42, "Army subcourse OD1644, milling"),
    (40, ALL_A, 15, 2, 18, 27, "dividing-head practice sheet"),
    (90, ALL_B, 17, 5, 10, 34, "rotary-table maker's manual"),
    (90, ALL_B, 53, 1, 37, 53, "rotary-table maker's manual"),
]


@pytest.mark.parametrize(("ratio", "circles", "divisions", "turns", "holes", "circle", "source"), ROWS)
def test_rows(ratio, circles, divisions, turns, holes, circle, source):
    setting = ix.simple_indexing(divisions, ratio, circles)
    assert setting is not None, source
    assert setting.turns == turns, source
    assert setting.part == turns + Fraction(holes, circle), source


ANGLES = [
    # degrees, turns, holes, circle, source; all at 40:1
    (Fraction(1), 0, 3, 27, "9 degrees a turn, Army subcourse OD1644, milling"),
    (Fraction(35), 3, 16, 18, "9 degrees a turn, computed by hand"),
    (Fraction(23, 2), 1, 5, 18, "Machinery's Handbook, angular indexing"),
    (Fraction(19), 2, 6, 54, "9 degrees a turn, computed by hand"),
    (Fraction(45), 5, 0, 18, "9 degrees a turn, computed by hand"),
    (Fraction(10), 1, 3, 27, "9 degrees a turn, computed by hand"),
    (Fraction(15), 1, 18, 27, "dividing-head practice sheet"),
]


@pytest.mark.parametrize(("angle", "turns", "holes", "circle", "source"), ANGLES)
def test_angles(angle, turns, holes, circle, source):
    setting = ix.plate_setting(angle, 40, ALL_A + ALL_B)
    assert setting.turns == turns, source
    assert setting.part == turns + Fraction(holes, circle), source
    assert ix.plate_setting(float(angle), 40, ALL_A + ALL_B) == setting


@pytest.mark.parametrize(("ratio", "degrees"), [(40, 9), (60, 6), (72, 5), (80, 4.5), (90, 4)])
def test_degrees_a_turn(ratio, degrees):
    # Source: 40:1 Army subcourse OD1644 (540 minutes of arc a turn); the others 360/ratio
    assert ix.degrees_per_turn(ratio) == degrees


def reachable(circles: list[int], ratio: int, upto: int) -> set[int]:
    return {n for n in range(1, upto + 1) if ix.simple_indexing(n, ratio, circles)}


def test_plate_set_a_reaches_all_to_fifty():
    # Source: Brown & Sharpe, Practical Treatise on Milling: all divisions to 50, even ones to 100 except 96
    got = reachable(ALL_A, 40, 100)
    assert got >= set(range(1, 51))
    assert set(range(2, 101, 2)) - got == {96}


def test_what_plate_set_a_cannot():
    # Source: computed by hand from N | 40·circle
    missing = "51 53 57 59 61 63 67 69 71 73 77 79 81 83 87 89 91 93 96 97 99"
    assert set(range(1, 101)) - reachable(ALL_A, 40, 100) == {int(n) for n in missing.split()}


def test_plate_set_b_reaches_all_to_sixty():
    # Source: Navy Machinery Repairman, chapter 7; that 61 is the first it cannot: computed
    got = reachable(ALL_B, 40, 61)
    assert got == set(range(1, 61))


def test_thirty_two_at_ninety_to_one_cannot():
    # Source: computed by hand: 90/32 = 2 13/16, and no circle of set B is a multiple of 16
    assert ix.simple_indexing(32, 90, ALL_B) is None


@pytest.mark.parametrize(
    ("divisions", "moves"),
    # From memory of the handbook tables for a 40:1 head; the sums themselves are exact and are checked.
    [
        (51, {15: 10, 17: 2}),
        (69, {23: 21, 33: -11}),
        (77, {21: 9, 33: 3}),
    ],
)
def test_compound(divisions, moves):
    assert sum(Fraction(holes, circle) for circle, holes in moves.items()) == Fraction(40, divisions)
    plate = next(plate for plate in PLATE_SET_A if set(moves) <= set(plate))
    found = ix.compound_indexing(divisions, 40, plate)
    assert found.part == Fraction(40, divisions)
    assert abs(found.holes_1) + abs(found.holes_2) <= sum(abs(h) for h in moves.values())


def test_compound_is_written_out():
    found = ix.compound_indexing(77, 40, PLATE_SET_A[1])
    assert found.arithmetic.endswith("= 40/77")
    top, bottom = found.arithmetic.split(" = ")[1].split("/")
    assert found.part == Fraction(int(top), int(bottom))


def test_differential_by_the_textbook():
    # From memory of differential indexing in the handbooks: gears = (assumed - wanted)·40/assumed;
    # 57 taken as 56: 40/56 = 5/7 of a turn, gears 40/56, plate against the crank
    setting = ix.differential_indexing(57, 40, [*ALL_B, 49], (24, 24, 28, 32, 40, 44, 48, 56, 64, 72, 86, 100))
    assert setting.gear_ratio == Fraction(40 * (setting.assumed - 57), setting.assumed)
    assert ix.gear_train(Fraction(40, 56), (40, 56)) == (40, 56)


def test_forgetting_the_part_turn():
    # Source: arithmetic: 9 degrees instead of 10 gives 40 divisions, not 36
    assert ix.forgotten_part_turn_divisions(40, 36) == 40


def test_sector_arms():
    # Source: rotary-table maker's manual: the arms span the holes moved plus one
    assert ix.sector_arms(6) == 7
