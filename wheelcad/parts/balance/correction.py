"""The correction of a job's wheel: what the search for holes is asked, what it finds, and what else could be done."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wheelcad.errors import DesignError, Fault, Faults
from wheelcad.job.models import Balance, Job
from wheelcad.parts.balance import alternatives, walls
from wheelcad.parts.balance.candidates import HoleSearch
from wheelcad.parts.balance.initial import InitialUnbalance, initial_unbalance
from wheelcad.parts.balance.marks import Marks, marks_of, usable_drills
from wheelcad.parts.balance.metal import Metal, metal_of
from wheelcad.parts.balance.plan import Outcome, search
from wheelcad.parts.balance.reasons import FACES, why_no_band, why_no_radius
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.drills import Drill, drills, sized
from wheelcad.trade.frames import angle_of
from wheelcad.trade.loop import Floats
from wheelcad.trade.unbalance import AIM_GRADE, GRADES, LIMIT_GRADE, permissible_g_mm
from wheelcad.words import count, length

GOOD_SHARE = 0.2  # of the aim: a plan that leaves less is good enough to stop looking
GOOD_WITHOUT_SPEED = 0.02  # of the unbalance, where no speed gives an aim
WORST_WITHOUT_SPEED = 0.1  # of the unbalance, the same: what a plan may leave at worst
NOTHING_SHARE = 0.05  # of the aim: less than this is not worth a hole
NOTHING_G_MM = 0.5  # the same where no speed gives an aim
DISC = 0.5  # length over diameter up to which a rotor is balanced in one plane; common practice, no source
LARGEST_OFFERED = 13.0  # mm: drills up to this are tried when the job's largest is too small


NOTHING_HEAVY = "nothing worth a hole: the wheel is in balance as cut"


def _not_asked(job: Job) -> str:
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


def hole_search(job: Job, wanted: Balance, wheel: WheelDesign, metal: Metal, initial: InitialUnbalance) -> HoleSearch:
    """What is looked for. DesignError when radius, band or largest_drill leave no place at all."""
    usable = usable_drills(job.shop.drills, wanted.largest_drill, walls.LEAST_DRILL)
    if not usable:
        least = drills(job.shop.drills)[0]
        raise DesignError(
            Fault(
                "is smaller than the smallest drill of the set",
                key=("balance", "largest_drill"),
                found=length(wanted.largest_drill),
                allowed=f"at least {sized(*least)}",
            )
        )
    radii = _radii(wanted, marks_of(job, wheel), wheel, metal, usable)
    return _search(job, wanted, wheel, metal, initial, usable, radii)


def _search(
    job: Job,
    wanted: Balance,
    wheel: WheelDesign,
    metal: Metal,
    initial: InitialUnbalance,
    usable: tuple[Drill, ...],
    radii: Floats,
) -> HoleSearch:
    vector = initial.vector
    amount = float(np.hypot(*vector))
    aim = aim_of(job, initial.mass_kg)
    disc = metal.length <= DISC * 2 * max(piece.land.radius for piece in metal.pieces)
    return HoleSearch(
        amount=amount,
        at_deg=float(angle_of(vector[0], vector[1], wheel.sense)),
        plane_mm=initial.plane_mm,
        density=initial.density_kg_m3 * 1e-6,
        metal=metal,
        marks=marks_of(job, wheel),
        drills=usable,
        radii=radii,
        faces=FACES[wanted.faces],
        accept=GOOD_WITHOUT_SPEED * amount if aim is None else GOOD_SHARE * aim,
        at_worst=WORST_WITHOUT_SPEED * amount if aim is None else aim,
        couple_limit=None if aim is None or disc else aim / 2 * metal.length,
    )


def _radii(wanted: Balance, marks: Marks, wheel: WheelDesign, metal: Metal, usable: tuple[Drill, ...]) -> Floats:
    """Radii to look at: the job's one, or all there are. DesignError when not even the thinnest drill fits there."""
    outermost = max(
        wheel.floor_radius_mm, *(piece.land.radius for piece in metal.pieces if piece.land.name != "ring"), 0
    )
    everywhere = marks.radii(metal.bore, outermost)
    faults = Faults()
    radius, band = wanted.radius, wanted.band
    if radius is not None:
        why = why_no_radius(metal, radius, usable[0].diameter_mm, everywhere, wanted.faces)
        if why is not None:
            faults.add(("balance", "radius"), why.message, found=length(radius), allowed=why.allowed)
        if band is not None and not band[0] <= radius <= band[1]:
            faults.add(("balance", "band"), "does not hold balance.radius", found=_range(band))
    elif band is not None:
        within = marks.radii(max(band[0], metal.bore), min(band[1], outermost))
        nowhere = why_no_band(metal, within, usable[0].diameter_mm, everywhere, wanted.faces)
        if nowhere is not None:
            faults.add(("balance", "band"), nowhere.message, found=_range(band), allowed=nowhere.allowed)
    faults.raise_if_any()
    if radius is not None:
        return np.array([radius])
    if band is not None:
        return marks.radii(max(band[0], metal.bore), min(band[1], outermost))
    return everywhere


def _range(band: tuple[float, float]) -> str:
    return f"{length(band[0])} to {length(band[1])}"


def other_ways(
    job: Job, wheel: WheelDesign, metal: Metal, initial: InitialUnbalance, outcome: Outcome | None
) -> tuple[str, ...]:
    """Other ways, in words: a larger drill or another radius where the search failed, a slot, a bolt.

    outcome: of the search for holes, None where none were asked for.
    """
    vector = initial.vector
    amount = float(np.hypot(*vector))
    if amount <= not_worth_g_mm(job, initial.mass_kg):
        return ()
    out: list[str] = []
    if job.balance is not None and outcome is not None and outcome.plan is None:
        out += _relaxed(job, job.balance, wheel, metal, initial)
    at_deg = float(angle_of(vector[0], vector[1], wheel.sense))
    radii = marks_of(job, wheel).radii(metal.bore, wheel.floor_radius_mm)
    density = initial.density_kg_m3 * 1e-6
    cutter = job.shop.cutter.diameter if job.shop.cutter is not None else min(job.wheel.slot.width, 6.0)
    for way in (
        alternatives.slot_behind_rim(metal, amount, at_deg, density, radii, cutter),
        alternatives.added_mass(metal, amount, at_deg, radii),
    ):
        if way is not None:
            out.append(way)
    return tuple(out)


def _relaxed(job: Job, wanted: Balance, wheel: WheelDesign, metal: Metal, initial: InitialUnbalance) -> list[str]:
    """What in `balance` could be given differently so that holes would do."""
    marks = marks_of(job, wheel)
    everywhere = marks.radii(metal.bore, max(piece.land.radius for piece in metal.pieces))
    given = usable_drills(job.shop.drills, wanted.largest_drill, walls.LEAST_DRILL)
    larger = usable_drills(job.shop.drills, LARGEST_OFFERED, walls.LEAST_DRILL)
    here = _radii(wanted, marks, wheel, metal, given)
    out = []
    for key, usable, radii in (
        ("balance.largest_drill", larger, here),
        ("leaving out balance.radius and balance.band", given, everywhere),
        ("leaving out balance.radius and balance.band, with balance.largest_drill", larger, everywhere),
    ):
        plan = search(_search(job, wanted, wheel, metal, initial, usable, radii)).plan
        if plan is None:
            continue
        biggest = max(plan.holes, key=lambda hole: hole.diameter_mm)
        drill = sized(biggest.drill, biggest.diameter_mm)
        size = f" of {drill}" if "largest_drill" in key else ""
        holes = count(len(plan.holes), "hole")
        out.append(f"{key}{size} would do: {holes} of {drill} at radius {length(biggest.radius_mm)}")
        break
    return out


class Correction(NamedTuple):
    """What is heavy, and what was found against it."""

    metal: Metal
    initial: InitialUnbalance
    outcome: Outcome

    @property
    def holes(self) -> tuple[CorrectionHole, ...]:
        """The holes to drill; none where nothing was found or asked for."""
        return self.outcome.plan.holes if self.outcome.plan is not None else ()


def correction(job: Job, wheel: WheelDesign) -> Correction:
    """What is heavy and the holes for it; DesignError where `balance` asks for holes that cannot be anywhere."""
    metal = metal_of(job, wheel)
    initial = initial_unbalance(job, wheel, metal)
    if job.balance is None or job.balance.correct_by != "holes":
        return Correction(metal, initial, Outcome(None, _not_asked(job)))
    wanted = hole_search(job, job.balance, wheel, metal, initial)
    heavy = wanted.amount > not_worth_g_mm(job, initial.mass_kg)
    return Correction(metal, initial, search(wanted) if heavy else Outcome(None, NOTHING_HEAVY))


def planned_holes(job: Job, wheel: WheelDesign) -> tuple[CorrectionHole, ...]:
    """The holes alone, without the 95 % figures and verdicts; DesignError as in `correction`."""
    return correction(job, wheel).holes
