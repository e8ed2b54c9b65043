"""For a balance hole that the circle on the table does not reach: its nearest hole, and what that costs in balance."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import NamedTuple

from wheelcad.parts.indexing.settings import WHOLE, TurnTable
from wheelcad.parts.indexing.work import Drilling


class Nearest(NamedTuple):
    """Where the pin goes instead. turns, holes, circle: from zero. off_deg: from the hole's own angle. cost_g_mm: what
    of the hole's moment then pulls to one side: moment times that angle, in radians."""

    turns: int
    holes: int
    circle: int
    off_deg: float
    cost_g_mm: float


def nearest_hole(table: TurnTable | None, at: Fraction, drill: Drilling | None) -> Nearest | None:
    """The nearest hole of the circle on the table to the angle `at` from zero; None where the circle reaches the angle
    itself, or there is no circle that stays on the table. Source of the cost: geometry, a chord of a small angle."""
    if table is None or drill is None or table.one_circle is None or table.hole_step is None:
        return None
    if table.setting(at).circle is not None:
        return None
    nearest = round(at / table.hole_step) * table.hole_step
    whole, part = divmod(nearest % WHOLE, table.per_turn)
    off = float(abs(nearest - at))
    cost = 2 * drill.moment_g_mm * math.sin(math.radians(off) / 2)
    return Nearest(int(whole), int(part / table.hole_step), table.one_circle, off, cost)
