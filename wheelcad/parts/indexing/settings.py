"""Every setting of one rotary table, reckoned afresh from zero.

Angles are exact fractions of a degree from the table's zero, which is the centre of the gap, in the direction in which
angles on the wheel rise. A setting is whole turns of the handwheel and table degrees on its dial; where a dividing
plate reaches the angle exactly, holes in a circle as well.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from wheelcad.job.models import RotaryTable
from wheelcad.trade.indexing import common_circle, exact_angle, exact_dial, plate_setting

WHOLE = Fraction(360)


class TableSetting(NamedTuple):
    """Where the handwheel stands. dial: table degrees; error: set less wanted, degrees; holes in a circle, or None."""

    turns: int
    dial: Fraction
    error: Fraction
    circle: int | None = None
    holes: int | None = None


class Move(NamedTuple):
    """What to turn from one setting to the next, always forwards. dial: table degrees; holes None when not by plate."""

    turns: int
    dial: Fraction
    holes: int | None = None


@dataclass(frozen=True)
class TurnTable:
    """A rotary table with the one plate circle, if any, that serves a whole list of angles."""

    ratio: int
    dial_step: Fraction
    circles: tuple[int, ...]
    one_circle: int | None

    @cached_property
    def per_turn(self) -> Fraction:
        """Degrees the table turns for one turn of the handwheel."""
        return WHOLE / self.ratio

    @property
    def hole_step(self) -> Fraction | None:
        """Degrees from hole to hole in the one circle, or None without one."""
        return self.per_turn / self.one_circle if self.one_circle else None

    @property
    def zero(self) -> TableSetting:
        """Where counting begins; the pin stands in its first hole when one circle serves the whole list."""
        return TableSetting(0, Fraction(0), Fraction(0), self.one_circle, 0 if self.one_circle else None)

    def setting(self, angle: Fraction) -> TableSetting:
        """The setting for an angle ≥ 0, degrees; |error| is at most half a mark of the dial."""
        turns, dial = exact_dial(angle, self.per_turn, self.dial_step)
        error = turns * self.per_turn + dial - angle
        circles = (self.one_circle,) if self.one_circle else self.circles
        plate = plate_setting(angle, self.ratio, circles) or plate_setting(angle, self.ratio, self.circles)
        if plate is None:
            return TableSetting(turns, dial, error)
        if plate.turns != turns:  # the last mark rounds up to the next turn while the pin is still in this one
            turns, dial = plate.turns, dial + (turns - plate.turns) * self.per_turn
        return TableSetting(turns, dial, error, plate.circle, plate.holes)

    def reached(self, setting: TableSetting) -> Fraction:
        """The angle the dial gives, degrees from zero."""
        return setting.turns * self.per_turn + setting.dial

    def move(self, before: TableSetting, after: TableSetting) -> Move:
        """What to turn from one setting to another, forwards, less than a whole revolution of the table."""
        turns, dial = divmod((self.reached(after) - self.reached(before)) % WHOLE, self.per_turn)
        holes = None
        if after.circle is not None and before.circle == after.circle:
            part = Fraction((after.holes or 0) - (before.holes or 0), after.circle)
            by_plate, rest = divmod((after.turns - before.turns + part) % self.ratio, 1)
            if by_plate == turns:
                holes = int(rest * after.circle)
        return Move(int(turns), dial, holes)


def table_for(table: RotaryTable, angles: Sequence[Fraction]) -> TurnTable:
    """The table of a job; its one circle reaches all of `angles` (degrees) exactly, the pin set once."""
    circles = tuple(circle for plate in table.plates for circle in plate)
    return TurnTable(table.ratio, exact_angle(table.dial_step), circles, common_circle(angles, table.ratio, circles))
