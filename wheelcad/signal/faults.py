"""Seen on the starter: what it likely is, and what to do about it. For this job's sensor and coils.

Common practice, no source, but for what the model shows (swapped wires, the dip, the gap's place).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from wheelcad.job.elements import element_of
from wheelcad.job.models import Job

SAFE = (
    "Before cranking: fuel off, plugs on their leads with their bodies earthed and away from the plug holes, gear out, "
    "hands and clothes clear of belts and fan."
)


class Fault(NamedTuple):
    """One row: what is seen, what it likely is, what to do."""

    seen: str
    likely: str
    do: str


def fault_table(job: Job) -> Iterator[Fault]:
    """The rows for a job; ValueError for one without a sensor."""
    if job.sensor is None:
        raise ValueError("without a sensor nothing is seen on the starter")
    pole = element_of(job.sensor) == "pole"
    yield _no_teeth(pole)
    yield _no_sync(pole)
    yield from _by_sensor(pole)
    yield Fault(
        "It syncs with the plugs out, not with them in.",
        "The crank slows too much while the gap passes.",
        "Move gap_at (before the wheel is cut) or sensor.at (after) as the gap map says; charge the battery.",
    )
    if job.engine is not None and job.engine.spark == "per-cylinder":
        yield Fault(
            "Sparks come a whole turn (360°) out.",
            "The cam signal's level at the sync edge is the other one.",
            "Swap the level in the controller, or turn cam.at by 180°.",
        )


def _no_teeth(pole: bool) -> Fault:
    if pole:
        why = "Measure the pickup's ohms at the plug, set the air gap, charge the battery."
        return Fault("No teeth at all.", "Air gap too large, cranking too slow, or a wire open.", why)
    why = "Measure the supply at the plug; pull the output up to the controller's logic supply; set the air gap."
    return Fault("No teeth at all.", "No supply, no pull-up, or air gap too large.", why)


def _no_sync(pole: bool) -> Fault:
    if pole:
        return Fault(
            "Teeth, but no sync.",
            "The pickup's two wires are swapped, the pattern is entered wrong, or the dip is below the limit.",
            "Look at the trace beside this table; swap the wires; check teeth and missing; charge the battery, try "
            "with the plugs out.",
        )
    return Fault(
        "Teeth, but no sync.",
        "Missing count or pattern entered wrong, or the dip is below the limit.",
        "Count teeth and missing as the controller wants them (the missing ones counted in); charge the battery, try "
        "with the plugs out.",
    )


def _by_sensor(pole: bool) -> list[Fault]:
    if pole:
        return [
            Fault(
                "Sync is lost above some speed.",
                "The pickup's wires are swapped, noise, or an air gap so small that the signal is clipped.",
                "Look at the trace; twist the two wires, shield earthed at one end, away from plug leads.",
            )
        ]
    return [
        Fault(
            "Sync is lost above some speed.",
            "Noise, more teeth a second than the sensor follows, or an air gap too small.",
            "Suppressed plugs and leads; shield earthed at one end, away from plug leads; compare max_tooth_rate.",
        ),
        Fault(
            "Timing is off by a tooth's width at every speed.",
            "The controller times on the other electrical edge.",
            "Change the edge in the controller, or enter the other edge's number from the ignition card.",
        ),
    ]
