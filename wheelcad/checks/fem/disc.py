"""A second opinion on the rim's strength: the whole wheel with teeth, bore and holes as a spinning plane piece.

The closed forms of `parts/wheel/spinning` look at one place at a time; here they lean on each other as they do in the
wheel. Correction holes are taken as going through, a pulley's tooth ring as a disc of its own down to the bore: both
are the careful end. A keyway is not in it. A flat floor's corners are as round as `floor_corner` has them: a sharp
corner has no stress that any mesh could find.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.checks.fem.model import FemError
from wheelcad.checks.fem.plane import Stressed, meshed, solved, spin
from wheelcad.codes import Check
from wheelcad.findings import Finding, at_most, holds
from wheelcad.job.models import Job, Keyway
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.design import Design
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.parts.wheel.spinning import CENTRE_MM, FLAKES, KEYWAY_CORNER, floor_corner, strength_of, stressed
from wheelcad.trade.frames import angle_of, point_at
from wheelcad.trade.loop import Loop
from wheelcad.trade.materials import material
from wheelcad.words import angle, length, quantity

SIZE_MM = 6.0  # of the elements where nothing is small
A_TURN = 24  # of them round a full circle
ON_BORE = 0.01  # mm: a node this close to the bore lies on it
DIGITS = 4
SOURCE = "plane finite elements, quadratic triangles; held against Peterson and Shigley (tests/outside)"


class Opinion(NamedTuple):
    """Where the greatest stress is. mpa; radius_mm and at_deg: of the place, from the axis and the TDC line."""

    mpa: float
    radius_mm: float
    at_deg: float


def disc_opinion(job: Job, wheel: WheelDesign, rpm: float, holes: tuple[CorrectionHole, ...] = ()) -> Opinion:
    """The greatest principal stress of the spinning wheel. Raises FemError."""
    stuff = material(job.wheel.material)
    openings = [opening.loop for opening in wheel.openings] or [_ring_bore(job, wheel)]
    drilled = []
    for hole in holes:
        if hole.radius_mm + hole.diameter_mm / 2 < wheel.floor_radius_mm:
            x, y = point_at(hole.radius_mm, hole.at_deg, wheel.sense).tolist()
            drilled.append(Loop.circle(x, y, hole.diameter_mm / 2))
    mesh = meshed(with_corners(job, wheel).outline, [*openings, *drilled], SIZE_MM, A_TURN)
    found = solved(mesh, stuff.poisson, spin(stuff.density_kg_m3, rpm))
    felt = _felt(job, wheel, found)
    worst = int(np.argmax(felt))
    x, y = found.points[worst].tolist()
    at = float(angle_of(x, y, wheel.sense))
    return Opinion(float(f"{felt[worst]:.{DIGITS}g}"), math.hypot(x, y), at)


def keyed_bore(bore_mm: float, keyway: Keyway, sense: int, corner: float = KEYWAY_CORNER) -> Loop:
    """A bore of this radius with its keyway, whose floor's corners are so round; mm, wheel frame."""
    half, quarter = keyway.width / 2, math.tan(math.pi / 8)
    side, top = math.sqrt(bore_mm**2 - half**2), bore_mm + keyway.depth
    round_ = min(corner, half / 2, (top - side) / 2)
    sweep = 2 * math.pi - 2 * math.asin(half / bore_mm)
    corners = [(half, side, 0.0), (half, top - round_, quarter), (half - round_, top, 0.0)]
    corners += [(round_ - half, top, quarter), (-half, top - round_, 0.0), (-half, side, math.tan(sweep / 8))]
    loop = Loop([*corners, (0.0, -bore_mm, math.tan(sweep / 8))])
    return loop.rotated(-sense * keyway.at)


def _ring_bore(job: Job, wheel: WheelDesign) -> Loop:
    """What a pulley's tooth ring has in its middle; a wheel without a bore a centre drill's."""
    pulley = job.pulley
    if pulley is None or not pulley.bore:
        return Loop.circle(0.0, 0.0, CENTRE_MM)
    if pulley.keyway is None:
        return Loop.circle(0.0, 0.0, pulley.bore / 2)
    return keyed_bore(pulley.bore / 2, pulley.keyway, wheel.sense)


def _felt(job: Job, wheel: WheelDesign, found: Stressed) -> Floats:
    """(n,) MPa as the material feels them: grey iron a share of a keyway's peak over the bore's own stress."""
    pulley, bore = job.pulley, 0.0
    if pulley is not None and pulley.bore and not wheel.openings and job.wheel.material == "grey-iron":
        bore = pulley.bore / 2
    key = None if pulley is None else pulley.keyway
    if not bore or key is None:
        return found.greatest
    radius = np.hypot(*found.points.T)
    way = point_at(1.0, key.at, wheel.sense)
    aside = np.abs(found.points @ np.array([way[1], -way[0]]))
    in_bore = (radius < bore + key.depth + 1.0) & (found.points @ way > 0) & (aside < key.width)
    far = (radius < bore + ON_BORE) & (found.points @ way < 0)
    own = float(found.greatest[far].mean())
    return np.where(in_bore, np.minimum(found.greatest, own + FLAKES * (found.greatest - own)), found.greatest)


def with_corners(job: Job, wheel: WheelDesign) -> WheelDesign:
    """The wheel with the corners that its cutter leaves at flat floors; itself where the job states them."""
    if wheel.slot.round_floor or wheel.slot.corner_radius > 0:
        return wheel
    corner, _ = floor_corner(job, wheel)
    slot = job.wheel.slot.model_copy(update={"corner_radius": corner})
    return design_wheel(job.model_copy(update={"wheel": job.wheel.model_copy(update={"slot": slot})}))


def disc_findings(design: Design) -> list[Finding]:
    """One finding beside the closed form's; none without a speed."""
    job, wheel = design.job, design.wheel
    rpm = job.max_speed
    if rpm is None:
        return []
    strength, safety = strength_of(job, wheel)
    holes = design.balance.holes
    try:
        found = disc_opinion(job, wheel, rpm, holes)
    except FemError as error:
        why = "the second opinion on the rim; its closed form stands as rim-stress"
        return [holds(Check.RIM_STRESS_ELEMENTS, "wheel", False, str(error), why, SOURCE, "warn")]
    allowed = strength / safety
    closed = max(stressed(job, wheel, rpm, allowed), key=lambda place: place.mpa)
    _, corners = floor_corner(job, wheel)
    why = (
        f"greatest at radius {length(found.radius_mm)} and {angle(found.at_deg, 0)} from the TDC line, with teeth "
        f"and all holes together, {corners}; the closed form has {quantity(closed.mpa, 'stress')} at the "
        f"{closed.name.split(',')[0]}. {quantity(strength, 'stress', 0)} over a factor of {safety:g}"
    )
    return [at_most(Check.RIM_STRESS_ELEMENTS, "wheel", found.mpa, "MPa", allowed, why, SOURCE)]
