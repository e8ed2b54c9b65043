"""Outlines of the gauge: the wheel's own, pencil windows, a sector with its hub. Wheel frame, mm.

`sense` is that of trade.frames. Outlines are exact lines and arcs; a growth is outwards of the metal, mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.outline import SlotShape, wheel_outline
from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop, arc_bulge

WINDOW_LAND = 0.8  # mm of upright side at the ring's face: the edge a pencil runs along
WINDOW_STEP = 0.2  # mm from the land's edge to where the side begins to lean
WINDOW_BEYOND = 1.5  # mm a window reaches past the rim, so that the rim shows in it
WINDOW_RIM = 3.0  # mm of plate left around the windows
WINDOW_LEAN = 3.0  # mm, the most a side leans outwards
WINDOW_RIB = 1.6  # mm left between windows where they are widest
KEY_V = 4.0, 2.5  # mm: width and depth of the V in an opening's edge that shows the keyway


def grown_slot(slot: SlotShape, growth: float) -> SlotShape:
    """The slot of a wheel whose metal grows by `growth` mm on every side (negative: shrinks)."""
    rim = slot.rim_radius + growth
    if slot.radial:
        middle = slot.rim_radius - slot.depth / 2
        half = math.radians(slot.rim_half_deg) - growth / middle
        width = 2 * rim * math.sin(half)
    else:
        width = slot.width - 2 * growth
    corner = max(slot.corner_radius - growth, 0.0) if slot.corner_radius > 0 else 0.0
    return replace(slot, rim_radius=rim, width=width, corner_radius=corner)


def can_grow(slot: SlotShape, growth: float, pitch_deg: float) -> bool:
    """Whether the grown slot still is one: with sides, a floor, and a tooth beside it."""
    grown = grown_slot(slot, growth)
    if grown.width <= 0.2:
        return False
    tooth = 2 * grown.rim_radius * math.sin(math.radians(pitch_deg / 2)) - grown.width
    if grown.floor_half_width - grown.tangent < 1e-6:
        return False
    return tooth > 0.4 and grown.straight > 0.1 and 2 * grown.widest_half_deg < pitch_deg


def wheel_like(wheel: WheelDesign, growth: float) -> Loop:
    """The wheel's outline, grown."""
    if growth == 0:
        return wheel.outline
    slot = grown_slot(wheel.slot, growth)
    return wheel_outline(slot, wheel.slot_centres_deg, set(wheel.teeth.gap_after), wheel.sense)


@dataclass(frozen=True)
class Window:
    """A pencil window: at the ring's face (its sides exactly the slot's), where it begins to lean, and at the front."""

    land: Loop
    lean: Loop
    front: Loop


def window_lean(slot: SlotShape, pitch_deg: float, height: float) -> float:
    """How far a window's sides may lean outwards up to the front, mm: 45 degrees at most, a rib left between; or 0."""
    inner = slot.floor_radius
    chord = 2 * inner * math.sin(math.radians(pitch_deg / 2))
    across = slot.width if not slot.radial else 2 * inner * math.sin(math.radians(slot.rim_half_deg))
    return max(min((chord - across - WINDOW_RIB) / 2 - WINDOW_STEP, height - WINDOW_LAND, WINDOW_LEAN), 0.0)


def window(slot: SlotShape, at_deg: float, sense: int, lean: float, start: float) -> Window:
    """The window at a slot: its sides along the slot's, from `start` mm from the axis to beyond the rim."""
    h0, h1 = start, slot.rim_radius + WINDOW_BEYOND
    if slot.radial:
        tangent = math.tan(math.radians(slot.rim_half_deg))
        s0, s1 = h0 * tangent, h1 * tangent
    else:
        s0 = s1 = slot.width / 2
    flat = np.array([(-s0, h0), (s0, h0), (s1, h1), (-s1, h1)])
    shapes = [_set_at(offset_convex(flat, d), at_deg, sense) for d in (0.0, WINDOW_STEP, WINDOW_STEP + lean)]
    return Window(*shapes)


def window_reach(slot: SlotShape, lean: float) -> float:
    """The radius (mm) that windows stay inside of."""
    h1 = slot.rim_radius + WINDOW_BEYOND + WINDOW_STEP + lean
    half = slot.width / 2 * (h1 / slot.rim_height if slot.radial else 1.0) + WINDOW_STEP + lean
    return math.hypot(h1, half)


def _set_at(points: Floats, at_deg: float, sense: int) -> Loop:
    """Slot coordinates (s across towards rising angle, h outwards) as a loop on the wheel."""
    a = math.radians(at_deg)
    s, h = points[:, 0], points[:, 1]
    x = sense * (s * math.cos(a) + h * math.sin(a))
    y = -s * math.sin(a) + h * math.cos(a)
    return Loop.polygon(np.column_stack([x, y])).oriented()


def offset_convex(points: Floats, distance: float) -> Floats:
    """A convex anticlockwise polygon (n, 2) with every side moved outwards by `distance` mm, corners kept sharp."""
    d = np.roll(points, -1, axis=0) - points
    normal = np.column_stack([d[:, 1], -d[:, 0]]) / np.hypot(d[:, 0], d[:, 1])[:, None]
    level = (normal * points).sum(axis=1) + distance
    out = [
        np.linalg.solve(np.array([normal[i - 1], normal[i]]), np.array([level[i - 1], level[i]]))
        for i in range(len(points))
    ]
    return np.array(out)


def sector(from_deg: float, to_deg: float, hub_radius: float, reach: float, sense: int) -> Loop:
    """What a gauge of part of the circle keeps: a hub, and a wedge out to `reach` mm going with rising angle."""
    sweep = math.radians(to_deg - from_deg)
    ends = point_at([reach, reach, hub_radius, hub_radius], [from_deg, to_deg, to_deg, from_deg], sense).tolist()
    bulges = [-sense * arc_bulge(sweep), 0.0, -sense * arc_bulge(2 * math.pi - sweep), 0.0]
    # a bulge is the tangent of a quarter of the sweep: no sector here reaches a whole turn, so it stays finite
    return Loop([(x, y, b) for (x, y), b in zip(ends, bulges, strict=True)]).oriented()


def keyed_circle(radius: float, page_deg: float | None) -> Loop:
    """A round opening, with a V in its edge pointing outwards at page_deg (clockwise from +Y) unless that is None.
    radius: mm, more than half the V's width."""
    if page_deg is None:
        return Loop.circle(0, 0, radius)
    half = math.asin(KEY_V[0] / 2 / radius)
    x, y = radius * math.sin(half), radius * math.cos(half)
    loop = Loop([(-x, y, arc_bulge(2 * math.pi - 2 * half)), (x, y, 0.0), (0.0, radius + KEY_V[1], 0.0)])
    return loop.rotated(-page_deg).oriented()
