"""The oracle for the bench page's "Where am I?", which is JavaScript: the same reckoning written once more.

From what the dial reads and the turns a person believes: which cut that is, and which slip explains it.

Angles are table degrees from zero at the centre of the gap. A slip is anything that can happen at a handwheel: the part
of a turn forgotten n times, whole turns too many or too few, the slack taken up on the wrong side, a hole miscounted.
The explanation with the fewest slips comes first. Rules and words are the page's own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from wheelcad.packet.bench_rules import (
    CAUSES_SHOWN,
    DO,
    MOST_FORGOTTEN,
    MOST_HOLES,
    MOST_TURNS,
    MOST_TWICE,
    READING,
    SAYS,
    SLIPS,
)
from wheelcad.parts.indexing import words
from wheelcad.parts.indexing.model import IndexPlan, Stop


@dataclass(frozen=True)
class Cause:
    """One explanation. kind: a key of SAYS; times: how often; cut: the cut it really is, for other-cut, else 0."""

    kind: str
    times: int
    cut: int = 0

    @property
    def slips(self) -> float:
        """How unlikely it is: 0 is where you should be."""
        if self.kind == "sound":
            return 0.0
        return SLIPS[self.kind] + self.times if self.kind in SLIPS else 99.0


@dataclass(frozen=True)
class Whereabouts:
    """An answer. at_deg: where the table stands; off_deg: that less where the present step should be, shorter way.

    step: the present step's index. nearest_cut: of its lap, and near_deg how far past it (negative: short of it).
    back_to: index of the step to go to: the first that went wrong, or the one it really is. causes: likeliest first.
    """

    at_deg: float
    off_deg: float
    step: int
    nearest_cut: int
    near_deg: float
    back_to: int
    causes: tuple[Cause, ...]


def where_am_i(plan: IndexPlan, turns: int, dial_deg: float, step: int | None = None) -> Whereabouts:
    """The likeliest explanations of a dial reading (table degrees) and a count of whole turns from zero.

    step: index of the stop being set, from 0; None looks for the step of the first lap that needs the
    fewest slips. ValueError for a plan without a rotary table.
    """
    steps = plan.stops
    if plan.table is None:
        raise ValueError("without a rotary table there is no dial to read")
    if step is not None:
        return _against(plan, steps, steps[step], turns, dial_deg)
    first_lap = [one for one in steps if one.lap == steps[0].lap and not one.closing]
    found = [_against(plan, steps, one, turns, dial_deg) for one in first_lap]
    return min(found, key=lambda where: (where.causes[0].slips, abs(where.off_deg), where.step))


def turns_by_edge(plan: IndexPlan, edge_deg: float, dial_deg: float) -> int:
    """Whole turns from zero that the table's edge tells, which does not forget: 0 ≤ turns < ratio.

    edge_deg: the reading of the table's edge; its numbers run as the job's `scale` says. ValueError without a table
    or a scale.
    """
    if plan.table is None or plan.scale is None:
        raise ValueError("the edge tells turns only when the job says which way its numbers run")
    per = 360.0 / plan.table.ratio
    at = edge_deg if plan.scale_rises else -edge_deg
    return math.floor((at - dial_deg) / per + 0.5) % plan.table.ratio


def reading_tolerance(plan: IndexPlan) -> float:
    """How far a reading may be from a setting and still be it: one mark of the dial, degrees."""
    assert plan.table is not None
    return float(plan.table.dial_step) * READING


def shorter_way(angle_deg: float) -> float:
    """The angle brought into -180 < a ≤ 180."""
    wrapped = angle_deg % 360.0
    return wrapped - 360.0 if wrapped > 180.0 else wrapped


def _against(plan: IndexPlan, steps: Sequence[Stop], now: Stop, turns: int, dial_deg: float) -> Whereabouts:
    assert plan.table is not None
    per = 360.0 / plan.table.ratio
    at = (turns * per + dial_deg) % 360.0
    off = shorter_way(at - _at(plan, now))
    lap = [one for one in steps if one.lap == now.lap and not one.closing]
    near = min(lap, key=lambda one: (round(abs(shorter_way(at - _at(plan, one))), 9), one.number))
    near_deg = shorter_way(at - _at(plan, near))
    other = near.cut if near.cut != now.cut and abs(near_deg) <= reading_tolerance(plan) else 0
    causes = sorted(_causes(plan, steps, now, other, off, dial_deg), key=lambda cause: (cause.slips, cause.kind))
    causes = causes[:CAUSES_SHOWN] or [Cause("unknown", 0)]
    first = causes[0]
    back_to = now.number - 1
    if first.kind in ("part-forgotten", "part-and-turns"):
        back_to = (now.number - 1) - first.times + 1
    elif first.kind == "part-forgotten-before":
        back_to = (now.number - 1) - first.times
    elif first.kind == "other-cut":
        back_to = near.number - 1
    return Whereabouts(at, off, (now.number - 1), near.cut, near_deg, back_to, tuple(causes))


def _at(plan: IndexPlan, step: Stop) -> float:
    """Degrees from zero that the dial gives at a step."""
    assert plan.table is not None
    return float(plan.table.reached(step.setting))


def _causes(plan: IndexPlan, steps: Sequence[Stop], now: Stop, other: int, off: float, dial_deg: float) -> list[Cause]:
    """Every explanation within a mark of the dial. other: the cut whose setting this is instead, or 0."""
    assert plan.table is not None
    tol, per = reading_tolerance(plan), 360.0 / plan.table.ratio
    if abs(off) <= tol:
        return [Cause("sound", 0)]

    def fits(expected: float) -> bool:
        return abs(shorter_way(off - expected)) <= tol

    out = []
    for n, part in enumerate(_parts(steps, (now.number - 1)), start=1):
        if fits(-part):
            out.append(Cause("part-forgotten", n))
        if n <= MOST_TWICE and fits(part):
            out.append(Cause("part-twice", n))
        if fits(-part - per) or fits(-part + per):
            out.append(Cause("part-and-turns", n))
    if (now.number - 1) > 0:
        last = shorter_way(_at(plan, steps[(now.number - 1) - 1]) - _at(plan, now))
        if fits(last):
            out.append(Cause("not-turned", 0))
        before = enumerate(_parts(steps, (now.number - 1) - 1), start=1)
        out += [Cause("part-forgotten-before", n) for n, part in before if fits(last - part)]
    for n in range(1, MOST_TURNS + 1):
        if fits(-n * per):
            out.append(Cause("turns-few", n))
        if fits(n * per):
            out.append(Cause("turns-many", n))
    if plan.job.shop.rotary_table.backlash > tol and abs(abs(off) - plan.job.shop.rotary_table.backlash) <= max(
        tol, plan.job.shop.rotary_table.backlash / 4
    ):
        out.append(Cause("backlash", 1))
    hole = float(plan.table.hole_step or 0)
    if hole > tol:
        out += [Cause("hole", n) for n in range(1, MOST_HOLES + 1) if fits(n * hole) or fits(-n * hole)]
    if other:
        out.append(Cause("other-cut", 1, other))
    if fits(dial_deg - (per - dial_deg) % per):
        out.append(Cause("other-end", 1))
    return out


def _parts(steps: Sequence[Stop], index: int) -> list[float]:
    """Degrees lost by forgetting the part of the last 1, 2, 3 … moves up to this step; ends at a move without one."""
    parts = []
    for back in range(min(MOST_FORGOTTEN, index + 1)):
        part = float(steps[index - back].move.dial)
        if part == 0.0:
            break
        parts.append(part)
    return list(accumulate(parts))


def explain(plan: IndexPlan, where: Whereabouts) -> list[str]:
    """The answer as sentences: each cause, likeliest first, and what to do about the first."""
    assert plan.table is not None
    step = plan.stops[where.step]
    setting = f"{words.turns(step.setting.turns)} + {words.dial(step.setting.dial, plan.table.dial_step)}"
    said = [filled(SAYS[cause.kind], cause) for cause in where.causes]
    first = where.causes[0]
    once = f"{first.kind}-once" if first.times == 1 else ""
    return [*said, DO.get(once, DO[first.kind]).replace("{setting}", setting)]


def filled(text: str, cause: Cause) -> str:
    """A sentence of SAYS with its numbers in."""
    n = cause.times
    times = {1: "once", 2: "twice"}.get(n, f"{n} times")
    turns = "one whole turn" if n == 1 else f"{n} whole turns"
    holes = "one hole" if n == 1 else f"{n} holes"
    for mark, word in (("{times}", times), ("{turns}", turns), ("{holes}", holes), ("{cut}", str(cause.cut))):
        text = text.replace(mark, word)
    return text
