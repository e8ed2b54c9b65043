"""Lengths and unbalance out of a mesh, each with how far it may be off.

A scanner's mesh is rough: what its corners scatter about the rim's circle is taken for the roughness of all of its
surface. A mesh out of a program scatters nothing, and its figures are its own but for single precision.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.measure.reading import Unbalance
from wheelcad.measure.rounds import FittedRound
from wheelcad.trade.frames import angle_of

if TYPE_CHECKING:
    from wheelcad.measure.mesh import Solid

FINEST = 3e-5  # mm: single precision of corners some 300 mm from the origin
NORMAL_95, PLANE_95 = 1.96, 2.448  # standard deviations that hold 95 %: either way of a line; round a point of a plane
WELDED = 60_000  # triangles up to which corners are brought together; finer meshes are even enough without
SAME_MM = 1e-5  # corners of one point


def roughness(rim: FittedRound) -> float:
    """Standard deviation of the surface across itself, mm."""
    return max(1.4826 * float(np.median(np.abs(rim.rest))), FINEST)


def middle_sd(round_: FittedRound) -> float:
    """Standard deviation of a circle's middle in either direction, mm: √(2 / n) of its points' scatter."""
    return roughness(round_) * float(np.sqrt(2 / len(round_.rest)))


def rough_moment(columns: Floats, centre: Floats) -> float:
    """What the first moments of a mesh scatter, mm³, to 1 mm of scatter of every corner. columns: (corner, axis,
    triangle).

    A corner moved by δ adds δ · N / 3 of volume, N the sum of the area vectors round it: √(Σ x² |N|² / 9) over all
    corners, x² as r²/2 in either direction. Of very many triangles each corner is taken to have six alike.
    """
    n = columns.shape[2]
    some = columns[:, :, :: max(1, n // WELDED)]
    a, b, c = some.transpose(0, 2, 1)
    areas = np.cross(b - a, c - a) / 2
    if n > WELDED:
        far = (((a + b + c)[:, :2] / 3 - centre) ** 2).sum(axis=1)
        return float(np.sqrt((far * (areas**2).sum(axis=1)).sum() * n / len(a)))
    points = np.concatenate([a, b, c])
    _, first, which = np.unique(np.round(points / SAME_MM), axis=0, return_index=True, return_inverse=True)
    whole = np.column_stack([np.bincount(which.ravel(), np.tile(part, 3)) for part in areas.T])
    far = ((points[first, :2] - centre) ** 2).sum(axis=1)
    return float(np.sqrt((far * (whole**2).sum(axis=1)).sum() / 18))


def lengths(tops: Floats, rim: FittedRound, bore: FittedRound | None) -> dict[str, Any]:
    """Reading's centre_offset_mm, runout_mm and roundness_mm with their lengths_95_mm. tops: (n,) distances of the
    rim's points from what is measured about."""
    # of many points of a round rim the greatest and the least lie so far apart by their roughness
    spread = 2 * roughness(rim) * float(np.sqrt(2 * np.log(len(rim.rest))))
    offset = None if bore is None else float(np.linalg.norm(bore.centre - rim.centre))
    sd = 0.0 if bore is None else float(np.hypot(middle_sd(rim), middle_sd(bore)))
    return {
        "centre_offset_mm": offset,
        "runout_mm": float(np.ptp(tops)),
        "roundness_mm": float(np.ptp(rim.rest)),
        "lengths_95_mm": {
            **({} if bore is None else {"centre_offset_mm": PLANE_95 * max(sd, FINEST)}),
            "runout_mm": spread + 2 * NORMAL_95 * sd,
            "roundness_mm": spread,
        },
    }


def unbalance(
    solid: Solid, about: FittedRound, rim: FittedRound, density: float, sense: int, open_share: float
) -> Unbalance:
    """Of the closed mesh, g·mm; `about` is the circle that is measured about. open_share: of seams that do not meet,
    which may hide as much of the mass as far out as the rim."""
    first = solid.first_moments(about.centre) * density * 1e-6
    grams = abs(solid.volume()) * density * 1e-6
    rough = roughness(rim) * rough_moment(solid.columns, about.centre) * density * 1e-6
    sd = float(np.hypot(grams * middle_sd(about), rough))
    within = PLANE_95 * sd + open_share * grams * rim.radius
    return Unbalance(float(np.hypot(*first)), float(angle_of(first[0], first[1], sense)), within, density)
