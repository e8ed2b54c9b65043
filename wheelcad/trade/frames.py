"""The one conversion between angles on the wheel and x, y.

Wheel and engine frame: Z along the crank axis towards the person who faces the wheel, Y up, X to that person's
right. Angles: degrees from the TDC line (+Y), positive the way the crank turns. `sense` is +1 for an engine that
turns clockwise (seen facing the wheel) and -1 for one that turns anticlockwise, so that angle a lies at
(sense·r·sin a, r·cos a).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from wheelcad.arrays import Floats

CLOCKWISE = 1
ANTICLOCKWISE = -1
ROUNDING_DEG = 1e-9


def sense_of(turns: str) -> int:
    """+1 for "clockwise", -1 for "anticlockwise"; ValueError for anything else."""
    if turns == "clockwise":
        return CLOCKWISE
    if turns == "anticlockwise":
        return ANTICLOCKWISE
    raise ValueError(f"turns must be clockwise or anticlockwise, not {turns!r}")


def point_at(radius: ArrayLike, angle_deg: ArrayLike, sense: int) -> Floats:
    """Points (…, 2) at `radius` (mm) and `angle_deg` (degrees from the TDC line, positive the way the crank turns)."""
    a = np.radians(np.asarray(angle_deg, dtype=float))
    r = np.asarray(radius, dtype=float)
    return np.stack(np.broadcast_arrays(sense * r * np.sin(a), r * np.cos(a)), axis=-1)


def angle_of(x: ArrayLike, y: ArrayLike, sense: int) -> Floats:
    """Angles (degrees, 0 ≤ a < 360) of points x, y; the inverse of `point_at`."""
    a = np.degrees(np.arctan2(sense * np.asarray(x, dtype=float), np.asarray(y, dtype=float)))
    return wrap_360(a)


def wrap_360(angle_deg: ArrayLike) -> Floats:
    """Angles brought into 0 ≤ a < 360; within rounding of a whole turn is 0."""
    a = np.mod(np.asarray(angle_deg, dtype=float), 360.0)
    return np.asarray(np.where(a > 360.0 - ROUNDING_DEG, 0.0, a), dtype=float)


def wrap_180(angle_deg: ArrayLike) -> Floats:
    """Angles brought into -180 < a ≤ 180: the shorter way round, with its sign."""
    a = np.mod(np.asarray(angle_deg, dtype=float), 360.0)
    return np.asarray(np.where(a > 180.0, a - 360.0, a), dtype=float)


def apart_deg(a_deg: float, b_deg: float) -> float:
    """How far two angles are from each other the shorter way round, 0 to 180 degrees."""
    return abs((a_deg - b_deg + 180.0) % 360.0 - 180.0)


def turned(x: float, y: float, angle_deg: float) -> tuple[float, float]:
    """The point x, y turned clockwise about the axis: from +Y to where a clockwise engine has `angle_deg`."""
    a = math.radians(angle_deg)
    c, s = math.cos(a), math.sin(a)
    return x * c + y * s, -x * s + y * c
