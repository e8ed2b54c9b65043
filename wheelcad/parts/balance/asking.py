"""What the planner is asked for a job, and what else could be done."""

from __future__ import annotations

import numpy as np

from wheelcad.errors import DesignError, Fault, Faults
from wheelcad.job.models import Job
from wheelcad.parts.balance import alternatives, walls
from wheelcad.parts.balance.counted import Counted
from wheelcad.parts.balance.metal import Metal
from wheelcad.parts.balance.plan import Outcome, search
from wheelcad.parts.balance.reasons import FACES, why_no_band, why_no_radius
from wheelcad.parts.balance.setting import setting_of, usable_drills
from wheelcad.parts.balance.task import Task
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.drills import Drill, drills, sized
from wheelcad.trade.frames import angle_of
from wheelcad.trade.loop import Floats
from wheelcad.trade.unbalance import AIM_GRADE, GRADES, LIMIT_GRADE, permissible_g_mm
from wheelcad.words import count as many
from wheelcad.words import length

GOOD_SHARE = 0.2  # of the aim: a plan that leaves less is good enough to stop looking
GOOD_WITHOUT_SPEED = 0.02  # of the unbalance, where no speed gives an aim
WORST_WITHOUT_SPEED = 0.1  # of the unbalance, the same: what a plan may leave at worst
NOTHING_SHARE = 0.05  # of the aim: less than this is not worth a hole
NOTHING_G_MM = 0.5  # the same where no speed gives an aim
DISC = 0.5  # length over diameter up to which a rotor is balanced in one plane; common practice, no source
LARGEST_OFFERED = 13.0  # mm: drills up to this are tried when the job's largest is too small


NOTHING_HEAVY = "nothing worth a hole: the wheel is in balance as cut"


def not_asked(job: Job) -> str:
    if job.balance is None:
        return "not asked for: the section `balance` would bring holes"
    return "not asked for: balance.correct_by is none"


def speed_of(job: Job) -> float | None:
    return job.engine.max_speed if job.engine is not None else None


def aim_of(job: Job, mass_kg: float) -> float | None:
    speed, grade = speed_of(job), job.balance.grade if job.balance is not None else LIMIT_GRADE
    return None if speed is None else permissible_g_mm(min(GRADES[grade], GRADES[AIM_GRADE]), mass_kg, speed)


def not_worth_g_mm(job: Job, mass_kg: float) -> float:
    aim = aim_of(job, mass_kg)
    return NOTHING_G_MM if aim is None else NOTHING_SHARE * aim


def task_of(job: Job, wheel: WheelDesign, metal: Metal, count: Counted) -> Task:
    """What the planner is asked. DesignError when radius, band or largest_drill leave no place at all."""
    assert job.balance is not None
    usable = usable_drills(job.shop.drills, job.balance.largest_drill, walls.LEAST_DRILL)
    if not usable:
        least = drills(job.shop.drills)[0]
        raise DesignError(
            Fault(
                "is smaller than the smallest drill of the set",
                key=("balance", "largest_drill"),
                found=length(job.balance.largest_drill),
                allowed=f"at least {sized(*least)}",
            )
        )
    return _asked(job, wheel, metal, count, usable, _radii(job, wheel, metal, usable))


def _asked(
    job: Job, wheel: WheelDesign, metal: Metal, count: Counted, usable: tuple[Drill, ...], radii: Floats
) -> Task:
    assert job.balance is not None
    vector = count.vector
    amount = float(np.hypot(*vector))
    aim = aim_of(job, count.mass_kg)
    disc = metal.length <= DISC * 2 * max(piece.land.radius for piece in metal.pieces)
    return Task(
        amount,
        float(angle_of(vector[0], vector[1], wheel.sense)),
        count.plane_mm,
        count.density_kg_m3 * 1e-6,
        metal,
        setting_of(job, wheel),
        usable,
        radii,
        FACES[job.balance.faces],
        GOOD_WITHOUT_SPEED * amount if aim is None else GOOD_SHARE * aim,
        WORST_WITHOUT_SPEED * amount if aim is None else aim,
        None if aim is None or disc else aim / 2 * metal.length,
    )


def _radii(job: Job, wheel: WheelDesign, metal: Metal, usable: tuple[Drill, ...]) -> Floats:
    """Radii to look at: the job's one, or all there are. DesignError when not even the thinnest drill fits there."""
    assert job.balance is not None
    setting = setting_of(job, wheel)
    outermost = max(
        wheel.floor_radius_mm, *(piece.land.radius for piece in metal.pieces if piece.land.name != "ring"), 0
    )
    everywhere = setting.radii(metal.bore, outermost)
    faults = Faults()
    radius, band = job.balance.radius, job.balance.band
    if radius is not None:
        why = why_no_radius(metal, radius, usable[0].diameter_mm, everywhere, job.balance.faces)
        if why is not None:
            faults.add(("balance", "radius"), why.message, found=length(radius), allowed=why.allowed)
        if band is not None and not band[0] <= radius <= band[1]:
            faults.add(("balance", "band"), "does not hold balance.radius", found=_range(band))
    elif band is not None:
        within = setting.radii(max(band[0], metal.bore), min(band[1], outermost))
        nowhere = why_no_band(metal, within, usable[0].diameter_mm, everywhere, job.balance.faces)
        if nowhere is not None:
            faults.add(("balance", "band"), nowhere.message, found=_range(band), allowed=nowhere.allowed)
    faults.raise_if_any()
    if radius is not None:
        return np.array([radius])
    if band is not None:
        return setting.radii(max(band[0], metal.bore), min(band[1], outermost))
    return everywhere


def _range(band: tuple[float, float]) -> str:
    return f"{length(band[0])} to {length(band[1])}"


def other_ways(
    job: Job, wheel: WheelDesign, metal: Metal, count: Counted, task: Task | None, outcome: Outcome
) -> tuple[str, ...]:
    """Other ways, in words: a larger drill or another radius where the search failed, a slot, a bolt."""
    vector = count.vector
    amount = float(np.hypot(*vector))
    if amount <= not_worth_g_mm(job, count.mass_kg):
        return ()
    out: list[str] = []
    if task is not None and outcome.plan is None:
        out += _relaxed(job, wheel, metal, count)
    at_deg = float(angle_of(vector[0], vector[1], wheel.sense))
    setting = setting_of(job, wheel)
    radii = setting.radii(metal.bore, wheel.floor_radius_mm)
    density = count.density_kg_m3 * 1e-6
    cutter = job.shop.cutter.diameter if job.shop.cutter is not None else min(job.wheel.slot.width, 6.0)
    for way in (
        alternatives.slot_behind_rim(metal, amount, at_deg, density, radii, cutter),
        alternatives.added_mass(metal, amount, at_deg, radii),
    ):
        if way is not None:
            out.append(way)
    return tuple(out)


def _relaxed(job: Job, wheel: WheelDesign, metal: Metal, count: Counted) -> list[str]:
    """What in `balance` could be given differently so that holes would do."""
    assert job.balance is not None
    setting = setting_of(job, wheel)
    everywhere = setting.radii(metal.bore, max(piece.land.radius for piece in metal.pieces))
    given = usable_drills(job.shop.drills, job.balance.largest_drill, walls.LEAST_DRILL)
    larger = usable_drills(job.shop.drills, LARGEST_OFFERED, walls.LEAST_DRILL)
    here = _radii(job, wheel, metal, given)
    out = []
    for key, usable, radii in (
        ("balance.largest_drill", larger, here),
        ("leaving out balance.radius and balance.band", given, everywhere),
        ("leaving out balance.radius and balance.band, with balance.largest_drill", larger, everywhere),
    ):
        plan = search(_asked(job, wheel, metal, count, usable, radii)).plan
        if plan is None:
            continue
        biggest = max(plan.holes, key=lambda hole: hole.diameter_mm)
        drill = sized(biggest.drill, biggest.diameter_mm)
        size = f" of {drill}" if "largest_drill" in key else ""
        holes = many(len(plan.holes), "hole")
        out.append(f"{key}{size} would do: {holes} of {drill} at radius {length(biggest.radius_mm)}")
        break
    return out
