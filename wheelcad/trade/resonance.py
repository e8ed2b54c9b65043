"""How much more a mass on a spring swings than a steady load would move it. No unit: shares of the steady answer.

ζ: damping as a share of critical. Source: one degree of freedom shaken at its foot, any text on vibration: the swing
against the foot over its static value is 1/(1 - r² + 2iζr), r = shaking frequency over its own.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

DAMPING = 0.02  # of critical: a bolted and welded steel bracket; common practice, no source
DAMPING_RANGE = (0.01, 0.05)  # what such brackets have been seen to have; common practice, no source


def response(ratio: ArrayLike, damping: float = DAMPING) -> NDArray[np.complex128]:
    """The swing over its static value, with its phase, at frequency ratios of any shape. ValueError unless ζ > 0."""
    if damping <= 0:
        raise ValueError("without damping a swing at resonance has no limit")
    r = np.asarray(ratio, dtype=float)
    return np.asarray(1.0 / (1.0 - r**2 + 2j * damping * r))


def static_swing_mm(hz: float, acceleration_mm_s2: float) -> float:
    """How far a steady acceleration moves a mass on a spring of this natural frequency: a/ω²."""
    return acceleration_mm_s2 / (2 * math.pi * hz) ** 2
