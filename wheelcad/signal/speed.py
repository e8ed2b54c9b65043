"""How fast the crank turns at each degree of a cycle, from what compression takes and gives back.

Degrees of crank past the firing TDC of cylinder 1, over a four-stroke cycle of 720. Speeds are shares of the mean BY
TIME, so that time can be told in "degrees at mean speed": a cycle lasts 720 of them, and seconds are those / (6·rpm).
One thing is unknown, how deep the speed dips on the starter; everything else follows from geometry and energy.
Not modelled: friction's own ripple, the starter's, gas lost past cold rings, cylinders that burn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from wheelcad.arrays import Floats
from wheelcad.trade.ignition import CYCLE_DEG

STEP_DEG = 0.25  # of the table; a tooth's passage is many of them
ROD_RATIO = 3.5  # rod length over crank throw; common practice, no source
EXPONENT = 1.3  # polytropic, of air compressed in a cold cylinder; Heywood, from memory
_GRID = np.arange(0.0, CYCLE_DEG, STEP_DEG)


@dataclass(frozen=True, eq=False)
class Speed:
    """Crank speed over one cycle. share: (N,) speed over its mean by time at θ = 0, STEP_DEG, …

    time_deg: (N + 1,) when the crank gets there, in degrees at mean speed, from 0 to 720.
    """

    share: Floats
    time_deg: Floats

    @property
    def dip(self) -> float:
        """Slowest speed over mean speed."""
        return float(self.share.min())

    def share_at(self, crank_deg: ArrayLike) -> Floats:
        """Speed over mean at any angles (any shape)."""
        k, u, _ = _cell(crank_deg, len(self.share))
        return np.asarray((1 - u) * self.share[k] + u * self.share[(k + 1) % len(self.share)])

    def when(self, crank_deg: ArrayLike) -> Floats:
        """Time, in degrees at mean speed, at which the crank gets to any angles (not wrapped: 720 later is a cycle on).

        Cubic between the table's points, whose slopes are 1/speed.
        """
        n = len(self.share)
        k, u, cycles = _cell(crank_deg, n)
        t0, t1 = self.time_deg[k], self.time_deg[k + 1]
        d0, d1 = STEP_DEG / self.share[k], STEP_DEG / self.share[(k + 1) % n]
        rise = t1 - t0
        inner = u * (d0 + u * (3 * rise - 2 * d0 - d1 + u * (d0 + d1 - 2 * rise)))
        return np.asarray(t0 + inner + CYCLE_DEG * cycles)

    def angle(self, time_deg: ArrayLike) -> Floats:
        """Where the crank is at a time: the inverse of `when`."""
        t = np.asarray(time_deg, dtype=float)
        cycles = np.floor(t / CYCLE_DEG)
        known = np.append(_GRID, CYCLE_DEG)
        a = np.interp(t - cycles * CYCLE_DEG, self.time_deg, known) + cycles * CYCLE_DEG
        for _ in range(2):  # linear between the table's points, then Newton
            a = a - (self.when(a) - t) * self.share_at(a)
        return np.asarray(a)


def _cell(crank_deg: ArrayLike, n: int) -> tuple[np.ndarray, Floats, Floats]:
    """Index of the table's point below, the share of a step beyond it, and whole cycles."""
    a = np.asarray(crank_deg, dtype=float) / STEP_DEG
    whole = np.floor(a)
    cycles = np.floor(whole / n)
    return (whole - cycles * n).astype(np.intp), a - whole, cycles


def from_speed(speed: ArrayLike) -> Speed:
    """A Speed from any positive speeds at 0, STEP_DEG, … of a cycle, in any unit. ValueError for a crank that stops."""
    omega = np.asarray(speed, dtype=float)
    if omega.shape != _GRID.shape or not (omega > 0).all():
        raise ValueError("speed must be given over the whole cycle and be greater than nothing")
    slowness = 1.0 / omega
    after = np.roll(slowness, -1)
    # trapezoids, with the end correction that makes them fourth order (derivatives by central differences)
    slope = (after - np.roll(slowness, 1)) / 2
    pieces = STEP_DEG * ((slowness + after) / 2 - (np.roll(slope, -1) - slope) / 12)
    time = np.concatenate([[0.0], np.cumsum(pieces)])
    mean = CYCLE_DEG / time[-1]
    return Speed(omega / mean, time * mean)


def even_speed() -> Speed:
    """A crank that turns evenly."""
    return from_speed(np.ones_like(_GRID))


def compression_work(
    crank_deg: ArrayLike, compression: float, rod_ratio: float = ROD_RATIO, exponent: float = EXPONENT
) -> Floats:
    """Work in a closed cylinder's gas, in units of (outside pressure × swept volume), at angles from its firing TDC.

    Slider-crank and a polytropic: s = (1 - cos θ)/2 + (λ - √(λ² - sin²θ))/2, v = 1/(c - 1) + s,
    W = (v0^n·v^(1-n) - v0)/(n - 1) - (v0 - v), the air below the piston counted; 0 beyond 180 degrees, where valves
    are open. Source: Heywood, Internal Combustion Engine Fundamentals (from memory). ValueError for a ratio ≤ 1.
    """
    if compression <= 1:
        raise ValueError("a compression ratio is greater than 1")
    a = np.mod(np.asarray(crank_deg, dtype=float) + 360.0, CYCLE_DEG) - 360.0
    t = np.radians(a)
    s = (1 - np.cos(t)) / 2 + (rod_ratio - np.sqrt(rod_ratio**2 - np.sin(t) ** 2)) / 2
    v, v0 = 1 / (compression - 1) + s, 1 / (compression - 1) + 1
    work = (v0**exponent * v ** (1 - exponent) - v0) / (exponent - 1) - (v0 - v)
    return np.asarray(np.where(np.abs(a) <= 180.0, work, 0.0))


def gas_work(firing_deg: Sequence[float], compression: float, rod_ratio: float = ROD_RATIO) -> Floats:
    """(N,) work stored in all cylinders over the cycle, less its mean; a cylinder without its plug is left out."""
    total = np.zeros_like(_GRID)
    for at in firing_deg:
        total += compression_work(_GRID - at, compression, rod_ratio)
    return np.asarray(total - total.mean())


def speed_at_dip(work: Floats, dip: float) -> Speed:
    """As `compression_speed`, from the work of `gas_work`."""
    if not 0 < dip <= 1:
        raise ValueError("the slowest speed is more than nothing and at most the mean")
    peak = float(work.max())
    if dip == 1 or peak <= 1e-12:
        return even_speed()
    return from_speed(np.sqrt(1 - _kappa(work, peak, dip) * work))


def _kappa(work: Floats, peak: float, dip: float) -> float:
    """κ by bisection on how near it is to stopping the crank, which is always between nothing and all the way."""
    low, high = 0.0, 1.0  # shares of 1/peak
    # the last part is reached on a logarithmic scale: a deep dip needs κ very near 1/peak
    for _ in range(60):
        middle = (low + high) / 2
        omega = np.sqrt(np.maximum(1 - middle * work / peak, 1e-300))
        mean = 1.0 / float(np.mean(1.0 / omega))
        if float(omega.min()) / mean > dip:
            low = middle
        else:
            high = middle
    return low / peak


def at_other_speed(work: Floats, dip: float, cranking_rpm: float, rpm: float) -> Speed:
    """The same gas work on the same inertia at another mean speed: κ falls with the square of the speed.

    Burning is not in it, so at idle the true ripple is greater.
    """
    peak = float(work.max())
    if dip == 1 or peak <= 1e-12:
        return even_speed()
    kappa = _kappa(work, peak, dip) * (cranking_rpm / rpm) ** 2
    return from_speed(np.sqrt(np.maximum(1 - min(kappa, 0.999999 / peak) * work, 1e-9)))
