"""What the job's sensor wants of teeth, in numbers that many patterns can be held against at once. Lengths mm."""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.job.models import Job
from wheelcad.trade import sensing


@dataclass(frozen=True)
class Wants:
    """Least sizes. tooth, slot: at the radius where the sensor looks. full_slot: for the whole signal, 0 where there is
    no such rule. depth_per_slot: least depth as a share of the slot's width. speed_m_s: of the rim at cranking speed.
    max_rate_hz: most teeth a second; None where the job does not say. along: it looks along the crank, `inset` inside
    the rim. whose: whose figures they are.
    """

    tooth: float
    slot: float
    full_slot: float
    depth: float
    depth_per_slot: float
    face: float
    speed_m_s: float
    cranking_rpm: float
    max_rate_hz: float | None
    along: bool
    inset: float
    whose: str


def wants_of(job: Job) -> Wants:
    """The wants of the job's sensor; those of a common Hall sensor where the job has none."""
    sensor = job.sensor
    cranking = job.engine.cranking_speed if job.engine is not None else 200.0
    along = sensor is not None and sensor.looks == "along"
    rim = job.wheel.outside_diameter / 2
    inset = 0.0
    if sensor is not None and along:
        inset = rim - sensor.radius if sensor.radius is not None else job.wheel.slot.depth / 2
    part = (sensor.face_diameter if sensor is not None else None) or 0.0
    rate = sensor.max_tooth_rate if sensor is not None else None
    if sensor is not None and sensor.kind == "reluctance":
        full = sensing.RELUCTANCE_SLOT_PER_POLE * part
        least = sensing.RELUCTANCE_LEAST_SPEED_M_S
        return Wants(part, part, full, 0.0, 1.0, part, least, cranking, rate, along, inset, "this pickup")
    return Wants(
        max(sensing.HALL_LEAST_TOOTH_MM, part),
        max(sensing.HALL_LEAST_SLOT_MM, part),
        0.0,
        sensing.HALL_LEAST_DEPTH_MM,
        0.0,
        sensing.HALL_LEAST_FACE_MM,
        0.0,
        cranking,
        rate,
        along,
        inset,
        "this Hall sensor" if sensor is not None else "a common Hall sensor, none being in the job",
    )
