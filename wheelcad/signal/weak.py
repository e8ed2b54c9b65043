"""Teeth too weak for a pickup at the slow moment: its volts follow the speed, and the controller wants a least of them.

A zero crossing counts when the peak before it was above the larger of the controller's least volts and its arming share
of the peak before that. Volts are known only from the user's one data point; without it only the share can be judged.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.signal.inputs import Inputs

BESIDE_GAP = 1.0  # peak of a tooth beside a gap over an ordinary one's, where the field has not been solved


@dataclass(frozen=True)
class Strength:
    """What the field says of a pickup's peaks. beside_gap: of the first pulse after a gap over an ordinary one.

    gap_share: peak at the job's air gap over that at the gap of `sensor.level`.
    """

    beside_gap: float = BESIDE_GAP
    gap_share: float = 1.0


def peak_volts(inputs: Inputs, rpm: float, share: Floats | float, strength: Strength) -> Floats | None:
    """Volts from nothing to the peak of an ordinary tooth at mean speed `rpm` × share; None without the data point.

    Source: induction, volts follow the speed of the teeth; the gap's part is the field solution's.
    """
    if inputs.level is None:
        return None
    level = inputs.level
    return np.asarray(level.volts / 2 * strength.gap_share * rpm / level.at * np.asarray(share))


def lost_teeth(
    inputs: Inputs, steps: Ints, share: Floats, strength: Strength | None = None, rpm: float | None = None
) -> Bools | None:
    """(…, e) teeth whose crossing is not taken; None for a sensor whose output does not follow the speed.

    steps: (e,) pitches before each tooth. share: (…, e) speed over mean where each tooth passes.
    """
    if inputs.element != "pole":
        return None
    strength = Strength() if strength is None else strength
    peak = np.where(steps > 1, strength.beside_gap, 1.0) * share
    lost = peak < inputs.arming * np.roll(peak, 1, axis=-1)
    volts = peak_volts(inputs, inputs.cranking_rpm if rpm is None else rpm, peak, strength)
    if volts is not None:
        lost |= volts < inputs.least_volts
    return np.asarray(lost)


def least_rpm(inputs: Inputs, teeth: int, slowest: float, strength: Strength | None = None) -> float | None:
    """Mean crank speed below which the slowest tooth is not seen: by volts (pickup) or by least tooth rate (Hall).

    slowest: speed at the slowest tooth over the mean. None where nothing is known that could limit it.
    """
    if inputs.element == "pole":
        volts = peak_volts(inputs, 1.0, slowest, Strength() if strength is None else strength)
        return None if volts is None else float(inputs.least_volts / volts)
    if inputs.least_tooth_rate_hz <= 0:
        return 0.0
    return 60.0 * inputs.least_tooth_rate_hz / (teeth * slowest)
