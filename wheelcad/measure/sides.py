"""The sides of teeth as straight lines through points, so that one edge is the word of many of them.

A side's points lie at known radii from the middle; the line through them is turned into the angle of the edge at any
radius. Angles in degrees, lengths mm; arrays are (sides, points).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.measure.pattern import Ints
from wheelcad.trade.loop import Floats

OUTLIER = 3.5  # robust standard deviations beyond which a point is dust, a burr or a scratch


@dataclass(frozen=True, eq=False)
class Sides:
    """Lines v = a + b·(u - u0), u outwards and v across, in mm, in frames turned to base_deg (s,).

    sd_mm: (s,) standard error of a: of each line by its own blocks of points and by those of all.
    """

    base_deg: Floats
    a: Floats
    b: Floats
    u0: Floats
    sd_mm: Floats

    def at(self, radius: float) -> Floats:
        """(s,) angles in degrees where the lines cut the circle of `radius` mm."""
        # v = c + b·u with u² + v² = r²
        c = self.a - self.b * self.u0
        k = 1 + self.b**2
        u = (-self.b * c + np.sqrt(np.maximum(k * radius**2 - c**2, 0.0))) / k
        return np.asarray(self.base_deg + np.degrees(np.arctan2(c + self.b * u, u)))


def fit_sides(radius_mm: Floats, angle_deg: Floats, blocks: Ints | None = None) -> Sides:
    """Lines through points given by radius and angle, both (sides, points); NaN where there is none.

    Least squares, repeated with outliers left out. Sides with fewer than two points get NaN. blocks: (points,) number
    of the block each point belongs to; neighbours that err alike belong together, so that they are not counted as many.
    """
    base = np.nanmedian(angle_deg, axis=1)
    local = np.radians(angle_deg - base[:, None])
    u, v = radius_mm * np.cos(local), radius_mm * np.sin(local)
    weight = np.isfinite(v).astype(float)
    u, v = np.nan_to_num(u), np.nan_to_num(v)
    spread = 0.0
    for _ in range(4):
        count = np.maximum(weight.sum(axis=1), 1e-9)
        u0 = (weight * u).sum(axis=1) / count
        du = weight * (u - u0[:, None])
        spread_u = np.maximum((du**2).sum(axis=1), 1e-12)
        a = (weight * v).sum(axis=1) / count
        b = (du * v).sum(axis=1) / spread_u
        rest = v - a[:, None] - b[:, None] * (u - u0[:, None])
        inside = weight > 0
        spread = 1.4826 * float(np.median(np.abs(rest[inside]))) if inside.any() else 0.0
        known = np.isfinite(angle_deg)
        weight = (known & (np.abs(rest) <= OUTLIER * spread + 1e-9)).astype(float)
        few = weight.sum(axis=1) < 2
        weight[few] = known[few]
    sd = _standard_errors(weight, rest, np.arange(weight.shape[1]) if blocks is None else blocks)
    a = np.where(weight.sum(axis=1) >= 2, a, np.nan)
    return Sides(base, a, b, u0, sd)


def _standard_errors(weight: Floats, rest: Floats, blocks: Ints) -> Floats:
    """(s,) of each line's middle, from the means of its blocks; half by its own, half by all lines'."""
    belongs = (blocks[:, None] == np.unique(blocks)).astype(float)
    count = weight @ belongs
    means = (weight * rest) @ belongs / np.maximum(count, 1)
    seen = (count > 0).sum(axis=1)
    variance = (np.where(count > 0, means, 0.0) ** 2).sum(axis=1) / np.maximum(seen - 2, 1) / np.maximum(seen, 1)
    whole = float(variance[seen >= 3].mean()) if (seen >= 3).any() else float(variance.mean())
    return np.asarray(np.sqrt((variance + whole) / 2))
