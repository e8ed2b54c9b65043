"""Moving the gap to the spoiled place, as long as it has not been cleared: what is spoiled goes away with the teeth.

A gap of m missing teeth lies between two slots m positions apart. Slots between them are swallowed; of the two that
bound it only the side away from the gap matters, so that either may be cut again at its right place.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import Key
from wheelcad.measure.advice import Advice, Case, offset, setting, shorter
from wheelcad.measure.advice_signal import syncs
from wheelcad.measure.timing import timing_error
from wheelcad.trade.frames import wrap_360
from wheelcad.words import angle

LEAST_DEG = 0.1


def move_gap(case: Case) -> list[Advice]:
    """The best other place for the gap, where that leaves less than now; and the sensor's place that goes with it."""
    n = len(case.errors)
    if not case.gap_open or n != case.teeth:
        return []
    base = offset(case.errors)
    off = case.errors - base
    m = case.missing
    best = (math.inf, 0)
    for first in range(n):  # the gap lies between slots first and first + m
        inside = (first + np.arange(m + 1)) % n
        rest = np.delete(off, inside)
        left = float(np.ptp(rest)) if len(rest) else 0.0
        if left < best[0] - 1e-9:
            best = (left, first)
    left, first = best
    if left > 0.7 * float(np.ptp(off)) or first == n - 1:
        return []
    return list(_proposals(case, first, off, base))


def _proposals(case: Case, first: int, off: Floats, base: float) -> Iterator[Advice]:
    n, m, pitch = len(off), case.missing, case.pitch_deg
    centre = float(case.nominal_deg[first]) + base + m * pitch / 2
    old = float(case.nominal_deg[0]) + base - m * pitch / 2
    moved = shorter(centre - old)
    after = off.copy()
    bounds = [first, (first + m) % n]
    again = [k for k in bounds if abs(off[k]) > LEAST_DEG]
    after[(first + np.arange(m + 1)) % n] = 0.0
    kept = (first + m + np.arange(n - m)) % n  # teeth kept lie between slots k and k + 1
    nominal = case.nominal_deg[kept] + base + pitch / 2
    errors = (after[kept] + after[(kept + 1) % n]) / 2
    error, by = timing_error(nominal, errors, case.job)
    works = syncs(np.asarray(wrap_360(nominal + errors)), case.teeth, m, case.job)
    what = f"clear the gap between slots {first + 1} and {(first + m) % n + 1}"
    if again:
        places = "; ".join(setting(case, k) for k in sorted(again))
        what += f", after cutting {places}: where it belongs"
    if case.job is None:
        what += f": the gap moves by {angle(moved, 3)} the way the crank turns; give a --job to write it"
        yield Advice("move-gap", what, error, works, by_cylinder=by)
        return
    new_at = float(wrap_360(case.job.wheel.gap_at + moved))
    key: Key = ("wheel", "gap_at")
    changes = {key: f"{_plain(new_at)} deg"}
    yield Advice(
        "move-gap",
        what
        + f", which is gap_at: {_plain(new_at)} deg; balance and the controller's angle move with it, so build the "
        "new job",
        error,
        works,
        changes if not case.job.wheel.gaps[1:] else {},
        {key: "missing"},
        by,
    )
    if case.job.sensor is not None:
        at = float(wrap_360(case.job.sensor.at + moved))
        sensor: Key = ("sensor", "at")
        what += f", and stand the sensor at {_plain(at)} deg: the controller's angle then stays as it was"
        yield Advice("move-sensor", what, error, works, {**changes, sensor: f"{_plain(at)} deg"}, {key: "missing"}, by)


def _plain(angle: float) -> str:
    return f"{round(angle, 3):g}"
