"""How this cutter makes this slot and clears this gap.

Two ways to hold the work. Flat: the wheel lies face up under the spindle, the cutter stands along the crank axis
and is fed towards it, so that it leaves its own round nose in the floor. Upright: the table stands on edge and the
cutter's end points at the axis, which leaves a flat floor square to the slot's centre line.

Worked in the slot's own coordinates as the outline is: s across the slot in the direction of rising angle, h outwards
from the axis, mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from wheelcad.parts.wheel.outline import SlotShape, narrowest_mm
from wheelcad.trade.nearness import SAME_MM

RIDGE_MM = 0.1  # what may stay between two passes; no sensor sees it, and a last sweep takes it off
OVERLAP = 0.9  # share of the cutter's width that one pass may move on from the last; common practice, no source


class SlotPass(NamedTuple):
    """One pass at every slot. offset_mm: the cutter's centre across the slot, positive towards rising angle.

    turn_deg: the table turned on from the slot's own setting. depth_mm: from the rim to the cutter's end or nose, along
    the cutter's path. side: which side of the slot it finishes.
    """

    offset_mm: float
    turn_deg: float
    depth_mm: float
    side: str


def step_mm(r: float) -> float:
    """How far a round nose of radius `r` moves on to leave a ridge of RIDGE_MM on a straight side, mm."""
    return 2 * math.sqrt(r**2 - (r - min(RIDGE_MM, r)) ** 2)


def lies_flat(slot: SlotShape, radius: float) -> bool:
    """True when a cutter of this radius (mm) along the crank axis leaves the floor that is drawn."""
    return slot.round_floor or slot.corner_radius >= radius - SAME_MM


def slot_passes(slot: SlotShape, diameter: float) -> tuple[SlotPass, ...]:
    """The passes that make one slot with a cutter of `diameter` mm, from the middle outwards; one when it just fits.

    ValueError when the cutter is wider than the slot.
    """
    r = diameter / 2
    if diameter > narrowest_mm(slot) + SAME_MM:
        raise ValueError("the cutter is wider than the slot")
    spots = _nose_spots(slot, r) if lies_flat(slot, r) else _end_spots(slot, r)
    spots.sort(key=lambda spot: (abs(spot[0]), spot[0]))
    widest = spots[-1][0] if len(spots) > 1 else math.inf
    passes = []
    for s, h in spots:
        at_side = abs(abs(s) - widest) < SAME_MM and not slot.radial
        side = ("higher" if s > 0 else "lower") if at_side else "middle"
        passes.append(SlotPass(s, 0.0, slot.rim_radius - h, side))
    return (*passes, *_radial_sides(slot, r))


def _nose_spots(slot: SlotShape, r: float) -> list[tuple[float, float]]:
    """Offsets s and nose heights h where a round nose just touches the floor, near enough for RIDGE_MM."""
    floor, corner = slot.floor_radius, slot.width / 2 if slot.round_floor else slot.corner_radius
    lean = math.radians(slot.rim_half_deg) if slot.radial else 0.0
    s_bottom, h_bottom = slot.side_bottom
    s_corner, h_corner = s_bottom - corner * math.cos(lean), h_bottom + corner * math.sin(lean)
    spare = corner - r
    if s_corner < SAME_MM and spare < SAME_MM:
        return [(0.0, floor)]
    spots = [(s, floor) for s in spread(-max(s_corner, 0.0), max(s_corner, 0.0), step_mm(r))]
    if spare > SAME_MM:
        angle = math.pi / 2 - lean
        widest = math.sqrt(8 * RIDGE_MM * r / (spare * corner))  # ridge = spare·corner/r · turn²/8 in a hollow corner
        count = math.ceil(angle / widest)
        for k in range(1, count + 1):
            a = angle * k / count
            s, h = max(s_corner, 0.0) + spare * math.sin(a), h_corner - spare * math.cos(a) - r
            spots += [(s, h), (-s, h)]
    return spots


def _end_spots(slot: SlotShape, r: float) -> list[tuple[float, float]]:
    """Offsets s for a flat-ended cutter, all at the floor."""
    reach = max(narrowest_mm(slot) / 2 - r, 0.0)
    if slot.radial and reach <= 2 * r * OVERLAP:  # one down the middle meets the two at the sides
        return [(0.0, slot.floor_radius)]
    return [(s, slot.floor_radius) for s in spread(-reach, reach, 2 * r * OVERLAP)]


def _radial_sides(slot: SlotShape, r: float) -> tuple[SlotPass, ...]:
    """The two passes that finish sides pointing at the axis: the cutter's flank, not its centre, runs along them."""
    if not slot.radial:
        return ()
    half = math.radians(slot.rim_half_deg)
    if lies_flat(slot, r):
        along = (slot.floor_radius + slot.corner_radius * (1 - math.sin(half))) / math.cos(half) - r
    else:
        along = slot.floor_radius / math.cos(half)  # the outer corner of the end just meets the floor
    depth = slot.rim_radius - along
    turn = slot.rim_half_deg
    return SlotPass(-r, turn, depth, "higher"), SlotPass(r, -turn, depth, "lower")


def spread(low: float, high: float, step: float) -> list[float]:
    """Evenly spaced values from low to high, both included, no further apart than `step`; one when they are equal."""
    if high - low < SAME_MM:
        return [(low + high) / 2]
    count = max(1, math.ceil((high - low) / step - 1e-9))
    return [low + (high - low) * k / count for k in range(count + 1)]


def ridge_mm(slot: SlotShape, diameter: float, step_deg: float) -> float:
    """Height above the gap's floor midway between passes `step_deg` apart, mm; infinite when metal is left outside.

    Round nose on a circle about the axis, or flat end tangent to it with the corner that the slot's floor has.
    """
    half, r, floor = math.radians(step_deg) / 2, diameter / 2, slot.floor_radius
    if slot.rim_radius * math.sin(half) > r:
        return math.inf
    if lies_flat(slot, r):
        centre = floor + r
        return centre * math.cos(half) - math.sqrt(r**2 - (centre * math.sin(half)) ** 2) - floor
    corner = min(slot.corner_radius, r)
    if floor * math.tan(half) <= r - corner:
        return floor / math.cos(half) - floor
    # the corners' roundings meet: a circle of that radius about (r - corner, floor + corner)
    s, h = r - corner, floor + corner
    across = s * math.cos(half) - h * math.sin(half)
    along = s * math.sin(half) + h * math.cos(half)
    return math.inf if abs(across) > corner else along - math.sqrt(corner**2 - across**2) - floor


def widest_step_deg(slot: SlotShape, diameter: float) -> float:
    """The largest angle between gap passes that leaves no more than RIDGE_MM, degrees."""
    low, high = 0.0, 180.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if ridge_mm(slot, diameter, middle) <= RIDGE_MM else (low, middle)
    return low


def gap_angles(start: Fraction, end: Fraction, widest: float, grids: Sequence[Fraction]) -> tuple[Fraction, ...]:
    """Angles strictly between two slots (degrees, end > start) no further apart than `widest` degrees.

    On the first grid (a plate's holes, the dial's marks) fine enough to keep to that; evenly spread when none is.
    """
    for grid in grids:
        chosen = _on_grid(start, end, widest, grid)
        if chosen is not None:
            return chosen
    count = math.ceil(float(end - start) / widest - 1e-9)
    return tuple(start + (end - start) * k / count for k in range(1, count))


def _on_grid(start: Fraction, end: Fraction, widest: float, grid: Fraction) -> tuple[Fraction, ...] | None:
    count = max(1, math.ceil(float(end - start) / widest - 1e-9))
    for parts in range(count, 2 * count + 2):
        marks = {round((start + (end - start) * k / parts) / grid) * grid for k in range(1, parts)}
        inner = sorted(mark for mark in marks if start < mark < end)
        if all(float(b - a) <= widest for a, b in pairwise([start, *inner, end])):
            return tuple(inner)
    return None
