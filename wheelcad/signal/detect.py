"""From a field along the row of teeth to the edges that a controller gets, by kind of sensor.

Places x are mm along the row at the sensor's radius, rising with wheel angle; the sensor sees them FALLING as the crank
turns. Curves are (p,) arrays over rising x of one stretch of row. Everything here is pure arrays, without a field
solver, so that recorded signals can be put through it as well.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from wheelcad.arrays import Floats


class ZeroCrossing(NamedTuple):
    """A zero crossing that a controller took. at: in the units of the curve's own axis; peak: before; slope: there."""

    at: float
    peak: float
    slope: float


def zero_crossings(at: Floats, volts: Floats, arming: float, least: float = 0.0) -> list[ZeroCrossing]:
    """Falling zero crossings of a pickup's signal, each taken only when armed by the peak before it.

    at: ascending (time or angle). volts: (p,). A crossing counts when the peak since the last one was above the larger
    of `least` and `arming` × the peak of the last one taken: the usual way of thresholds that fall with time.
    """
    falls = np.flatnonzero((volts[:-1] > 0) & (volts[1:] <= 0))
    out: list[ZeroCrossing] = []
    since, last_peak = 0, 0.0
    for k in falls:
        peak = float(volts[since : k + 1].max())
        if peak > max(least, arming * last_peak):
            rise, run = float(volts[k + 1] - volts[k]), float(at[k + 1] - at[k])
            out.append(ZeroCrossing(float(at[k] - volts[k] * run / rise), peak, -rise / run))
            last_peak = peak
        since = int(k) + 1
    return out


def level_crossings(x: Floats, b: Floats, level: float) -> tuple[Floats, Floats]:
    """(rising, falling) places at which a curve crosses a level, going up x; linear between points."""
    d = b - level
    k = np.flatnonzero((d[:-1] < 0) != (d[1:] < 0))
    at = x[k] - d[k] * (x[k + 1] - x[k]) / (d[k + 1] - d[k])
    up = d[k] < 0
    return at[up], at[~up]


def half_swing(b: Floats) -> float:
    """The level in the middle of a curve's swing: what a sensor that sets itself compares with."""
    return float((b.max() + b.min()) / 2)


def seen_edge_mm(x: Floats, b: Floats, level: float, centre: float, half_tooth: float) -> tuple[float, float] | None:
    """How far outside a tooth's two edges (lower x, upper x) a level is crossed, mm; None where it never is.

    centre, half_tooth: of the tooth that is looked at. Positive: the sensor sees the tooth wider than it is.
    """
    rising, falling = level_crossings(x, b, level)
    before, after = rising[rising < centre], falling[falling > centre]
    if len(before) == 0 or len(after) == 0:
        return None
    return float(centre - half_tooth - before[-1]), float(after[0] - centre - half_tooth)


def differential(x: Floats, b: Floats, spacing: float) -> Floats:
    """What two elements `spacing` apart along the motion see, one less the other; the row goes round at its ends."""
    step = float(x[1] - x[0])
    length = step * len(x)
    wide = np.concatenate([x - length, x, x + length])
    round_ = np.tile(b, 3)
    return np.asarray(np.interp(x + spacing / 2, wide, round_) - np.interp(x - spacing / 2, wide, round_))


def refined(x: Floats, curve: Floats, times: int = 8) -> tuple[Floats, Floats]:
    """A curve that goes round at its ends, on `times` as many points, by its own harmonics; exact for smooth ones."""
    n = len(x)
    spectrum = np.fft.rfft(curve)
    spectrum[min(len(spectrum) - 1, n // 3) :] = 0  # the last third is the mesh's, not the field's
    step = float(x[1] - x[0]) / times
    return x[0] + step * np.arange(n * times), np.fft.irfft(spectrum, n * times) * times


def slope_of(x: Floats, curve: Floats) -> Floats:
    """dcurve/dx of a curve that goes round at its ends, by central differences."""
    step = float(x[1] - x[0])
    return np.asarray((np.roll(curve, -1) - np.roll(curve, 1)) / (2 * step))
