"""What shop errors leave behind: the residual drawn many times with errors of place, size, depth and density.

A fixed seed: the same job gives the same figure. Every error is even within its limits (a pessimist's choice), but the
direction of an eccentricity, which is any.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.trade.loop import Floats
from wheelcad.trade.unbalance import POINT_DEG, point_length_mm

SEED = 21940
DRAWS = 20_000
PLACE_MM = 0.2  # a hole's centre, in x and in y: a good mark-out or a mill's dials; common practice, no source
OVERSIZE_MM = 0.1  # a drill cuts from its size to this much over; common practice, no source
DEPTH_MM = 0.1  # of a blind hole, off the quill's stop; common practice, no source
LOCAL_DENSITY = 0.01  # metal at a hole against that of the teeth; common practice, no source
BOTH = 0.95  # share of the draws that lie below the figure


@dataclass(frozen=True)
class Spread:
    """95 % figures of the residual, g·mm. drilling: errors of the holes alone; seated: with turned surfaces (or the
    plate) off centre by up to `offset_mm` as well."""

    drilling: float
    seated: float
    offset_mm: float


def spread(
    residual: Floats, cut_away: Floats, holes: Sequence[CorrectionHole], density: float, sense: int
) -> tuple[Floats, Floats]:
    """(DRAWS, 2) residual vectors, g·mm, and the generator's further draws (DRAWS, 2) of direction and size in 0…1.

    residual: (2,) as planned. cut_away: (2,) unbalance before drilling. density: g/mm³.
    """
    draw = np.random.default_rng(SEED)
    out = np.tile(residual, (DRAWS, 1))
    out = out + cut_away * draw.uniform(-LOCAL_DENSITY, LOCAL_DENSITY, (DRAWS, 1))
    for hole in holes:
        planned = density * hole.volume_mm3 * np.array(hole.centre(sense))
        x, y = (draw.uniform(-PLACE_MM, PLACE_MM, DRAWS) for _ in range(2))
        size = hole.diameter_mm + draw.uniform(0.0, OVERSIZE_MM, DRAWS)
        off = draw.uniform(-DEPTH_MM, DEPTH_MM, DRAWS)
        depth = hole.depth_mm + (0.0 if hole.through else off)
        cone = 0.0 if hole.through else size * point_length_mm(1.0, POINT_DEG) / 3
        mass = np.pi / 4 * size**2 * (depth + cone) * density
        mass = mass * (1 + draw.uniform(-LOCAL_DENSITY, LOCAL_DENSITY, DRAWS))
        centre = np.array(hole.centre(sense)) + np.stack([x, y], axis=1)
        out = out + planned - mass[:, None] * centre
    return out, draw.uniform(0.0, 1.0, (DRAWS, 2))


def off_centre(draws: Floats, mass_g: float, offset_mm: float) -> Floats:
    """(DRAWS, 2) unbalance of `mass_g` sitting up to `offset_mm` off, any direction; draws as `spread` gives them."""
    angle = 2 * np.pi * draws[:, 0]
    size = mass_g * offset_mm * draws[:, 1]
    return np.stack([size * np.cos(angle), size * np.sin(angle)], axis=1)


def figure(vectors: Floats) -> float:
    """The 95 % figure of vectors (n, 2), g·mm."""
    return float(np.quantile(np.hypot(vectors[:, 0], vectors[:, 1]), BOTH))
