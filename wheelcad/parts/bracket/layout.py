"""From job to layout: on which side the arm lies, where the bends are, where the holes go. No outline yet.

P is the unit vector, square to the crank, from the tab towards the arm; the flat's x runs along it. Lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wheelcad.errors import Faults
from wheelcad.job.models import Bracket, Job
from wheelcad.parts.bracket.clear import Slide
from wheelcad.parts.bracket.model import Bend, Frame, Hole, Shape, Vector
from wheelcad.parts.sensor.design import SensorBody, SensorPlace
from wheelcad.trade.bending import allowance, allowance_k_factor, setback
from wheelcad.trade.fits import bolt_for_hole, clearance_hole_mm

BODY_CLEARANCE = 0.3  # mm added to the sensor body's diameter
BEND_MARGIN = 0.5  # of the thickness: least plate between a hole's edge and a bend's metal, or it tears
BEND_MARGIN_AIMED = 2.0  # of the thickness: a hole nearer to the bend than this is drawn out of round
EDGE_SHARE = 1.5  # of the thickness: plate left beyond a hole in the tab
SHANK = 0.5  # of the thickness: straight sides kept beyond a bend before the arm flares


@dataclass(frozen=True)
class TabHole:
    """A hole in the tab. along: from the sensor's axis away from the arm; across: along the bend line; both in the tab."""

    name: str
    along: float
    across: float
    diameter: float


@dataclass(frozen=True)
class Layout:
    """The skeleton of a bracket; frames and flat as in `model`. start_x: where the arm may flare.

    arm_z: the arm's stretch of z. tab_half: half the tab's width. slide: how the slots let it move, engine frame.
    """

    shape: Shape
    arm_frame: Frame
    bends: tuple[Bend, ...]
    tab_holes: tuple[Hole, ...]
    mounts: tuple[Hole, ...]
    start_x: float
    arm_z: tuple[float, float]
    half: float
    slide: Slide
    bolt_along: bool


def bend_lengths(bracket: Bracket, angle_deg: float) -> tuple[float, float]:
    """Allowance and deduction, mm, of a bend: your own test strip's for hand bends, else your k_factor, else DIN 6935.

    A test strip's allowance is taken to be of a 90 degree bend, and in proportion for others.
    """
    r, t = bracket.plate.inside_radius, bracket.plate.thickness
    if bracket.bends == "hand" and bracket.hand_bend is not None:
        length = bracket.hand_bend.allowance * angle_deg / 90
    elif bracket.plate.k_factor is not None:
        length = allowance_k_factor(angle_deg, r, t, bracket.plate.k_factor)
    else:
        length = allowance(angle_deg, r, t)
    return length, 2 * setback(angle_deg, r, t) - length


def made_bend(bracket: Bracket, x_tab: float, angle_deg: float, up: bool) -> Bend:
    """The bend whose metal starts, on the tab's side, at x_tab."""
    length, less = bend_lengths(bracket, angle_deg)
    half = bracket.width / 2
    return Bend(x_tab, x_tab + length, -half, half, angle_deg, up, bracket.plate.inside_radius, length, less)


def body_hole(body: SensorBody) -> float:
    """Diameter of the hole the sensor's body passes through: 0.3 mm over the body, and never under a barrel's thread."""
    least = body.bolt + 0.1 if body.barrel else 0.0
    return max(body.diameter + BODY_CLEARANCE, least)


def bolt_hole(job: Job) -> float:
    """Diameter of the tab's hole for the sensor's fixing bolt: ISO 273 medium for the bolt that fits the sensor's own."""
    assert job.sensor is not None
    assert job.sensor.bolt is not None
    nominal = bolt_for_hole(job.sensor.bolt.hole)
    return job.sensor.bolt.hole if nominal is None else clearance_hole_mm(nominal, "medium")


def beyond_axis(body: SensorBody, body_d: float, bolt_d: float, thickness: float, travel: float) -> float:
    """How far the tab goes on beyond the sensor's axis, away from the arm: past the bolt, or past body and nut."""
    past_body = max(body_d / 2 + EDGE_SHARE * thickness, body.flange_radius + 1.0)
    past_bolt = body.bolt_offset + max(1.5 * bolt_d, bolt_d / 2 + EDGE_SHARE * thickness) if bolt_d else 0.0
    return max(past_body, past_bolt) + travel / 2


def check_mount_holes(job: Job, faults: Faults) -> None:
    """Holes must be wide enough for the thread named beside them."""
    from wheelcad.parts.sensor.design import nominal_of

    assert job.bracket is not None
    for number, mount in enumerate(job.bracket.mounts):
        if mount.thread is not None and mount.hole <= nominal_of(mount.thread):
            faults.add(
                ("bracket", "mounts", number, "hole"),
                f"does not let an {mount.thread} bolt through",
                found=f"{mount.hole:.2f} mm",
                allowed=f"more than {nominal_of(mount.thread):g} mm",
            )


def unit(x: float, y: float) -> NDArray[np.float64]:
    """Unit vector (3,) square to the crank."""
    length = math.hypot(x, y)
    return np.array([x / length, y / length, 0.0])


def vector(values: NDArray[np.float64]) -> Vector:
    """As plain floats."""
    x, y, z = (float(v) for v in values)
    return x, y, z


def arm_frame(p: NDArray[np.float64], side: float, at: NDArray[np.float64], x_there: float, z_low: float) -> Frame:
    """The arm's frame: ex along p, ez along side·Z; the point `at` (engine, z ignored) has flat x `x_there` and y 0.

    z_low: z of the arm's lower side (w = 0).
    """
    ez = np.array([0.0, 0.0, side])
    origin = at - x_there * p
    origin[2] = z_low
    return Frame(vector(origin), vector(p), vector(np.cross(ez, p)), vector(ez))


def mount_slots(bracket: Bracket, frame: Frame, slide: Slide) -> tuple[Hole, ...]:
    """The mount holes in the flat, as slots along the slide: when the bracket moves by d, its bolts move by -d in it."""
    flat = frame.axes @ np.array([slide.x, slide.y, 0.0])
    out = []
    for number, mount in enumerate(bracket.mounts):
        x, y, _ = frame.back((mount.x, mount.y, frame.origin[2])).tolist()
        ends = [(x - d * flat[0], y - d * flat[1]) for d in (slide.low, slide.high)]
        out.append(Hole(f"mount {number + 1}", "arm", *map(float, (*ends[0], *ends[1])), mount.hole))
    return tuple(out)


def place_sides(place: SensorPlace, bracket: Bracket) -> list[float]:
    """How far each mount lies outside (+) or inside (-) the sensor's mounting face, along its radial direction, mm."""
    face = float(np.dot(place.face, place.out))
    return [mount.x * place.out[0] + mount.y * place.out[1] - face for mount in bracket.mounts]
