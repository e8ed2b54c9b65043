"""The three styles of gauge as walls: the wheel's own outline, pencil windows, a comb of fingers. Wheel frame, mm.

Every style gives the outline at the ring's face first, and how far in from the axis the front is free of cuts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from wheelcad.parts.gauge.seat import Seat
from wheelcad.parts.gauge.shape import (
    WINDOW_LAND,
    WINDOW_RIM,
    WINDOW_STEP,
    can_grow,
    grown_slot,
    wheel_like,
    window,
    window_lean,
    window_reach,
)
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop, arc_bulge
from wheelcad.trade.wall import Wall

COMB_RIM = 2.0  # mm of carrier beyond the wheel's rim
SHORT_OF_BACK = 0.3  # mm a finger ends in front of the ring's back, where a shoulder or packing may be
FINGER_LONGEST = 8.0  # mm: enough to feel a slot's sides, short enough not to snap off
TONGUE_BEYOND = 3.0  # mm the no-go tongue is longer than the slots are deep


@dataclass(frozen=True)
class Style:
    """walls: of the outline and what is cut into it; slot: the slot (or finger) whose edges are the marks;
    clear_radius: inside of it nothing is cut into the front; reach: outermost radius of the ring part; finger_mm: how
    far fingers stand below the ring's face, 0 without."""

    walls: tuple[Wall, ...]
    slot: SlotShape
    clear_radius: float
    reach: float
    finger_mm: float = 0.0


def footed(loop: Loop, eased: Loop, z0: float, z1: float, foot: float) -> list[Wall]:
    """An upright edge whose last `foot` mm, printed first, are set back against the squashed first layers."""
    if foot <= 0:
        return [Wall(loop, z0, z1)]
    return [Wall(loop, z0, z1 - foot), Wall(eased, z1 - foot, z1)]


def outline_style(wheel: WheelDesign, growth: float, seat: Seat, z_front: float, foot: float) -> Style:
    """The wheel's own outline from the ring's face to the front."""
    if not can_grow(wheel.slot, growth - foot, wheel.pitch_deg):
        foot = 0.0
    slot = grown_slot(wheel.slot, growth) if growth else wheel.slot
    walls = footed(wheel_like(wheel, growth), wheel_like(wheel, growth - foot), seat.z_ring, z_front, foot)
    return Style(tuple(walls), slot, slot.floor_radius, slot.rim_radius)


def windows_style(wheel: WheelDesign, growth: float, seat: Seat, z_front: float, foot: float) -> Style:
    """A disc with a pencil window at every slot, its sides leaning back from the edge a pencil runs along."""
    slot = grown_slot(wheel.slot, growth) if growth else wheel.slot
    lean = max(window_lean(slot, wheel.pitch_deg, z_front - seat.z_ring), 0.0)
    radius = window_reach(slot, lean) + WINDOW_RIM
    walls = footed(Loop.circle(0, 0, radius), Loop.circle(0, 0, radius - foot), seat.z_ring, z_front, foot)
    for at_deg in wheel.slot_centres_deg.tolist():
        w = window(slot, at_deg, wheel.sense, lean)
        knee = seat.z_ring + WINDOW_LAND
        if lean > 0:
            walls += [Wall(w.land, seat.z_ring, knee), Wall(w.lean, knee, z_front, w.front)]
        else:
            walls.append(Wall(w.land, seat.z_ring, z_front))
    return Style(tuple(walls), slot, slot.floor_radius - (lean + WINDOW_STEP if lean > 0 else 0.0), radius)


def comb_style(wheel: WheelDesign, clearance: float, seat: Seat, z_front: float, foot: float) -> Style:
    """A disc with fingers that drop into the cut slots, `clearance` mm narrower than they are.

    A no-go tongue as much wider stands beyond its rim at the gap.
    """
    slot = grown_slot(wheel.slot, clearance / 2)
    radius = wheel.radius_mm + COMB_RIM
    tongue = wheel.slot.width + clearance, wheel.slot.depth + TONGUE_BEYOND
    page = wheel.sense * wheel.gap_at_deg
    walls = footed(
        _carrier(radius, tongue, page, 0.0), _carrier(radius, tongue, page, foot), seat.z_ring, z_front, foot
    )
    length = min(wheel.thickness_mm - SHORT_OF_BACK, FINGER_LONGEST)
    finger = finger_outline(slot, wheel.radius_mm - 0.3)
    for at_deg in wheel.slot_centres_deg.tolist():
        walls.append(Wall(_set_on(finger, at_deg, wheel.sense), seat.z_ring - length, seat.z_ring))
    return Style(tuple(walls), slot, wheel.radius_mm, radius, length)


def finger_outline(slot: SlotShape, reach: float) -> list[tuple[float, float, float]]:
    """A finger that fills the slot as far out as `reach` mm, as s, h and bulge in the slot's own coordinates."""
    rows = slot.flank()
    lean = math.tan(math.radians(slot.rim_half_deg)) if slot.radial else 0.0
    out = reach * lean if slot.radial else slot.width / 2
    first, last = rows[0], rows[-1]
    return [(-out, reach, first[2]), *rows[1:-1], (out, reach, 0.0 * last[2])]


def _carrier(radius: float, tongue: tuple[float, float], page_deg: float, inset: float) -> Loop:
    """A disc with a tongue of (width, length) beyond its rim at page_deg (clockwise from +Y), all set back by inset."""
    r, half, tip = radius - inset, tongue[0] / 2 - inset, radius + tongue[1] - inset
    h = math.sqrt(r * r - half * half)
    sweep = 2 * math.pi - 2 * math.asin(half / r)
    loop = Loop([(-half, h, arc_bulge(sweep)), (half, h, 0.0), (half, tip, 0.0), (-half, tip, 0.0)])
    return loop.rotated(-page_deg).oriented()


def _set_on(rows: list[tuple[float, float, float]], at_deg: float, sense: int) -> Loop:
    """Slot coordinates (s towards rising angle, h outwards, bulge) as a loop on the wheel."""
    s, h, bulge = np.array(rows).T
    radial = point_at(1.0, at_deg, 1)
    x, y = s * radial[1] + h * radial[0], -s * radial[0] + h * radial[1]
    loop = Loop(np.column_stack([x, y, bulge]))
    return (loop if sense > 0 else loop.mirrored_x()).oriented()
