"""What re-turning does to balance, and the run-out the lathe must hold.

The pulley is balanced about the axis it was made on. A surface turned about an axis that is off by e becomes a circle
shifted by e: all the metal it encloses, m, then weighs m·e to one side. An indicator on the bore, or on a surface that
was left alone, reads 2·e.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wheelcad.job.models import Job
from wheelcad.parts.common.stack import Land, as_found_lands, form_of, turned_lands
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.fits import likely_bolt_mm
from wheelcad.trade.materials import material
from wheelcad.trade.sensing import GREATEST_RUNOUT_MM
from wheelcad.trade.unbalance import mass_within_surface_g, runout_for_unbalance_mm
from wheelcad.words import diameter

SAME_SURFACE_MM = 1e-3  # radii nearer than this are the same surface, not turned again
FINEST_RUNOUT_MM = 0.01  # what a shop indicator shows
UNLOCATED_MM = 0.2  # a plate with neither pilot nor bolts: how far off it may sit, common practice, no source


@dataclass(frozen=True)
class TurnedAgain:
    """mass_g: metal enclosed by the surfaces turned again. removed_g: what comes off the piece as found, of found_g in
    all (0 when the piece as found is not given). surfaces: their diameters, in words."""

    mass_g: float
    removed_g: float
    found_g: float
    surfaces: str

    @property
    def removed_share(self) -> float:
        """Share of the piece as found that is turned off."""
        return self.removed_g / self.found_g if self.found_g > 0 else 0.0


def turned_again(job: Job, wheel: WheelDesign) -> TurnedAgain:
    """What is turned again in turned-down form (nothing in plate form). Without `as_found` everything is."""
    lands, found = turned_lands(job), as_found_lands(job)
    density = material(wheel.material).density_kg_m3
    total, names = 0.0, []
    for land in lands:
        length = _returned_length(land, found)
        if length > SAME_SURFACE_MM:
            total += mass_within_surface_g(2 * land.radius, length, density)
            names.append(diameter(2 * land.radius))
    before = sum(_volume(land) for land in found) * density * 1e-6
    after = sum(_volume(land) for land in lands) * density * 1e-6
    bore = _bore_mass(job, found, density)
    removed = max(before - after, 0.0) if found and lands else 0.0
    return TurnedAgain(total, removed, max(before - bore, 0.0) if lands else 0.0, ", ".join(dict.fromkeys(names)))


def _returned_length(land: Land, found: tuple[Land, ...]) -> float:
    """Length of a turned land whose surface is not that of the piece as found."""
    kept = 0.0
    for other in found:
        if abs(other.radius - land.radius) <= SAME_SURFACE_MM:
            kept += max(min(other.z_front, land.z_front) - max(other.z_back, land.z_back), 0.0)
    return land.length - kept


def _volume(land: Land) -> float:
    """Of the solid round, its groove taken out (trapezium, Pappus), mm³."""
    volume = math.pi * land.radius**2 * land.length
    if land.groove is not None:
        g = land.groove
        lean = g.depth * math.tan(math.radians(g.angle / 2))
        top, floor = g.width, max(g.width - 2 * lean, 0.0)
        # area and distance of the centroid below the outside
        area = g.depth * (top + floor) / 2
        down = g.depth / 3 * (top + 2 * floor) / (top + floor)
        volume -= 2 * math.pi * (land.radius - down) * area
    return volume


def _bore_mass(job: Job, found: tuple[Land, ...], density: float) -> float:
    if job.pulley is None or job.pulley.bore is None:
        return 0.0
    return mass_within_surface_g(job.pulley.bore, sum(land.length for land in found), density)


def runout_limit_mm(job: Job, wheel: WheelDesign, budget_g_mm: float) -> float | None:
    """Greatest indicator reading (mm, rounded down to 0.01) on the turned surfaces that keeps within `budget_g_mm`.

    Never more than a sensor's target may run out, never less than an indicator shows. None where nothing is turned
    again. In plate form the rim is turned about the bore, and all the metal inside the rim weighs. Source: see the
    module's note; sensor: gear-tooth sensor data sheet.
    """
    if form_of(job) == "plate":
        if wheel.ring is not None or job.wheel.bore is None:
            return None
        density = material(wheel.material).density_kg_m3
        mass = mass_within_surface_g(2 * wheel.radius_mm, wheel.thickness_mm, density)
    else:
        mass = turned_again(job, wheel).mass_g
    if mass <= 0:
        return None
    if budget_g_mm <= 0:
        return FINEST_RUNOUT_MM
    reading = min(runout_for_unbalance_mm(budget_g_mm, mass), GREATEST_RUNOUT_MM)
    return max(math.floor(reading * 100 + 1e-9) / 100, FINEST_RUNOUT_MM)


def plate_offset_mm(job: Job) -> tuple[float, str]:
    """How far (mm) a plate wheel's centre may sit from the crank's, and what holds it, in words."""
    pilot = job.pilot
    if pilot is not None and job.wheel.bore is not None:
        return max(job.wheel.bore - pilot.diameter, 0.0) / 2, "its pilot's clearance in the bore"
    bolts = job.bolts
    if bolts is not None:
        bolt = likely_bolt_mm(bolts.hole)
        if bolt is not None:
            return (bolts.hole - bolt) / 2, "its bolts' clearance alone"
    return UNLOCATED_MM, "nothing in the job, so set by eye"
