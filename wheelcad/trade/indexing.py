"""Turning a rotary table or dividing head to an angle: dial, dividing plates, compound and differential indexing.

ratio: turns of the handwheel for one turn of the table (40 for 40:1). Angles are degrees of the table counted from the
table's zero; every setting is reckoned afresh from there, so roundings never add up. Plate arithmetic is exact
(Fractions). A float angle is taken for the ordinary fraction it stands for (`exact_angle`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

HALF, NOTHING = Fraction(1, 2), Fraction(0)
SAME_ANGLE_DEG = 1e-9  # a float within this of an ordinary fraction stands for it
LARGEST_DENOMINATOR = 20_000  # 720 positions, halves and minutes of arc all have smaller ones


class Setting(NamedTuple):
    """A handwheel setting.

    turns: whole turns from zero. dial_deg: table degrees on the dial. error_deg: set less wanted.
    """

    turns: int
    dial_deg: float
    error_deg: float


class PlateSetting(NamedTuple):
    """Whole turns, then `holes` in the circle of `circle` holes."""

    turns: int
    circle: int
    holes: int

    @property
    def part(self) -> Fraction:
        """All turns of the handwheel, exactly."""
        return self.turns + Fraction(self.holes, self.circle)


def degrees_per_turn(ratio: float) -> float:
    """Degrees the table turns for one turn of the handwheel: 360/ratio. ValueError unless ratio > 0."""
    if ratio <= 0:
        raise ValueError("a table's ratio is greater than nothing")
    return 360.0 / ratio


def exact_angle(angle_deg: Fraction | float) -> Fraction:
    """The angle as a fraction of degrees: the simple fraction a float stands for, else the float's decimal digits.

    360/7 as a float becomes 360/7; 0.1 becomes 1/10. ValueError for what is not finite.
    """
    if isinstance(angle_deg, Fraction):
        return angle_deg
    if not math.isfinite(angle_deg):
        raise ValueError("an angle must be finite")
    simple = Fraction(angle_deg).limit_denominator(LARGEST_DENOMINATOR)
    if abs(float(simple) - angle_deg) <= SAME_ANGLE_DEG:
        return simple
    return Fraction(Decimal(repr(float(angle_deg))))


def dial_setting(angle_deg: Fraction | float, ratio: int, dial_step_deg: float) -> Setting:
    """Turns and dial for an angle ≥ 0 from zero, the dial rounded to its nearest mark (half a mark goes up).

    The dial starts at nothing on every turn; where a whole turn is no whole number of marks, the next turn's zero is a
    mark too. |error_deg| never passes half of dial_step_deg. ValueError for a negative angle, ratio < 1 or step ≤ 0.
    """
    angle, step = exact_angle(angle_deg), exact_angle(dial_step_deg)
    if angle < 0 or ratio < 1 or step <= 0:
        raise ValueError("angle must not be negative, ratio at least 1 and the dial's step greater than nothing")
    per_turn = Fraction(360) / exact_angle(ratio)
    turns, dial = exact_dial(angle, per_turn, step)
    return Setting(turns, float(dial), float(turns * per_turn + dial - angle))


def exact_dial(angle: Fraction, per_turn: Fraction, step: Fraction) -> tuple[int, Fraction]:
    """As `dial_setting`, in exact degrees all through: whole turns, and the mark of the dial."""
    turns, rest = divmod(angle, per_turn)
    dial = math.floor(rest / step + HALF) * step
    if dial >= per_turn or per_turn - rest < abs(dial - rest):
        return int(turns) + 1, NOTHING
    return int(turns), dial


def plate_setting(angle_deg: Fraction | float, ratio: int, circles: Iterable[int]) -> PlateSetting | None:
    """Turns, circle and holes that reach an angle ≥ 0 exactly, or None when no circle does.

    Of the circles that do, the one with the fewest holes to move: least to miscount. ValueError for a negative angle.
    """
    turns_exact = exact_angle(angle_deg) * ratio / 360
    if turns_exact < 0:
        raise ValueError("an angle from zero must not be negative")
    turns, part = divmod(turns_exact, 1)
    fits = [circle for circle in circles if circle % part.denominator == 0]
    if not fits:
        return None
    circle = min(fits)
    return PlateSetting(int(turns), circle, int(part * circle))


def common_circle(angles_deg: Iterable[Fraction | float], ratio: int, circles: Iterable[int]) -> int | None:
    """The smallest circle that reaches every one of the angles exactly, so that the pin is set once, or None."""
    parts = {(exact_angle(angle) * ratio / 360).denominator for angle in angles_deg}  # of a turn
    return next((c for c in sorted(set(circles)) if all(c % part == 0 for part in parts)), None)


def simple_indexing(divisions: int, ratio: int, circles: Iterable[int]) -> PlateSetting | None:
    """Turns, circle and holes for one of `divisions` equal divisions: T = ratio/divisions; None when out of reach.

    ValueError unless divisions ≥ 1. Source: Brown & Sharpe, Practical Treatise on Milling.
    """
    if divisions < 1:
        raise ValueError("a circle has at least one division")
    return plate_setting(Fraction(360, divisions), ratio, circles)


class CompoundSetting(NamedTuple):
    """Two moves that add up to one division; holes are negative where that move goes backwards.

    First the crank by holes_1 in circle_1, then plate and crank together by holes_2 in circle_2, on the rear pin.
    """

    circle_1: int
    holes_1: int
    circle_2: int
    holes_2: int

    @property
    def part(self) -> Fraction:
        """Turns of the worm for one division, exactly."""
        return Fraction(self.holes_1, self.circle_1) + Fraction(self.holes_2, self.circle_2)

    @property
    def arithmetic(self) -> str:
        """The sum as a person writes it: 21/23 - 11/33 = 40/69."""
        sign = "-" if self.holes_2 < 0 else "+"
        first, second = f"{self.holes_1}/{self.circle_1}", f"{abs(self.holes_2)}/{self.circle_2}"
        return f"{first} {sign} {second} = {self.part.numerator}/{self.part.denominator}"


def compound_indexing(divisions: int, ratio: int, circles_of_one_plate: Sequence[int]) -> CompoundSetting | None:
    """Two circles of one plate whose moves add up to exactly one division, or None.

    a/c1 + b/c2 = ratio/divisions with whole a and b, fewest holes in all. ValueError unless divisions ≥ 1.
    Source: compound indexing as in the milling handbooks; the search is ours.
    """
    if divisions < 1:
        raise ValueError("a circle has at least one division")
    wanted = Fraction(ratio, divisions)
    best: CompoundSetting | None = None
    circles = sorted(set(circles_of_one_plate))
    for one in circles:
        for two in circles:
            if one == two or (wanted * one * two).denominator != 1:
                continue
            whole = int(wanted * one * two)
            for holes in range(1, one * (math.floor(wanted) + 2)):  # two turns too far: a turn less either way is less
                rest, over = divmod(whole - holes * two, one)
                if over or rest == 0:
                    continue
                found = CompoundSetting(one, holes, two, rest)
                if best is None or _holes(found) < _holes(best):
                    best = found
    return best


def _holes(setting: CompoundSetting) -> tuple[int, int]:
    """Holes moved in all; between equals the one that goes forward first by more."""
    return abs(setting.holes_1) + abs(setting.holes_2), -setting.holes_1


class DifferentialSetting(NamedTuple):
    """Indexing for `assumed` divisions while gears from the spindle turn the plate.

    gear_ratio: turns of the plate for one turn of the spindle (drivers over driven), positive when the plate turns
    the same way as the crank. gears: (driver, driven) or (driver, driven, driver, driven) of that size; () when no
    gears were given or none reach it.
    """

    assumed: int
    setting: PlateSetting
    gear_ratio: Fraction
    gears: tuple[int, ...]


def differential_indexing(
    divisions: int, ratio: int, circles: Iterable[int], gears: Sequence[int] = ()
) -> DifferentialSetting | None:
    """The nearest count that plates reach, and the gearing that makes up the difference; None when nothing is near.

    gear_ratio = ratio·(assumed - divisions)/assumed. With `gears` (a wheel listed twice is there twice) only settings
    those gears can drive are taken. Looks 12 divisions either way. Source: differential indexing as in Machinery's
    Handbook.
    """
    reach = list(circles)
    for away in range(1, 13):
        for assumed in (divisions + away, divisions - away):
            setting = simple_indexing(assumed, ratio, reach) if assumed >= 1 else None
            if setting is None:
                continue
            gear_ratio = Fraction(ratio * (assumed - divisions), assumed)
            train = gear_train(abs(gear_ratio), gears) if gears else ()
            if train or not gears:
                return DifferentialSetting(assumed, setting, gear_ratio, train)
    return None


def gear_train(wanted: Fraction, gears: Sequence[int]) -> tuple[int, ...]:
    """(driver, driven), or two such pairs, whose product is exactly `wanted`; () when these gears cannot."""
    wheels = sorted(gears)
    n = len(wheels)
    for i in range(n):
        for j in range(n):
            if i != j and Fraction(wheels[i], wheels[j]) == wanted:
                return wheels[i], wheels[j]
    for i in range(n):
        for j in range(n):
            if j == i:
                continue
            for k in range(i + 1, n):
                if k == j:
                    continue
                last = Fraction(wheels[i] * wheels[k], wheels[j]) / wanted
                places = [m for m in range(n) if m not in (i, j, k) and wheels[m] == last]
                if places:
                    return wheels[i], wheels[j], wheels[k], wheels[places[0]]
    return ()


def sector_arms(holes: int) -> int:
    """Holes the sector arms enclose for a move of `holes`: one more. Source: rotary-table maker's manual."""
    return holes + 1


def forgotten_part_turn_divisions(ratio: int, divisions: int) -> Fraction | None:
    """Divisions one gets by turning the whole turns alone and forgetting the part: ratio / whole turns.

    40 for 36 divisions at 40:1. None when there is no whole turn (the table would not move at all); `divisions`
    itself when there is no part to forget.
    """
    whole = ratio // divisions
    return Fraction(ratio, whole) if whole else None
