"""Firing order, companions, and where the gap's first edges lie against top dead centre.

Angles: degrees of crank. On the wheel they count from the TDC line, positive the way the crank turns. A wheel point at
angle p passes a sensor at angle s when the crank has turned (s - p) mod 360 from TDC of cylinder 1; TDC then comes
(p - s) mod 360 later. A four-stroke cycle is 720 degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from wheelcad.trade.frames import apart_deg, wrap_360

CYCLE_DEG = 720.0
SAME_DEG = 1e-6  # firing angles closer than this are the same


def firing_angles_even(cylinders: int) -> tuple[float, ...]:
    """Crank angles (0 ≤ a < 720, cylinder 1 first) at which an even-firing four-stroke fires: 720/cylinders apart.

    ValueError unless cylinders ≥ 1.
    """
    if cylinders < 1:
        raise ValueError("an engine has at least one cylinder")
    return tuple(i * CYCLE_DEG / cylinders for i in range(cylinders))


def from_cylinder_one(
    firing_order: Sequence[int], firing_angles_deg: Sequence[float] | None = None
) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """Firing order and angles turned so that cylinder 1 comes first and fires at 0, whatever the list begins with.

    firing_angles_deg: crank degrees in firing order, rising within 720; None for even fire. Where there is no cylinder
    1 the list's first takes its place. ValueError when the two differ in length or are empty.
    """
    angles = firing_angles_even(len(firing_order)) if firing_angles_deg is None else tuple(firing_angles_deg)
    if not firing_order or len(angles) != len(firing_order):
        raise ValueError("there must be one firing angle for each cylinder of the firing order")
    first = firing_order.index(1) if 1 in firing_order else 0
    order = (*firing_order[first:], *firing_order[:first])
    turned = (*angles[first:], *angles[:first])
    return order, tuple((angle - turned[0]) % CYCLE_DEG for angle in turned)


def firing_intervals_deg(firing_angles_deg: Sequence[float]) -> tuple[float, ...]:
    """Degrees from each firing to the next, the last to the first of the next cycle; they add up to 720."""
    after = [*firing_angles_deg[1:], firing_angles_deg[0] + CYCLE_DEG]
    return tuple(b - a for a, b in zip(firing_angles_deg, after, strict=True))


def companions(
    firing_order: Sequence[int], firing_angles_deg: Sequence[float] | None = None
) -> Iterator[tuple[int, int]]:
    """Pairs of cylinders that fire 360 degrees apart and can share a coil, in firing order; () where there are none.

    firing_angles_deg: in firing order, over 720; None for even fire, where order[i] goes with order[i + n/2] and odd
    counts have no companions. ValueError when the two sequences differ in length.
    """
    angles = firing_angles_even(len(firing_order)) if firing_angles_deg is None else tuple(firing_angles_deg)
    if len(angles) != len(firing_order):
        raise ValueError("there must be one firing angle for each cylinder of the firing order")
    for i, one in enumerate(firing_order):
        for j in range(i + 1, len(firing_order)):
            if abs((angles[j] - angles[i]) % CYCLE_DEG - 360.0) < SAME_DEG:
                yield (one, firing_order[j])


def us_per_degree(rpm: float) -> float:
    """Microseconds for one degree of crank: 10⁶/(6·rpm). ValueError unless rpm > 0."""
    if rpm <= 0:
        raise ValueError("a crank that stands still takes for ever over a degree")
    return 1e6 / (6.0 * rpm)


def lamp_rpm(rpm: float, wasted: bool) -> float:
    """The speed that a lamp or meter on one plug's lead shows which takes each spark for a cycle of 720°, rpm.

    A plug on wasted spark fires every 360°. Source: induction tachometers."""
    every = 360.0 if wasted else CYCLE_DEG
    return rpm * CYCLE_DEG / every


def first_tooth_centre_deg(gap_at_deg: float, pitch_deg: float, missing: int) -> float:
    """Wheel angle (0 ≤ a < 360) of the centre of the first tooth to pass the sensor after the gap.

    Teeth pass in the order of falling angle, so it lies behind the gap: gap_at - pitch·(missing+1)/2.
    """
    return float(wrap_360(gap_at_deg - pitch_deg * (missing + 1) / 2))


def to_tdc_deg(point_deg: float, sensor_deg: float) -> float:
    """Degrees of crank (0 ≤ a < 360) from a wheel point passing the sensor to TDC of cylinder 1: point - sensor."""
    return float(wrap_360(point_deg - sensor_deg))


def passes_sensor_deg(point_deg: float, sensor_deg: float) -> float:
    """Crank angle past TDC of cylinder 1 (0 ≤ a < 360) at which a wheel point passes the sensor: sensor - point."""
    return float(wrap_360(sensor_deg - point_deg))


class FirstTooth(NamedTuple):
    """Degrees of crank from each feature of the first tooth after the gap passing the sensor to TDC of cylinder 1."""

    leading_deg: float
    centre_deg: float
    trailing_deg: float


def first_tooth_to_tdc(
    gap_at_deg: float, pitch_deg: float, missing: int, tooth_width_deg: float, sensor_deg: float
) -> FirstTooth:
    """Leading edge, centre and trailing edge of the first tooth after the gap, each as degrees to TDC of cylinder 1.

    tooth_width_deg: at the rim. The leading edge has the greater wheel angle: it passes first.
    """
    centre = gap_at_deg - pitch_deg * (missing + 1) / 2
    half = tooth_width_deg / 2
    return FirstTooth(*(to_tdc_deg(centre + offset, sensor_deg) for offset in (half, 0.0, -half)))


def coil_windows_deg(
    firing_angles_deg: Sequence[float], least_advance_deg: float, most_advance_deg: float, dwell_deg: float = 0.0
) -> tuple[tuple[float, float], ...]:
    """Windows of crank angle (from, width; from in 0 ≤ a < 360) in which coils switch, one for each distinct firing.

    Each opens where the coil is switched on for the most advanced spark (firing - most_advance - dwell) and closes at
    the least advanced spark. Firing angles are TDCs of compression; a crank wheel cannot tell them from exhaust, so
    they are taken mod 360. ValueError when most < least advance or dwell < 0.
    """
    if most_advance_deg < least_advance_deg or dwell_deg < 0:
        raise ValueError("the most advance must not be less than the least, and dwell not negative")
    width = most_advance_deg - least_advance_deg + dwell_deg
    starts = sorted({round(float(wrap_360(a - most_advance_deg - dwell_deg)), 9) for a in firing_angles_deg})
    return tuple((start, width) for start in starts)


def gap_clearance_deg(gap_passes_deg: float, gap_width_deg: float, windows: Sequence[tuple[float, float]]) -> float:
    """Least distance (degrees of crank) between the gap's passage and any window; negative when they overlap.

    gap_passes_deg: crank angle at which the gap's centre passes the sensor. windows: from `coil_windows_deg`.
    Infinite without windows.
    """
    clear = math.inf
    for start, width in windows:
        between = apart_deg(start + width / 2, gap_passes_deg)
        clear = min(clear, between - (width + gap_width_deg) / 2)
    return clear
