"""Whether the wheel holds at its highest speed: slot floors, bore, bolt holes and keyway, and the old rule for iron."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from wheelcad.codes import Check
from wheelcad.findings import Finding, at_most
from wheelcad.job.models import Job
from wheelcad.parts.common.stack import turned_lands
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.outline import narrowest_mm
from wheelcad.trade import rotating_stress
from wheelcad.trade.assumed import ASSUMED
from wheelcad.trade.materials import grey_iron_tensile_mpa, material
from wheelcad.trade.rotating_stress import DiscStress, ToothedDisc, annular_disc
from wheelcad.words import length, quantity
from wheelcad.words import speed as rpm_words

SAFETY_BRITTLE = 4.0  # strength over stress wanted of grey iron, which breaks without warning (our judgement)
SAFETY_DUCTILE = 2.0  # yield over stress wanted of steel and ductile iron (our judgement)
KEYWAY_CORNER = 0.25  # mm, of a keyway for keys up to 12 wide; source: DIN 6885-1 r2, from memory
# Share of a small corner's peak that grey iron feels: its flakes are notches as large. Source: Peterson, from memory
FLAKES = 0.2
CENTRE_MM = 1.0  # radius reckoned with where there is no bore: a centre drill's, which doubles the stress there
SOURCE = "Shigley, rotating rings; Kirsch; corners of slots and keyway fitted to plane finite elements"


class Place(NamedTuple):
    """A place where stress gathers: its name, MPa there, and what lowers it, in words."""

    name: str
    mpa: float
    mend: str


def speed_findings(job: Job, wheel: WheelDesign, rpm: float) -> Iterator[Finding]:
    """Rim stress with slots, bore, bolt holes and keyway, and the old rule for cast-iron rims."""
    strength, safety = strength_of(job, wheel)
    allowed = strength / safety
    places = sorted(stressed(job, wheel, rpm, allowed), key=lambda place: -place.mpa)
    worst = places[0]
    others = ", ".join(f"{place.name} {quantity(place.mpa, 'stress')}" for place in places[1:])
    why = (
        f"greatest at the {worst.name}{f' ({others})' if others else ''}; {quantity(strength, 'stress', 0)} over a "
        f"factor of {safety:g}"
    )
    if worst.mpa > allowed:
        slower = rpm * math.sqrt(allowed / worst.mpa)
        why += f"; {worst.mend}, or no more than {rpm_words(math.floor(slower / 10) * 10)}"
    yield at_most(Check.RIM_STRESS, "wheel", worst.mpa, "MPa", allowed, why, SOURCE)
    if job.wheel.material == "grey-iron":
        limit = rotating_stress.RIM_SPEED_CAST_IRON_M_S
        reached = rotating_stress.rpm_at_rim_speed(2 * wheel.radius_mm)
        why = (
            f"the old shop rule for cast-iron rims, {quantity(limit, 'surface-speed')}, reached at "
            f"{rpm_words(reached)}: above it, be sure of the casting and guard it well"
        )
        at_rim = rotating_stress.rim_speed_m_s(2 * wheel.radius_mm, rpm)
        source = "Shop Practice, cast-iron flywheels"
        yield at_most(Check.RIM_SPEED, "wheel", at_rim, "m/s", limit, why, source, "warn")


def strength_of(job: Job, wheel: WheelDesign) -> tuple[float, float]:
    """(strength, MPa; factor that stress must stay below it by): tensile of grey iron, yield of what bends first."""
    stuff = material(job.wheel.material)
    if stuff.yield_mpa is None:
        return grey_iron_tensile_mpa(wheel.thickness_mm), SAFETY_BRITTLE
    return stuff.strength_mpa, SAFETY_DUCTILE


def drilled_findings(job: Job, wheel: WheelDesign, rpm: float, holes: Sequence[tuple[float, float]]) -> list[Finding]:
    """Stress at the edges of correction holes, (distance from the axis, radius) each, mm; none where none is drilled.

    A blind hole is taken as if it went through: the careful end. Between a hole and the slot floors the field gathers
    once more where the wall is thin; the closed form does not know that and says how thick it is.
    """
    disc = spinning_disc(job, wheel, rpm)
    strength, safety = strength_of(job, wheel)

    def edge_mpa(at: float, radius: float) -> float:
        """Peak at a hole's inner edge, where the wheel's own stress is greatest; 0 outside the metal."""
        inner = max(at - radius, disc.bore_radius_mm)
        if inner >= min(at + radius, disc.floor_radius_mm):
            return 0.0
        return rotating_stress.hole_peak_mpa(_field(job, wheel, disc, inner))

    found = [(edge_mpa(at, radius), at, radius) for at, radius in holes]
    found = [one for one in found if one[0] > 0]
    if not found:
        return []
    peak, at, radius = max(found)
    wall = disc.floor_radius_mm - at - radius
    why = (
        f"edge of the correction hole of {length(2 * radius)} at radius {length(at)}, {length(max(wall, 0.0))} from "
        f"the slot floors; {quantity(strength, 'stress', 0)} over a factor of {safety:g}. A thin wall gathers "
        "more: `wheelcad check --fem` reckons all holes and teeth together"
    )
    allowed = strength / safety
    if peak > allowed:
        slower = rpm * math.sqrt(allowed / peak)
        first = math.ceil(disc.bore_radius_mm + radius + 1)
        # a wall as wide as the hole: under that the closed form knows too little
        radii = [float(r) for r in range(first, math.floor(disc.floor_radius_mm - 3 * radius) + 1)]
        good = [r for r in radii if edge_mpa(r, radius) <= allowed]
        if good:
            nearest = length(min(good, key=lambda r: abs(r - at)))
            why += f"; holes as large bear it at a radius of {nearest} (balance.radius)"
        else:
            why += "; no hole bears it at any radius: mass on the light side instead (balance.correct_by: none)"
        why += f", or no more than {rpm_words(math.floor(slower / 10) * 10)}"
    return [at_most(Check.RIM_STRESS_HOLES, "wheel", peak, "MPa", allowed, why, SOURCE)]


def spinning_disc(job: Job, wheel: WheelDesign, rpm: float) -> ToothedDisc:
    """The wheel as a disc with teeth; of a pulley the ring alone, down to its bore."""
    stuff = material(job.wheel.material)
    bore = job.wheel.bore if wheel.form == "plate" else (job.pulley.bore if job.pulley is not None else None)
    return ToothedDisc(
        bore_radius_mm=bore / 2 if bore else CENTRE_MM,
        floor_radius_mm=wheel.floor_radius_mm,
        rim_radius_mm=wheel.radius_mm,
        tooth_share=1 - 2 * wheel.slot.rim_half_deg / wheel.pitch_deg,
        density_kg_m3=stuff.density_kg_m3,
        poisson=stuff.poisson,
        rpm=rpm,
    )


def floor_corner(job: Job, wheel: WheelDesign) -> tuple[float, str]:
    """Radius (mm) of the slot floors' corners and where it is from, in words.

    A flat floor whose corners nobody stated takes those of the cutter: no cutter is sharp.
    """
    slot = wheel.slot
    if slot.round_floor:
        return job.wheel.slot.width / 2, "round floors"
    if slot.corner_radius > 0:
        return slot.corner_radius, f"floor corners of {length(slot.corner_radius)}"
    cutter = job.shop.cutter
    if cutter is not None and cutter.corner is not None:
        # a cutter that is truly sharp still leaves what its edge rounds to: 0.02 mm, common practice, no source
        return max(cutter.corner, 0.02), f"floor corners of {length(cutter.corner)}, as shop.cutter leaves them"
    taken = ASSUMED["shop.cutter.corner"]
    assert isinstance(taken.value, float)
    return (
        taken.value,
        f"floor corners assumed {length(taken.value)} ({taken.source}; shop.cutter.corner says it better)",
    )


def stressed(job: Job, wheel: WheelDesign, rpm: float, allowed_mpa: float) -> Iterator[Place]:
    """Every place where stress gathers. allowed_mpa: what the advice is made for."""
    disc = spinning_disc(job, wheel, rpm)
    corner, said = floor_corner(job, wheel)
    root = tooth_root_mm(wheel)
    floor = disc.at(disc.floor_radius_mm).hoop_mpa
    peak = disc.floor_peak_mpa(root, corner, wheel.slot.round_floor)
    yield Place(f"slot floors, {said}", peak, _mend_floor(wheel, disc, root, floor, allowed_mpa))
    bore = _field(job, wheel, disc, disc.bore_radius_mm).hoop_mpa
    yield Place("bore", bore, "a smaller wheel or a stronger material mends it")
    if wheel.form != "plate" and job.pulley is not None and job.pulley.keyway is not None:
        keyed = rotating_stress.keyway_peak_mpa(bore, job.pulley.keyway.depth, KEYWAY_CORNER)
        if job.wheel.material == "grey-iron":
            keyed = bore + FLAKES * (keyed - bore)
        yield Place("keyway", keyed, "rounder corners in the keyway mend it")
    for radius, hole in _bolts(job, wheel):
        inner, outer = max(radius - hole, disc.bore_radius_mm), min(radius + hole, disc.floor_radius_mm)
        if inner < outer:
            mpa = rotating_stress.hole_peak_mpa(_field(job, wheel, disc, inner))
            mend = "a larger bolt circle or a smaller bore leaves its holes more metal"
            yield Place("bolt holes", mpa, mend)


def _field(job: Job, wheel: WheelDesign, disc: ToothedDisc, radius: float) -> DiscStress:
    """Stress at a radius of the whole piece: of a pulley the mean of its lands that reach so far, by their lengths.

    A thin ring on a long hub cannot stretch by itself, nor the hub without it. Source: equilibrium of half a disc,
    whose mean hoop stress is what its lands pull with together.
    """
    lands = [land for land in turned_lands(job) if land.radius > radius]
    if wheel.form == "plate" or not lands:
        return disc.at(radius)
    hoop = radial = 0.0
    for land in lands:
        slice_ = (
            disc.at(radius)
            if land.name == "ring"
            else annular_disc(disc.bore_radius_mm, land.radius, radius, disc.density_kg_m3, disc.poisson, disc.rpm)
        )
        hoop, radial = hoop + slice_.hoop_mpa * land.length, radial + slice_.radial_mpa * land.length
    long = sum(land.length for land in lands)
    return DiscStress(radial / long, hoop / long)


def tooth_root_mm(wheel: WheelDesign) -> float:
    """Width of a tooth where it stands on the ring, mm: what the slots leave of the floor circle's pitch."""
    pitch = math.radians(wheel.pitch_deg) * wheel.floor_radius_mm
    return max(pitch - narrowest_mm(wheel.slot), 0.05 * pitch)


def _mend_floor(wheel: WheelDesign, disc: ToothedDisc, root: float, floor: float, allowed: float) -> str:
    """The floor's corner radius with which it would hold, in words."""
    widest = narrowest_mm(wheel.slot) / 2
    if allowed > floor:
        corner = root * (rotating_stress.CORNER * (floor + disc.root_mpa) / (allowed - floor)) ** 2
        if not wheel.slot.round_floor and corner < widest:
            up = math.ceil(corner * 20) / 20
            return f"a corner radius of {length(min(up, widest))} at the slot floors mends it"
        if not wheel.slot.round_floor and rotating_stress.ROUND_FLOOR * floor <= allowed:
            return "round slot floors mend it"
    return "a smaller wheel or a stronger material mends it"


def _bolts(job: Job, wheel: WheelDesign) -> list[tuple[float, float]]:
    """(distance from the axis, radius) of the bolt holes and holes as found, each once, mm."""
    if wheel.form == "plate":
        rounds = [opening.round for opening in wheel.openings if opening.name != "bore" and opening.round is not None]
        return list(dict.fromkeys((round(math.hypot(x, y), 6), round(radius, 6)) for x, y, radius in rounds))
    bolts = job.bolts
    return [(bolts.circle / 2, bolts.hole / 2)] if bolts is not None else []
