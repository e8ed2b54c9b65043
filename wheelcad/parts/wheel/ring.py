"""A ready-made ring opened up to fit: what to bore and drill, what to leave, and what of it stays in the plate.

Lengths mm, wheel frame.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from wheelcad.codes import Check
from wheelcad.errors import Faults, Key
from wheelcad.findings import PRACTICE, Finding, at_least, at_most, holds
from wheelcad.job.models import Bolts, Job, Ring
from wheelcad.parts.common.openings import Opening, circle_centres, round_opening, rounds
from wheelcad.trade.frames import angle_of
from wheelcad.trade.nearness import SAME_MM
from wheelcad.words import diameter, length

SAME_PLACE = 0.1  # centres closer than this are one hole: a drill follows it
SAME_SIZE = 0.05  # diameters closer than this are one size
LEAST_WALL = 2.0  # left between holes (common practice, no source)
LOOSE = 1.0  # a hole this much larger than the job's is loose: ISO 273 coarse is about that over fine

Spot = tuple[float, float, float]  # a round hole: x, y, radius, mm


class RingStep(NamedTuple):
    """One hole of the ring. what: bore or bolt hole. do: bore, open, drill, leave, unused or gone (bored away).

    at_deg: of its centre, None for the bore. radius_mm: of its centre from the axis. from_mm, to_mm: diameters, 0 where
    there is no hole before or after.
    """

    what: str
    do: str
    at_deg: float | None
    radius_mm: float
    from_mm: float
    to_mm: float


@dataclass(frozen=True)
class RingWork:
    """What is done to a ready-made ring. openings: bolt holes as they end up, and old ones that stay."""

    steps: tuple[RingStep, ...]
    openings: tuple[Opening, ...]
    findings: tuple[Finding, ...]


def open_up(
    job: Job, ring: Ring, wanted: Sequence[Opening], bore_radius: float, floor_radius: float, faults: Faults
) -> RingWork:
    """The work on a ready-made ring. wanted: bolt holes of the pulley, each round."""
    steps = [_bore(ring.bore, 2 * bore_radius, faults)] if ring.bore is not None or bore_radius else []
    old = _old_holes(ring.bolts, job)
    _check_old(old, bore_radius, floor_radius, faults)
    openings: list[Opening] = []
    used: set[int] = set()
    for hole, spot in zip(wanted, rounds(wanted), strict=True):
        step, opening, match = _wanted_hole(hole, spot, old, job, faults)
        steps.append(step)
        openings.append(opening)
        used |= match
    for i, (x, y, radius) in enumerate(old):
        if i not in used:
            gone = math.hypot(x, y) + radius <= bore_radius + SAME_MM
            steps.append(_step("gone" if gone else "unused", x, y, 2 * radius, 0.0 if gone else 2 * radius, job))
            if not gone:
                openings.append(round_opening("found", x, y, radius))
    return RingWork(
        tuple(steps), tuple(openings), tuple(_findings(job, ring, steps, openings, bore_radius, floor_radius))
    )


def _bore(found: float | None, wanted: float, faults: Faults) -> RingStep:
    found = found or 0.0
    if found > wanted + SAME_SIZE:
        allowed = f"at least {length(found)}: metal cannot be put back"
        faults.add(("wheel", "bore"), "is smaller than the ring's bore as found", found=length(wanted), allowed=allowed)
    leave = abs(found - wanted) <= SAME_SIZE
    return RingStep("bore", "leave" if leave else "bore", None, 0.0, found, wanted)


def _old_holes(bolts: Bolts | None, job: Job) -> list[Spot]:
    """x, y and radius of the holes the ring came with."""
    if bolts is None:
        return []
    return [(x, y, bolts.hole / 2) for x, y in circle_centres(bolts, job.sense).tolist()]


def _check_old(old: list[Spot], bore_radius: float, floor_radius: float, faults: Faults) -> None:
    key: Key = ("wheel", "as_found", "bolts", "circle")
    for x, y, radius in old[:1]:  # they all lie on one circle
        at = math.hypot(x, y)
        if at + radius >= floor_radius:
            allowed = f"less than {length(2 * (floor_radius - radius))}"
            faults.add(key, "puts the ring's own holes into its slots", allowed=allowed)
        if at - radius < bore_radius - SAME_MM and at + radius > bore_radius + SAME_MM:
            why = "puts the ring's own holes across the edge of wheel.bore"
            allowed = f"holes clear of {diameter(2 * bore_radius)}, or wholly inside it"
            faults.add(key, why, found=length(2 * at), allowed=allowed)


def _wanted_hole(
    hole: Opening, spot: Spot, old: list[Spot], job: Job, faults: Faults
) -> tuple[RingStep, Opening, set[int]]:
    """The work for one bolt hole, the hole as it ends up, and which old holes it takes in."""
    x, y, radius = spot
    for i, (x0, y0, old_radius) in enumerate(old):
        apart = math.dist((x, y), (x0, y0))
        if apart <= SAME_PLACE or apart + radius <= old_radius:  # an old hole right here, perhaps too large
            if 2 * (radius - old_radius) > SAME_SIZE:
                return _step("open", x, y, 2 * old_radius, 2 * radius, job), hole, {i}
            kept = round_opening("bolt", x0, y0, old_radius)
            return _step("leave", x0, y0, 2 * old_radius, 2 * old_radius, job), kept, {i}
        if apart < radius + old_radius:
            faults.add(
                ("pulley", "bolts", "first_at"),
                "puts a bolt hole across the edge of one the ring has already",
                found=f"centres {length(apart)} apart",
                allowed=f"at least {length(radius + old_radius + LEAST_WALL)} apart, or at one place",
                hint="turn the ring on the pulley, or take a ring whose holes fit",
            )
            break
    return _step("drill", x, y, 0.0, 2 * radius, job), hole, set()


def _step(do: str, x: float, y: float, before: float, after: float, job: Job) -> RingStep:
    at = float(angle_of(x, y, job.sense))
    return RingStep("bolt hole", do, at, math.hypot(x, y), before, after)


def _findings(
    job: Job, ring: Ring, steps: list[RingStep], openings: list[Opening], bore_radius: float, floor_radius: float
) -> list[Finding]:
    out = [holds(Check.RING_WORK, "ring", True, _in_words(steps), CENTRING, PRACTICE)]
    walls = [w for w in _walls(openings, bore_radius, floor_radius) if w is not None]
    if walls:
        why = "metal between the ring's holes, its bore and its slots once it is opened up"
        out.append(at_least(Check.RING_WALL, "ring", min(walls), "mm", LEAST_WALL, why, PRACTICE, "warn"))
    bolts = job.bolts
    if bolts is not None:
        left = [step.to_mm for step in steps if step.what == "bolt hole" and step.do == "leave"]
        why = "an old hole larger than the bolts want lets the ring sit anywhere: it must be centred by its bore"
        loose = max([0.0, *(size - bolts.hole for size in left)])
        out.append(at_most(Check.RING_HOLE_SIZE, "ring", loose, "mm", LOOSE, why, "ISO 273, coarse over fine", "warn"))
    if ring.toothed:
        why = (
            "nothing of the teeth is cut: the chart's angles then serve to check them, and the balance counts as drawn"
        )
        out.append(holds(Check.RING_TEETH, "ring", True, "teeth are there", why, "the job file"))
    return out


CENTRING = (
    "set the ring up by an indicator on its tooth tops, not by the hole it came with, and bore and drill it in that "
    "one setting: its own hole need not be true to the teeth"
)


def _in_words(steps: list[RingStep]) -> str:
    """bore ⌀50 to ⌀70; drill 4 holes; leave 2."""
    said = []
    for step in steps:
        if step.what == "bore":
            said.append(
                f"leave the bore at {diameter(step.to_mm)}"
                if step.do == "leave"
                else f"bore {diameter(step.from_mm)} to {diameter(step.to_mm)}"
            )
    words = {"drill": "drill {n} new", "open": "open {n} up", "leave": "leave {n} as they are"}
    words |= {"unused": "{n} old ones stay unused", "gone": "{n} old ones go with the bore"}
    for do, text in words.items():
        n = sum(1 for step in steps if step.what == "bolt hole" and step.do == do)
        if n:
            said.append(text.format(n=n) + (" holes" if do == "drill" and n > 1 else " hole" if do == "drill" else ""))
    return "; ".join(said)


def _walls(openings: list[Opening], bore_radius: float, floor_radius: float) -> list[float | None]:
    out: list[float | None] = []
    spots = rounds(openings)
    for i, (x, y, radius) in enumerate(spots):
        at = math.hypot(x, y)
        out += [floor_radius - at - radius, at - radius - bore_radius if bore_radius else None]
        out += [math.dist((x, y), (p, q)) - radius - r for p, q, r in spots[:i]]
    return out
