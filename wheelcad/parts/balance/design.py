"""The wheel's balance: what is heavy, the holes that take it out, what is left and what the standard permits.

See model.py for signs.
"""

from __future__ import annotations

import math

import numpy as np

from wheelcad.job.models import Job
from wheelcad.parts.balance import runout, spread
from wheelcad.parts.balance.correction import correction, other_ways, speed_of
from wheelcad.parts.balance.initial import InitialUnbalance
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.balance.verdicts import verdicts
from wheelcad.parts.common.holes import CorrectionHole, taken_out
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.loop import Floats
from wheelcad.trade.unbalance import GRADES, LIMIT_GRADE, permissible_g_mm

__all__ = ["BalanceDesign", "design_balance"]


def design_balance(job: Job, wheel: WheelDesign) -> BalanceDesign:
    """The balance of a job's wheel. DesignError where `balance` asks for holes that cannot be anywhere."""
    made = correction(job, wheel)
    metal, initial, outcome = made
    holes, before, wanted = made.holes, initial.vector, job.balance
    asked = wanted is not None and wanted.correct_by == "holes"
    after = before - taken_out(holes, initial.density_kg_m3, wheel.sense)
    mass = initial.mass_kg - sum(hole.mass_g(initial.density_kg_m3) for hole in holes) / 1000
    errors, runout = _spread(job, wheel, initial, after, holes, mass)
    design = BalanceDesign(
        before=(float(before[0]), float(before[1])),
        after=(float(after[0]), float(after[1])),
        holes=holes,
        mass_kg=mass,
        sense=wheel.sense,
        initial=initial,
        metal=metal,
        grade=wanted.grade if wanted is not None else LIMIT_GRADE,
        max_speed_rpm=speed_of(job),
        correct_by="holes" if asked else "none",
        plan=outcome.why,
        couple_g_mm2=outcome.plan.couple if outcome.plan is not None else 0.0,
        spread=errors,
        runout_limit_mm=runout,
        other=other_ways(job, wheel, metal, initial, outcome if asked else None),
    )
    return verdicts(job, wheel, design)


def _spread(
    job: Job,
    wheel: WheelDesign,
    initial: InitialUnbalance,
    after: Floats,
    holes: tuple[CorrectionHole, ...],
    mass_kg: float,
) -> tuple[spread.Spread, float | None]:
    """The 95 % figures, and the run-out the lathe must hold so that they stay within the job's grade."""
    cut_away = np.array(initial.parts[0][1:3])
    vectors, draws = spread.spread(after, cut_away, holes, initial.density_kg_m3 * 1e-6, wheel.sense)
    drilling = spread.figure(vectors)
    grade = job.balance.grade if job.balance is not None else LIMIT_GRADE
    speed = speed_of(job)
    if wheel.form == "plate":
        mass, offset, limit = mass_kg * 1000, runout.plate_offset_mm(job)[0], None
    else:
        permitted = math.inf if speed is None else permissible_g_mm(GRADES[grade], mass_kg, speed)
        limit = runout.runout_limit_mm(job, wheel, permitted - drilling)
        mass, offset = runout.turned_again(job, wheel).mass_g, (limit or 0.0) / 2
    seated = spread.figure(vectors + spread.off_centre(draws, mass, offset))
    return spread.Spread(drilling, seated, offset), limit
