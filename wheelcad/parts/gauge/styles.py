"""The three styles of gauge as walls: the wheel's own outline, pencil windows, a comb of fingers. Wheel frame, mm.

Every style gives the outline at the ring's face first, and how far in from the axis the front is free of cuts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

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
from wheelcad.parts.wheel.outline import SlotShape, wheel_outline
from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop, arc_bulge
from wheelcad.trade.wall import Wall

COMB_RIM = 2.0  # mm of carrier beyond the wheel's rim
SHORT_OF_BACK = 0.3  # mm a finger ends in front of the ring's back, where a shoulder or packing may be
FINGER_LONGEST = 8.0  # mm: enough to feel a slot's sides, short enough not to snap off
FINGER_SHORT = 0.3  # mm a finger stays inside the rim
LEAST_RING = 0.8  # mm of skirt inside the slots' floors, below which it is teeth alone
LEAST_WINDOW = 0.4  # share of the slot's depth, below which a window shows nothing
SKIRT_WALL = 1.0  # mm between the inside of the skirt and windows or fingers
TONGUE_BEYOND = 3.0  # mm the no-go tongue is longer than the slots are deep


@dataclass(frozen=True)
class Style:
    """walls: of the outline and what is cut into it; slot: the slot (or finger) whose edges are the marks;
    clear_radius: inside of it nothing is cut into the front; reach: outermost radius of the ring part; finger_mm: how
    far fingers stand below the ring's face, 0 without; skirt: its outline where it is teeth
    alone and not among the walls."""

    walls: tuple[Wall, ...]
    slot: SlotShape
    clear_radius: float
    reach: float
    finger_mm: float = 0.0
    skirt: Loop | None = None


def footed(loop: Loop, eased: Loop, z0: float, z1: float, foot: float) -> list[Wall]:
    """An upright edge whose last `foot` mm, printed first, are set back against the squashed first layers."""
    if foot <= 0:
        return [Wall(loop, z0, z1)]
    return [Wall(loop, z0, z1 - foot), Wall(eased, z1 - foot, z1)]


def outline_style(wheel: WheelDesign, growth: float, seat: Seat, z_front: float, foot: float) -> Style:
    """The wheel's own outline from the ring's face to the front; the skirt a ring, or teeth alone where the shoulder
    leaves no wall inside the slots' floors."""
    if not can_grow(wheel.slot, growth - foot, wheel.pitch_deg):
        foot = 0.0
    slot = grown_slot(wheel.slot, growth) if growth else wheel.slot
    parted = bool(seat.cavities) and seat.cavities[-1].radius + LEAST_RING > slot.floor_radius
    z_low = seat.z if parted else seat.z_ring
    walls = footed(wheel_like(wheel, growth), wheel_like(wheel, growth - foot), z_low, z_front, foot)
    skirt = _parted_outline(wheel, slot, seat.cavities[-1].radius) if parted else None
    return Style(tuple(walls), slot, slot.floor_radius, slot.rim_radius, skirt=skirt)


def _parted_outline(wheel: WheelDesign, slot: SlotShape, inside: float) -> Loop:
    """The outline with slots so deep that nothing of the skirt is left between its teeth outside of `inside` mm."""
    deeper = replace(slot, depth=slot.rim_radius - min(slot.floor_radius, inside) + 1.0)
    if 2 * deeper.widest_half_deg >= wheel.pitch_deg:
        deeper = slot
    return wheel_outline(deeper, wheel.slot_centres_deg, set(wheel.teeth.gap_after), wheel.sense)


def windows_style(wheel: WheelDesign, growth: float, seat: Seat, z_front: float, foot: float) -> Style | None:
    """A disc with a pencil window at every slot, its sides leaning back from the edge a pencil runs along.

    Windows begin at the slots' floors, or further out where a shoulder inside the skirt comes close; None where that
    leaves too little of them.
    """
    slot = grown_slot(wheel.slot, growth) if growth else wheel.slot
    lean, start = window_lean(slot, wheel.pitch_deg, z_front - seat.z_ring), slot.floor_radius
    if seat.cavities:
        furthest = slot.rim_radius - LEAST_WINDOW * slot.depth
        lean = min(lean, furthest - seat.inside_radius - SKIRT_WALL - WINDOW_STEP)
        lean = lean if lean > 0.1 else 0.0
        start = max(start, seat.inside_radius + SKIRT_WALL + (lean + WINDOW_STEP if lean > 0 else 0.0))
        if start > furthest + 1e-9:
            return None
    back = lean + WINDOW_STEP if lean > 0 else 0.0
    radius = window_reach(slot, lean) + WINDOW_RIM
    walls = footed(Loop.circle(0, 0, radius), Loop.circle(0, 0, radius - foot), seat.z_ring, z_front, foot)
    for at_deg in wheel.slot_centres_deg.tolist():
        w = window(slot, at_deg, wheel.sense, lean, start)
        knee = seat.z_ring + WINDOW_LAND
        if lean > 0:
            walls += [Wall(w.land, seat.z_ring, knee), Wall(w.lean, knee, z_front, w.front)]
        else:
            walls.append(Wall(w.land, seat.z_ring, z_front))
    return Style(tuple(walls), slot, start - back, radius)


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
    start = seat.inside_radius + SKIRT_WALL if seat.cavities else 0.0
    finger = finger_outline(slot, start, wheel.radius_mm - FINGER_SHORT)
    for at_deg in wheel.slot_centres_deg.tolist():
        walls.append(Wall(_set_on(finger, at_deg, wheel.sense), seat.z_ring - length, seat.z_ring))
    return Style(tuple(walls), slot, wheel.radius_mm, radius, length)


def finger_outline(slot: SlotShape, start: float, reach: float) -> list[tuple[float, float, float]]:
    """A finger that fills the slot from its floor, or from `start` mm where that is further out, as far out as `reach`,
    as s, h and bulge in the slot's own coordinates."""
    lean = math.tan(math.radians(slot.rim_half_deg))

    def half(h: float) -> float:
        return h * lean if slot.radial else slot.width / 2

    rows = slot.flank()
    if start > min(h for _, h, _ in rows) - (slot.width / 2 if slot.round_floor else 0.0):
        return [
            (-half(reach), reach, 0.0),
            (-half(start), start, 0.0),
            (half(start), start, 0.0),
            (half(reach), reach, 0.0),
        ]
    return [(-half(reach), reach, rows[0][2]), *rows[1:-1], (half(reach), reach, 0.0)]


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
