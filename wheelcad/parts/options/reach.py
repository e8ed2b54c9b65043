"""What a rotary table does for a pattern: exactly by its dial or a plate, or how far off the worst setting is at most.

Every slot of a pattern lies a whole number k of half pitches from the gap's centre, 180/teeth degrees each; all k are
odd when an odd number of teeth is missing, else even. So every setting is exact when one step is: half a pitch for odd,
a whole pitch for even.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from wheelcad.job.models import RotaryTable
from wheelcad.trade.indexing import common_circle, exact_angle


@dataclass(frozen=True)
class TableReach:
    """by_dial: every setting falls on a mark. circle: fewest holes that reach every setting, None for none.

    error_deg: how far off the worst setting is by the dial, at most.
    """

    by_dial: bool
    circle: int | None
    error_deg: float

    @property
    def exact(self) -> bool:
        """By the dial or by a plate."""
        return self.by_dial or self.circle is not None

    @property
    def worst_deg(self) -> float:
        """How far off the worst setting is, by what does it best."""
        return 0.0 if self.exact else self.error_deg


def table_reach(table: RotaryTable, teeth: int, missing: int) -> TableReach:
    """What the table does for the pattern."""
    mark = exact_angle(table.dial_step)
    step = Fraction(180 if missing % 2 else 360, teeth)
    turn = Fraction(360, table.ratio)
    if (turn / mark).denominator == 1:  # a turn is a whole number of marks, so settings never miss by more than this
        parts = (step / mark).denominator
        by_dial, error = parts == 1, float(mark) * (parts // 2) / parts
    else:  # each turn's dial begins anew
        by_dial = (step / turn).denominator == 1
        error = 0.0 if by_dial else float(mark) / 2
    return TableReach(by_dial, common_circle([step], table.ratio, (c for plate in table.plates for c in plate)), error)
