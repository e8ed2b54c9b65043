"""The whole work as one list of stops, lap after lap: what a person goes through at the mill."""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.parts.indexing.model import Checkpoint, Cut, IndexPlan, Lap
from wheelcad.parts.indexing.settings import Move, TableSetting


@dataclass(frozen=True)
class Step:
    """One stop. index: from 0 over all laps; place: from 1 in its lap, of `of`.

    move: what to turn from the step before. past_zero: the table comes past zero on the way and counting starts again.
    closing: nothing is cut, the cutter must meet the lap's first line. check: what else must meet here, or None.
    """

    index: int
    lap: Lap
    place: int
    of: int
    cut: Cut
    setting: TableSetting
    move: Move
    past_zero: bool
    closing: bool
    check: Checkpoint | None


def plan_steps(plan: IndexPlan) -> tuple[Step, ...]:
    """All stops in working order; () for a plan without a rotary table."""
    if plan.table is None:
        return ()
    meets = {point.after: point for point in plan.checkpoints if point.what == "slot"}
    out: list[Step] = []
    before = plan.table.zero
    for lap in plan.laps:
        stops = [(plan.cut(number), False) for number in lap.cuts]
        if lap.closes and stops:
            stops.append((stops[0][0], True))
        for place, (cut, closing) in enumerate(stops, start=1):
            assert cut.setting is not None
            move = plan.table.move(before, cut.setting)
            past = plan.table.reached(cut.setting) < plan.table.reached(before) or (closing and len(stops) == 2)
            check = meets.get(cut.cut) if cut.work == "slot" and not closing else None
            out.append(Step(len(out), lap, place, len(lap.cuts), cut, cut.setting, move, past, closing, check))
            before = cut.setting
    return tuple(out)
