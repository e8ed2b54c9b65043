"""What metal is left round the slots: under their floors, and between them and everything else cut into the piece.

Judged in the half plane of r (from the axis) and z (along the crank), both mm: a slot is taken to be all round, so the
true distance is never less than the one reported.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, Finding, at_least
from wheelcad.job.models import Groove, Job
from wheelcad.parts.common.stack import Land, pulley_front_z, turned_lands
from wheelcad.parts.wheel.design import WheelDesign

LEAST_WALL = 2.0  # mm between the slots and anything else cut into the piece (common practice, no source)


@dataclass(frozen=True)
class Hollow:
    """Something cut into the piece from the inside: out to `reach` from the axis, from z_back to z_front."""

    name: str
    reach: float
    z_back: float = -math.inf
    z_front: float = math.inf

    def beside(self, half: float) -> float:
        """How far along the crank it stays away from a ring of half thickness `half`; 0 where it runs through it."""
        return max(self.z_back - half, -half - self.z_front, 0.0)


def rim_findings(job: Job, wheel: WheelDesign) -> Iterator[Finding]:
    """Rim left under the slots; keyway, bolts, recess, grooves and the rest clear of them."""
    half, floor = wheel.thickness_mm / 2, wheel.floor_radius_mm
    found = hollows(job, wheel)
    inside = [hollow for hollow in found if hollow.beside(half) == 0.0]
    least = min((floor - hollow.reach for hollow in inside), default=floor)
    nearest = min(inside, key=lambda hollow: floor - hollow.reach).name if inside else "axis"
    why = (
        f"metal under the slot floors, down to the {nearest}: a rim should be at least as deep as its slots, or it "
        "springs when it is cut and rings when it runs"
    )
    yield at_least(Check.RIM_LEFT, "wheel", least, "mm", wheel.slot.depth, why, PRACTICE, "warn")
    for hollow in found:
        if hollow.name != "bore":
            distance = math.hypot(hollow.beside(half), max(floor - hollow.reach, 0.0))
            yield _clear(hollow.name, distance)
    grooved = [(land, land.groove) for land in turned_lands(job) if land.groove is not None]
    if grooved:
        yield _clear("groove", min(groove_distance(land, groove, half, floor) for land, groove in grooved))


def _clear(name: str, distance: float) -> Finding:
    why = f"metal left between the {name} and the slot floors"
    return at_least(
        Check(f"{name.replace(' ', '-')}-clear"), "wheel", distance, "mm", LEAST_WALL, why, PRACTICE, "warn"
    )


def hollows(job: Job, wheel: WheelDesign) -> list[Hollow]:
    """Bore, keyway, bolt holes, recess and a ready-made ring's own holes, as far as they are in the wheel's piece."""
    if wheel.form == "plate":
        out: dict[str, float] = {}
        names = {"bolt": "bolts", "found": "holes as found"}
        for opening in wheel.openings:
            if opening.round is not None:
                x, y, radius = opening.round
                name = names.get(opening.name, opening.name)
                reach = math.hypot(x, y) + radius
                out[name] = max(out.get(name, reach), reach)
        return [Hollow(name, reach) for name, reach in out.items()]
    pulley = job.pulley
    if pulley is None:
        return []
    found = []
    bore = pulley.bore / 2 if pulley.bore is not None else 0.0
    if bore:
        found.append(Hollow("bore", bore))
    if pulley.keyway is not None:
        found.append(Hollow("keyway", math.hypot(pulley.keyway.width / 2, bore + pulley.keyway.depth)))
    if pulley.bolts is not None:
        found.append(Hollow("bolts", (pulley.bolts.circle + pulley.bolts.hole) / 2))
    if pulley.recess is not None:
        front = pulley_front_z(job)
        found.append(Hollow("recess", pulley.recess.diameter / 2, front - pulley.recess.depth, front))
    return found


def groove_distance(land: Land, groove: Groove, half: float, floor: float) -> float:
    """Least distance, mm, from a belt groove in the middle of a land to the slots of a ring of half thickness `half`.

    The slots reach from the radius `floor` outwards; the land is no larger than that and does not lie across the ring.
    A groove narrows inwards, so its edge on the land's outside is nearest.
    """
    middle = abs(land.z_front + land.z_back) / 2
    return math.hypot(floor - land.radius, middle - groove.width / 2 - half)
