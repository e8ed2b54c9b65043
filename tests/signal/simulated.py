"""Gap places scanned one degree at a time, for the tables of where decoders fail."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tests.signal.closed import sinusoid
from wheelcad.signal.decode import Compares, decode_margins
from wheelcad.signal.speed import (
    Speed,
    gas_work,
    speed_at_dip,
)

PLACES = np.arange(0.0, 360.0)


def pattern(teeth: int, missing: int) -> tuple[np.ndarray, np.ndarray]:
    """(crank angles of one turn from the gap's middle, steps) of an ideal wheel."""
    steps = np.array([missing + 1] + [1] * (teeth - missing - 1))
    at = 360.0 / teeth * ((missing + 1) / 2 + np.concatenate([[0], np.cumsum(steps[1:])]))
    return at, steps


def limit(syncs: Callable[[float], bool], low: float, high: float) -> float:
    """Where `syncs` turns from one answer to the other between low and high, to 1e-4."""
    at_low = syncs(low)
    while high - low > 1e-4:
        middle = (low + high) / 2
        if syncs(middle) == at_low:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def margin_over_places(teeth: int, missing: int, q: float, compares: Compares, speed: Speed) -> np.ndarray:
    """(360,) margins."""
    at, steps = pattern(teeth, missing)
    return decode_margins(at, steps, speed, q, compares, PLACES)


def failing_swing(cylinders: int, teeth: int, missing: int, q: float, compares: Compares) -> float:
    """Swing of a sinusoid of order cylinders/2 above which the worst place fails."""
    return limit(
        lambda s: bool(margin_over_places(teeth, missing, q, compares, sinusoid(s, cylinders / 2)).min() > 1), 0, 0.9999
    )


def failing_dip(cylinders: int, teeth: int, missing: int, q: float, best: bool) -> float:
    """Slowest/mean speed of compression ripple below which the worst (or the best) place fails; compares last."""
    work = gas_work([k * 720 / cylinders for k in range(cylinders)], 8.5)

    def syncs(dip: float) -> bool:
        margins = margin_over_places(teeth, missing, q, "last", speed_at_dip(work, dip))
        return bool((margins.max() if best else margins.min()) > 1)

    return limit(syncs, 0.02, 1.0)
