"""Lengths and unbalance out of a scan, each with how far it may be off.

The run-out is what an indicator shows that rides over the teeth: greatest less least of their tops' distances. Each
top is the mean of many points; what these scatter, and what the bed leaves, goes into the 95 %.
"""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.measure.reading import Unbalance
from wheelcad.measure.scan_bed import Bed

if TYPE_CHECKING:
    from wheelcad.measure.scan import OneScan

ALIKE = 6  # neighbouring points over a tooth, which blur and grain make err alike
NORMAL_95, PLANE_95 = 1.96, 2.448  # standard deviations that hold 95 %: either way of a line; round a point of a plane
BED_PULL = 0.8  # of the rim's own unroundness: how far the bed moves the metal's middle, found with rendered scans
EDGE_PULL = 0.0015  # mm: how far shadows and the bed move it besides, found with rendered scans
SCALE = 0.002  # of a scan's dpi, a bar or a diameter: one standard deviation


def lengths(tops: Floats, centre: Floats, bed: Bed, mm: float | None) -> dict[str, Any]:
    """Reading's centre_offset_mm, runout_mm and roundness_mm with their lengths_95_mm. tops: (t, k, 2) in units of
    the bed's size; mm: to one of these, None where no scale is known."""
    if mm is None:
        return {}
    far = np.hypot(*(tops - centre).transpose(2, 0, 1))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # of a tooth that is all dust
        each, own = np.nanmean(far, axis=1), np.nanvar(far, axis=1)
    seen = np.isfinite(each)
    point = float(np.sqrt(np.mean(own[seen])))
    top = point * np.sqrt(ALIKE / tops.shape[1])
    # of many tops without any run-out the greatest and the least lie so far apart by chance
    spread = 2 * top * float(np.sqrt(2 * np.log(max(seen.sum(), 3))))
    rest = float(np.std(bed.rest_rim))
    middle = np.hypot(point * np.sqrt(2 * ALIKE / tops[..., 0].size) * np.sqrt(2), rest / 2)
    return {
        "centre_offset_mm": None if bed.bore is None else float(np.hypot(*(bed.bore[:2] - bed.rim[:2]))) * mm,
        "runout_mm": float(np.ptp(each[seen])) * mm,
        "roundness_mm": float(np.ptp(bed.rest_rim)) * mm,
        "lengths_95_mm": {
            **({} if bed.bore is None else {"centre_offset_mm": PLANE_95 * middle * mm}),
            "runout_mm": float(spread + 2 * NORMAL_95 * rest) * mm,
            "roundness_mm": float(spread + NORMAL_95 * rest) * mm,
        },
    }


def unbalance(scans: Sequence[OneScan], turned_deg: Floats, mm: float, density: float, sign: float) -> Unbalance | None:
    """What the metal's outline weighs out of centre, per mm of thickness: the mean of all scans, each turned back to
    the first. None where the outline of one cannot be seen. turned_deg: (scans,) clockwise; mm: to one unit of the
    first scan's size; sign: +1 where the crank turns as the picture's clockwise."""
    vectors: list[Floats] = []
    spread: list[float] = []
    first = scans[0]
    heavy = density * 1e-6
    for scan, turned in zip(scans, turned_deg, strict=True):
        if scan.metal is None:
            return None
        to_mm = mm * first.bed.rim[2] / scan.bed.rim[2]  # one wheel: the first scan's scale holds for all
        x, y = scan.metal.about(scan.centre) * to_mm**3 * heavy
        turn = np.radians(turned)
        # in the picture, clockwise from its top; y points down there
        vectors.append(np.array([x * np.cos(turn) + y * np.sin(turn), y * np.cos(turn) - x * np.sin(turn)]))
        whole = scan.metal.area * to_mm**2 * heavy  # g per mm of thickness
        pull = whole * np.hypot(BED_PULL * scan.bed_size * to_mm, EDGE_PULL)
        spread.append(float(np.hypot(pull, scan.metal.noise * to_mm**3 * heavy)))
    x, y = np.mean(vectors, axis=0)
    amount = float(np.hypot(x, y))
    sd = float(np.sqrt(np.mean(np.square(spread)) / len(scans)))
    within = float(np.hypot(PLANE_95 * sd, NORMAL_95 * 3 * SCALE * amount))
    at = sign * np.degrees(np.arctan2(x, -y))
    return Unbalance(amount, float(at % 360.0), within, density, True, first.metal.holes if first.metal else 0)
