"""The search: through pairs before blind holes, few holes before many, and why nothing fits where nothing does."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from itertools import islice

from wheelcad.parts.balance.blind import blind_pairs, single_blind, two_planes
from wheelcad.parts.balance.candidates import HoleSearch, Plan
from wheelcad.parts.balance.through import MOST_PAIRS, equal_pairs, several_pairs, unequal_pairs
from wheelcad.trade.drills import sized
from wheelcad.words import angle, unbalance

LOOKED_AT = 60  # plans of one kind compared before the next kind is tried

Stage = Callable[[bool], Iterator[Plan]]


@dataclass(frozen=True)
class Outcome:
    """plan: None when nothing does it. why: in words, what was chosen over what, or what stood in the way."""

    plan: Plan | None
    why: str


def search(sought: HoleSearch) -> Outcome:
    """The first plan, in the order of preference, that leaves little; failing that, one that is within the aim."""
    nearest: list[float] = []
    for accept in dict.fromkeys((sought.accept, sought.at_worst)):
        outcome = _first(sought, accept, nearest)
        if outcome is not None:
            return outcome
    if nearest:
        marks, left = angle(sought.marks.dial_step_deg), unbalance(min(nearest))
        why = f"on marks of {marks} the best holes leave {left}, more than {unbalance(sought.at_worst)}"
        return Outcome(None, why)
    return Outcome(None, _why_not(sought))


def _stages(sought: HoleSearch) -> list[tuple[str, Stage]]:
    """Every kind of plan, in the order of preference."""
    stages: list[tuple[str, Stage]] = [
        ("an equal through pair", partial(equal_pairs, sought)),
        ("two different through holes", partial(unequal_pairs, sought)),
    ]
    for pairs in range(2, MOST_PAIRS + 1):
        stages.append((f"{pairs} through pairs", partial(several_pairs, sought, pairs)))
    return [
        *stages,
        ("one blind hole", partial(single_blind, sought)),
        ("a blind pair", partial(blind_pairs, sought)),
    ]


def _first(sought: HoleSearch, accept: float, nearest: list[float]) -> Outcome | None:
    """The first plan that leaves no more than `accept`; residuals of those that leave more go into `nearest`."""

    def good_enough(plans: Iterable[Plan]) -> Plan | None:
        for plan in islice(plans, LOOKED_AT):
            if plan.residual <= accept:
                return plan
            nearest.append(plan.residual)
        return None

    tried: list[str] = []
    for relaxed in (False, True) if sought.couple_limit is not None else (False,):
        for name, stage in _stages(sought):
            plan = good_enough(stage(relaxed))
            if plan is not None:
                return Outcome(plan, _chosen(name, tried, relaxed))
            tried.append(name)
        plan = good_enough(two_planes(sought)) if sought.couple_limit is not None and not relaxed else None
        if plan is not None:
            return Outcome(plan, _chosen("blind pairs in two planes", tried, relaxed))
    return None


def _chosen(name: str, tried: list[str], relaxed: bool) -> str:
    if relaxed:
        return f"{name}; it leaves a couple, since no holes near enough to the unbalance's plane fit"
    if not tried:
        return name
    fewer = "an equal through pair" if len(tried) == 1 else f"{tried[0]} to {tried[-1]}"
    return f"{name}; {fewer} would break a wall or take out too little or too much"


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
