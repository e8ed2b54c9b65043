"""Gussets: stiffening plates welded upright into the corner of the first bend, at the edges, beside the sensor.

A gusset's own frame: x along the arm away from the bend, y up along what the bend raised, both from the sharp inner
corner; w through it. Its corner is cut off to clear the bend's inside radius and the weld. Lengths in mm.
"""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry import Polygon, box

from wheelcad.parts.bracket.layout import TAB_CORNER, Layout, vector
from wheelcad.parts.bracket.model import Bend, Frame, Gusset, Region
from wheelcad.parts.sensor.design import SensorBody
from wheelcad.trade.loop import Loop

SHORTEST_LEG = 12.0  # mm; a shorter gusset is not worth its weld
LONGEST_LEG = 45.0  # mm
NOSE = 4.0  # mm: blunt ends, since sharp ones burn away in the weld
RELIEF = 1.5  # mm beyond the inside radius for the corner's cut-off
LEAST_ANGLE = 45.0  # degrees: a gentler bend has no corner for one
BELOW_END = 2.0  # mm that a gusset ends below the straight edge it stands at
FLANGE_ROOM = 1.0  # mm between gusset and the sensor's flange
LEG_STEP = 4.0  # mm between the legs that are tried
WASHER = 1.1  # of a mount hole's diameter: radius that bolt head, washer and spanner take
NESTED_APART = 10.0  # mm between pieces on the sheet


def corner_back(bend: Bend) -> float:
    """From the bend's metal back to the sharp inner corner of the two faces, mm: r·tan(angle / 2)."""
    return bend.inside_radius * math.tan(math.radians(bend.angle_deg) / 2)


def gusset_loop(leg_arm: float, leg_up: float, inside_radius: float, angle_deg: float) -> Loop:
    """A plate that fills the corner of a bend, its inner corner cut off alike on both legs, with blunt ends.

    legs: from the sharp inner corner along the arm (x) and up what the bend raised by `angle_deg` out of flat.
    """
    a = math.radians(angle_deg)
    up = np.array([-math.cos(a), math.sin(a)])
    inward = np.array([math.sin(a), math.cos(a)])
    cut = inside_radius * math.tan(a / 2) + RELIEF
    foot = np.array([(cut, 0.0), (leg_arm, 0.0), (leg_arm, NOSE)])
    corners = np.vstack([foot, leg_up * up + NOSE * inward, leg_up * up, cut * up])
    return Loop.polygon((np.round(corners, 9) + 0.0).tolist())


def leg_choices(layout: Layout, body: SensorBody, thickness: float) -> list[tuple[float, float]]:
    """Legs along the arm and up, mm, from the sharp inner corner, largest first; empty where none is worth welding.

    What the bend raised bounds the height; the sensor's flange or nut bounds the width.
    """
    bend = layout.bends[0]
    # only an L's gussets stand beside the sensor; a Z's stand between arm and riser
    if len(layout.bends) == 1 and layout.half - thickness < body.flange_radius + FLANGE_ROOM:
        return []
    # the tab's corners are rounded, a riser's are not
    upright = bend.x_tab - (layout.bends[1].x_arm if len(layout.bends) > 1 else TAB_CORNER)
    back = corner_back(bend)
    least = back + RELIEF + SHORTEST_LEG
    up = min(LONGEST_LEG, back + upright - BELOW_END)
    if up < least:
        return []
    steps = max(1, math.ceil((up - least) / LEG_STEP))
    return [(up - (up - least) * k / steps, up) for k in range(steps + 1)]


def stands_on(arm: Region, layout: Layout, leg: tuple[float, float], thickness: float) -> bool:
    """Whether a gusset of these legs at each edge has plate under it, and washers of the mounts stay clear of it."""
    bend = layout.bends[0]
    plate = Polygon(arm.loop.flatten(0.01)).buffer(0.02)
    x0, x1 = bend.x_arm, bend.x_arm - corner_back(bend) + leg[0]
    for low in (-layout.half, layout.half - thickness):
        foot = box(x0, low, x1, low + thickness)
        if not plate.contains(foot):
            return False
        for hole in layout.mounts:
            if foot.distance(hole.axis) < WASHER * hole.diameter:
                return False
    return True


def place_gussets(
    layout: Layout, bend: Bend, leg: tuple[float, float], thickness: float, nested_from: tuple[float, float]
) -> tuple[Gusset, ...]:
    """A gusset at each edge of the plate. nested_from: x, y on the sheet of the first one's corner."""
    loop = gusset_loop(leg[0], leg[1], bend.inside_radius, bend.angle_deg)
    frame, t = layout.arm_frame, thickness
    e = frame.axes
    corner_x = bend.x_arm - corner_back(bend)
    left, _, right, _ = loop.bounds()
    out = []
    x, y = nested_from
    for number, low in enumerate((-layout.half, layout.half - t)):
        # w runs along -ey so that x, y, w are right-handed: its plate fills from low + t down to low
        origin = frame.points((corner_x, low + t, t))
        own = Frame(vector(origin), vector(e[0]), vector(e[2]), vector(-e[1]))
        nested = loop.moved(x - left + number * (right - left + NESTED_APART), y)
        out.append(Gusset(loop, own, nested, thickness))
    return tuple(out)
