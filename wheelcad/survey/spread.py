"""The radius that holds the truth in 95 %, from a covariance, and what 95 % limits are in standard deviations."""

from __future__ import annotations

import math

import numpy as np

from wheelcad.arrays import Floats

SHARE = 0.95
LIMIT_SDS = 1.959963984540054  # a 95 % limit of a normal distribution is so many standard deviations
THINNEST = 1e-4  # an axis thinner than this share of the longest is taken to be this thick: the radius is the same


def radius_95(covariance: Floats) -> float:
    """Radius (mm) of the circle or sphere about the place that holds the truth in 95 % of cases.

    covariance: (2, 2) or (3, 3), mm²; the errors are taken as normal. The share inside a radius is integrated: by
    angle, along a third axis by Gauss's rule. inf where the covariance is not finite.
    """
    if not np.all(np.isfinite(covariance)):
        return math.inf
    sds = np.sqrt(np.clip(np.linalg.eigvalsh(covariance), 0.0, None))[::-1]
    if sds[0] <= 0.0:
        return 0.0
    sds = np.maximum(sds / sds[0], THINNEST)
    low, high = 0.0, 6.0
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if _inside(middle, sds) < SHARE else (low, middle)
    return float(high * math.sqrt(float(np.linalg.eigvalsh(covariance)[-1])))


def _inside(radius: float, sds: Floats) -> float:
    """The share of a centred normal distribution, with these standard deviations along its axes, within `radius`."""
    if len(sds) == 2:
        return float(_in_circles(np.array([radius]), sds[0], sds[1])[0])
    # the two thicker axes in a circle, added up along the thinnest, whose bell needs most points near 0
    nodes, weights = np.polynomial.legendre.leggauss(61)
    reach = min(radius, 8.0 * sds[2])
    z = nodes * reach
    bell = np.exp(-0.5 * (z / sds[2]) ** 2) / (sds[2] * math.sqrt(2 * math.pi))
    return float(np.sum(weights * reach * bell * _in_circles(np.sqrt(radius**2 - z**2), sds[0], sds[1])))


def _in_circles(radii: Floats, a: float, b: float) -> Floats:
    """Shares of a normal distribution with standard deviations a, b that lie in circles about its middle."""
    # the radial integral is done by hand; what is left is a smooth periodic function, which equal steps add up best;
    # they are equal in the angle at which the ellipse is a circle
    t = (np.arange(720) + 0.5) * (2 * math.pi / 720)
    along = (a * np.cos(t)) ** 2 + (b * np.sin(t)) ** 2
    return np.asarray(1.0 - np.exp(-0.5 * radii[:, None] ** 2 / along).mean(axis=1), dtype=float)
