"""How true the turned surfaces must run to the bore, from the balance limit.

A surface turned off-centre by e shifts all the metal it encloses, so the unbalance is that mass × e, and an indicator
reads 2 e. Half of what the balance grade permits is given to run-out; the other half is left for the slots and for
what the correction holes do not take out (our judgement).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wheelcad.job.models import Job
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.stack import Land
from wheelcad.trade.materials import material
from wheelcad.trade.unbalance import (
    GRADES,
    LIMIT_GRADE,
    mass_within_surface_g,
    permissible_g_mm,
    runout_for_unbalance_mm,
)

SHARE = 0.5  # of the permissible unbalance that run-out may use up (our judgement)
STEP_MM = 0.01  # the reading is rounded down to this; no home lathe is asked for less than one step
MOST_MM = 0.2  # beyond this the air gap suffers whatever the balance says (gear-tooth sensor datasheets)
WITHOUT_SPEED_MM = 0.05  # where no top speed is given (common practice, no source)
SAME_MM = 1e-4  # radii and places that differ by less are the same


@dataclass(frozen=True)
class RunOut:
    """reading_mm: the most an indicator may read on the turned surfaces, turning about the bore. why: one sentence."""

    reading_mm: float
    why: str


def is_turned(land: Land, found: tuple[Land, ...]) -> bool:
    """True for a land the lathe makes: it is not as it was found."""
    if not found:
        return True
    same = [f for f in found if abs(f.radius - land.radius) < SAME_MM and f.groove == land.groove]
    return not any(f.z_back <= land.z_back + SAME_MM and f.z_front >= land.z_front - SAME_MM for f in same)


def blank_mass_kg(design: BlankDesign) -> float:
    """Mass of the turned blank, bolt holes and keyway taken out; closed form (Pappus)."""
    _, moment, _, _ = design.section.moments()
    volume = 2 * math.pi * abs(moment)
    round_bore = math.pi * design.bore_radius_mm**2
    z_top = design.z_front - (design.recess[1] if design.recess else 0.0)
    if design.bore is not None:
        volume -= (abs(design.bore.loop.area) - round_bore) * (z_top - design.z_back)
    for bolt in design.bolts:
        assert bolt.round is not None
        x, y, r = bolt.round
        inside = design.recess is not None and math.hypot(x, y) < design.recess[0]
        top = z_top if inside else design.z_front
        volume -= math.pi * r**2 * (top - design.z_back)
    return volume * material(design.material).density_g_mm3 / 1000.0


def run_out(design: BlankDesign, job: Job) -> RunOut:
    """The run-out of rim to bore that the balance limit allows."""
    turned = [land for land in design.lands if is_turned(land, design.found)]
    density = material(design.material).density_kg_m3
    enclosed = sum(mass_within_surface_g(2 * land.radius, land.length, density) for land in turned)
    speed = job.engine.max_speed if job.engine is not None else None
    if speed is None or not turned:
        return RunOut(WITHOUT_SPEED_MM, "no top speed is given: common practice, no source")
    grade = job.balance.grade if job.balance is not None else LIMIT_GRADE
    limit = permissible_g_mm(GRADES[grade], blank_mass_kg(design), speed)
    reading = runout_for_unbalance_mm(SHARE * limit, enclosed)
    stepped = max(STEP_MM, min(MOST_MM, math.floor(reading / STEP_MM + 1e-9) * STEP_MM))
    why = f"half of the {limit:.0f} g·mm that {grade} permits at {speed:g} rpm, on {enclosed / 1000:.2f} kg"
    return RunOut(round(stepped, 2), why)
