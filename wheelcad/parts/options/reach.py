"""What a rotary table does for many patterns at once: exactly by its dial or a plate, or how far off at most.

Every slot of a pattern lies a whole number k of half pitches from the gap's centre, 180/teeth degrees each; all k are
odd when an odd number of teeth is missing, else even. So every setting is exact when one step is: half a pitch for odd,
a whole pitch for even. Whole-number arithmetic throughout.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wheelcad.job.models import RotaryTable
from wheelcad.trade.indexing import exact_angle
from wheelcad.trade.loop import Floats

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class TableReach:
    """By pattern. by_dial: every setting falls on a mark. circle: fewest holes that reach every setting, 0 for none.

    error_deg: how far off the worst setting is by the dial, at most.
    """

    by_dial: Bools
    circle: Ints
    error_deg: Floats

    @property
    def exact(self) -> Bools:
        """By the dial or by a plate."""
        return self.by_dial | (self.circle > 0)


def table_reach(table: RotaryTable, teeth: Ints, missing: Ints) -> TableReach:
    """What the table does for each pattern."""
    step = exact_angle(table.dial_step)
    p, q = step.numerator, step.denominator
    halves = np.where(missing % 2 == 1, 1, 2)  # half pitches in the one step that decides
    if 360 * q % (table.ratio * p) == 0:  # a turn is a whole number of marks
        parts = teeth * p // np.gcd(halves * 180 * q, teeth * p)
        by_dial, error = parts == 1, float(step) * (parts // 2) / parts
    else:
        by_dial = halves * table.ratio % (2 * teeth) == 0
        error = np.where(by_dial, 0.0, float(step) / 2)
    circles = np.array(sorted({circle for plate in table.plates for circle in plate}), dtype=np.int64)
    circle = np.zeros(len(teeth), dtype=np.int64)
    if len(circles):
        fits = circles * table.ratio * halves[:, None] % (2 * teeth[:, None]) == 0
        circle = np.where(fits.any(axis=1), circles[fits.argmax(axis=1)], 0)
    return TableReach(by_dial, circle, error)
