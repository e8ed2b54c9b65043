"""The wheel's balance: what is heavy, the holes that take it out, what is left and what the standard permits.

See model.py for signs.
"""

from __future__ import annotations

import math

import numpy as np

from wheelcad.job.models import Job
from wheelcad.parts.balance import runout
from wheelcad.parts.balance.correction import Correction, correction, other_ways
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.balance.rated import rated
from wheelcad.parts.balance.reading import edges_for
from wheelcad.parts.balance.spread import Spread, figure, off_centre, spread
from wheelcad.parts.balance.verdicts import verdicts
from wheelcad.parts.common.holes import taken_out
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.unbalance import GRADES, LIMIT_GRADE, permissible_g_mm

__all__ = ["BalanceDesign", "design_balance"]


def design_balance(job: Job, wheel: WheelDesign) -> BalanceDesign:
    """The balance of a job's wheel. DesignError where `balance` asks for holes that cannot be anywhere."""
    made = correction(job, wheel)
    metal, initial, outcome = made.metal, made.initial, made.outcome
    holes, before, wanted = made.holes, initial.vector, job.balance
    asked = wanted is not None and wanted.correct_by == "holes"
    after = before - taken_out(holes, initial.density_kg_m3, wheel.sense)
    mass = initial.mass_kg - sum(hole.mass_g(initial.density_kg_m3) for hole in holes) / 1000
    errors, runout = _spread(job, wheel, made, mass)
    design = BalanceDesign(
        before=(float(before[0]), float(before[1])),
        after=(float(after[0]), float(after[1])),
        holes=holes,
        mass_kg=mass,
        sense=wheel.sense,
        initial=initial,
        metal=metal,
        grade=wanted.grade if wanted is not None else LIMIT_GRADE,
        max_speed_rpm=job.max_speed,
        correct_by="holes" if asked else "none",
        plan=outcome.why,
        couple_g_mm2=outcome.plan.couple if outcome.plan is not None else 0.0,
        spread=errors,
        runout_limit_mm=runout,
        rated=rated(job, mass),
        edges=edges_for(mass, metal.bore),
        readings=made.readings,
        other=tuple(other_ways(job, wheel, metal, initial, outcome if asked else None)),
    )
    return verdicts(job, wheel, design)


def _spread(job: Job, wheel: WheelDesign, made: Correction, mass_kg: float) -> tuple[Spread, float | None]:
    """The 95 % figures, and the run-out the lathe must hold so that they stay within the job's grade."""
    initial, density = made.initial, made.initial.density_kg_m3
    left = initial.vector - taken_out(made.planned, density, wheel.sense)
    vectors, draws = spread(left, np.array(initial.parts[0][1:3]), made.planned, density * 1e-6, wheel.sense)
    drilling, plate = figure(vectors), wheel.form == "plate"
    mass = mass_kg * 1000 if plate else runout.turned_again(job, wheel).mass_g
    budget = _permitted(job, mass_kg) - drilling
    if plate:  # its seat takes of the same budget; half is the rim's whatever the seat (our judgement)
        offset = runout.plate_offset_mm(job)[0]
        budget = max(budget - mass * offset, budget / 2)
    limit = runout.runout_limit_mm(job, wheel, budget)
    if not plate:
        offset = (limit or 0.0) / 2
    if made.readings:  # what was turned off centre is in the reading, what the edges cannot show is not
        last = made.readings[-1]
        vectors, draws = spread(np.array(last.after), np.zeros(2), last.holes, density * 1e-6, wheel.sense)
        vectors = vectors + off_centre(draws[::-1], last.edges.felt_g_mm, 1.0)
        drilling, offset = figure(vectors), offset if plate else 0.0
    return Spread(drilling, figure(vectors + off_centre(draws, mass, offset)), offset), limit


def _permitted(job: Job, mass_kg: float) -> float:
    """What the job's grade permits, g·mm; infinite without a speed."""
    grade, speed = job.balance.grade if job.balance is not None else LIMIT_GRADE, job.max_speed
    return math.inf if speed is None else permissible_g_mm(GRADES[grade], rated(job, mass_kg).kg, speed)
