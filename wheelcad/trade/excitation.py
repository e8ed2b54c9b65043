"""What shakes an engine's front, by orders: firing, and what the pistons' inertia leaves free.

An order is the number of shakes in one turn of the crank; it meets a natural frequency f (Hz) at 60·f/order rpm.
Angles: degrees of crank over the 720 of a four-stroke cycle. The teeth that pass a sensor are not among the orders:
they pull on nothing that could shake a bracket.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.trade.ignition import CYCLE_DEG, firing_angles_even
from wheelcad.trade.inertia import ROD_RATIO, USUAL_ORDERS, pistons, shares

HARMONICS = 3  # multiples of the firing frequency looked at
WEAK = 0.1  # orders weaker than this share of all cylinders at once are left out
BLOCK_G = 10.0  # times gravity: the block's shake at full strength and highest speed; common practice, no source
INERTIA_NAMES = {1: "first", 2: "second"}
SAME_ORDER = 1e-9


@dataclass(frozen=True)
class Order:
    """One order. strength: of firing, 0 to 1, where 1 means that all cylinders' pulses add up; falls: the share that
    is left of it since pulses are round; inertia: share of the second order of all pistons at once; names: of what
    shakes so."""

    order: float
    strength: float
    falls: float = 1.0
    inertia: float = 0.0
    names: tuple[str, ...] = ()

    def hz(self, rpm: float) -> float:
        """Shakes a second at a crank speed."""
        return self.order * rpm / 60

    def rpm(self, hz: float) -> float:
        """The crank speed at which it meets a frequency."""
        return 60 * hz / self.order

    def level(self, speed_share: float) -> float:
        """How hard it shakes at a share of the highest speed, 0 to 1 (of BLOCK_G). Firing shakes alike at all speeds,
        inertia with the square of it; both at once are added, since their phases are not known."""
        return min(1.0, self.strength * self.falls + self.inertia * speed_share**2)

    def levels(self, speed_shares: Floats) -> Floats:
        """The same of many shares at once, (n,)."""
        levels: Floats = np.minimum(1.0, self.strength * self.falls + self.inertia * speed_shares**2)
        return levels


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
    weaker than WEAK are left out. Source: Fourier series of equal pulses, |Σ exp(i·k·θ/2)|/n for order k/2. Above the
    mean firing order a real pulse has less of each, taken in proportion to 1/order: common practice, no source.
    ValueError for angles that are not one for each cylinder.
    """
    angles = firing_angles_even(cylinders) if firing_angles_deg is None else tuple(firing_angles_deg)
    if len(angles) != cylinders:
        raise ValueError("there must be one firing angle for each cylinder")
    mean = mean_firing_order(cylinders)
    out = []
    for k in range(1, harmonics * cylinders + 1):
        turns = [2 * math.pi * k * angle / CYCLE_DEG for angle in angles]
        strength = math.hypot(sum(map(math.cos, turns)), sum(map(math.sin, turns))) / cylinders
        if strength >= WEAK:
            order = k / 2
            out.append(Order(order, round(strength, 6), round(min(1.0, mean / order), 6), names=(_named(order, mean),)))
    return tuple(out)


def _named(order: float, mean: float) -> str:
    times = order / mean
    if abs(times - 1) < SAME_ORDER:
        return "firing"
    return f"{times:.0f} × firing" if abs(times - round(times)) < SAME_ORDER else f"order {order:g}"


def inertia_orders(
    layout: str,
    vee_deg: float,
    cylinders: int,
    firing_order: Sequence[int] | None = None,
    firing_angles_deg: Sequence[float] | None = None,
) -> tuple[Order, ...]:
    """The orders that the pistons leave free, rising. A firing order that is left out is taken from USUAL_ORDERS; ()
    where there is none either. Couples and forces of one order are added; a piston's first order is 1/λ times its
    second. ValueError as `pistons`."""
    order = tuple(firing_order) if firing_order is not None else USUAL_ORDERS.get((layout, cylinders))
    if order is None or len(order) != cylinders:
        return ()
    angles = firing_angles_even(cylinders) if firing_angles_deg is None else firing_angles_deg
    left = shares(pistons(layout, vee_deg, order, angles))
    out = []
    for number, name in INERTIA_NAMES.items():
        each = 1 / ROD_RATIO if number == 1 else 1.0
        kinds = [kind for kind in ("force", "couple") if each * left[number, kind] >= WEAK]
        if kinds:
            share = min(1.0, each * sum(left[number, kind] for kind in kinds))
            out.append(Order(float(number), 0.0, inertia=share, names=tuple(f"{name}-order {kind}" for kind in kinds)))
    return tuple(out)


def all_orders(firing: Sequence[Order], inertia: Sequence[Order]) -> tuple[Order, ...]:
    """Both, rising, those of the same number made one."""
    made = {order.order: order for order in firing}
    for order in inertia:
        there = made.get(order.order)
        if there is not None:
            order = replace(there, inertia=order.inertia, names=(*there.names, *order.names))
        made[order.order] = order
    return tuple(made[number] for number in sorted(made))
