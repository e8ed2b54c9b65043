"""The other way round: the smallest diameter at which each pattern still works with this sensor and cutter."""

from __future__ import annotations

import numpy as np

from wheelcad.parts.options.ground import Ground
from wheelcad.parts.options.shape import slot_chord, tooth_chord
from wheelcad.trade.loop import Floats
from wheelcad.trade.sensing import surface_speed_m_s

LEAST_ROOT = 1.0  # mm of tooth at the slot floors, below which a tooth is a fin (our judgement)
LARGEST = 5000.0  # mm of radius, beyond which no wheel is looked for
HALVINGS = 48  # of the bracket: 5 m to far below a micrometre


def least_slot(ground: Ground) -> float:
    """The slot that the smallest wheel has: the cutter's width, or what the sensor wants if that is more.

    Radial sides narrow towards the floor, so there it is the job's own slot that the cutter must go down.
    """
    if ground.slot.radial or ground.cutter_mm is None:
        return max(ground.slot.width, ground.wants.slot)
    return max(ground.cutter_mm, ground.wants.slot)


def works(ground: Ground, teeth: Floats, rim: Floats) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Whether tooth and slot are wide enough at the rim radius `rim`: for the sensor, the cutter, and at the floors."""
    width, radial, wants = least_slot(ground), ground.slot.radial, ground.wants
    floor = rim - ground.slot.depth
    seen = rim - wants.inset
    positive = np.maximum(floor, 1e-9)
    good = (floor > width / 2) & (rim > width / 2)
    good &= tooth_chord(teeth, width, rim, np.maximum(seen, 1e-9), radial) >= wants.tooth
    good &= slot_chord(width, rim, np.maximum(seen, 1e-9), radial) >= wants.slot - 1e-9
    good &= tooth_chord(teeth, width, rim, positive, radial) >= LEAST_ROOT
    if ground.cutter_mm is not None and radial:
        good &= 2 * positive * np.tan(np.arcsin(np.minimum(width / 2 / rim, 1.0))) >= ground.cutter_mm
    return good & (surface_speed_m_s(1.0, ground.wants.cranking_rpm) * 2 * rim >= wants.speed_m_s)


def least_diameter(ground: Ground, teeth: Floats) -> Floats:
    """Smallest diameter (mm) for each count of positions; infinite where none works. Missing teeth do not matter.

    Found by halving, since every rule holds better the larger the wheel.
    """
    low, high = np.full(len(teeth), 1e-3), np.full(len(teeth), LARGEST)
    ever = works(ground, teeth, high)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        good = works(ground, teeth, middle)
        low, high = np.where(good, low, middle), np.where(good, middle, high)
    return np.where(ever, 2 * high, np.inf)
