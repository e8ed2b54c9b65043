"""The same cuts without a rotary table: X, Y from the wheel's centre, TDC line away from you along +Y.

The wheel lies face up. Every slot is plunged, its deepest point first and then outwards in steps small enough that the
cusps left at its sides are no higher than RIDGE_MM.
"""

from __future__ import annotations

import math
from dataclasses import replace

from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.parts.wheel.passes import SlotPass, lies_flat, slot_passes, step_mm
from wheelcad.trade.frames import point_at

Points = tuple[tuple[float, float], ...]


def passes_lying_flat(slot: SlotShape, diameter: float) -> tuple[SlotPass, ...]:
    """The slot's passes when the wheel has to lie flat: floor corners then come out with the cutter's radius."""
    if not lies_flat(slot, diameter / 2):
        slot = replace(slot, corner_radius=diameter / 2)
    return slot_passes(slot, diameter)


def slot_points(slot: SlotShape, diameter: float, centre_deg: float, sense: int) -> Points:
    """Cutter centres (x, y), mm, wheel frame, for one slot at `centre_deg` from the TDC line."""
    return tuple(
        point
        for one in passes_lying_flat(slot, diameter)
        for point in _outwards(slot, diameter / 2, centre_deg + one.turn_deg, one.offset_mm, one.depth_mm, sense)
    )


def gap_points(slot: SlotShape, diameter: float, at_deg: float, sense: int) -> Points:
    """Cutter centres (x, y), mm, for one pass in the gap at `at_deg` from the TDC line."""
    return _outwards(slot, diameter / 2, at_deg, 0.0, slot.depth, sense)


def _outwards(slot: SlotShape, r: float, at_deg: float, offset: float, depth: float, sense: int) -> Points:
    step = step_mm(r)
    deepest = slot.rim_radius - depth + r
    count = max(0, math.ceil((slot.rim_radius - deepest) / step - 1e-9))
    out_x, out_y = point_at(1.0, at_deg, sense).tolist()
    across_x, across_y = point_at(1.0, at_deg + 90.0, sense).tolist()
    return tuple(
        (h * out_x + offset * across_x, h * out_y + offset * across_y)
        for h in (deepest + step * k for k in range(count + 1))
    )
