"""What shakes an engine's front: firing, by orders.

An order is the number of shakes in one turn of the crank; it meets a natural frequency f (Hz) at 60·f/order rpm.
Angles: degrees of crank over the 720 of a four-stroke cycle. The teeth that pass a sensor are not among the orders:
they pull on nothing that could shake a bracket.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from wheelcad.trade.ignition import CYCLE_DEG, firing_angles_even

HARMONICS = 3  # multiples of the firing frequency looked at
WEAK = 0.1  # orders weaker than this share of all cylinders firing at once are left out
MARGIN = 4 / 3  # first frequency over firing frequency at the highest speed: a third above; common practice, no source


@dataclass(frozen=True)
class Order:
    """One order of firing. strength: 0 to 1, where 1 means that all cylinders' pulses add up."""

    order: float
    strength: float

    def hz(self, rpm: float) -> float:
        """Shakes a second at a crank speed."""
        return self.order * rpm / 60

    def rpm(self, hz: float) -> float:
        """The crank speed at which it meets a frequency."""
        return 60 * hz / self.order


def mean_firing_order(cylinders: int) -> float:
    """Firings in one turn of the crank of a four-stroke: half the number of cylinders. ValueError unless ≥ 1."""
    if cylinders < 1:
        raise ValueError("an engine has at least one cylinder")
    return cylinders / 2


def firing_orders(
    cylinders: int, firing_angles_deg: Sequence[float] | None = None, harmonics: int = HARMONICS
) -> tuple[Order, ...]:
    """The orders, rising, that equal pulses at the firing angles hold, up to `harmonics` times the mean firing order.

    Even fire (None) leaves only the firing order and its multiples; uneven firing brings half orders as well. Orders
    weaker than WEAK are left out. Source: Fourier series of equal pulses, |Σ exp(i·k·θ/2)|/n for order k/2; real
    pulses' harmonics fall off as well. ValueError for angles that are not one for each cylinder.
    """
    angles = firing_angles_even(cylinders) if firing_angles_deg is None else tuple(firing_angles_deg)
    if len(angles) != cylinders:
        raise ValueError("there must be one firing angle for each cylinder")
    out = []
    for k in range(1, harmonics * cylinders + 1):
        turns = [2 * math.pi * k * angle / CYCLE_DEG for angle in angles]
        strength = math.hypot(sum(map(math.cos, turns)), sum(map(math.sin, turns))) / cylinders
        if strength >= WEAK:
            out.append(Order(k / 2, round(strength, 6)))
    return tuple(out)
