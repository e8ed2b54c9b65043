"""What counts as unbalance, in closed form: vectors in g·mm that point to the heavy side (mass too much there).

Turned-down form: the pulley is taken to be balanced as it was found, with its key in, and only what is cut away counts:
slots and gap out of the full ring disc. Where the job says the pulley's balance is unknown its keyway and bolt holes
count as well, the keyway filled by half a key. Plate form: everything about the plate counts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import Faults
from wheelcad.job.models import Job
from wheelcad.parts.balance.metal import Metal
from wheelcad.parts.common.openings import pulley_bore
from wheelcad.parts.common.profile import half_section
from wheelcad.parts.common.stack import turned_lands
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import point_at
from wheelcad.trade.materials import material

KEY_MATERIAL = "mild-steel"
NODES = np.polynomial.legendre.leggauss(48)

CUT_ONLY = (
    "what is cut away: slots, gap and any TDC notch out of the full ring; the pulley is taken as balanced as found, "
    "key in"
)
WHOLE_PULLEY = "what is cut away, and the pulley's own bolt holes and keyway, with half a key in it after ISO 21940-32"
WHOLE_PLATE = "everything about the plate: outline, bore and bolt holes"


@dataclass(frozen=True)
class InitialUnbalance:
    """The unbalance before correction. parts: (what, x, y in g·mm, z in mm of the plane it lies in).

    mass_kg: of the piece before correction holes, without key. empty_keyway: x, y in g·mm of the keyway without a key.
    key: x, y in g·mm of the half key, where it counts (0, 0 where not). words: what was counted.
    """

    parts: tuple[tuple[str, float, float, float], ...]
    mass_kg: float
    density_kg_m3: float
    against_blank: bool
    empty_keyway: tuple[float, float]
    key: tuple[float, float]
    words: str

    @property
    def vector(self) -> Floats:
        """(2,) x, y of the whole, g·mm."""
        total: Floats = np.array([[x, y] for _, x, y, _ in self.parts]).sum(axis=0)
        return total

    @property
    def couple(self) -> Floats:
        """(2,) sum of vector times z, g·mm²."""
        total: Floats = np.array([[x * z, y * z] for _, x, y, z in self.parts]).sum(axis=0)
        return total

    @property
    def plane_mm(self) -> float:
        """z of the plane the unbalance lies in: that of its parts, weighted along the whole; 0 when there is none."""
        total = self.vector
        size = float(total @ total)
        return float(self.couple @ total) / size if size > 1e-12 else 0.0


def initial_unbalance(job: Job, wheel: WheelDesign, metal: Metal) -> InitialUnbalance:
    """The unbalance of a job's wheel before correction."""
    density = material(wheel.material).density_kg_m3 * 1e-6  # g/mm³
    area, mx, my, _ = wheel.outline.moments()
    ring = density * wheel.thickness_mm
    parts = [("slots and gap", ring * mx, ring * my, 0.0)]
    notched = 0.0
    for mark in wheel.marks:
        if mark.deep is not None:  # the V's metal lies a third of its depth below the face
            lost = (-density * mark.first_moment(wheel.sense)).tolist()
            parts.append((mark.name, *lost, wheel.thickness_mm / 2 - mark.deep / 3))
            notched += density * mark.volume_mm3
    if wheel.form == "plate":
        mass = ring * area - notched
        for opening in wheel.openings:
            hole_area, hx, hy, _ = opening.loop.oriented().moments()
            parts.append((opening.name, -ring * hx, -ring * hy, 0.0))
            mass -= ring * hole_area
        return InitialUnbalance(tuple(parts), mass / 1000, density * 1e6, False, (0.0, 0.0), (0.0, 0.0), WHOLE_PLATE)
    lands = turned_lands(job)
    recess = (metal.recess, metal.recess_depth) if metal.recess_depth else None
    section = half_section(lands, metal.bore, recess)
    disc = math.pi * wheel.radius_mm**2
    mass = density * 2 * math.pi * section.moments()[1] + ring * (area - disc) - notched
    own, key = [], (0.0, 0.0)
    for name, volume, first, z in _pulley_holes(job, metal):
        mass -= density * volume
        own.append((name, *(-density * first).tolist(), z))
        if name == "keyway":
            x, y = (material(KEY_MATERIAL).density_kg_m3 * 1e-6 * first).tolist()
            key = x, y
            own.append(("half key", x, y, z))
    empty = next(((x, y) for name, x, y, _ in own if name == "keyway"), (0.0, 0.0))
    unknown = job.balance is not None and job.balance.as_found == "unknown"
    if unknown:
        parts += own
    return InitialUnbalance(
        tuple(parts),
        mass / 1000,
        density * 1e6,
        not unknown,
        empty,
        key if unknown else (0.0, 0.0),
        WHOLE_PULLEY if unknown else CUT_ONLY,
    )


def _pulley_holes(job: Job, metal: Metal) -> Iterator[tuple[str, float, Floats, float]]:
    """Bolt holes and keyway of a turned pulley: name, volume mm³, first moment (2,) mm⁴ and z of what they take out."""
    deep, shallow = metal.length, metal.length - metal.recess_depth
    z_deep, z_shallow = (metal.z_front + metal.z_back) / 2, (metal.z_front - metal.recess_depth + metal.z_back) / 2
    for x, y, radius in metal.bolts:
        at = math.hypot(x, y)
        whole = math.pi * radius**2
        inside, moment = circle_in_disc(at, radius, metal.recess)
        volume = whole * deep - inside * (deep - shallow)
        first = whole * at * deep - moment * (deep - shallow)
        lever = whole * at * deep * z_deep - moment * (deep * z_deep - shallow * z_shallow)
        yield ("bolt holes", volume, first * np.array([x, y]) / at, lever / first)
    pulley = job.pulley
    if pulley is not None and pulley.keyway is not None and pulley_bore(job, Faults()) is not None:
        width, floor = pulley.keyway.width, metal.bore + pulley.keyway.depth
        whole, first_whole = keyway_in_disc(metal.bore, width, floor, math.inf)
        inside, moment = keyway_in_disc(metal.bore, width, floor, metal.recess)
        volume = whole * deep - inside * (deep - shallow)
        first = first_whole * deep - moment * (deep - shallow)
        lever = first_whole * deep * z_deep - moment * (deep * z_deep - shallow * z_shallow)
        direction = point_at(1.0, pulley.keyway.at, metal.sense)
        yield ("keyway", volume, first * direction, lever / first)


def circle_in_disc(at: float, radius: float, disc: float) -> tuple[float, float]:
    """Area (mm²) and first moment about the axis (mm³, along its own centre line) of the part of a circle, centred `at`
    mm from the axis, that lies within `disc` mm of the axis. Source: circular segments, any handbook of mechanics."""
    if disc <= at - radius:
        return 0.0, 0.0
    if disc >= at + radius:
        area = math.pi * radius**2
        return area, area * at
    chord = (at**2 + disc**2 - radius**2) / (2 * at)  # distance from the axis of the chord both circles share
    far, near = _segment(disc, chord), _segment(radius, at - chord)
    return far + near, at * near  # about their own centres both weigh 2/3 of the half chord's cube: they cancel


def _segment(radius: float, chord: float) -> float:
    """Area of the part of a circle beyond a chord at (signed) distance `chord`."""
    half = math.sqrt(max(radius**2 - chord**2, 0.0))
    return radius**2 * math.atan2(half, chord) - chord * half


def keyway_in_disc(bore: float, width: float, floor: float, disc: float) -> tuple[float, float]:
    """Area (mm²) and first moment about the axis (mm³, along its centre line) of a keyway outside a bore of radius
    `bore`, as far as it lies within `disc` mm of the axis. floor: flat, mm from the axis."""
    half = width / 2
    if disc <= bore:
        return 0.0, 0.0
    corner = math.sqrt(max(disc**2 - floor**2, 0.0)) if disc < math.hypot(half, floor) else half
    area = moment = 0.0
    for low, high in ((0.0, corner), (corner, half)):  # the top is smooth in each
        s = low + (high - low) * (NODES[0] + 1) / 2
        weights = NODES[1] * (high - low)  # both halves of the keyway at once
        top, bottom = np.minimum(floor, np.sqrt(disc**2 - s**2)), np.sqrt(bore**2 - s**2)
        area += float(weights @ (top - bottom))
        moment += float(weights @ (top**2 - bottom**2)) / 2
    return area, moment
