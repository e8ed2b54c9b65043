"""What every mechanism but "sound" is charged on top of its cost, by the number of slots.

Made by `python -m tests.measure.calibration`.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

HANDICAPS: Mapping[int, float] = MappingProxyType(
    {
        6: 15.91,
        7: 13.86,
        8: 12.12,
        10: 10.12,
        12: 9.01,
        14: 8.06,
        16: 7.52,
        18: 7.01,
        20: 6.69,
        24: 6.11,
        30: 5.56,
        36: 5.32,
        42: 4.89,
        48: 4.47,
        60: 4.01,
        72: 3.98,
        90: 3.33,
        120: 3.26,
    }
)


def handicap(slots: int) -> float:
    """The handicap for `slots` slots: between the table's counts in proportion to their logarithm, beyond them the
    last."""
    counts = sorted(HANDICAPS)
    return float(np.interp(math.log(slots), [math.log(n) for n in counts], [HANDICAPS[n] for n in counts]))
