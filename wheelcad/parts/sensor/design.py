"""The sensor as numbers: where it stands in the engine frame, and the room its body takes.

A job gives what decides the bracket (body diameter, nose length, bolt or thread). The rest of the body (flange, lead
outlet, nuts) is a clearance body of usual proportions, stated in the constants below; your own sensor may differ.
Lengths in mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import Faults
from wheelcad.job.models import Job, Sensor
from wheelcad.parts.common.stack import looking_radius
from wheelcad.trade.fits import bolt_for_hole
from wheelcad.trade.frames import point_at
from wheelcad.trade.heads import across_flats_mm, nut_radius_mm
from wheelcad.trade.loop import Loop
from wheelcad.trade.tangent import Round, hull, outline
from wheelcad.trade.threads import nominal_mm
from wheelcad.words import diameter, length

Vector = tuple[float, float, float]

# Usual proportions of small sensors: common practice, no source.
FLANGE_THICKNESS = 6.0  # mm
FLANGE_MARGIN = 3.0  # mm of flange around body and bolt hole
TAIL_LENGTH = 25.0  # mm from the mounting face to where the lead can turn
BODY_OF_THREAD = 0.5  # mm: how far a barrel's body may measure from its thread's nominal diameter
USUAL_MASS = 0.06  # kg, when the job gives none


@dataclass(frozen=True)
class SensorPlace:
    """Where a sensor stands, engine frame. face: centre of its mounting face; look: unit vector along its nose.

    out: unit vector from the crank axis at the sensor's angle. The sensing face lies nose_length from face along look.
    """

    face: Vector
    look: Vector
    out: Vector
    nose_length: float
    body_diameter: float

    @property
    def tip(self) -> Vector:
        """Centre of the sensing face."""
        x, y, z = (np.array(self.face) + self.nose_length * np.array(self.look)).tolist()
        return x, y, z


@dataclass(frozen=True)
class SensorBody:
    """The room a sensor takes, round its mounting face. barrel: threaded, held by two nuts, without a flange.

    bolt: nominal diameter of the fixing bolt (flange) or of the barrel's thread; 0 when the job gives neither.
    bolt_offset: from the body's centre, 0 for a barrel. flange_radius, bolt_radius: of the flange round body and bolt.
    """

    diameter: float
    nose_length: float
    barrel: bool
    bolt: float
    bolt_offset: float
    flange_radius: float
    bolt_radius: float


def seat_axes(place: SensorPlace, along: Floats | None) -> Floats:
    """(3, 3) rows: the axes of the sensor's own frame in the engine's; z out of its mounting face, away from the nose.

    x points to its fixing bolt. along: from the face's centre to that bolt's middle, None without one.
    """
    z = -np.array(place.look)
    x = np.array(place.out) if place.look[2] else np.array([0.0, 0.0, 1.0])
    if along is not None and float(np.linalg.norm(along)) > 1e-9:
        x = along / np.linalg.norm(along)
    return np.array([x, np.cross(z, x), z])


def flange_of(body: SensorBody) -> tuple[Loop, list[Loop]]:
    """Outline and holes of the flange in the sensor's own frame; meaningless for a barrel."""
    rounds, holes = [Round(0, 0, body.flange_radius)], []
    if body.bolt_offset:
        rounds.append(Round(body.bolt_offset, 0, body.bolt_radius))
        holes.append(Loop.circle(body.bolt_offset, 0, body.bolt / 2 + 0.3))
    touched = hull(rounds)
    return (outline(touched) if len(touched) > 1 else Loop.circle(0, 0, touched[0].radius)), holes


def hexagon(d: float, x: float = 0.0) -> Loop:
    """A nut's or a head's outline about (x, 0); d: the bolt's diameter."""
    r = across_flats_mm(d) / math.sqrt(3)
    return Loop.polygon([(x + r * math.cos(k * math.pi / 3), r * math.sin(k * math.pi / 3)) for k in range(6)])


def sensor_place(job: Job, sensor: Sensor) -> SensorPlace:
    """Place of the job's sensor. DesignError naming the keys that are missing or contradict each other."""
    faults = Faults()
    body, nose = _body_diameter(sensor, faults), sensor.nose_length
    if nose is None:
        faults.add(("sensor", "nose_length"), "is missing: the bracket needs it for how far the tab stands off")
    faults.raise_if_any()
    assert nose is not None
    ox, oy = point_at(1.0, sensor.at, job.sense).tolist()
    reach = sensor.air_gap + nose
    radius = looking_radius(sensor, job.wheel.outside_diameter / 2, job.wheel.slot.depth)
    if sensor.looks == "in":
        face, look = ((radius + reach) * ox, (radius + reach) * oy, 0.0), (-ox, -oy, 0.0)
    else:
        side = 1.0 if sensor.from_ == "front" else -1.0
        face, look = (radius * ox, radius * oy, side * (job.wheel.thickness / 2 + reach)), (0.0, 0.0, -side)
    return SensorPlace(face, look, (ox, oy, 0.0), nose, body)


def _body_diameter(sensor: Sensor, faults: Faults) -> float:
    """Diameter of the body: as given, or a barrel's thread."""
    given, key = sensor.body_diameter, ("sensor", "body_diameter")
    if sensor.thread is None:
        if given is None:
            faults.add(key, "is missing: the bracket needs it for the hole in the tab")
        return given or 0.0
    nominal = nominal_mm(sensor.thread)
    if given is not None and abs(given - nominal) > BODY_OF_THREAD:
        faults.add(
            key,
            f"contradicts sensor.thread: a barrel threaded {sensor.thread} has a body of {diameter(nominal)}",
            found=f"body_diameter {length(given)}, thread {sensor.thread}",
            allowed=f"{length(nominal)}, give or take {length(BODY_OF_THREAD)}",
            hint="leave body_diameter out, or give the thread that is on the barrel",
        )
    return given or nominal


def sensor_body(sensor: Sensor, place: SensorPlace) -> SensorBody:
    """The room the sensor takes."""
    d, nose = place.body_diameter, place.nose_length
    if sensor.bolt is not None:
        hole = sensor.bolt.hole
        bolt = bolt_for_hole(hole) or hole
        return SensorBody(d, nose, False, bolt, sensor.bolt.offset, d / 2 + FLANGE_MARGIN, hole / 2 + FLANGE_MARGIN)
    if sensor.thread is not None:
        nominal = nominal_mm(sensor.thread)
        return SensorBody(d, nose, True, nominal, 0.0, nut_radius_mm(nominal), 0.0)
    return SensorBody(d, nose, False, 0.0, 0.0, d / 2 + FLANGE_MARGIN, 0.0)
