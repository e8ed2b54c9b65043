"""The wheel as a solid: a plate or a turned blank, drilled, whose rim is then given the outline of the teeth.

Nothing is cut slot by slot: the time grows with the teeth and no faster.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cadquery as cq
import numpy as np

from wheelcad.files.brep import cut, drill, fused, prism, revolved
from wheelcad.files.rim import with_rim
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.blank.solid import CLEAR, blank_solid, holed
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.profile import half_section
from wheelcad.parts.common.stack import Land
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.marks import NOTCH_DEEP, WheelMark, half_width
from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop

APART = 1e-3  # mm that shoulders and holes must stay inside the slot floors for the rim to be exchanged


def wheel_solid(
    wheel: WheelDesign,
    blank: BlankDesign | None,
    holes: Sequence[CorrectionHole] = (),
    turned: cq.Solid | None = None,
) -> cq.Solid:
    """The finished wheel in the wheel frame, with its correction holes (none by default).

    blank: the turned piece it is cut from, None in plate form; turned: that piece's solid, by who has it already.
    """
    half = wheel.thickness_mm / 2
    drills = [_drilled(hole, wheel.sense) for hole in holes]
    drills += [_notched(mark, wheel) for mark in wheel.marks if mark.kind == "notch"]
    inside = wheel.floor_radius_mm - APART
    if blank is None and not drills:
        return prism(wheel.outline, [opening.loop for opening in wheel.openings], -half, half)
    if any(hole.radius_mm + hole.diameter_mm / 2 > inside for hole in holes):
        bare = replace(wheel, marks=())
        return cut(wheel_solid(bare, blank, turned=turned), drills, "the wheel")
    if blank is None:
        disc = prism(Loop.circle(0, 0, wheel.radius_mm), [opening.loop for opening in wheel.openings], -half, half)
        return with_rim(cut(disc, drills, "the wheel"), wheel.radius_mm, -half, half, wheel.outline)
    if all(land.radius < inside for land in _beside(blank, half)):
        body = blank_solid(blank) if turned is None else turned
        return with_rim(cut(body, drills, "the wheel"), wheel.radius_mm, -half, half, wheel.outline)
    return cut(_fused_to_pulley(wheel, blank, half), drills, "the wheel")


def _beside(blank: BlankDesign, half: float) -> list[Land]:
    """The lands next to the ring."""
    return [
        land
        for land in blank.lands
        if land.name != "ring" and min(abs(land.z_back - half), abs(land.z_front + half)) < 1e-6
    ]


def _fused_to_pulley(wheel: WheelDesign, blank: BlankDesign, half: float) -> cq.Solid:
    """For a shoulder that touches the slot floors: hub (the pulley with a small ring) and toothed ring, fused."""
    inner = _inmost(blank)
    hub_radius = min(land.radius for land in _beside(blank, half))
    if hub_radius <= inner:
        hub_radius = (inner + wheel.floor_radius_mm) / 2
    lands = [replace(land, radius=hub_radius) if land.name == "ring" else land for land in blank.lands]
    hub = revolved(half_section(lands, blank.bore_radius_mm, blank.recess))
    ring = prism(wheel.outline, [Loop.circle(0, 0, (inner + hub_radius) / 2)], -half, half)
    return holed(fused([hub, ring], "the wheel"), blank)


def _inmost(blank: BlankDesign) -> float:
    """The radius (mm) that bore, keyway, recess and bolt holes stay inside of."""
    reach = [blank.bore_radius_mm, blank.recess[0] if blank.recess is not None else 0.0]
    for opening in (blank.bore, *blank.bolts):
        if opening is not None:
            reach.append(float(np.hypot(*opening.loop.flatten(0.01).T).max()))
    return max(reach)


def _notched(mark: WheelMark, wheel: WheelDesign) -> cq.Solid:
    """The metal of a notch: a V along the radius, open at the front face, with upright ends."""
    z, over = wheel.thickness_mm / 2, 0.5
    top = half_width(NOTCH_DEEP + over)
    section = Loop.polygon([(0.0, -NOTCH_DEEP), (top, over), (-top, over)]).oriented()
    bar = prism(section, [], mark.inner, mark.outer)  # x across, y up from the face, z along the radius
    x, y = point_at(1.0, mark.at_deg, wheel.sense).tolist()
    across = cq.Vector(-y, x, 0)  # the radius × across = the front face's normal
    return bar.moved(cq.Location(cq.Plane(cq.Vector(0, 0, z), across, cq.Vector(x, y, 0))))


def _drilled(hole: CorrectionHole, sense: int) -> cq.Solid:
    x, y = hole.centre(sense)
    start, end, outwards = hole.z_top, hole.z_bottom, CLEAR
    if hole.from_back:
        start, end, outwards = end, start, -CLEAR
    if hole.through:
        return drill(x, y, start + outwards, end - outwards, hole.diameter_mm, None)
    return drill(x, y, start + outwards, end, hole.diameter_mm, hole.point_deg)
