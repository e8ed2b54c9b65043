"""The sensor and its fasteners as solids, to look at and to find collisions with; proportions as in `design`."""

from __future__ import annotations

import cadquery as cq
import numpy as np

from wheelcad.arrays import Floats
from wheelcad.files.brep import fused, prism
from wheelcad.parts.sensor.design import (
    FLANGE_THICKNESS,
    TAIL_LENGTH,
    SensorBody,
    SensorPlace,
    flange_of,
    hexagon,
    seat_axes,
)
from wheelcad.trade.heads import BARREL_NUT_HEIGHT, HEAD_HEIGHT, NUT_HEIGHT
from wheelcad.trade.loop import Loop


def sensor_solids(
    place: SensorPlace, body: SensorBody, plate_mm: float, bolt_at: Floats | None
) -> list[tuple[str, cq.Solid]]:
    """Named solids in the engine frame: the sensor, and the bolt and nut, or the two nuts, that hold it.

    plate_mm: thickness of the tab. bolt_at: engine point of the fixing bolt on the sensor's side of the tab, or None.
    """
    x, _, z = seat_axes(place, None if bolt_at is None else bolt_at - np.array(place.face)).tolist()
    seat = cq.Location(cq.Plane(origin=place.face, xDir=tuple(x), normal=tuple(z)))
    out = [("sensor", _sensor(body).moved(seat))]
    if body.barrel:
        height = BARREL_NUT_HEIGHT * body.bolt
        out.append(("sensor nut 1", _nut(body.bolt, 0.0, height).moved(seat)))
        out.append(("sensor nut 2", _nut(body.bolt, -plate_mm - height, -plate_mm).moved(seat)))
    elif bolt_at is not None and body.bolt:
        d = body.bolt
        at = cq.Location(cq.Vector(body.bolt_offset, 0, 0))
        top = FLANGE_THICKNESS
        shank = prism(Loop.circle(0, 0, d / 2), (), -plate_mm - NUT_HEIGHT * d, top)
        head = prism(hexagon(d), (), top, top + HEAD_HEIGHT * d)
        out.append(("sensor bolt", fused([shank, head], "the sensor's bolt").moved(seat * at)))
        out.append(("sensor nut", _nut(d, -plate_mm - 0.8 * d, -plate_mm).moved(seat * at)))
    return out


def _sensor(body: SensorBody) -> cq.Solid:
    """Nose below z = 0, flange (unless a barrel) and tail above it."""
    tube = prism(Loop.circle(0, 0, body.diameter / 2), (), -body.nose_length, TAIL_LENGTH)
    if body.barrel:
        return tube
    edge, holes = flange_of(body)
    return fused([tube, prism(edge, holes, 0.0, FLANGE_THICKNESS)], "the sensor")


def _nut(d: float, z0: float, z1: float) -> cq.Solid:
    return prism(hexagon(d), [Loop.circle(0, 0, d / 2)], z0, z1)
