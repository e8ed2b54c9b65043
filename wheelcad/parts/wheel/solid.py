"""The wheel as a solid: its outline extruded once, and in turned-down form fused to the pulley around it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cadquery as cq
import numpy as np

from wheelcad.files.brep import cut, drill, fused, prism, revolved
from wheelcad.parts.balance.holes import CorrectionHole
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.blank.profile import half_section
from wheelcad.parts.blank.solid import CLEAR, holed
from wheelcad.parts.stack import Land
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.loop import Loop


def wheel_solid(wheel: WheelDesign, blank: BlankDesign | None, holes: Sequence[CorrectionHole] = ()) -> cq.Solid:
    """The finished wheel in the wheel frame, with its correction holes (none by default).

    blank: the turned piece it is cut from, None in plate form.
    """
    half = wheel.thickness_mm / 2
    if blank is None:
        body = prism(wheel.outline, [opening.loop for opening in wheel.openings], -half, half)
    else:
        body = _in_pulley(wheel, blank, half)
    return cut(body, [_drilled(hole, wheel.sense) for hole in holes], "the wheel")


def _in_pulley(wheel: WheelDesign, blank: BlankDesign, half: float) -> cq.Solid:
    """Hub (the pulley with the ring left away) and ring, fused; holes last, since they may run through both."""
    inside = _inmost(blank)
    beside = [land.radius for land in blank.lands if land.name != "ring" and _touches(land, half)]
    hub_radius = min(beside, default=(inside + wheel.floor_radius_mm) / 2)
    lands = [replace(land, radius=hub_radius) if land.name == "ring" else land for land in blank.lands]
    hub = revolved(half_section(lands, blank.bore_radius_mm, blank.recess))
    ring = prism(wheel.outline, [Loop.circle(0, 0, (inside + hub_radius) / 2)], -half, half)
    return holed(fused([hub, ring], "the wheel"), blank)


def _touches(land: Land, half: float) -> bool:
    return min(abs(land.z_back - half), abs(land.z_front + half)) < 1e-6


def _inmost(blank: BlankDesign) -> float:
    """The radius (mm) that bore, keyway, recess and bolt holes stay inside of."""
    reach = [blank.bore_radius_mm, blank.recess[0] if blank.recess is not None else 0.0]
    for opening in (blank.bore, *blank.bolts):
        if opening is not None:
            reach.append(float(np.hypot(*opening.loop.flatten(0.01).T).max()))
    return max(reach)


def _drilled(hole: CorrectionHole, sense: int) -> cq.Solid:
    x, y = hole.centre(sense)
    point = None if hole.through else hole.point_deg
    if hole.from_back:  # drilled in a mirrored piece, whose front is the back
        top, bottom = -hole.z_bottom + CLEAR, -hole.z_top - (CLEAR if hole.through else 0.0)
        return drill(x, y, top, bottom, hole.diameter_mm, point).mirror("XY")
    top, bottom = hole.z_top + CLEAR, hole.z_bottom - (CLEAR if hole.through else 0.0)
    return drill(x, y, top, bottom, hole.diameter_mm, point)
