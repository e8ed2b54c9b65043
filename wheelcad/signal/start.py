"""From a standing start: how many turns of the crank until the controller knows where it is.

The crank may stand anywhere, so every tooth may be the first, in either turn of the cycle. The starter brings it up:
speed = the cycle's × √(1 - e^(-turned/RUN_UP_DEG)), as a steady torque on an inertia with losses does. The decoder
calls each interval a gap or not; it knows its place once what it has seen since its last mistake fits one place of the
pattern only, and one gap is among it.
"""

from __future__ import annotations

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.signal.decode import Compares, gap_expected, ratios
from wheelcad.signal.edges import Passing
from wheelcad.signal.inputs import RUN_UP_DEG
from wheelcad.signal.speed import STEP_DEG, Speed

MOST_TURNS = 4  # what has not synced by then is told as never


def start_intervals(passing: Passing, speed: Speed, turns: int = MOST_TURNS) -> tuple[Floats, Floats]:
    """(s, e) intervals between edges and (s, e + 1) crank degrees turned to each edge, from each of s starts.

    A start lies half-way between two edges, in either turn of the cycle. Time in degrees at the cycle's mean speed.
    """
    n = len(passing.crank_deg)
    edges = passing.turns(2 + turns + 1).crank_deg
    before = np.concatenate([[edges[0] - (360.0 + edges[0] - edges[n - 1])], edges])
    starts = (before[:-1] + before[1:])[: 2 * n] / 2
    turned = np.stack([edges[k : k + turns * n] - starts[k] for k in range(2 * n)])
    grid = np.arange(STEP_DEG / 2, turned.max() + STEP_DEG, STEP_DEG)
    run_up = np.sqrt(1 - np.exp(-grid / RUN_UP_DEG))
    slowness = STEP_DEG / (speed.share_at(starts[:, None] + grid[None, :]) * run_up[None, :])
    passed = np.concatenate([np.zeros((len(starts), 1)), np.cumsum(slowness, axis=1)], axis=1)
    at = np.append(grid - STEP_DEG / 2, grid[-1] + STEP_DEG / 2)
    when = np.stack([np.interp(t, at, p) for t, p in zip(turned, passed, strict=True)])
    return np.diff(when, axis=1), turned


def turns_to_sync(
    passing: Passing, speed: Speed, ratio: float, compares: Compares, needs_teeth: int = 0
) -> float | None:
    """Turns of the crank until sync from the worst place to stand; None where it never comes.

    needs_teeth: edges of a sensor's that are not sure after it is switched on.
    """
    expected = gap_expected(passing.steps, ratio, compares)
    if not expected.any():
        return None
    n = len(expected)
    intervals, turned = start_intervals(passing, speed)
    r = ratios(intervals, compares)
    flags = r > ratio
    ends = 1 if compares == "both" else 0  # it waits for the interval after
    first = max(needs_teeth, 0)
    # interval j ends at edge (start's edge + j + 1) of the turn
    place = (np.arange(len(intervals)) % n)[:, None] + 1 + np.arange(intervals.shape[1])[None, :]
    synced = np.full(len(intervals), np.nan)
    may_be = np.ones((len(intervals), n), dtype=bool)  # which place of the pattern interval 0 may end at
    seen_gap = np.zeros(len(intervals), dtype=bool)
    # how many times a turn the pattern looks the same to the decoder
    same = sum(bool(np.array_equal(expected, np.roll(expected, k))) for k in range(n))
    for j in range(first + 1, intervals.shape[1] - ends):
        now = flags[:, j]
        fits = expected[(np.arange(n)[None, :] + j) % n] == now[:, None]
        may_be &= fits
        seen_gap |= now
        true = expected[place[:, j] % n] == now
        may_be[~true] = True  # the decoder was told a falsehood: it begins again
        seen_gap[~true] = False
        done = np.isnan(synced) & true & seen_gap & (may_be.sum(axis=1) <= same)
        synced[done] = turned[done, j + 1 + ends]
    return None if np.isnan(synced).any() else float(synced.max() / 360.0)
