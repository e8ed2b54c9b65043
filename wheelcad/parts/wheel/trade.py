"""What the trade says of a wheel before it is made: sensor, cutter, plate, speed. Verdicts computed from the Design."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, Finding, at_least, at_most, holds
from wheelcad.job.elements import element_of, slowest_rpm, spacing_of
from wheelcad.job.models import Job
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.gaps import pattern_findings
from wheelcad.parts.wheel.outline import narrowest_mm
from wheelcad.parts.wheel.passes import slot_passes
from wheelcad.parts.wheel.rim import rim_findings
from wheelcad.parts.wheel.spinning import speed_findings
from wheelcad.trade import plasma
from wheelcad.trade.fits import likely_bolt_mm
from wheelcad.trade.hall import hall_findings
from wheelcad.trade.nearness import SAME_MM
from wheelcad.trade.sensing import GREATEST_RUNOUT_MM, Target, magnetic, reluctance_findings
from wheelcad.words import angle, count

RAD = math.pi / 180.0
SIDEWAYS = {  # what a rule's size is where the sensor looks along the crank, and so what there is to change
    Check.SLOT_DEPTH: "Looking along the crank, a slot is as deep as the ring is thick: wheel.thickness.",
    Check.RING_THICKNESS: "Looking along the crank, the teeth are as wide as the slots are deep: wheel.slot.depth.",
}


def wheel_findings(job: Job, wheel: WheelDesign) -> list[Finding]:
    """All verdicts of the trade on the wheel, in the order of its making."""
    out = [*pattern_findings(job, wheel.teeth), magnetic("wheel", wheel.material), *sensor_findings(job, wheel)]
    out += [*_cutter(job, wheel), *_plasma(job, wheel), *rim_findings(job, wheel)]
    if job.engine is not None and job.engine.max_speed is not None:
        out += speed_findings(job, wheel, job.engine.max_speed)
    if job.pulley is not None:
        out.append(_rubber_ring(wheel.form, job.pulley.rubber_ring))
    if wheel.form == "plate":
        out += _centring(job)
    return out + (list(wheel.ring.findings) if wheel.ring is not None else [])


def _rubber_ring(form: str, rubber: bool) -> Finding:
    """A wheel on the outer ring of a pulley with a bonded rubber ring moves when the ring creeps."""
    if not rubber:
        why = "hub and rim are one piece, so that the teeth stay where they are cut"
        return holds(Check.RUBBER_RING, "pulley", True, "no rubber ring", why, "the job file")
    if form == "plate":
        why = (
            "the plate is bolted through the hub, where rubber does not matter; be sure that the bolt circle is not in "
            "the ring outside the rubber"
        )
        return holds(Check.RUBBER_RING, "pulley", True, "the wheel is bolted to the hub", why, PRACTICE)
    why = (
        "the ring can creep on its rubber, and the timing with it: put a witness mark across hub and ring, check "
        "it regularly, and ask the engine's maker before turning a damper"
    )
    said = "a rubber ring lies between hub and teeth"
    return holds(Check.RUBBER_RING, "pulley", False, said, why, PRACTICE, "warn")


def _centring(job: Job) -> list[Finding]:
    """What centres a plate on the crank, and how far off it can sit: the indicator reads the whole clearance."""
    bore, pilot = job.wheel.bore, job.pilot
    if bore is None:
        why = "no wheel.bore given: the plate has no hole in the middle, so nothing centres it on the crank"
        return [holds(Check.BORE, "wheel", False, "no bore", why, "the job file", "warn")]
    bolts = job.bolts
    if pilot is not None:
        clearance = bore - pilot.diameter
        why = "run-out a wheel can have on its pilot, and its bore's clearance on it: the two are the same"
    elif bolts is not None:
        clearance = bolts.hole - (likely_bolt_mm(bolts.hole) or bolts.hole)
        why = (
            "run-out a wheel can have where nothing but its bolts centres it; a pilot on an adapter centres it, or an "
            "indicator on the tooth tops before the bolts are tightened"
        )
    else:
        return []
    source = "gear-tooth sensor data sheet, run-out of the target"
    return [at_most(Check.CENTRING, "wheel", clearance, "mm", GREATEST_RUNOUT_MM, why, source, "warn")]


def sensor_findings(job: Job, wheel: WheelDesign, off_mm: float = 0.0) -> list[Finding]:
    """The sensor's rules, at the radius where it looks. off_mm: by which tooth, slot and depth may each come out less
    than drawn."""
    sensor = job.sensor
    if sensor is None:
        return []
    along = sensor.looks == "along"
    radius = wheel.read_at_mm(sensor)
    half = wheel.slot.half_deg(radius)
    slot = radius * 2 * half * RAD - off_mm
    tooth = radius * (wheel.pitch_deg - 2 * half) * RAD - off_mm
    # looking along, the ring's radial depth is the face the sensor sees and its thickness the depth of a slot
    deep = wheel.slot.depth - off_mm
    face, depth = (deep, wheel.thickness_mm) if along else (wheel.thickness_mm, deep)
    seen = Target(
        "wheel",
        tooth,
        face,
        slot,
        depth,
        sensor.face_diameter,
        spacing_of(sensor),
        sensor.air_gap,
        sensor.air_gap_range,
        2 * radius,
        slowest_rpm(job.engine),
    )
    element = element_of(sensor)
    found = list(reluctance_findings(seen) if element == "pole" else hall_findings(element, seen))
    told = SIDEWAYS if along else {}
    return [replace(one, why=f"{one.why} {told[one.check]}") if one.check in told else one for one in found]


def _cutter(job: Job, wheel: WheelDesign) -> list[Finding]:
    """The cutter against the slot it has to go down; how many passes it takes."""
    cutter = job.shop.cutter
    if cutter is None or (wheel.ring is not None and job.wheel.as_found is not None and job.wheel.as_found.toothed):
        return []
    widest = narrowest_mm(wheel.slot)
    why = "a cutter wider than the slot cannot cut it"
    if cutter.diameter <= widest + SAME_MM:
        passes = len(slot_passes(wheel.slot, cutter.diameter))
        why = f"{count(passes, 'pass', 'passes')} a slot with this cutter"
        widest = max(widest, cutter.diameter)
    return [at_most(Check.SLOT_CUTTER, "wheel", cutter.diameter, "mm", widest, why, "the cutter's width")]


def _plasma(job: Job, wheel: WheelDesign) -> Iterator[Finding]:
    """What a plasma torch can and cannot do on this plate."""
    torch = job.shop.plasma
    if wheel.form != "plate" or torch is None or wheel.ring is not None:
        return
    width, thickness = job.wheel.slot.width, wheel.thickness_mm
    limit = plasma.narrowest_slot_mm(thickness, torch.kerf)
    why = "narrower slots cannot be plasma-cut: cut the blank on the table and mill the slots"
    yield at_least(Check.PLASMA_SLOT, "wheel", width, "mm", limit, why, "1.5 × thickness, common practice", "note")
    tolerance = plasma.size_tolerance_mm(wheel.tooth_top_mm, thickness)
    if tolerance is not None:
        degrees = plasma.tolerance_deg(tolerance, wheel.radius_mm)
        why = (
            f"±{angle(degrees, 2)} of crank is what the size tolerance of a plasma-cut tooth would mean; milled slots "
            "do far better"
        )
        yield at_most(
            Check.PLASMA_TOOTH, "wheel", degrees, "deg", 0.5, why, "ISO 9013; 0.5 deg is our judgement", "note"
        )
