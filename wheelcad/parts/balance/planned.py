"""The holes for a job's wheel: all of the balance that the chart needs, apart from what only a report tells."""

from __future__ import annotations

from typing import NamedTuple

from wheelcad.job.models import Job
from wheelcad.parts.balance.asking import NOTHING_HEAVY, not_asked, not_worth_g_mm, task_of
from wheelcad.parts.balance.counted import Counted, counted
from wheelcad.parts.balance.metal import Metal, metal_of
from wheelcad.parts.balance.plan import Outcome, search
from wheelcad.parts.balance.task import Task
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.wheel.design import WheelDesign


class Planned(NamedTuple):
    """What is heavy, what was asked for and what was found."""

    metal: Metal
    what_counts: Counted
    asked: Task | None
    outcome: Outcome

    @property
    def holes(self) -> tuple[CorrectionHole, ...]:
        """The holes to drill; none where nothing was found or asked for."""
        return self.outcome.plan.holes if self.outcome.plan is not None else ()


def planned(job: Job, wheel: WheelDesign) -> Planned:
    """What is heavy and the holes for it; DesignError where `balance` asks for holes that cannot be anywhere."""
    metal = metal_of(job, wheel)
    count = counted(job, wheel, metal)
    if job.balance is None or job.balance.correct_by != "holes":
        return Planned(metal, count, None, Outcome(None, not_asked(job)))
    asked = task_of(job, wheel, metal, count)
    heavy = asked.amount > not_worth_g_mm(job, count.mass_kg)
    return Planned(metal, count, asked, search(asked) if heavy else Outcome(None, NOTHING_HEAVY))


def planned_holes(job: Job, wheel: WheelDesign) -> tuple[CorrectionHole, ...]:
    """The holes alone, without the 95 % figures and verdicts; DesignError as in `planned`."""
    return planned(job, wheel).holes
