"""Holes that run along the crank: bore with its keyway, bolt holes, correction holes. Wheel frame, mm."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import Faults
from wheelcad.job.models import Bolts, Job, Keyway
from wheelcad.trade.frames import point_at, turned
from wheelcad.trade.loop import Loop, arc_bulge
from wheelcad.words import length


@dataclass(frozen=True)
class Opening:
    """A hole through the part. round: centre x, y and radius in mm; None when keyed.

    name: bore, bolt, correction, or found for an unused one that a ready-made ring came with.
    """

    name: str
    loop: Loop
    round: tuple[float, float, float] | None


def rounds(openings: Iterable[Opening]) -> list[tuple[float, float, float]]:
    """Centre x, y and radius of the round ones among them, mm."""
    return [opening.round for opening in openings if opening.round is not None]


def round_opening(name: str, x: float, y: float, radius: float) -> Opening:
    """A round hole."""
    return Opening(name, Loop.circle(x, y, radius), (x, y, radius))


def bore_opening(radius: float) -> Opening:
    """A plain bore about the axis."""
    return round_opening("bore", 0.0, 0.0, radius)


def keyed_bore(radius: float, keyway: Keyway, sense: int) -> Opening:
    """A bore with its keyway: one outline. The floor is square to the keyway's centre line, `depth` from the bore.

    radius in mm. ValueError when the keyway is as wide as the bore or ends inside it.
    """
    half, floor = keyway.width / 2, radius + keyway.depth
    if half >= radius:
        raise ValueError("the keyway is as wide as the bore")
    mouth = math.sqrt(radius**2 - half**2)
    sweep = 2 * math.pi - 2 * math.asin(half / radius)
    # from the keyway's left mouth anticlockwise round the bore to its right mouth, then up, across and down
    rows = [(-half, mouth, arc_bulge(sweep)), (half, mouth, 0.0), (half, floor, 0.0), (-half, floor, 0.0)]
    return Opening("bore", Loop([(*turned(x, y, sense * keyway.at), b) for x, y, b in rows]), None)


def pulley_bore(job: Job, faults: Faults) -> Opening | None:
    """The pulley's bore, keyed where the job says so; None without one."""
    pulley = job.pulley
    if pulley is None or pulley.bore is None:
        return None
    if pulley.keyway is None:
        return bore_opening(pulley.bore / 2)
    if pulley.keyway.width >= pulley.bore:
        faults.add(
            ("pulley", "keyway", "width"),
            "is as wide as the bore",
            found=length(pulley.keyway.width),
            allowed=f"less than {length(pulley.bore)}",
        )
        return bore_opening(pulley.bore / 2)
    return keyed_bore(pulley.bore / 2, pulley.keyway, job.sense)


def bolt_centres(job: Job) -> Floats:
    """(n, 2) centres of the pulley's bolt holes, mm; empty without bolts."""
    if job.bolts is None:
        return np.zeros((0, 2))
    return circle_centres(job.bolts, job.sense)


def circle_centres(bolts: Bolts, sense: int) -> Floats:
    """(n, 2) centres of the holes of a bolt circle, mm, beginning with the first."""
    angles = bolts.first_at + 360.0 / bolts.count * np.arange(bolts.count)
    return point_at(bolts.circle / 2, angles, sense)


def bolt_openings(job: Job, faults: Faults) -> list[Opening]:
    """The pulley's bolt holes; a fault when neighbours run into each other."""
    if job.bolts is None:
        return []
    bolts = job.bolts
    if bolts.count > 1 and bolts.circle * math.sin(math.pi / bolts.count) <= bolts.hole:
        why = "lets neighbouring bolt holes run into each other"
        allowed = f"less than {length(bolts.circle * math.sin(math.pi / bolts.count))}"
        faults.add(("pulley", "bolts", "hole"), why, found=length(bolts.hole), allowed=allowed)
    return [round_opening("bolt", x, y, bolts.hole / 2) for x, y in bolt_centres(job).tolist()]
