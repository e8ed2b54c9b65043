"""Closed forms, and older ways to a number, that the program's own are held against."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wheelcad.arrays import Floats, Ints
from wheelcad.signal.decode import (
    Compares,
    decode_margins,
    default_ratio,
    gap_expected,
    intervals_of,
    margins_of_lost,
    ratios,
)
from wheelcad.signal.edges import steps_between
from wheelcad.signal.field import _columns, _rack_half, columns_for
from wheelcad.signal.flux import Rack
from wheelcad.signal.speed import _GRID, ROD_RATIO, Speed, from_speed, gas_work, speed_at_dip


def many_wheels(
    centres_deg: Floats,
    teeth: int,
    missing: tuple[int, ...],
    sensor_deg: float,
    speed: Speed,
    ratio: float | None = None,
    compares: Compares = "last",
) -> Floats:
    """(w,) margins of wheels (w, n) given by their tooth centres (wheel angles, ascending), all of one pattern.

    Each wheel's own widest steps are taken for its gaps, as in `edges.steps_between`; wheels whose gaps come at
    different places are done in one call each.
    """
    q = default_ratio(missing) if ratio is None else ratio
    steps = steps_between(centres_deg, teeth, missing)
    crank = sensor_deg - centres_deg[:, ::-1]  # passing order: falling wheel angle
    before = steps[:, ::-1]  # a tooth's step upwards is the one that passes just before it
    out = np.empty(len(centres_deg))
    patterns, which = np.unique(before, axis=0, return_inverse=True)
    for k, pattern in enumerate(patterns):
        rows = which.reshape(-1) == k
        out[rows] = decode_margins(crank[rows], pattern, speed, q, compares)
    return out


def fooled_by(steps: Ints, ratio: float, compares: Compares) -> tuple[bool, bool]:
    """Whether (one missed tooth, one edge of noise half-way between teeth) makes a false gap at even speed."""
    at = np.cumsum(steps).astype(float)
    period = float(at[-1])
    expected = gap_expected(steps, ratio, compares)
    plain = np.flatnonzero(~expected & (steps == 1) & ~np.roll(expected, -1) & ~np.roll(expected, 1))
    if not expected.any() or len(plain) == 0:
        return False, False
    k = int(plain[len(plain) // 2])
    lost = np.zeros(len(at), dtype=bool)
    lost[k] = True
    missed = bool(margins_of_lost(at[None], period, steps, ratio, compares, lost[None])[0] < 1)
    noisy = np.insert(at, k, at[k] - 0.5)
    gap = np.insert(expected, k, False)
    found = ratios(intervals_of(noisy, period), compares) > ratio
    return missed, bool((found & ~gap).any())


def false_gap_swing(ratio: float, order: float, pitch_deg: float) -> float:
    """Closed form: swing of 1 + s·cos hθ above which a tooth looks like a gap: x/√(1 + x²), x = ln q/(h·p)."""
    x = np.log(ratio) / (order * np.radians(pitch_deg))
    return float(x / np.hypot(1, x))


def missed_gap_swing(missing: int, ratio: float, order: float, pitch_deg: float) -> float:
    """Closed form: swing above which a gap is missed; as `false_gap_swing`, x = ln((m + 1)/q)/(h·p·(m + 2)/2)."""
    x = np.log((missing + 1) / ratio) / (order * np.radians(pitch_deg) * (missing + 2) / 2)
    return float(x / np.hypot(1, x))


def sinusoid(swing: float, order: float, phase_deg: float = 0.0) -> Speed:
    """speed = 1 + swing·cos(order·(θ - phase)): `order` swings in a turn. ValueError unless 0 ≤ swing < 1."""
    if not 0 <= swing < 1:
        raise ValueError("the swing is at least 0 and less than 1: the crank does not stop")
    return from_speed(1 + swing * np.cos(np.radians(order * (_GRID - phase_deg))))


def greatest_slowing(swing: float, order: float) -> float:
    """Greatest |dlnω/dθ| (per radian) of 1 + s·cos hθ: h·s/√(1 - s²)."""
    return float(order * swing / np.sqrt(1 - swing**2))


def compression_speed(
    firing_deg: Sequence[float], dip: float, compression: float = 8.5, rod_ratio: float = ROD_RATIO
) -> Speed:
    """Speed on the starter whose slowest moment is `dip` of the mean: ω² = ω0²·(1 - κ·W), κ found so that it is.

    firing_deg: firing TDCs over 720. ValueError unless 0 < dip ≤ 1.
    """
    return speed_at_dip(gas_work(firing_deg, compression, rod_ratio), dip)


def linear_early_deg(slowing: float, from_edge_deg: float, last_deg: float) -> float:
    """Closed form, small slowing: -(dlnω/dθ per radian)·D·(D + p)/2, D from the last edge, p the last interval."""
    d, p = np.radians(from_edge_deg), np.radians(last_deg)
    return float(-np.degrees(slowing * d * (d + p) / 2))


def smooth_face_flux(rack: Rack, gap_mm: float, columns: int | None = None) -> tuple[Floats, Floats]:
    """(x, flux per mm) into a smooth face over the whole row, at `gap_mm`, for checks: its mean gives Carter's factor.

    Columns beside tooth edges are not evenly wide below the face, but on it they are.
    """
    n = (columns or columns_for(rack)) * rack.positions
    half = _rack_half(rack, 2 * gap_mm, n)
    h = rack.length / n
    return _columns(n, rack.length)[:-1], half.stiffness.sum(axis=1) / h
