"""What a reading on level edges and its re-check come to, as findings of the trade."""

from __future__ import annotations

import math
from collections.abc import Sequence

from wheelcad.codes import Check
from wheelcad.findings import Finding, holds
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.balance.reading import LevelRead, what_went_wrong
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.trade.drills import sized
from wheelcad.words import angle, diameter, length, unbalance

STATIC = "computed from the putty's moment: static balance"


def holes_said(holes: Sequence[CorrectionHole]) -> str:
    """Holes in words."""
    return "; ".join(
        f"{sized(hole.drill, hole.diameter_mm)} at {angle(hole.at_deg)}, radius {length(hole.radius_mm)}, "
        f"{'through' if hole.through else length(hole.depth_mm) + ' deep'} ({hole.where})"
        for hole in holes
    )


def reading_findings(design: BalanceDesign) -> list[Finding]:
    """What follows from each reading, and whether the second is what the first one's holes should have left."""
    out = [_reading(one) for one in design.readings]
    if len(design.readings) > 1:
        out.append(_recheck(*design.readings))
    return out


def _reading(one: LevelRead) -> Finding:
    felt, at = one.edges.felt_g_mm, angle(one.heavy_at_deg)
    why = (
        f"read: {unbalance(one.size_g_mm)}, heavy at {at}; {one.outcome.why}; level edges and an arbour of "
        f"{diameter(one.edges.arbour_mm)} show no less than {unbalance(felt)}"
    )
    if one.instead is not None:
        why += f"; mass on the light side would do as well, {one.instead.words()}, locked so that it cannot come loose"
    done = bool(one.holes) or one.size_g_mm <= felt
    said = holes_said(one.holes) or ("nothing to drill" if done else "no holes")
    if one.holes and one.number == 1:
        why += "; then read again and write it into balance.recheck"
    return holds(Check.BALANCE_READING, one.key, done, said, why, STATIC, "warn")


def _recheck(first: LevelRead, second: LevelRead) -> Finding:
    wrong = what_went_wrong(first, second)
    expected = math.hypot(*first.after)
    said = f"{unbalance(second.size_g_mm)}, heavy at {angle(second.heavy_at_deg)}"
    why = f"the first reading's holes should have left {unbalance(expected)}, and what edges cannot show"
    if wrong is not None:
        why = f"{why}; the second reading is {wrong}"
    return holds(Check.BALANCE_RECHECK, second.key, wrong is None, said, why, STATIC, "warn")
