"""The sensor and its fasteners as solids, to look at and to find collisions with; proportions as in `design`."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np

from wheelcad.arrays import Floats
from wheelcad.files.brep import fused, prism
from wheelcad.parts.sensor.design import (
    FLANGE_THICKNESS,
    TAIL_LENGTH,
    SensorBody,
    SensorPlace,
)
from wheelcad.trade.heads import BARREL_NUT_HEIGHT, HEAD_HEIGHT, NUT_HEIGHT, across_flats_mm
from wheelcad.trade.loop import Loop
from wheelcad.trade.tangent import Round, hull, outline

Vector = Floats


def sensor_solids(
    place: SensorPlace, body: SensorBody, plate_mm: float, bolt_at: Vector | None
) -> list[tuple[str, cq.Solid]]:
    """Named solids in the engine frame: the sensor, and the bolt and nut, or the two nuts, that hold it.

    plate_mm: thickness of the tab. bolt_at: engine point of the fixing bolt on the sensor's side of the tab, or None.
    """
    along = None if bolt_at is None else bolt_at - np.array(place.face)
    seat = _seat(place, along)
    out = [("sensor", _sensor(body).moved(seat))]
    if body.barrel:
        height = BARREL_NUT_HEIGHT * body.bolt
        out.append(("sensor nut 1", _nut(body.bolt, 0.0, height).moved(seat)))
        out.append(("sensor nut 2", _nut(body.bolt, -plate_mm - height, -plate_mm).moved(seat)))
    elif bolt_at is not None and body.bolt:
        d, x = body.bolt, body.bolt_offset
        at = cq.Location(cq.Vector(x, 0, 0))
        top = FLANGE_THICKNESS
        shank = prism(Loop.circle(0, 0, d / 2), (), -plate_mm - NUT_HEIGHT * d, top)
        head = prism(_hexagon(d), (), top, top + HEAD_HEIGHT * d)
        out.append(("sensor bolt", fused([shank, head], "the sensor's bolt").moved(seat * at)))
        out.append(("sensor nut", _nut(d, -plate_mm - 0.8 * d, -plate_mm).moved(seat * at)))
    return out


def _seat(place: SensorPlace, along: Vector | None) -> cq.Location:
    """From the sensor's own frame (z out of its mounting face, away from the nose; x to its bolt) to the engine's."""
    z = -np.array(place.look)
    x = np.array([0.0, 0.0, 1.0]) if abs(place.look[2]) < 0.5 else np.array(place.out)
    if along is not None and float(np.linalg.norm(along)) > 1e-9:
        x = along / np.linalg.norm(along)
    return cq.Location(cq.Plane(origin=place.face, xDir=tuple(x.tolist()), normal=tuple(z.tolist())))


def _sensor(body: SensorBody) -> cq.Solid:
    """Nose below z = 0, flange (unless a barrel) and tail above it."""
    tube = prism(Loop.circle(0, 0, body.diameter / 2), (), -body.nose_length, TAIL_LENGTH)
    if body.barrel:
        return tube
    rounds = [Round(0, 0, body.flange_radius)]
    holes = []
    if body.bolt_offset:
        rounds.append(Round(body.bolt_offset, 0, body.bolt_radius))
        holes.append(Loop.circle(body.bolt_offset, 0, body.bolt / 2 + 0.3))
    touched = hull(rounds)
    edge = outline(touched) if len(touched) > 1 else Loop.circle(0, 0, touched[0].radius)
    return fused([tube, prism(edge, holes, 0.0, FLANGE_THICKNESS)], "the sensor")


def _hexagon(d: float) -> Loop:
    r = across_flats_mm(d) / math.sqrt(3)
    return Loop.polygon([(r * math.cos(k * math.pi / 3), r * math.sin(k * math.pi / 3)) for k in range(6)])


def _nut(d: float, z0: float, z1: float) -> cq.Solid:
    return prism(_hexagon(d), [Loop.circle(0, 0, d / 2)], z0, z1)
