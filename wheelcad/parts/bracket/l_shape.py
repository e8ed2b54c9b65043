"""The L: an arm square to the crank, and a tab bent up along it, for a sensor that looks in at the rim."""

from __future__ import annotations

import numpy as np

from wheelcad.errors import DesignError, Fault
from wheelcad.job.models import Bracket
from wheelcad.parts.bracket.clear import Slide
from wheelcad.parts.bracket.layout import (
    BEND_MARGIN,
    SHANK,
    Layout,
    arm_frame,
    body_hole,
    made_bend,
    mount_slots,
    plan_tab,
    tab_corners,
)
from wheelcad.parts.bracket.model import Asked
from wheelcad.parts.sensor.design import SensorPlace
from wheelcad.words import length

ANGLE = 90.0


def layout_l(asked: Asked, shank: float) -> Layout:
    """The L's skeleton. shank: length of straight sides wanted beyond the bend (for gussets), mm.

    DesignError when mounts lie on both sides of the tab, or when the arm's plane leaves the tab no room.
    """
    bracket, place = asked.bracket, asked.place
    t, r = bracket.plate.thickness, bracket.plate.inside_radius
    outside = _outside(bracket, place)
    side, height = _side_and_height(bracket)
    _check_height(bracket, height, body_hole(asked.body))
    p = np.array(place.out) if outside else -np.array(place.out)
    across = 0.0
    if asked.sensor.senses == "across":  # the side with more room for a spanner: the one the mounts are not on
        across = -1.0 if side * sum(m.y * p[0] - m.x * p[1] for m in bracket.mounts) > 0 else 1.0
    plan = plan_tab(asked, 0.0 if across else -1.0, across)
    x_tab = height + plan.beyond - t - r
    bend = made_bend(bracket, x_tab, ANGLE, up=True)
    face_p = float(np.dot(place.face, p))
    tangent_p = (face_p if outside else face_p + t) + r
    frame = arm_frame(p, side, tangent_p * p, bend.x_arm, -side * height)
    slide = Slide(place.out[0], place.out[1], 0.0, bracket.adjust)
    half = bracket.width / 2
    return Layout(
        "L",
        frame,
        (bend,),
        (*tab_corners(half), *plan.boss(plan.beyond, half)),
        plan.holes("tab", plan.beyond, bracket.adjust_along),
        mount_slots(bracket, frame, slide),
        bend.x_arm + max(SHANK * t, shank),
        bend.x_tab - SHANK * t,
        (bracket.plate_back, bracket.plate_back + t),
        half,
        slide,
    )


def _outside(bracket: Bracket, place: SensorPlace) -> bool:
    """True when all mounts lie further out than the tab's outer face, False when all lie further in.

    DesignError otherwise.
    """
    radius = float(np.dot(place.face, place.out))
    sides = [mount.x * place.out[0] + mount.y * place.out[1] - radius for mount in bracket.mounts]
    if all(s > 0 for s in sides):
        return True
    if all(s < 0 for s in sides):
        return False
    few_outside = sum(s > 0 for s in sides) * 2 <= len(sides)
    raise DesignError(
        Fault(
            f"lies on the other side of the tab: along the sensor's direction the tab stands {length(radius, 1)} from "
            "the crank axis, and the mounts are on both sides of it",
            key=("bracket", "mounts", number),
            found=f"{length(radius + s, 1)} from the axis along that direction",
            allowed="all mounts further out than the tab, or all further in",
            hint="use only the mounts on one side, or move sensor.at",
        )
        for number, s in enumerate(sides)
        if (s >= 0 if few_outside else s <= 0)
    )


def _side_and_height(bracket: Bracket) -> tuple[float, float]:
    """+1 when the tab bends towards +Z (arm behind the ring), else -1; and the sensor axis' height over the
    arm's lower side."""
    t = bracket.plate.thickness
    if bracket.plate_back + t / 2 <= 0:
        return 1.0, -bracket.plate_back
    return -1.0, bracket.plate_back + t


def _check_height(bracket: Bracket, height: float, d_body: float) -> None:
    t, r = bracket.plate.thickness, bracket.plate.inside_radius
    needed = t + r + BEND_MARGIN * t + d_body / 2 + bracket.adjust_along / 2
    if height >= needed:
        return
    behind, front = -needed - bracket.packing, needed - t - bracket.packing  # of the block's face
    packing = bracket.packing + front - bracket.mount_face
    raise DesignError(
        Fault(
            f"leaves the tab too short: from the arm to the sensor's axis (z = 0) there are {length(height - t, 1)} "
            f"of clear height, and bend ({length(r, 1)}), margin and half the body's hole ({length(d_body / 2, 1)}) "
            f"need {length(needed - t, 1)}",
            key=("bracket", "mount_face"),
            found=length(bracket.mount_face),
            allowed=f"{length(behind, 1)} or less (arm behind the ring), {length(front, 1)} or more (in front of it)",
            hint=f"pack the plate off the block, `packing: {length(packing)}`, or use a smaller inside_radius",
        )
    )
