"""One slot enlarged, standing upright with its two half teeth, broken off below."""

from __future__ import annotations

import math

from wheelcad.drawing.model import Arc, BreakEdge, CentreLine, Entity, Linear, Path, Radius, View
from wheelcad.drawing.paper import standard_scale
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.layers import DOUBLE_CHAIN
from wheelcad.trade.loop import arc_bulge
from wheelcad.trade.nearness import EXACT_MM

WIDE_MM = 65.0  # of paper that the detail may take across
LARGEST = 5.0  # no detail larger than 5:1


def detail_view(wheel: WheelDesign) -> View:
    """The slot's view; y = 0 is the rim, x = 0 the slot's centre line."""
    slot, radius = wheel.slot, wheel.radius_mm
    half_pitch = math.radians(wheel.pitch_deg / 2)
    half_rim = math.radians(slot.rim_half_deg)
    flank = [(s, h - radius, b) for s, h, b in slot.flank()]
    reach = min(half_pitch, half_rim + slot.width / radius)
    end = radius * math.sin(reach), radius * math.cos(reach) - radius
    rim = -arc_bulge(reach - half_rim)
    last_s, last_h, _ = flank[-1]
    below = -slot.depth * 1.45
    left, right = (-end[0] * 0.96, below), (end[0] * 0.96, below)
    rows = [(-end[0], end[1], rim), *flank[:-1], (last_s, last_h, rim), (end[0], end[1], 0.0)]
    entities: list[Entity] = [
        Path(tuple(rows)),
        BreakEdge((-end[0], end[1]), left),
        BreakEdge(right, (end[0], end[1])),
        BreakEdge(left, right),
        CentreLine((0.0, below), (0.0, 0.0)),
        Arc(
            0.0,
            -radius,
            radius,
            90 - math.degrees(half_rim),
            90 + math.degrees(half_rim),
            "HIDDEN",
            DOUBLE_CHAIN,
        ),
        Linear((-slot.width / 2, flank[0][1]), (slot.width / 2, flank[-1][1]), "above"),
        Linear((0.0, -slot.depth), (0.0, 0.0), "right"),
    ]
    entities += _floor(wheel)
    scale = standard_scale(min(LARGEST, WIDE_MM / (2 * end[0])))
    return View("detail", tuple(entities), caption="Z", scale=scale, cell=(2, 0))


def _floor(wheel: WheelDesign) -> list[Entity]:
    """The floor's rounding, where it has one."""
    slot = wheel.slot
    if slot.round_floor:
        return [Radius(0.0, slot.width / 2 - slot.depth, slot.width / 2, 225.0, reference=True)]
    if slot.corner_radius <= EXACT_MM:
        return []
    s, h = slot.side_bottom
    lean = math.radians(slot.rim_half_deg) if slot.radial else 0.0
    # the fillet's centre lies square to the side, inwards
    x, y = -(s - slot.corner_radius * math.cos(lean)), h + slot.corner_radius * math.sin(lean) - wheel.radius_mm
    return [Radius(x, y, slot.corner_radius, 225.0, count=2)]
