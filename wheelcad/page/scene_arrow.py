"""The field in hand as an arrow in the scene: a key of the job -> where its size lies. Lengths mm.

The same keys as the lettered pictures, in three dimensions. Points of what turns are in the wheel frame at TDC, others
in the engine frame; angles run from the TDC line the way the crank turns.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

import numpy as np

from wheelcad.job.measuring import measure_of
from wheelcad.job.models import Step
from wheelcad.page.scene_parts import SceneMade
from wheelcad.parts.common.openings import circle_centres
from wheelcad.parts.common.stack import (
    Land,
    adapter_lands,
    as_found_lands,
    looking_radius,
    pulley_front_z,
    turned_lands,
)
from wheelcad.parts.places import front_as_found_z, z_of
from wheelcad.trade.frames import point_at
from wheelcad.words import Words, angle, length

Point = tuple[float, float, float]
T = TypeVar("T")
LIFT = 2.0  # mm that an arrow is drawn in front of the face it measures
ARC_STEP = 5.0  # degrees between points of an angle's arc


@dataclass(frozen=True)
class Arrow:
    """points: from end to end, two for a length, more for an angle's arc. turns: with the crank. size: mm, or degrees
    where `is_angle`. one_way: an arrow at its end alone (from where it is measured)."""

    key: str
    points: tuple[Point, ...]
    turns: bool
    size: float
    is_angle: bool = False
    one_way: bool = False

    def label(self, units: str) -> str:
        """What stands beside it: the letter of the measuring sheet's picture, and how much it is."""
        measure = measure_of(self.key)
        letter = f"{measure.label}  " if measure is not None and measure.label else ""
        return letter + Words(units).text(angle(self.size) if self.is_angle else length(self.size))


def arrow_of(key: str, made: SceneMade) -> Arrow | None:
    """The arrow of a dotted key with its places in lists; None for one that is nowhere to be seen, or whose section
    the job lacks."""
    places = [int(n) for n in re.findall(r"\[([0-9]+)\]", key)]
    make = _MAKERS.get(re.sub(r"\[[0-9]+\]", "[]", key))
    if make is None:
        return None
    try:
        return make(key, made, places)
    except (_NowhereError, IndexError):
        return None


class _NowhereError(Exception):
    """The job lacks what the key measures."""


def _there(value: T | None) -> T:
    if value is None:
        raise _NowhereError
    return value


Maker = Callable[[str, SceneMade, list[int]], Arrow]


def _line(key: str, a: Point, b: Point, turns: bool, one_way: bool = False) -> Arrow:
    return Arrow(key, (a, b), turns, math.dist(a, b), one_way=one_way)


def _across(key: str, radius: float, z: float, turns: bool = True) -> Arrow:
    """A diameter, level, in front of z."""
    return _line(key, (-radius, 0.0, z + LIFT), (radius, 0.0, z + LIFT), turns)


def _arc(key: str, radius: float, start: float, end: float, z: float, made: SceneMade, turns: bool) -> Arrow:
    """An angle from `start` the way the crank turns to `end`, in front of z."""
    span = (end - start) % 360.0
    angles = start + np.linspace(0.0, span, max(2, math.ceil(span / ARC_STEP) + 1))
    rim = point_at(radius, angles, made.job.sense)
    return Arrow(key, tuple((float(x), float(y), z + LIFT) for x, y in rim), turns, end % 360.0, True, True)


def _flat(radius: float, at_deg: float, made: SceneMade) -> tuple[float, float]:
    x, y = point_at(radius, at_deg, made.job.sense).tolist()
    return x, y


# --- the wheel


def _rim(made: SceneMade) -> tuple[float, float]:
    return made.job.wheel.outside_diameter / 2, made.job.wheel.thickness / 2


def _wheel_od(key: str, made: SceneMade, _: list[int]) -> Arrow:
    return _across(key, *_rim(made))


def _wheel_thickness(key: str, made: SceneMade, _: list[int]) -> Arrow:
    radius, half = _rim(made)
    return _line(key, (0.0, radius + LIFT, -half), (0.0, radius + LIFT, half), True)


def _wheel_bore(key: str, made: SceneMade, _: list[int]) -> Arrow:
    return _across(key, _there(made.job.wheel.bore) / 2, _rim(made)[1])


def _gap_at(key: str, made: SceneMade, _: list[int]) -> Arrow:
    radius, half = _rim(made)
    return _arc(key, 0.8 * radius, 0.0, _there(made.wheel).gap_at_deg, half, made, True)


def _slot_corner(made: SceneMade) -> tuple[float, float, float]:
    """Angle of the first slot, and half its width in degrees at the rim."""
    wheel = _there(made.wheel)
    return float(wheel.slot_centres_deg[0]), wheel.slot.rim_half_deg, wheel.thickness_mm / 2 + LIFT


def _slot_width(key: str, made: SceneMade, _: list[int]) -> Arrow:
    at, half, z = _slot_corner(made)
    radius = _rim(made)[0]
    return _line(key, (*_flat(radius, at - half, made), z), (*_flat(radius, at + half, made), z), True)


def _slot_depth(key: str, made: SceneMade, _: list[int]) -> Arrow:
    at, _half, z = _slot_corner(made)
    radius = _rim(made)[0]
    return _line(key, (*_flat(radius, at, made), z), (*_flat(radius - made.job.wheel.slot.depth, at, made), z), True)


def _teeth(key: str, made: SceneMade, _: list[int]) -> Arrow:
    at, half, z = _slot_corner(made)
    radius, pitch = _rim(made)[0], _there(made.wheel).pitch_deg
    found = _arc(key, 1.03 * radius, at + half, at + half + pitch, z - LIFT, made, True)
    return Arrow(key, found.points, True, pitch, True)


# --- pulley and adapter


def _land_arrow(key: str, land: Land, what: str) -> Arrow:
    middle = (land.z_front + land.z_back) / 2
    if what == "length":
        y = land.radius + LIFT
        return _line(key, (0.0, y, land.z_front), (0.0, y, land.z_back), True)
    if what == "diameter":
        return _line(key, (-land.radius, 0.0, middle), (land.radius, 0.0, middle), True)
    groove = _there(land.groove)
    if what == "groove.width":
        y = land.radius + LIFT
        return _line(key, (0.0, y, middle + groove.width / 2), (0.0, y, middle - groove.width / 2), True)
    return _line(key, (0.0, land.radius, middle), (0.0, land.radius - groove.depth, middle), True)


def _found(what: str, key: str, made: SceneMade, at: list[int]) -> Arrow:
    return _land_arrow(key, as_found_lands(made.job)[at[0]], what)


def _turned(what: str, key: str, made: SceneMade, at: list[int]) -> Arrow:
    pulley = _there(made.job.pulley)
    if not isinstance(pulley.turned[at[0]], Step):
        raise _NowhereError
    return _land_arrow(key, turned_lands(made.job)[at[0]], what)


def _front(made: SceneMade) -> float:
    return pulley_front_z(made.job)


def _pulley_bore(key: str, made: SceneMade, _: list[int]) -> Arrow:
    return _across(key, _there(_there(made.job.pulley).bore) / 2, _front(made))


def _keyway(what: str, key: str, made: SceneMade, _: list[int]) -> Arrow:
    pulley = _there(made.job.pulley)
    keyway, bore, z = _there(pulley.keyway), _there(pulley.bore) / 2, _front(made) + LIFT
    if what == "at":
        return _arc(key, 2 * bore, 0.0, keyway.at, z - LIFT, made, True)
    out, across = np.array(_flat(1.0, keyway.at, made)), np.array(_flat(1.0, keyway.at + 90.0, made))
    floor = bore + keyway.depth
    if what == "depth":
        ends = bore * out, floor * out
    else:
        ends = floor * out - keyway.width / 2 * across, floor * out + keyway.width / 2 * across
    (ax, ay), (bx, by) = (end.tolist() for end in ends)
    return _line(key, (ax, ay, z), (bx, by, z), True)


def _bolts(what: str, key: str, made: SceneMade, _: list[int]) -> Arrow:
    bolts, z = _there(_there(made.job.pulley).bolts), _front(made)
    if what == "circle":
        return _across(key, bolts.circle / 2, z)
    if what == "first_at":
        return _arc(key, bolts.circle / 2, 0.0, bolts.first_at, z, made, True)
    x, y = circle_centres(bolts, made.job.sense)[0].tolist()
    return _line(key, (x - bolts.hole / 2, y, z + LIFT), (x + bolts.hole / 2, y, z + LIFT), True)


def _recess(what: str, key: str, made: SceneMade, _: list[int]) -> Arrow:
    recess, z = _there(_there(made.job.pulley).recess), _front(made)
    if what == "diameter":
        return _across(key, recess.diameter / 2, z)
    return _line(key, (0.0, recess.diameter / 2, z), (0.0, recess.diameter / 2, z - recess.depth), True)


def _belt(what: str, key: str, made: SceneMade, at: list[int]) -> Arrow:
    belt, z = _there(made.job.pulley).belts[at[0]], _front(made)
    radius = 1.1 * max((land.radius for land in as_found_lands(made.job)), default=_rim(made)[0])
    if what in ("from_deg", "to_deg"):
        return _arc(key, radius, 0.0, float(getattr(belt, what)), z - belt.at, made, False)
    x, y = _flat(radius, belt.from_deg, made)
    if what == "at":
        return _line(key, (x, y, z), (x, y, z - belt.at), False, one_way=True)
    return _line(key, (x, y, z - belt.at + belt.width / 2), (x, y, z - belt.at - belt.width / 2), False)


def _adapter(what: str, key: str, made: SceneMade, _: list[int]) -> Arrow:
    lands = {land.name: land for land in adapter_lands(made.job)}
    name, _dot, last = what.rpartition(".")
    return _land_arrow(key, _there(lands.get(name or "adapter")), last.replace("outside_", ""))


# --- sensor and bracket


def _sensor(what: str, key: str, made: SceneMade, _: list[int]) -> Arrow:
    sensor, (rim, half) = _there(made.job.sensor), _rim(made)
    if what == "at":
        return _arc(key, 1.15 * rim, 0.0, sensor.at, half, made, False)
    radius = looking_radius(sensor, rim, made.job.wheel.slot.depth)
    out = np.array([*_flat(1.0, sensor.at, made), 0.0])
    look = -out if sensor.looks == "in" else np.array([0.0, 0.0, -1.0 if sensor.from_ == "front" else 1.0])
    surface = radius * out if sensor.looks == "in" else radius * out - half * look
    across = np.array([*_flat(1.0, sensor.at + 90.0, made), 0.0])
    tip = surface - sensor.air_gap * look
    if what == "radius":
        return _line(key, (0.0, 0.0, half + LIFT), _point(radius * out + np.array([0, 0, half + LIFT])), False, True)
    if what == "air_gap":
        return _line(key, _point(surface), _point(tip), False)
    nose = _there(sensor.nose_length)
    face = tip - nose * look
    if what == "nose_length":
        beside = (sensor.body_diameter or 12.0) / 2 * across
        return _line(key, _point(tip + beside), _point(face + beside), False)
    if what == "body_diameter":
        wide = _there(sensor.body_diameter) / 2 * across
        return _line(key, _point(face - wide), _point(face + wide), False)
    if what == "face_diameter":
        wide = _there(sensor.face_diameter) / 2 * across
        return _line(key, _point(tip - wide), _point(tip + wide), False)
    bolt = _there(sensor.bolt)
    towards = np.array([0.0, 0.0, 1.0]) if sensor.looks == "in" else out
    if what == "bolt.offset":
        return _line(key, _point(face), _point(face + bolt.offset * towards), False, True)
    middle = face + bolt.offset * towards
    return _line(key, _point(middle - bolt.hole / 2 * across), _point(middle + bolt.hole / 2 * across), False)


def _mount(what: str, key: str, made: SceneMade, at: list[int]) -> Arrow:
    bracket = _there(made.job.bracket)
    mount = bracket.mounts[at[0]]
    x, y = _there(mount.given_x), _there(mount.given_y)
    z = bracket.mount_face + LIFT if isinstance(bracket.face, float | int) else LIFT
    if what == "x":
        return Arrow(key, ((0.0, y, z), (x, y, z)), False, x, one_way=True)
    if what == "y":
        return Arrow(key, ((x, 0.0, z), (x, y, z)), False, y, one_way=True)
    return _line(key, (x - mount.hole / 2, y, z), (x + mount.hole / 2, y, z), False)


def _mount_face(key: str, made: SceneMade, _: list[int]) -> Arrow:
    bracket = _there(made.job.bracket)
    start = front_as_found_z(made.job) if key.endswith("behind_front") else 0.0
    mount = bracket.mounts[0]
    x, y = _there(mount.given_x), _there(mount.given_y)
    away = start - bracket.mount_face if start else bracket.mount_face  # a depth gauge reads towards the engine
    return Arrow(key, ((x, y, start), (x, y, bracket.mount_face)), False, away, one_way=True)


def _thing(what: str, key: str, made: SceneMade, at: list[int]) -> Arrow:
    thing = _there(made.job.bracket).obstacles[at[0]]
    x, y, z = thing.x, thing.y, z_of(made.job, thing.front)
    start = front_as_found_z(made.job) if what == "z.behind_front" else 0.0
    a, b, size = {
        "x": ((0.0, y, z + LIFT), (x, y, z + LIFT), x),
        "y": ((x, 0.0, z + LIFT), (x, y, z + LIFT), y),
        "radius": ((x, y, z + LIFT), (x + thing.radius, y, z + LIFT), thing.radius),
    }.get(what, ((x, y, start), (x, y, z), start - z if start else z))
    return Arrow(key, (a, b), False, size, one_way=True)


def _plate(what: str, key: str, made: SceneMade, _: list[int]) -> Arrow:
    bracket = _there(made.bracket)
    tab = bracket.regions[-1]
    hole = bracket.hole("body")
    half, x = bracket.width / 2, hole.middle[0]
    ends = {
        "width": ((x, -half, -LIFT), (x, half, -LIFT)),
        "plate.thickness": ((0.0, half, 0.0), (0.0, half, bracket.thickness)),
        "adjust": ((x + bracket.travel_from, half, -LIFT), (x + bracket.travel_to, half, -LIFT)),
    }[what]
    a, b = (_point(tab.frame.points(end)) for end in ends)
    return _line(key, a, b, False)


def _gauge_thickness(key: str, made: SceneMade, _: list[int]) -> Arrow:
    gauge = _there(made.gauge)
    radius = _rim(made)[0]
    return _line(key, (0.0, radius, gauge.z_front), (0.0, radius, gauge.z_front - gauge.thickness_mm), True)


def _balance_radius(key: str, made: SceneMade, _: list[int]) -> Arrow:
    balance = _there(made.job.balance)
    z = _rim(made)[1] + LIFT
    return _line(key, (0.0, 0.0, z), (0.0, _there(balance.radius), z), True, one_way=True)


def _point(v: np.ndarray) -> Point:
    x, y, z = (float(c) for c in v)
    return x, y, z


_STEP = ("length", "diameter", "groove.width", "groove.depth")
_ADAPTER = ("length", "outside_diameter", "pilot.diameter", "pilot.length")
_SENSOR = ("at", "radius", "air_gap", "nose_length", "body_diameter", "face_diameter", "bolt.hole", "bolt.offset")
_MAKERS: Mapping[str, Maker] = {
    "wheel.outside_diameter": _wheel_od,
    "wheel.thickness": _wheel_thickness,
    "wheel.bore": _wheel_bore,
    "wheel.gap_at": _gap_at,
    "wheel.teeth": _teeth,
    "wheel.slot.width": _slot_width,
    "wheel.slot.depth": _slot_depth,
    "pulley.bore": _pulley_bore,
    "bracket.mount_face": _mount_face,
    "bracket.mount_face.behind_front": _mount_face,
    "gauge.thickness": _gauge_thickness,
    "balance.radius": _balance_radius,
    **{f"pulley.as_found[].{what}": partial(_found, what) for what in _STEP},
    **{f"pulley.turned[].{what}": partial(_turned, what) for what in _STEP},
    **{f"pulley.keyway.{what}": partial(_keyway, what) for what in ("width", "depth", "at")},
    **{f"pulley.bolts.{what}": partial(_bolts, what) for what in ("circle", "hole", "first_at")},
    **{f"pulley.recess.{what}": partial(_recess, what) for what in ("diameter", "depth")},
    **{f"pulley.belts[].{what}": partial(_belt, what) for what in ("at", "width", "from_deg", "to_deg")},
    **{
        f"adapter.{what}": partial(_adapter, what)
        for what in ("length", "outside_diameter", "pilot.diameter", "pilot.length")
    },
    **{f"sensor.{what}": partial(_sensor, what) for what in _SENSOR},
    **{f"bracket.mounts[].{what}": partial(_mount, what) for what in ("x", "y", "hole")},
    **{f"bracket.obstacles[].{what}": partial(_thing, what) for what in ("x", "y", "radius", "z", "z.behind_front")},
    **{f"bracket.{what}": partial(_plate, what) for what in ("width", "plate.thickness", "adjust")},
}
ARROWED = tuple(_MAKERS)  # keys, without places in lists, that have an arrow where the job has them
