"""What else would balance the wheel where holes cannot, or metal cannot be spared."""

from __future__ import annotations

import math

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.parts.balance import walls
from wheelcad.parts.balance.metal import Metal, blocked_angles, seats
from wheelcad.trade.frames import apart_deg
from wheelcad.words import angle, length, mass


def arc_slot_moment(radius_mm: float, width_mm: float, half_deg: float) -> float:
    """First moment (mm³ for each mm of depth) about the axis, along its middle, of a slot milled along an arc.

    half_deg: from the slot's middle to the centre of the cutter at either end; the ends are half rounds.
    Source: annular sector and two half discs, any handbook of mechanics.
    """
    a, r = math.radians(half_deg), width_mm / 2
    band = 2 / 3 * ((radius_mm + r) ** 3 - (radius_mm - r) ** 3) * math.sin(a)
    ends = math.pi * r**2 * radius_mm * math.cos(a) - 4 / 3 * r**3 * math.sin(a)
    return band + ends


def arc_slot_half_deg(needed_mm3: float, radius_mm: float, width_mm: float) -> float | None:
    """Half angle (degrees, up to 90) of the arc slot with this moment a mm of depth; None when none has it."""
    low, high = 0.0, 90.0
    if not arc_slot_moment(radius_mm, width_mm, low) <= needed_mm3 <= arc_slot_moment(radius_mm, width_mm, high):
        return None
    for _ in range(60):
        middle = (low + high) / 2
        if arc_slot_moment(radius_mm, width_mm, middle) < needed_mm3:
            low = middle
        else:
            high = middle
    return high


def slot_behind_rim(
    metal: Metal, amount: float, at_deg: float, density: float, radii: Floats, cutter_mm: float
) -> str | None:
    """A slot milled along an arc on the heavy side, as far out as its walls allow, in words; None when none fits.

    amount: g·mm; density: g/mm³. Bolt holes are outside its reach when they lie further in than the slot; keyway and
    timing marks keep their walls.
    """
    for radius in sorted(radii.tolist(), reverse=True):
        at = seats(metal, np.array([radius]), np.array([cutter_mm]))
        if not bool(at.fits[0]) or not float(at.beyond[0]) > walls.BREAK_THROUGH:
            continue
        if any(math.hypot(x, y) + r + walls.bolt_wall(2 * r) > radius - cutter_mm / 2 for x, y, r in metal.bolts):
            continue
        half = arc_slot_half_deg(amount / density / float(at.thickness[0]), radius, cutter_mm)
        if half is not None and _runs_clear(metal, radius, cutter_mm, at_deg, half):
            start, end = (angle((at_deg + side) % 360) for side in (-half, half))
            return (
                f"a slot milled along an arc with a {length(cutter_mm)} cutter, right through at radius "
                f"{length(radius)}, the cutter's centre from {start} to {end}"
            )
    return None


def _runs_clear(metal: Metal, radius: float, cutter_mm: float, at_deg: float, half_deg: float) -> bool:
    """Whether the cutter's centre stays out of all angles that are kept clear, from one end of its arc to the other."""
    blocked = [(middle, float(wide)) for middle, wide in blocked_angles(metal, radius, cutter_mm)]
    return all(not wide or apart_deg(at_deg, middle) >= half_deg + wide for middle, wide in blocked)


def mass_radius(metal: Metal, radii: Floats) -> float | None:
    """A radius for a bolt on the light side: the middle of those where an 8 mm hole keeps its walls, or None."""
    at = seats(metal, radii, radii * 0 + 8.0)
    found = at.radius[at.fits]
    return float(found[len(found) // 2]) if len(found) else None


def added_mass(metal: Metal, amount: float, at_deg: float, radii: Floats) -> str | None:
    """A bolt on the light side, in words; None where no hole for it keeps its walls."""
    radius = mass_radius(metal, radii)
    if radius is None:
        return None
    return (
        f"a bolt on the light side, {angle((at_deg + 180) % 360, 1)} at radius {length(radius)}, that weighs "
        f"{mass(amount / radius)} more than the metal drilled out for it, locked so that it cannot come loose"
    )
