"""The sensor as numbers: where it stands in the engine frame, and the room its body takes.

A job gives what decides the bracket (body diameter, nose length, bolt or thread). The rest of the body (flange, lead
outlet, nuts) is a clearance body of usual proportions, stated in the constants below; your own sensor may differ.
Lengths in mm.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from wheelcad.errors import Faults
from wheelcad.job.models import Job, Sensor
from wheelcad.parts.common.stack import looking_radius
from wheelcad.trade.fits import bolt_for_hole
from wheelcad.trade.frames import point_at, sense_of

Vector = tuple[float, float, float]

# Usual proportions of small sensors: common practice, no source.
FLANGE_THICKNESS = 6.0  # mm
FLANGE_MARGIN = 3.0  # mm of flange around body and bolt hole
TAIL_LENGTH = 25.0  # mm from the mounting face to where the lead can turn
NUT_RADIUS = 0.95  # of a thread's diameter: half the width across a nut's corners, washer included
NUT_HEIGHT = 0.9  # of a thread's diameter, nut and thread standing out of it
BARREL_NUT_HEIGHT = 0.4  # of a barrel's diameter
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


def nominal_of(thread: str) -> float:
    """Nominal diameter, mm, of a thread written M12 or M12x1."""
    found = re.match(r"M(\d+(?:\.\d+)?)", thread)
    if found is None:
        raise ValueError(f"not a metric thread: {thread}")
    return float(found.group(1))


def sensor_place(job: Job) -> SensorPlace:
    """Place of the job's sensor. DesignError naming the missing keys when its size is not given.

    ValueError for a job without a sensor.
    """
    sensor = job.sensor
    if sensor is None:
        raise ValueError("the job has no sensor")
    faults = Faults()
    for name, use in (
        ("body_diameter", "the hole in the tab"),
        ("nose_length", "how far the tab stands off the teeth"),
    ):
        if getattr(sensor, name) is None:
            faults.add(("sensor", name), f"is missing: the bracket needs it for {use}")
    faults.raise_if_any()
    assert sensor.nose_length is not None
    assert sensor.body_diameter is not None
    sense = sense_of(job.engine.turns if job.engine is not None else "clockwise")
    ox, oy = point_at(1.0, sensor.at, sense).tolist()
    reach = sensor.air_gap + sensor.nose_length
    radius = looking_radius(sensor, job.wheel.outside_diameter / 2, job.wheel.slot.depth)
    if sensor.looks == "in":
        face, look = ((radius + reach) * ox, (radius + reach) * oy, 0.0), (-ox, -oy, 0.0)
    else:
        side = 1.0 if sensor.from_ == "front" else -1.0
        face, look = (radius * ox, radius * oy, side * (job.wheel.thickness / 2 + reach)), (0.0, 0.0, -side)
    return SensorPlace(face, look, (ox, oy, 0.0), sensor.nose_length, sensor.body_diameter)


def sensor_body(sensor: Sensor) -> SensorBody:
    """The room the sensor takes. Its body_diameter and nose_length must be given."""
    assert sensor.body_diameter is not None
    assert sensor.nose_length is not None
    d, nose = sensor.body_diameter, sensor.nose_length
    if sensor.bolt is not None:
        hole = sensor.bolt.hole
        bolt = bolt_for_hole(hole) or hole
        return SensorBody(d, nose, False, bolt, sensor.bolt.offset, d / 2 + FLANGE_MARGIN, hole / 2 + FLANGE_MARGIN)
    if sensor.thread is not None:
        nominal = nominal_of(sensor.thread)
        return SensorBody(d, nose, True, nominal, 0.0, max(d / 2, NUT_RADIUS * nominal), 0.0)
    return SensorBody(d, nose, False, 0.0, 0.0, d / 2 + FLANGE_MARGIN, 0.0)
