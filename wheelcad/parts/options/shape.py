"""Teeth, slots and unbalance of many patterns at once. Arrays of one shape; lengths mm, angles radians unless named.

The slot is the same in every pattern; only the pitch and the number of missing teeth differ.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.trade.loop import Floats, Loop, arc_bulge


def slot_half(width: ArrayLike, rim: ArrayLike, radius: ArrayLike, radial: bool) -> Floats:
    """Half a slot's angle at `radius`, for a chord of `width` at the rim (radial sides) or everywhere (parallel)."""
    share = np.asarray(width, dtype=float) / 2 / np.asarray(rim if radial else radius, dtype=float)
    half: Floats = np.arcsin(np.clip(share, 0.0, 1.0))
    return half


def tooth_chord(teeth: ArrayLike, width: ArrayLike, rim: ArrayLike, radius: ArrayLike, radial: bool) -> Floats:
    """A tooth's width at `radius`, along the chord; not above 0 where the slots leave none."""
    half_pitch = np.pi / np.asarray(teeth, dtype=float)
    chord: Floats = 2 * np.asarray(radius) * np.sin(half_pitch - slot_half(width, rim, radius, radial))
    return chord


def slot_chord(width: ArrayLike, rim: ArrayLike, radius: ArrayLike, radial: bool) -> Floats:
    """A slot's width at `radius`, along the chord."""
    chord: Floats = 2 * np.asarray(radius) * np.sin(slot_half(width, rim, radius, radial))
    return chord


def slot_moments(slot: SlotShape) -> tuple[float, float]:
    """First moments (mm³) of a slot's area: of all of it outwards from the axis, and of one half of it sideways."""
    half = np.radians(slot.rim_half_deg)
    whole = slot.flank()
    whole[-1] = (*whole[-1][:2], arc_bulge(2 * half))
    right = slot.right_half()
    right[-1] = (*right[-1][:2], arc_bulge(half))
    right.append((0.0, slot.rim_radius, 0.0))
    return Loop(whole).moments()[2], Loop(right).moments()[1]


def gap_moment(slot: SlotShape, teeth: Floats, missing: Floats) -> Floats:
    """First moment (mm³) of what a gap takes out beyond the slots that would be there anyway, towards its middle.

    The gap is the sector between the lowest points of its bounding slots, from the floor's deepest radius out, less the
    slots within it: missing - 1 whole ones and the inner halves of the two that bound it. 0 without a gap.
    """
    outwards, sideways = slot_moments(slot)
    pitch = 2 * np.pi / teeth
    half = missing * pitch / 2
    sector = 2 / 3 * (slot.rim_radius**3 - slot.floor_radius**3) * np.sin(half)
    within = np.where(missing > 0, np.sin((missing - 1) * pitch / 2) / np.sin(pitch / 2), 0.0)
    moment = sector - outwards * (within + np.cos(half)) - 2 * sideways * np.sin(half)
    return np.where(missing > 0, moment, 0.0)
