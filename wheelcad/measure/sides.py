"""The sides of teeth as straight lines through points, so that one edge is the word of many of them.

A side's points lie at known radii from the middle; the line through them is turned into the angle of the edge at any
radius. Angles in degrees, lengths mm; arrays are (sides, points).
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats, Ints

TURNS = 7
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

    Least squares with outliers left out. Sides with fewer than two points get NaN. blocks: (points,) number
    of the block each point belongs to; neighbours that err alike belong together, so that they are not counted as many.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # of sides without a point: they come out as NaN
        return _fitted(radius_mm, angle_deg, np.nanmedian(angle_deg, axis=1), blocks)


def _fitted(radius_mm: Floats, angle_deg: Floats, base: Floats, blocks: Ints | None) -> Sides:
    local = np.radians(angle_deg - base[:, None])
    u, v = radius_mm * np.cos(local), radius_mm * np.sin(local)
    known = np.isfinite(v)
    weight = known.astype(float)
    u, v = np.nan_to_num(u), np.nan_to_num(v)
    for turn in range(TURNS):
        count = np.maximum(weight.sum(axis=1), 1e-12)
        u0 = (weight * u).sum(axis=1) / count
        du = weight * (u - u0[:, None])
        a = (weight * v).sum(axis=1) / count
        b = (du * v).sum(axis=1) / np.maximum((du * (u - u0[:, None])).sum(axis=1), 1e-12)
        rest = v - a[:, None] - b[:, None] * (u - u0[:, None])
        size = np.where(known, np.abs(rest), np.nan)
        all_alike = 1.4826 * float(np.nanmedian(size)) + 1e-9
        spread = np.fmax(1.4826 * np.nanmedian(size, axis=1), all_alike)[:, None]
        if turn < TURNS - 2:  # least sums of distances first, which one point far off does not sway
            weight = known / np.maximum(np.abs(rest), 0.3 * spread)
        else:
            weight = (known & (np.abs(rest) <= OUTLIER * spread)).astype(float)
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
