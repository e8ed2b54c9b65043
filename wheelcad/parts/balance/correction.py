"""The correction of a job's wheel: what the search for holes is asked, what it finds, and what else could be done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import DesignError, Fault, Faults
from wheelcad.job.models import Balance, Job
from wheelcad.job.workshop import LevelReading
from wheelcad.parts.balance import alternatives, walls
from wheelcad.parts.balance.candidates import HoleSearch
from wheelcad.parts.balance.initial import InitialUnbalance, initial_unbalance
from wheelcad.parts.balance.marks import ShopSteps, marks_of, usable_drills
from wheelcad.parts.balance.metal import Metal, metal_of
from wheelcad.parts.balance.plan import Chosen, search
from wheelcad.parts.balance.rated import rated
from wheelcad.parts.balance.reading import AddedMass, LevelRead, edges_for, unbalance_read
from wheelcad.parts.balance.reasons import FACES, why_no_band, why_no_radius
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.drills import Drill, drills, sized
from wheelcad.trade.frames import angle_of
from wheelcad.trade.unbalance import AIM_GRADE, GRADES, LIMIT_GRADE, permissible_g_mm
from wheelcad.words import count, length

WORST_WITHOUT_SPEED = 0.1  # of the unbalance: what a plan may leave where no speed gives an aim
NOTHING_SHARE = 0.05  # of the aim: less than this is not worth a hole
NOTHING_G_MM = 0.5  # the same where no speed gives an aim
LARGEST_OFFERED = 13.0  # mm: drills up to this are tried when the job's largest is too small


NOTHING_HEAVY = "nothing worth a hole: the wheel is in balance as cut"
NOT_FELT = "nothing to correct: what was read is less than level edges can show for certain"


def _not_asked(job: Job) -> str:
    if job.balance is None:
        return "not asked for: the section `balance` would bring holes"
    return "not asked for: balance.correct_by is none"


def aim_of(job: Job, own_kg: float) -> float | None:
    """What is aimed at, g·mm; None without a speed. own_kg: of the piece."""
    speed, grade = job.max_speed, job.balance.grade if job.balance is not None else LIMIT_GRADE
    if speed is None:
        return None
    return permissible_g_mm(min(GRADES[grade], GRADES[AIM_GRADE]), rated(job, own_kg).kg, speed)


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
        at_worst=WORST_WITHOUT_SPEED * amount if aim is None else aim,
        doubtful=float(np.hypot(*initial.parts[0][1:3])),
        couple_limit=None if aim is None or metal.disc else aim / 2 * metal.length,
    )


def _radii(wanted: Balance, marks: ShopSteps, wheel: WheelDesign, metal: Metal, usable: tuple[Drill, ...]) -> Floats:
    """Radii to look at: the job's one, or all there are. DesignError when not even the thinnest drill fits there."""
    others = (piece.land.radius for piece in metal.pieces if piece.land.name != "ring")
    outermost = max([wheel.floor_radius_mm, *others])
    everywhere = marks.radii(metal.bore, outermost)
    faults = Faults()
    radius, band = wanted.radius, wanted.band
    within = everywhere if band is None else marks.radii(max(band[0], metal.bore), min(band[1], outermost))
    if radius is not None:
        why = why_no_radius(metal, radius, usable[0].diameter_mm, everywhere, wanted.faces)
        if why is not None:
            faults.add(("balance", "radius"), why.message, found=length(radius), allowed=why.allowed)
        if band is not None and not band[0] <= radius <= band[1]:
            faults.add(("balance", "band"), "does not hold balance.radius", found=_range(band))
    elif band is not None:
        nowhere = why_no_band(metal, within, usable[0].diameter_mm, everywhere, wanted.faces)
        if nowhere is not None:
            faults.add(("balance", "band"), nowhere.message, found=_range(band), allowed=nowhere.allowed)
    faults.raise_if_any()
    return within if radius is None else np.array([radius])


def _range(band: tuple[float, float]) -> str:
    return f"{length(band[0])} to {length(band[1])}"


def other_ways(
    job: Job, wheel: WheelDesign, metal: Metal, initial: InitialUnbalance, outcome: Chosen | None
) -> Iterator[str]:
    """Other ways, in words: a larger drill or another radius where the search failed, a slot, a bolt.

    outcome: of the search for holes, None where none were asked for.
    """
    vector = initial.vector
    amount = float(np.hypot(*vector))
    if amount <= not_worth_g_mm(job, initial.mass_kg):
        return
    if job.balance is not None and outcome is not None and outcome.plan is None:
        yield from _relaxed(job, job.balance, wheel, metal, initial)
    at_deg = float(angle_of(vector[0], vector[1], wheel.sense))
    radii = marks_of(job, wheel).radii(metal.bore, wheel.floor_radius_mm)
    density = initial.density_kg_m3 * 1e-6
    cutter = job.shop.cutter.diameter if job.shop.cutter is not None else min(job.wheel.slot.width, 6.0)
    for way in (
        alternatives.slot_behind_rim(metal, amount, at_deg, density, radii, cutter),
        alternatives.added_mass(metal, amount, at_deg, radii),
    ):
        if way is not None:
            yield way


def _relaxed(job: Job, wanted: Balance, wheel: WheelDesign, metal: Metal, initial: InitialUnbalance) -> Iterator[str]:
    """What in `balance` could be given differently so that holes would do."""
    marks = marks_of(job, wheel)
    anywhere = wanted.model_copy(update={"radius": None, "band": None})
    given = usable_drills(job.shop.drills, wanted.largest_drill, walls.LEAST_DRILL)
    larger = usable_drills(job.shop.drills, LARGEST_OFFERED, walls.LEAST_DRILL)
    here, everywhere = (_radii(one, marks, wheel, metal, given) for one in (wanted, anywhere))
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
        yield f"{key}{size} would do: {holes} of {drill} at radius {length(biggest.radius_mm)}"
        break


class Correction(NamedTuple):
    """What is heavy, what was planned against it, and what the readings of the finished wheel add."""

    metal: Metal
    initial: InitialUnbalance
    outcome: Chosen
    readings: tuple[LevelRead, ...] = ()

    @property
    def planned(self) -> tuple[CorrectionHole, ...]:
        """The holes planned before anything is read; none where nothing was found or asked for."""
        return self.outcome.plan.holes if self.outcome.plan is not None else ()

    @property
    def holes(self) -> tuple[CorrectionHole, ...]:
        """All holes: the planned ones, then each reading's."""
        return self.planned + tuple(hole for reading in self.readings for hole in reading.holes)


def correction(job: Job, wheel: WheelDesign) -> Correction:
    """What is heavy and the holes for it; DesignError where `balance` asks for holes that cannot be anywhere."""
    metal = metal_of(job, wheel)
    initial = initial_unbalance(job, wheel, metal)
    if job.balance is None:
        return Correction(metal, initial, Chosen(None, _not_asked(job)))
    outcome = Chosen(None, _not_asked(job))
    if job.balance.correct_by == "holes":
        wanted = hole_search(job, job.balance, wheel, metal, initial)
        heavy = wanted.amount > not_worth_g_mm(job, initial.mass_kg)
        outcome = search(wanted) if heavy else Chosen(None, NOTHING_HEAVY)
    made = Correction(metal, initial, outcome)
    for number, reading in enumerate((job.balance.reading, job.balance.recheck), start=1):
        if reading is not None:
            one = _read(job, job.balance, reading, number, wheel, made)
            made = made._replace(readings=(*made.readings, one))
    return made


def _read(
    job: Job, wanted: Balance, taken: LevelReading, number: int, wheel: WheelDesign, made: Correction
) -> LevelRead:
    """The reading with the holes that follow from it, clear of all that are there already."""
    metal, initial = replace(made.metal, drilled=made.holes), made.initial
    widest = metal.widest
    if taken.radius > widest:
        key = ("balance", "reading" if number == 1 else "recheck", "radius")
        raise DesignError(
            Fault("is beyond the wheel's rim", key=key, found=length(taken.radius), allowed=f"up to {length(widest)}")
        )
    size, heavy = unbalance_read(taken)
    density = initial.density_kg_m3
    mass_kg = initial.mass_kg - sum(hole.mass_g(density) for hole in made.holes) / 1000
    edges = edges_for(mass_kg, metal.bore)
    outcome, instead = Chosen(None, NOT_FELT), None
    if size > edges.felt_g_mm:
        radii = marks_of(job, wheel).radii(metal.bore, widest)
        at = alternatives.mass_radius(metal, radii)
        instead = AddedMass(size / at, (heavy + 180.0) % 360.0, at) if at is not None else None
        outcome = Chosen(None, _not_asked(job))
        if wanted.correct_by == "holes":
            sought = replace(
                hole_search(job, wanted, wheel, metal, initial),
                amount=size,
                at_deg=heavy,
                plane_mm=0.0,
                at_worst=edges.felt_g_mm / 2,
                doubtful=0.0,
                couple_limit=None,
                reading=number,
            )
            outcome = search(sought)
            if outcome.plan is None and (wanted.radius is not None or wanted.band is not None):
                anywhere = wanted.model_copy(update={"radius": None, "band": None})
                found = search(replace(sought, radii=hole_search(job, anywhere, wheel, metal, initial).radii))
                if found.plan is not None:
                    outcome = Chosen(found.plan, f"{found.why}; where the job wants holes there is no room for them")
    return LevelRead(number, size, heavy, edges, outcome, instead, wheel.sense, density)


def planned_holes(job: Job, wheel: WheelDesign) -> tuple[CorrectionHole, ...]:
    """All holes alone, planned and from readings, without 95 % figures and verdicts; DesignError as in `correction`."""
    return correction(job, wheel).holes
