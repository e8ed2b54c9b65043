"""What the trade says of an adapter: walls, pilot, slots, and where it puts the ring. Lengths mm."""

from __future__ import annotations

from collections.abc import Iterator

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, Finding, at_least, at_most, holds
from wheelcad.job.models import Adapter, Job, Sensor
from wheelcad.words import length

LEAST_WALL = 2.0  # around bolt holes and between bore and pilot (common practice, no source)
LEAST_PILOT = 1.0  # length of pilot in the bore that still centres a plate (common practice, no source)
RING_PLACE = 0.5  # how far off the ring may be where no sensor says otherwise (our judgement)


def adapter_findings(job: Job, adapter: Adapter, bore_radius: float) -> Iterator[Finding]:
    """All verdicts on the adapter of a job that has one."""
    if job.bolts is not None:
        bolts = job.bolts
        inner = adapter.pilot.diameter / 2 if adapter.pilot is not None else bore_radius
        outside = (adapter.outside_diameter - bolts.circle - bolts.hole) / 2
        inside = (bolts.circle - bolts.hole) / 2 - inner
        why = "metal left around the adapter's bolt holes, which go through plate and spacer alike"
        yield at_least(Check.BOLT_WALL, "adapter", min(outside, inside), "mm", LEAST_WALL, why, PRACTICE, "warn")
    elif job.pulley is not None:
        why = "without pulley.bolts nothing holds plate and spacer to the pulley"
        yield holds(Check.ADAPTER_BOLTS, "adapter", False, "no bolts", why, "the job file", "warn")
    if adapter.pilot is not None:
        yield from _pilot(adapter.pilot.length, job.wheel.thickness)
        wall = adapter.pilot.diameter / 2 - bore_radius
        why = "metal left between the pilot and the bore that the crank's bolt needs"
        yield at_least(Check.PILOT_WALL, "adapter", wall, "mm", LEAST_WALL, why, PRACTICE, "warn")
    floor = job.wheel.outside_diameter / 2 - job.wheel.slot.depth
    why = "a spacer that stands behind the slots is seen by the sensor in every slot, and is in the cutter's way"
    yield at_most(
        Check.SPACER_BEHIND_SLOTS, "adapter", adapter.outside_diameter / 2, "mm", floor, why, PRACTICE, "warn"
    )
    if adapter.ring_at is not None:
        yield _ring_place(job, adapter.length, adapter.ring_at)


def _pilot(length: float, thickness: float) -> list[Finding]:
    short = "a shorter pilot does not centre the plate before the bolts are in"
    long = "a pilot longer than the plate is thick stands out of it, and a washer across it would clamp the pilot alone"
    return [
        at_least(Check.PILOT_LEAST, "adapter", length, "mm", LEAST_PILOT, short, PRACTICE, "warn"),
        at_most(Check.PILOT_LENGTH, "adapter", length, "mm", thickness, long, PRACTICE, "warn"),
    ]


def _ring_place(job: Job, spacer: float, wanted: float) -> Finding:
    """The middle of the ring against where the sensor wants it, from the pulley's front face."""
    at = spacer + job.wheel.thickness / 2
    limit, why = _ring_limit(job.sensor, job.wheel.thickness)
    better = wanted - job.wheel.thickness / 2
    cure = (
        f"; an adapter {length(better)} long would put it right" if better > 0 else "; no adapter reaches so far back"
    )
    why = f"the ring's middle lies {length(at)} in front of the pulley, the sensor wants {length(wanted)}: {why}"
    off = abs(at - wanted)
    return at_most(
        Check.RING_POSITION,
        "adapter",
        off,
        "mm",
        limit,
        why + (cure if off > limit else ""),
        "stack of lengths",
        "warn",
    )


def _ring_limit(sensor: Sensor | None, thickness: float) -> tuple[float, str]:
    """How far off the ring may be, and why so far."""
    if sensor is not None and sensor.looks == "along":
        low, high = sensor.air_gap_range or (sensor.air_gap - 0.2, sensor.air_gap + 0.2)
        room = min(sensor.air_gap - low, high - sensor.air_gap)
        return room, "a sensor that looks along the crank loses or gains that much of its air gap"
    if sensor is not None and sensor.face_diameter is not None:
        spare = (thickness - sensor.face_diameter) / 2
        return max(spare, RING_PLACE), "beyond what the ring is thicker than the sensing part it is seen in part only"
    return RING_PLACE, "a sensor sees its target best in the middle"
