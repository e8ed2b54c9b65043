"""What goes through a plate wheel: bore, bolt holes, and the holes a ready-made ring came with. Lengths mm."""

from __future__ import annotations

from wheelcad.errors import Faults
from wheelcad.job.models import Job
from wheelcad.parts.common.openings import Opening, bolt_openings, bore_opening
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.parts.wheel.ring import RingWork, open_up
from wheelcad.words import length


def plate_openings(job: Job, slot: SlotShape, faults: Faults) -> tuple[tuple[Opening, ...], RingWork | None]:
    """Bore and holes of a plate wheel, and the work on a ready-made ring; faults where they run into each other."""
    wheel = job.wheel
    bore_radius = wheel.bore / 2 if wheel.bore is not None else 0.0
    if bore_radius >= slot.floor_radius:
        allowed = f"less than {length(2 * slot.floor_radius)}"
        faults.add(("wheel", "bore"), "reaches the slot floors", found=length(2 * bore_radius), allowed=allowed)
    _check_pilot(job, faults)
    bolts = _bolts(job, slot, bore_radius, faults)
    work = None
    if wheel.as_found is not None:
        work = open_up(job, wheel.as_found, bolts, bore_radius, slot.floor_radius, faults)
        bolts = list(work.openings)
    bore = [bore_opening(bore_radius)] if bore_radius else []
    return (*bore, *bolts), work


def _check_pilot(job: Job, faults: Faults) -> None:
    pilot, bore = job.pilot, job.wheel.bore
    if pilot is not None and bore is not None and pilot.diameter > bore:
        why = "does not enter the wheel's bore"
        allowed = f"at most {length(bore)}"
        faults.add(("adapter", "pilot", "diameter"), why, found=length(pilot.diameter), allowed=allowed)


def _bolts(job: Job, slot: SlotShape, bore_radius: float, faults: Faults) -> list[Opening]:
    if job.bolts is None:
        return []
    bolts = job.bolts
    if bolts.circle / 2 - bolts.hole / 2 <= bore_radius:
        why = "puts the bolt holes into the wheel's bore"
        allowed = f"more than {length(2 * bore_radius + bolts.hole)}"
        faults.add(("pulley", "bolts", "circle"), why, found=length(bolts.circle), allowed=allowed)
    if bolts.circle / 2 + bolts.hole / 2 >= slot.floor_radius:
        why = "puts the bolt holes into the slots"
        allowed = f"less than {length(2 * slot.floor_radius - bolts.hole)}"
        faults.add(("pulley", "bolts", "circle"), why, found=length(bolts.circle), allowed=allowed)
    return bolt_openings(job, faults)
