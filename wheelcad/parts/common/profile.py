"""Half sections of turned pieces: closed outlines in r (from the axis) and z (along the crank), both mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from wheelcad.job.models import Groove
from wheelcad.parts.common.stack import Land
from wheelcad.trade.loop import Loop

Point = tuple[float, float]  # r, z


def groove_floor_width(groove: Groove) -> float:
    """Width at the groove's floor, mm; below 0 when its sides would meet before they reach the depth."""
    return groove.width - 2 * groove.depth * math.tan(math.radians(groove.angle / 2))


def outer_points(lands: Sequence[Land]) -> list[Point]:
    """The outside from the front face to the back, grooves (in the middle of their land) included."""
    points: list[Point] = []
    for land in lands:
        points.append((land.radius, land.z_front))
        if land.groove is not None:
            middle, floor = (land.z_front + land.z_back) / 2, groove_floor_width(land.groove)
            top, deep = land.groove.width / 2, land.radius - land.groove.depth
            points += [(land.radius, middle + top), (deep, middle + floor / 2)]
            points += [(deep, middle - floor / 2), (land.radius, middle - top)]
        points.append((land.radius, land.z_back))
    return _without_doubles(points)


def half_section(lands: Sequence[Land], bore_radius: float, recess: tuple[float, float] | None) -> Loop:
    """The half section of lands (front to back) with a bore, and a recess of (radius, depth) in the front face.

    bore_radius may be 0. The loop's x is r and its y is z.
    """
    points = outer_points(lands)
    z_front, z_back = lands[0].z_front, lands[-1].z_back
    inner: list[Point] = [(bore_radius, z_back)]
    if recess is None:
        inner.append((bore_radius, z_front))
    else:
        radius, depth = recess
        inner += [(bore_radius, z_front - depth), (radius, z_front - depth), (radius, z_front)]
    return Loop.polygon(_without_doubles(points + inner)).oriented()


def radius_at(lands: Sequence[Land], z: float) -> float:
    """Outside radius at z (mm), grooves included; 0 where there is nothing, one of the two at a step."""
    points = outer_points(lands)
    for (r0, z0), (r1, z1) in pairwise(points):
        if z1 <= z <= z0:  # a step has the same z as the end of the piece before it, which is taken
            return r0 + (r1 - r0) * (z0 - z) / (z0 - z1)
    return 0.0


def _without_doubles(points: Sequence[Point]) -> list[Point]:
    out: list[Point] = []
    for point in points:
        if not out or math.dist(point, out[-1]) > 1e-9:
            out.append(point)
    return out
