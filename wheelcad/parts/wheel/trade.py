"""What the trade says of a wheel before it is made: sensor, cutter, plate, speed. Verdicts computed from the Design."""

from __future__ import annotations

import math

from wheelcad.findings import Finding, at_least, at_most, holds
from wheelcad.job.models import Job
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade import plasma, rotating_stress
from wheelcad.trade.materials import grey_iron_tensile_mpa, material
from wheelcad.trade.sensing import hall_findings, reluctance_findings

SAFETY_BRITTLE = 4.0  # strength over stress wanted of grey iron, which breaks without warning (our judgement)
SAFETY_DUCTILE = 2.0  # yield over stress wanted of steel and ductile iron (our judgement)
RAD = math.pi / 180.0
PRACTICE = "common practice, no source"


def wheel_findings(job: Job, wheel: WheelDesign) -> list[Finding]:
    """All verdicts of the trade on the wheel, in the order of its making."""
    out = _material(job) + _sensor(job, wheel) + _cutting(job, wheel)
    if job.engine is not None and job.engine.max_speed is not None:
        out += _speed(job, wheel, job.engine.max_speed)
    if job.pulley is not None and job.pulley.rubber_ring:
        why = (
            "the ring can creep on its rubber, and the timing with it: put a witness mark across hub and ring, check "
            "it regularly, and ask the engine's maker before turning a damper"
        )
        out.append(
            holds("rubber-ring", "pulley", False, "a rubber ring lies between hub and rim", why, PRACTICE, "warn")
        )
    if wheel.form == "plate" and job.wheel.bore is None:
        why = "no wheel.bore given: the plate has no hole in the middle, so nothing centres it on the crank"
        out.append(holds("bore", "wheel", False, "no bore", why, "the job file", "warn"))
    return out


def _material(job: Job) -> list[Finding]:
    stuff = material(job.wheel.material)
    why = "a Hall or reluctance sensor reads iron; aluminium, brass and austenitic stainless are no target"
    return [holds("magnetic", "wheel", stuff.magnetic, stuff.title, why, PRACTICE, "warn")]


def _sensor(job: Job, wheel: WheelDesign) -> list[Finding]:
    """The sensor's rules, at the radius where it looks."""
    sensor = job.sensor
    if sensor is None:
        return []
    along = sensor.looks == "along"
    radius = (sensor.radius or wheel.radius_mm - wheel.slot.depth / 2) if along else wheel.radius_mm
    half = wheel.slot.half_deg(min(radius, wheel.radius_mm))
    slot = radius * 2 * half * RAD
    tooth = radius * (wheel.pitch_deg - 2 * half) * RAD
    # looking along, the ring's radial depth is the face the sensor sees and its thickness the depth of a slot
    face, depth = (wheel.slot.depth, wheel.thickness_mm) if along else (wheel.thickness_mm, wheel.slot.depth)
    if sensor.kind == "hall":
        return hall_findings(
            subject="wheel",
            tooth_top_mm=tooth,
            face_width_mm=face,
            slot_mm=slot,
            depth_mm=depth,
            sensing_diameter_mm=sensor.face_diameter,
            air_gap_mm=sensor.air_gap,
            air_gap_range_mm=sensor.air_gap_range,
        )
    return reluctance_findings(
        subject="wheel",
        tooth_top_mm=tooth,
        face_width_mm=face,
        slot_mm=slot,
        depth_mm=depth,
        pole_diameter_mm=sensor.face_diameter,
        air_gap_mm=sensor.air_gap,
        rim_diameter_mm=2 * radius,
        cranking_rpm=job.engine.cranking_speed if job.engine is not None else 200.0,
    )


def _cutting(job: Job, wheel: WheelDesign) -> list[Finding]:
    """What a plasma torch can and cannot do on this plate."""
    torch = job.shop.plasma
    if wheel.form != "plate" or torch is None:
        return []
    width, thickness = job.wheel.slot.width, wheel.thickness_mm
    limit = plasma.narrowest_slot_mm(thickness, torch.kerf)
    why = "narrower slots cannot be plasma-cut: cut the blank on the table and mill the slots"
    out = [at_least("plasma-slot", "wheel", width, "mm", limit, why, "1.5 × thickness, common practice", "warn")]
    tolerance = plasma.size_tolerance_mm(wheel.tooth_top_mm, thickness)
    if tolerance is not None:
        degrees = plasma.tolerance_deg(tolerance, wheel.radius_mm)
        why = "what the size tolerance of a plasma-cut tooth would mean in crank degrees; milled slots do far better"
        out.append(
            at_most("plasma-tooth", "wheel", degrees, "deg", 0.5, why, "ISO 9013; 0.5 deg is our judgement", "warn")
        )
    return out


def _speed(job: Job, wheel: WheelDesign, rpm: float) -> list[Finding]:
    """Rim stress with bore and slots, and the old rule for cast-iron rims."""
    stuff = material(job.wheel.material)
    slot, rim, floor = job.wheel.slot, wheel.radius_mm, wheel.floor_radius_mm
    bore = job.wheel.bore if wheel.form == "plate" else (job.pulley.bore if job.pulley is not None else None)
    root = slot.width / 2 if wheel.slot.round_floor else slot.corner_radius
    stress = rotating_stress.toothed_disc(
        bore_radius_mm=(bore or 2.0) / 2,
        floor_radius_mm=floor,
        rim_radius_mm=rim,
        tooth_share=1 - 2 * wheel.slot.rim_half_deg / wheel.pitch_deg,
        slot_floor_radius_mm=root,
        density_kg_m3=stuff.density_kg_m3,
        poisson=stuff.poisson,
        rpm=rpm,
    )
    brittle = stuff.yield_mpa is None
    strength = grey_iron_tensile_mpa(wheel.thickness_mm) if brittle else stuff.strength_mpa
    allowed = strength / (SAFETY_BRITTLE if brittle else SAFETY_DUCTILE)
    why = (
        f"annular disc with the teeth as dead load, slots as a notch of factor {stress.notch:.1f}; "
        f"{strength:.0f} MPa over a factor of {SAFETY_BRITTLE if brittle else SAFETY_DUCTILE:g}"
    )
    out = [
        at_most("rim-stress", "wheel", stress.worst_mpa, "MPa", allowed, why, "Shigley, rotating rings; Inglis notch")
    ]
    if job.wheel.material == "grey-iron":
        speed = rotating_stress.rim_speed_m_s(2 * rim, rpm)
        why = "the old shop rule for cast-iron rims, 100 ft/s: above it, be sure of the casting and guard it well"
        limit = rotating_stress.RIM_SPEED_CAST_IRON_M_S
        out.append(
            at_most("rim-speed", "wheel", speed, "m/s", limit, why, "Shop Practice, cast-iron flywheels", "warn")
        )
    return out
