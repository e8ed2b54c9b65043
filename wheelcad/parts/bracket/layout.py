"""From job to layout: on which side the arm lies, where the bends are, where the holes go. No outline yet.

P is the unit vector, square to the crank, from the tab towards the arm; the flat's x runs along it. Lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import Faults
from wheelcad.job.models import Bracket, Sensor
from wheelcad.parts.bracket.clear import Slide
from wheelcad.parts.bracket.model import Asked, Bend, Frame, Hole, Shape, Vector
from wheelcad.parts.sensor.design import SensorBody
from wheelcad.trade.bending import allowance, allowance_k_factor, deduction
from wheelcad.trade.fits import bolt_for_hole, clearance_hole_mm
from wheelcad.trade.tangent import Round
from wheelcad.trade.threads import nominal_mm
from wheelcad.words import length

BODY_CLEARANCE = 0.3  # mm added to the sensor body's diameter
BEND_MARGIN = 0.5  # of the thickness: least plate between a hole's edge and a bend's metal, or it tears
BEND_MARGIN_AIMED = 2.0  # of the thickness: a hole nearer to the bend than this is drawn out of round
EDGE_SHARE = 1.5  # of the thickness: plate left beyond a hole in the tab
TAB_CORNER = 7.0  # mm: how much of each side the tab's cut-off corners take, where its width allows
SHANK = 0.5  # of the thickness: straight sides kept beyond a bend before the arm flares


@dataclass(frozen=True)
class Layout:
    """The skeleton of a bracket; frames and flat as in `model`. start_x: where the arm may flare, tab_start: where
    the tab may (bends only).

    tab: circles that the tab's outline goes round. arm_z: the arm's stretch of z. half: half the tab's width.
    slide: how the slots let it move, engine frame. why_there: what pushes the bend so far out, for messages.
    """

    shape: Shape
    arm_frame: Frame
    bends: tuple[Bend, ...]
    tab: tuple[Round, ...]
    tab_holes: tuple[Hole, ...]
    mounts: tuple[Hole, ...]
    start_x: float
    tab_start: float
    arm_z: tuple[float, float]
    half: float
    slide: Slide
    why_there: str = ""


@dataclass(frozen=True)
class TabPlan:
    """The sensor's holes and the plate round them, about the sensor's axis: flat x towards the arm, y along the bend.

    beyond: plate from the axis to the free end. inner: plate needed from the axis towards the bend's metal.
    """

    body: float
    bolt: float
    bolt_x: float
    bolt_y: float
    bolt_margin: float
    beyond: float
    inner: float

    def holes(self, region: str, x: float, travel: float) -> tuple[Hole, ...]:
        """The holes with the axis at flat x, as slots along x of `travel`."""
        half = travel / 2
        out = [Hole("body", region, x - half, 0.0, x + half, 0.0, self.body)]
        if self.bolt:
            bx, by = x + self.bolt_x, self.bolt_y
            out.append(Hole("bolt", region, bx - half, by, bx + half, by, self.bolt))
        return tuple(out)

    def boss(self, x: float, half: float) -> list[Round]:
        """The plate round the bolt, where it would reach past the tab's sides; x: of the sensor's axis."""
        if not self.bolt or abs(self.bolt_y) + self.bolt_margin <= half:
            return []
        return [Round(x + self.bolt_x, self.bolt_y, self.bolt_margin)]


def bend_lengths(bracket: Bracket, angle_deg: float) -> tuple[float, float]:
    """Allowance and deduction, mm, of a bend: your own test strip's for hand bends, else your k_factor, else DIN 6935.

    A test strip's allowance is taken to be of a 90 degree bend, and in proportion for others.
    """
    r, t = bracket.plate.inside_radius, bracket.plate.thickness
    if bracket.bends == "hand" and bracket.hand_bend is not None:
        taken = bracket.hand_bend.allowance * angle_deg / 90
    elif bracket.plate.k_factor is not None:
        taken = allowance_k_factor(angle_deg, r, t, bracket.plate.k_factor)
    else:
        taken = allowance(angle_deg, r, t)
    return taken, deduction(angle_deg, r, t, taken)


def made_bend(bracket: Bracket, x_tab: float, angle_deg: float, up: bool) -> Bend:
    """The bend whose metal starts, on the tab's side, at x_tab."""
    taken, less = bend_lengths(bracket, angle_deg)
    half = bracket.width / 2
    return Bend(x_tab, x_tab + taken, -half, half, angle_deg, up, bracket.plate.inside_radius, taken, less)


def body_hole(body: SensorBody) -> float:
    """Diameter of the hole the sensor's body passes through, never under a barrel's thread."""
    wide = body.diameter + BODY_CLEARANCE
    return max(wide, body.bolt + 0.1) if body.barrel else wide


def bolt_hole(sensor: Sensor) -> float:
    """Diameter of the tab's hole for the sensor's fixing bolt, ISO 273 medium for the bolt that fits the sensor's own;
    0 without one."""
    if sensor.bolt is None:
        return 0.0
    nominal = bolt_for_hole(sensor.bolt.hole)
    return sensor.bolt.hole if nominal is None else clearance_hole_mm(nominal, "medium")


def plan_tab(asked: Asked, bolt_x: float, bolt_y: float) -> TabPlan:
    """The sensor's holes with the bolt in the direction (bolt_x, bolt_y), a unit vector in the flat."""
    t, body = asked.bracket.plate.thickness, asked.body
    d_body, d_bolt = body_hole(body), bolt_hole(asked.sensor)
    margin = max(1.5 * d_bolt, d_bolt / 2 + EDGE_SHARE * t) if d_bolt else 0.0
    x, y = (body.bolt_offset * bolt_x, body.bolt_offset * bolt_y) if d_bolt else (0.0, 0.0)
    x, y = round(x, 9) + 0.0, round(y, 9) + 0.0
    around_body = max(d_body / 2 + EDGE_SHARE * t, body.flange_radius + 1.0)
    beyond = max(around_body, margin - x) + asked.bracket.adjust_along / 2
    inner = max(d_body / 2, x + d_bolt / 2)
    return TabPlan(d_body, d_bolt, x, y, margin, beyond, inner)


def tab_corners(half: float) -> list[Round]:
    """The tab's free corners, cut off at 45 degrees, at x = 0."""
    cut = min(TAB_CORNER, half / 2)
    return [Round(x, side * (half - cut + x), 0.0) for side in (-1, 1) for x in (0.0, cut)]


def check_mount_holes(bracket: Bracket, faults: Faults) -> None:
    """Holes must be wide enough for the thread named beside them."""
    for number, mount in enumerate(bracket.mounts):
        if mount.thread is not None and mount.hole <= nominal_mm(mount.thread):
            why = f"does not let an {mount.thread} bolt through"
            allowed = f"more than {length(nominal_mm(mount.thread))}"
            faults.add(("bracket", "mounts", number, "hole"), why, found=length(mount.hole), allowed=allowed)


def vector(values: Floats) -> Vector:
    """As plain floats."""
    x, y, z = (float(v) for v in values)
    return x, y, z


def arm_frame(p: Floats, side: float, at: Floats, x_there: float, z_low: float) -> Frame:
    """The arm's frame: ex along p, ez along side·Z; the point `at` (engine, z ignored) has flat x `x_there` and y 0.

    z_low: z of the arm's lower side (w = 0).
    """
    ez = np.array([0.0, 0.0, side])
    origin = at - x_there * p
    origin[2] = z_low
    return Frame(vector(origin), vector(p), vector(np.cross(ez, p)), vector(ez))


def mount_slots(bracket: Bracket, frame: Frame, slide: Slide) -> tuple[Hole, ...]:
    """The mount holes in the flat, as slots along the slide: when the bracket moves by d, its bolts move by -d
    in it."""
    flat = frame.axes[:, :2] @ np.array([slide.x, slide.y])
    out = []
    for number, mount in enumerate(bracket.mounts, 1):
        x, y, _ = frame.back((mount.x, mount.y, frame.origin[2])).tolist()
        (x0, y0), (x1, y1) = ((float(x - d * flat[0]), float(y - d * flat[1])) for d in (slide.low, slide.high))
        out.append(Hole("mount", "arm", x0, y0, x1, y1, mount.hole, mount=number))
    return tuple(out)
