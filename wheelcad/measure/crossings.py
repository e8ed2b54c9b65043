"""From the samples of a recording to the moments at which teeth pass, for a reluctance sensor or a Hall sensor.

A reluctance sensor's voltage falls through nothing at a tooth's centre, steeply, and rises through nothing between
teeth; with its wires swapped the two change places. A Hall sensor's voltage stands at one of two levels. Times in
seconds.
"""

from __future__ import annotations

import itertools
import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats, Ints
from wheelcad.measure.reading import refused

LEAST_SECONDS, MOST_SAMPLES = 0.2, 200_000_000
QUIET = 0.002  # of full scale: below this there is no signal
FIRST_ARMING, ARMING = 0.25, 0.30  # of the strongest, then of the local lobes: a lobe counts from here on
SMOOTH = 16  # to a tooth: width of the running mean that takes the noise down
SQUARE = 0.75  # of the samples near one of two levels: a Hall sensor's output
FEWEST = 24  # lobes


@dataclass(frozen=True, eq=False)
class Passes:
    """Moments (k,) at which the voltage falls and rises through the middle, and for falling ones the lobes' height
    from top to bottom. square: two levels, as a Hall sensor gives. falls[i] < rises[i] < falls[i + 1]."""

    falls: Floats
    rises: Floats
    height: Floats
    square: bool


def read_wav(path: Path) -> tuple[float, Floats]:
    """(samples a second, samples of the stronger channel, -1 … 1). JobFileError for what is no recording."""
    from scipy.io import wavfile

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            rate, data = wavfile.read(path)
    except OSError as error:
        raise refused(path, f"cannot be read: {error.strerror or error}") from None
    except Exception as error:  # the library raises whatever it trips over
        raise refused(path, f"is no WAV that can be read ({type(error).__name__})") from None
    if data.size > MOST_SAMPLES:
        raise refused(path, "is far too long: half a minute is plenty")
    full = float(np.iinfo(data.dtype).max) + 1 if data.dtype.kind in "iu" else 1.0
    samples = data.astype(float) / full
    if data.dtype.kind == "u":
        samples -= 0.5
    if samples.ndim == 2:
        samples = samples[:, int(np.argmax(samples.std(axis=0)))]
    if len(samples) < LEAST_SECONDS * rate:
        raise refused(path, "is too short: record at least five turns of the crank, better ten seconds")
    if not np.isfinite(samples).all() or float(np.ptp(samples)) < 2 * QUIET:
        raise refused(path, "is silent: no signal reached the sound card")
    return float(rate), samples


def find_passes(path: Path, rate: float, samples: Floats) -> Passes:
    """The moments teeth pass. JobFileError where there is nothing but noise."""
    from scipy.ndimage import maximum_filter1d, uniform_filter1d

    low, high = np.quantile(samples, [0.02, 0.98])
    near = np.minimum(np.abs(samples - low), np.abs(samples - high)) < 0.12 * (high - low)
    square = bool(near.mean() > SQUARE)
    v = samples - ((low + high) / 2 if square else float(np.median(samples)))
    first = _lobes(v, np.full(len(v), FIRST_ARMING * float(np.quantile(np.abs(v), 0.98))))
    if len(first) < FEWEST:
        raise refused(path, "shows no teeth: fewer than a dozen pulses stand out")
    period = 2 * float(np.median(np.diff(first[:, 0])))
    v = uniform_filter1d(v, max(1, int(period / SMOOTH)))
    around = maximum_filter1d(np.abs(v), max(3, int(4 * period)))
    lobes = _lobes(v, np.maximum(ARMING * around, QUIET))
    if len(lobes) < FEWEST:
        raise refused(path, "shows no teeth: fewer than a dozen pulses stand out")
    return _passes(v, lobes, rate, square)


def _lobes(v: Floats, arming: Floats) -> Ints:
    """(k, 3) first sample, last sample and sign of each lobe beyond the arming level, signs in turn."""
    sign = np.where(v > arming, 1, np.where(v < -arming, -1, 0))
    armed = np.flatnonzero(sign)
    if not len(armed):
        return np.zeros((0, 3), dtype=np.int64)
    change = np.flatnonzero(np.diff(sign[armed])) + 1
    starts = np.concatenate([[0], change])
    ends = np.concatenate([change, [len(armed)]]) - 1
    return np.column_stack([armed[starts], armed[ends], sign[armed[starts]]]).astype(np.int64)


def _passes(v: Floats, lobes: Ints, rate: float, square: bool) -> Passes:
    if lobes[0, 2] < 0:
        lobes = lobes[1:]
    lobes = lobes[: len(lobes) // 2 * 2]
    times = np.array([_through(v, int(a[1]), int(b[0])) for a, b in itertools.pairwise(lobes)]) / rate
    tops = np.maximum.reduceat(v, lobes[::2, 0])
    bottoms = np.minimum.reduceat(v, lobes[1::2, 0])
    falls, rises = times[0::2], times[1::2]
    count = min(len(falls), len(rises))
    return Passes(falls[:count], rises[:count], (tops - bottoms)[:count], square)


def _through(v: Floats, last: int, first: int) -> float:
    """Where the voltage passes through nothing between two lobes, in samples: a line through the inner half of the
    way."""
    part = v[last : first + 1]
    inner = np.flatnonzero(np.abs(part) <= 0.5 * min(abs(part[0]), abs(part[-1])))
    if len(inner) >= 4:
        inner = np.arange(inner[0], inner[-1] + 1)
        slope, at = np.polyfit(inner, part[inner], 1)
        if slope != 0 and inner[0] <= -at / slope <= inner[-1]:
            return last - float(at / slope)
    change = np.flatnonzero(np.diff(np.sign(part)) != 0)
    if not len(change):
        return (last + first) / 2
    k = int(change[len(change) // 2])
    return last + k + float(part[k] / (part[k] - part[k + 1]))
