"""The search: the holes that err least, by the 95 % figure of what they leave; why nothing fits where nothing does."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import islice

from wheelcad.parts.balance.blind import blind_pairs, single_blind, two_planes
from wheelcad.parts.balance.candidates import HoleSearch, Plan, figure_95
from wheelcad.parts.balance.through import MOST_PAIRS, equal_pairs, plans, several_pairs, unequal_pairs
from wheelcad.trade.drills import in_plain_set, sized
from wheelcad.words import angle, unbalance

LOOKED_AT = 12  # plans of one kind that are compared
AS_GOOD = 1.02  # of the least figure: within it fewer holes are preferred
ONE_DRILL = 1.04  # the same for through holes of one drill: less to mistake at the machine
SECOND_DRILL = 1.1  # a second drill, to be fetched and to be mistaken for the first, must better the figure by so much
NAMES = {
    "through-pair": "an equal through pair",
    "unequal-pair": "two different through holes",
    "blind-hole": "one blind hole",
    "blind-pair": "a blind pair",
    "two-planes": "blind pairs in two planes",
}


@dataclass(frozen=True)
class Chosen:
    """plan: None when nothing does it. why: in words, what was chosen over what, or what stood in the way."""

    plan: Plan | None
    why: str


def search(sought: HoleSearch) -> Chosen:
    """The plan with the least 95 % figure of all that are within what may be left."""
    found = _Found(sought)
    for relaxed in (False, True) if sought.couple_limit is not None else (False,):
        _gather(found, relaxed)
        if not found.plans and sought.couple_limit is not None and not relaxed:
            found.add(two_planes(sought))
        if found.plans:
            return found.chosen(relaxed)
    if found.nearest < math.inf:
        marks, left = angle(sought.marks.dial_step_deg), unbalance(found.nearest)
        why = f"on marks of {marks} the best holes leave {left}, more than {unbalance(sought.at_worst)}"
        return Chosen(None, why)
    return Chosen(None, _why_not(sought))


class _Found:
    """Plans that would do, each with its 95 % figure; nearest: the least residual of those that would not."""

    def __init__(self, sought: HoleSearch) -> None:
        self.sought = sought
        self.plans: list[tuple[float, Plan]] = []
        self.nearest = math.inf

    def add(self, made: Iterable[Plan]) -> None:
        """Take the first few."""
        for plan in islice(made, LOOKED_AT):
            if plan.residual <= self.sought.at_worst:
                self.plans.append((figure_95(self.sought, plan), plan))
            else:
                self.nearest = min(self.nearest, plan.residual)

    @property
    def least(self) -> float:
        """The least figure so far; infinite without any."""
        return min((figure for figure, _ in self.plans), default=math.inf)

    def chosen(self, relaxed: bool) -> Chosen:
        """The best plan, and what it was chosen over."""
        worth = [(figure * SECOND_DRILL ** _drills(plan), figure, plan) for figure, plan in self.plans]
        least = min(value for value, _, _ in worth)
        as_good = [(f, p) for value, f, p in worth if value <= least * (ONE_DRILL if _plain(p) else AS_GOOD)]
        figure, plan = min(as_good, key=_trouble)
        why = f"{_named(plan)}, which leaves less than {unbalance(figure)} in 95 % of wheels"
        others: dict[str, float] = {}
        for figure, other in self.plans:
            name = _named(other)
            others[name] = min(figure, others.get(name, math.inf))
        others.pop(_named(plan), None)
        if others:
            why += f" ({', '.join(f'{name}: {unbalance(size)}' for name, size in others.items())})"
        if relaxed:
            why += "; it leaves a couple, since no holes near enough to the unbalance's plane fit"
        return Chosen(plan, why)


def _plain(plan: Plan) -> bool:
    """Through holes of one drill."""
    return all(hole.through for hole in plan.holes) and _drills(plan) == 1


def _drills(plan: Plan) -> int:
    """How many drills it takes."""
    return len({hole.diameter_mm for hole in plan.holes})


def _trouble(one: tuple[float, Plan]) -> tuple[int, int, int, bool, float]:
    """How much trouble a plan is: drills, holes, blind ones, a drill that few have; then its figure."""
    figure, plan = one
    blind = sum(not hole.through for hole in plan.holes)
    rare = not all(in_plain_set(hole.diameter_mm) for hole in plan.holes)
    return _drills(plan), len(plan.holes), blind, rare, figure


def _named(plan: Plan) -> str:
    return f"{len(plan.holes) // 2} through pairs" if plan.kind == "through-pairs" else NAMES[plan.kind]


def _gather(found: _Found, relaxed: bool) -> None:
    """Plans of every kind that may have the least figure. Kinds that cannot better what there is are left out."""
    sought = found.sought
    equal = list(equal_pairs(sought, relaxed))
    found.add(plans(sought, equal))
    through = found.least
    for stage in (blind_pairs, single_blind):
        found.add(plans(sought, stage(sought, relaxed)))
    # unequal holes only help round a bolt: where the best equal pair stands in the open there is nothing to gain
    here = min(float(kind.figure[kind.good].min(initial=math.inf)) for kind in equal)
    if here > AS_GOOD * min(kind.in_the_open for kind in equal) or not found.plans:
        found.add(plans(sought, unequal_pairs(sought, relaxed)))
    if math.isinf(through):
        for pairs in range(2, MOST_PAIRS + 1):
            before = len(found.plans)
            found.add(plans(sought, several_pairs(sought, pairs, relaxed)))
            if len(found.plans) > before:
                break


def _why_not(sought: HoleSearch) -> str:
    """What stood in the way, with numbers."""
    largest = sought.drills[-1]
    if not any(len(cells.one) for cells in sought.grids):
        return f"no hole of {sized(*sought.drills[0])} or more keeps its walls anywhere in the metal"
    through = [cells for cells in sought.grids if cells.through.any()]
    if not through:
        return "holes can start but cannot be drilled through, and blind ones are too shallow to take out enough"
    most = max(float(cells.taken_through[cells.through].max()) for cells in through)
    said = (
        f"{unbalance(sought.amount)} is to be taken out; one through hole of up to {sized(*largest)} takes out at most "
        f"{unbalance(most)}"
    )
    if 2 * most < sought.amount:
        return f"{said}, and up to {2 * MOST_PAIRS} of them side by side do not reach it within their walls"
    return said + ", but bolts, keyway or other walls are in the way where it would have to be"
