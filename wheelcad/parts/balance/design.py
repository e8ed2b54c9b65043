"""The wheel's balance: what is heavy, the holes that take it out, what is left and what the standard permits.

See model.py for signs.
"""

from __future__ import annotations

import math

import numpy as np

from wheelcad.job.models import Job
from wheelcad.parts.balance import spread, turning
from wheelcad.parts.balance.asking import other_ways, speed_of
from wheelcad.parts.balance.counted import Counted
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.balance.planned import planned
from wheelcad.parts.balance.verdicts import verdicts
from wheelcad.parts.common.holes import CorrectionHole, taken_out
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.loop import Floats
from wheelcad.trade.unbalance import GRADES, LIMIT_GRADE, permissible_g_mm

__all__ = ["BalanceDesign", "design_balance"]


def design_balance(job: Job, wheel: WheelDesign) -> BalanceDesign:
    """The balance of a job's wheel. DesignError where `balance` asks for holes that cannot be anywhere."""
    made = planned(job, wheel)
    metal, count, asked, outcome = made
    holes, before, wanted = made.holes, count.vector, job.balance
    correct_by = "none" if wanted is None else wanted.correct_by
    after = before - taken_out(holes, count.density_kg_m3, wheel.sense)
    mass = count.mass_kg - sum(hole.mass_g(count.density_kg_m3) for hole in holes) / 1000
    errors = _spread(job, wheel, count, after, holes, mass)
    design = BalanceDesign(
        (float(before[0]), float(before[1])),
        (float(after[0]), float(after[1])),
        holes,
        mass,
        count.density_kg_m3,
        wheel.sense,
        count.plane_mm,
        count,
        metal,
        wanted.grade if wanted is not None else LIMIT_GRADE,
        speed_of(job),
        correct_by,
        outcome.why,
        outcome.plan.couple if outcome.plan is not None else 0.0,
        errors[0],
        errors[1],
        other_ways(job, wheel, metal, count, asked, outcome),
        (),
    )
    return verdicts(job, wheel, design)


def _spread(
    job: Job,
    wheel: WheelDesign,
    count: Counted,
    after: Floats,
    holes: tuple[CorrectionHole, ...],
    mass_kg: float,
) -> tuple[spread.Spread, float | None]:
    """The 95 % figures, and the run-out the lathe must hold so that they stay within the job's grade."""
    cut_away = np.array(count.parts[0][1:3])
    vectors, draws = spread.spread(after, cut_away, holes, count.density_kg_m3 * 1e-6, wheel.sense)
    drilling = spread.figure(vectors)
    grade = job.balance.grade if job.balance is not None else LIMIT_GRADE
    speed = speed_of(job)
    if wheel.form == "plate":
        mass, offset, limit = mass_kg * 1000, turning.plate_offset_mm(job)[0], None
    else:
        permitted = math.inf if speed is None else permissible_g_mm(GRADES[grade], mass_kg, speed)
        limit = turning.runout_limit_mm(job, wheel, permitted - drilling)
        mass, offset = turning.returned(job, wheel).mass_g, (limit or 0.0) / 2
    seated = spread.figure(vectors + spread.off_centre(draws, mass, offset))
    return spread.Spread(drilling, seated, offset), limit
