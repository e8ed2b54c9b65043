"""A decoder of no maker's: it compares each interval between edges with the one before, or with both neighbours.

    last: an interval is a gap when T / T before > q          both: when T² / (T before · T after) > q²
q is the controller's `ratio`. The margin is the factor by which the deciding interval may still change before a gap is
missed or an ordinary tooth is taken for one: min(least gap ratio / q, q / greatest ordinary ratio), where the ratio of
`both` is the root of its product, so that both margins are on one scale. Above 1 it syncs. At even speed the best q is
√(m + 1) and so is the margin.

Times may be in any unit. Everything takes whole arrays: (…, e) times, the last axis being the edges of one period.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.signal.edges import Edges, passing
from wheelcad.signal.speed import Speed
from wheelcad.trade.assumed import assumed_ratio
from wheelcad.trade.ignition import CYCLE_DEG

Compares = Literal["last", "both"]
COMPARES: tuple[Compares, ...] = ("last", "both")


def default_ratio(missing: tuple[int, ...]) -> float:
    """`assumed_ratio` of the smallest gap; of a wheel without a gap as if one tooth were missing."""
    return assumed_ratio(min((m for m in missing if m), default=1))


def ratios(intervals: Floats, compares: Compares) -> Floats:
    """(…, e) each interval over the one before, or over the root of the product of its neighbours; they go round."""
    before = np.roll(intervals, 1, axis=-1)
    if compares == "last":
        return intervals / before
    return intervals / np.sqrt(before * np.roll(intervals, -1, axis=-1))


def gap_expected(steps: Ints, ratio: float, compares: Compares) -> Bools:
    """(e,) at which intervals the decoder finds a gap when the crank turns evenly: what it should find at any speed."""
    return np.asarray(ratios(steps.astype(float), compares) > ratio)


def intervals_of(times: Floats, period: float) -> Floats:
    """(…, e) time from the edge before to each edge of a period that repeats."""
    before = np.roll(times, 1, axis=-1)
    before[..., 0] -= period
    return np.asarray(times - before)


def margins(times: Floats, period: float, steps: Ints, ratio: float, compares: Compares) -> Floats:
    """(…) margin of each row of edge times (…, e), which repeat after `period`.

    steps: (e,) whole pitches before each edge, as the pattern means them. NaN where the pattern has no gap that this
    decoder could find.
    """
    expected = gap_expected(steps, ratio, compares)
    if not expected.any():
        return np.full(times.shape[:-1], np.nan)
    r = ratios(intervals_of(times, period), compares)
    found = r[..., expected].min(axis=-1) / ratio
    if expected.all():
        return np.asarray(found)
    return np.asarray(np.minimum(found, ratio / r[..., ~expected].max(axis=-1)))


def margins_of_lost(times: Floats, period: float, steps: Ints, ratio: float, compares: Compares, lost: Bools) -> Floats:
    """As `margins` where edges marked in `lost` (…, e) never came: the intervals on both sides of one become one.

    A joined interval should be found as a gap only where one of its parts should. Rows with fewer than three edges left
    have the margin 0.
    """
    out = np.array(margins(times, period, steps, ratio, compares))
    expected = gap_expected(steps, ratio, compares)
    rows = lost.any(axis=-1)
    if not expected.any() or not rows.any():
        return out
    out[rows] = _joined_margins(np.asarray(times)[rows], period, expected, ratio, compares, ~lost[rows])
    return out


def _joined_margins(
    times: Floats, period: float, expected: Bools, ratio: float, compares: Compares, kept: Bools
) -> Floats:
    """(r,) margins of rows (r, e) of which only the `kept` edges came."""
    e = times.shape[1]
    three = np.concatenate([times - period, times, times + period], axis=1)
    came = np.tile(kept, 3)
    place = np.arange(3 * e)
    # the last edge that came before each: an accumulated greatest index, one behind
    last = np.maximum.accumulate(np.where(came, place, 0), axis=1)
    before = np.concatenate([np.zeros((len(times), 1), dtype=np.int64), last[:, :-1]], axis=1)
    interval = three - np.take_along_axis(three, before, axis=1)
    earlier = np.take_along_axis(interval, before, axis=1)
    gaps = np.cumsum(np.tile(expected, 3))
    is_gap = gaps[None, :] - gaps[before] > 0
    with np.errstate(divide="ignore", invalid="ignore"):  # edges that never came have no ratio; they are masked below
        if compares == "last":
            r = interval / earlier
        else:
            after = np.ones_like(interval)
            rows, columns = np.nonzero(came[:, e:])
            after[rows, before[:, e:][rows, columns]] = interval[:, e:][rows, columns]
            r = interval / np.sqrt(earlier * after)
    middle = slice(e, 2 * e)
    r, came, is_gap = r[:, middle], came[:, middle], is_gap[:, middle]
    found = np.where(came & is_gap, r, np.inf).min(axis=1) / ratio
    ordinary = np.where(came & ~is_gap, r, 0.0).max(axis=1)
    out = np.minimum(found, np.divide(ratio, ordinary, out=np.full(len(r), np.inf), where=ordinary > 0))
    return np.asarray(np.where(came.sum(axis=1) < 3, 0.0, out))


def decode_margins(
    crank_deg: Floats,
    steps: Ints,
    speed: Speed,
    ratio: float,
    compares: Compares = "last",
    places_deg: Floats | float = 0,
) -> Floats:
    """(w, p) margins of many wheels at many places: crank_deg (w, n) or (n,) one turn of edges, in passing order.

    places_deg: (p,) or a number, by which all edges come later. steps: (n,), the pattern's own. One call handles
    thousands of wheels; scalars' axes are dropped.
    """
    one = np.asarray(crank_deg, dtype=float)
    two = np.concatenate([one, one + 360.0], axis=-1)
    later = np.asarray(places_deg, dtype=float)
    at = two[..., None, :] + later[..., :, None] if later.ndim else two + later
    return margins(speed.when(at), CYCLE_DEG, np.tile(steps, 2), ratio, compares)


def wheel_margin(
    edges: Edges, sensor_deg: float, speed: Speed, ratio: float | None = None, compares: Compares = "last"
) -> float:
    """Margin of one wheel, timed on tooth centres, at its own place; NaN without a gap."""
    one = passing(edges, sensor_deg, "centre")
    q = default_ratio(edges.missing) if ratio is None else ratio
    return float(decode_margins(one.crank_deg, one.steps, speed, q, compares))
