"""Flat and Z: brackets for a sensor that looks along the crank, at the wheel's side face.

Flat when the block's face puts the plate where the sensor's mounting face has to be, else a Z: two bends, up and
down again, with a riser between. P, the way from sensor to arm, is tried in many directions, the mounts' own first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from functools import partial

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import DesignError, Fault
from wheelcad.job.models import Bracket
from wheelcad.parts.bracket import clear
from wheelcad.parts.bracket.clear import Slide
from wheelcad.parts.bracket.layout import (
    BEND_MARGIN_AIMED,
    SHANK,
    Layout,
    arm_frame,
    made_bend,
    mount_slots,
    plan_tab,
    tab_corners,
)
from wheelcad.parts.bracket.model import Asked
from wheelcad.parts.sensor.design import SensorPlace
from wheelcad.trade.frames import wrap_180
from wheelcad.trade.tangent import Round
from wheelcad.words import length

FLAT_WITHIN = 0.1  # mm: how far the plate may stand from the sensor's mounting face and still be left flat
ANGLES = (90.0, 75.0, 60.0, 45.0, 30.0, 20.0)  # degrees of a Z's bends, the steepest that leaves a riser is taken
RISER_LEAST = 2.0  # of the thickness: shortest straight riser between the two bends
WAYS_STEP = 15.0  # degrees between the directions tried for the arm
WAYS_MOST = 105.0  # degrees from the mounts' direction beyond which an arm makes no sense

Vector3 = Floats
Maker = Callable[[float], Layout]


def along_layouts(asked: Asked) -> Iterator[Maker]:
    """Ways of laying the bracket out, the likeliest first; each takes the length of straight sides wanted at the arm.

    DesignError when the block's face is neither where a flat bracket would need it nor far enough off for a Z.
    """
    bracket, place = asked.bracket, asked.place
    offset = tab_low(asked) - bracket.plate_back
    flat = abs(offset) <= FLAT_WITHIN
    if not flat:
        angle, riser = z_angle(bracket, offset)
    for p in _ways(bracket, place):
        for bolt in _bolt_ways(asked, p, flat):
            if flat:
                yield partial(_layout_flat, asked, p, bolt)
            else:
                yield partial(_layout_z, asked, p, bolt, (angle, riser))


def tab_low(asked: Asked) -> float:
    """z of the lower side (towards -Z) of the plate that carries the sensor."""
    return asked.place.face[2] - (asked.bracket.plate.thickness if asked.sensor.from_ == "front" else 0.0)


def z_angle(bracket: Bracket, offset: float) -> tuple[float, float]:
    """Angle of the two bends and straight length of the riser for an offset (mm, either sign).

    DesignError when too small.
    """
    t, r = bracket.plate.thickness, bracket.plate.inside_radius
    for angle in ANGLES:
        a = math.radians(angle)
        riser = (abs(offset) - (2 * r + t) * (1 - math.cos(a))) / math.sin(a)
        if riser >= RISER_LEAST * t:
            return angle, riser
    least = (2 * r + t) * (1 - math.cos(a)) + RISER_LEAST * t * math.sin(a)
    away = 1.0 if offset > 0 else -1.0
    raise DesignError(
        Fault(
            f"puts the plate {length(abs(offset))} from where the sensor's mounting face has to be: too far for a "
            f"flat bracket ({length(FLAT_WITHIN)} at most), too little for a Z ({length(least, 1)} at least)",
            key=("bracket", "mount_face"),
            found=length(bracket.mount_face),
            allowed=f"{length(bracket.mount_face + offset)} for a flat bracket, or "
            f"{length(bracket.mount_face + offset - away * least)} and beyond for a Z",
            hint=f"pack the plate off the block: `packing: {length(bracket.packing + offset)}` for a flat bracket"
            if offset > 0
            else "choose another nose_length, or pack the plate off the block: "
            f"`packing: {length(bracket.packing + offset + least)}` for a Z",
        )
    )


def _ways(bracket: Bracket, place: SensorPlace) -> list[Vector3]:
    """Directions from sensor to arm, unit vectors square to the crank: nearest to the mounts' middle first."""
    mx = sum(m.x for m in bracket.mounts) / len(bracket.mounts) - place.face[0]
    my = sum(m.y for m in bracket.mounts) / len(bracket.mounts) - place.face[1]
    if math.hypot(mx, my) < 1e-6:
        mx, my = place.out[0], place.out[1]
    towards = math.degrees(math.atan2(my, mx))
    turns = [0.0]
    for k in range(1, int(WAYS_MOST / WAYS_STEP) + 1):
        turns += [k * WAYS_STEP, -k * WAYS_STEP]
    out = math.degrees(math.atan2(place.out[1], place.out[0]))
    for radial in (out, out + 180.0):
        turn = float(wrap_180(radial - towards))
        if abs(turn) <= WAYS_MOST:
            turns.append(turn)
    angles = [math.radians(towards + turn) for turn in sorted(turns, key=lambda turn: (abs(turn), turn))]
    return [np.array([math.cos(a), math.sin(a), 0.0]) for a in angles]


def _bolt_ways(asked: Asked, p: Vector3, flat: bool) -> list[Vector3]:
    """Directions from the sensor's body to its bolt that are worth trying; one of no meaning without a bolt.

    On the wheel's side face the teeth's edges run radially, so that what lies "along" at the rim lies radially here.
    """
    if asked.sensor.bolt is None:
        return [-p]
    out = np.array(asked.place.out)
    if asked.sensor.senses == "along-crank":
        return [out, -out]
    if asked.sensor.senses == "across":
        side = np.array([-out[1], out[0], 0.0])
        return [side, -side]
    return [p, -p] if flat else [-p, p]


def _slide(bracket: Bracket, place: SensorPlace) -> Slide:
    """Slots run radially, nominal in the middle: they set the radius the sensor looks at."""
    return Slide(place.out[0], place.out[1], -bracket.adjust / 2, bracket.adjust / 2)


def _in_flat(vector: Vector3, p: Vector3, side: float) -> tuple[float, float]:
    """A direction square to the crank in the flat's x, y."""
    return float(vector @ p), side * float(p[0] * vector[1] - p[1] * vector[0])


def _layout_flat(asked: Asked, p: Vector3, bolt: Vector3, shank: float) -> Layout:
    bracket, place = asked.bracket, asked.place
    half = bracket.width / 2
    plan = plan_tab(asked, *_in_flat(bolt, p, 1.0))
    x = max(half, plan.beyond)
    frame = arm_frame(p, 1.0, np.array(place.face), x, bracket.plate_back)
    slide = _slide(bracket, place)
    tab = [Round(x, 0.0, x)]
    if plan.bolt:
        tab.append(Round(x + plan.bolt_x, plan.bolt_y, plan.bolt_margin))
    mounts = mount_slots(bracket, frame, slide)
    arm_z = (bracket.plate_back, bracket.plate_back + bracket.plate.thickness)
    return Layout("flat", frame, (), tuple(tab), plan.holes("arm", x, 0.0), mounts, 0.0, 0.0, arm_z, half, slide)


def _layout_z(asked: Asked, p: Vector3, bolt: Vector3, z: tuple[float, float], shank: float) -> Layout:
    bracket, place = asked.bracket, asked.place
    t, r, half = bracket.plate.thickness, bracket.plate.inside_radius, bracket.width / 2
    angle, riser = z
    low = tab_low(asked)
    side, z_low = (1.0, bracket.plate_back) if low > bracket.plate_back else (-1.0, bracket.plate_back + t)
    slide = _slide(bracket, place)
    plan = plan_tab(asked, *_in_flat(bolt, p, side))
    inner = max(plan.inner + BEND_MARGIN_AIMED * t, asked.body.flange_radius)
    if plan.boss(0.0, half):
        inner = max(inner, plan.bolt_x + plan.bolt_margin + SHANK * t + 3.0)
    past, what = _past_what_turns(asked, p, half, slide)
    why = f": the riser has to pass outside {what}" if past > inner else ""
    inner = max(inner, past)
    down = made_bend(bracket, plan.beyond + inner, angle, up=False)
    up = made_bend(bracket, down.x_arm + riser, angle, up=True)
    a = math.radians(angle)
    run = inner + (2 * r + t) * math.sin(a) + riser * math.cos(a)
    frame = arm_frame(p, side, np.array(place.face) + run * p, up.x_arm, z_low)
    return Layout(
        "Z",
        frame,
        (up, down),
        (*tab_corners(half), *plan.boss(plan.beyond, half)),
        plan.holes("tab", plan.beyond, 0.0),
        mount_slots(bracket, frame, slide),
        up.x_arm + max(SHANK * t, shank),
        down.x_tab - SHANK * t,
        (bracket.plate_back, bracket.plate_back + t),
        half,
        slide,
        why,
    )


def _past_what_turns(asked: Asked, p: Vector3, half: float, slide: Slide) -> tuple[float, str]:
    """How far along p from the sensor's axis the riser must start to pass outside what turns, and what that is."""
    z_low, z_high = sorted((tab_low(asked), asked.bracket.plate_back))
    z_high += asked.bracket.plate.thickness
    lands = clear.lands_beside(asked.job, z_low, z_high, clear.AIMED)
    if not lands:
        return 0.0, ""
    widest = max(lands, key=lambda land: land.radius)
    radius = widest.radius + clear.AIMED + max(-slide.low, slide.high)
    ey = np.array([-p[1], p[0], 0.0])
    face = np.array(asked.place.face)
    off = max(0.0, abs(float(face @ ey)) - half)
    return math.sqrt(max(radius**2 - off**2, 0.0)) - float(face @ p), clear.name_of(widest)
