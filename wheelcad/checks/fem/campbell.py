"""Natural frequencies against what the engine shakes with, over its speeds: where they meet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelcad.job.models import Engine
from wheelcad.parts.common.excited import excited
from wheelcad.trade.excitation import Order

SPEEDS = 27  # points along the speed axis
BEYOND = 1.18  # the axis goes on to this share of the highest speed
ROUND_RPM = 10.0


@dataclass(frozen=True)
class SpeedCrossing:
    """A speed at which an order meets a natural frequency. mode: from 1."""

    mode: int
    order: float
    rpm: float
    hz: float


@dataclass(frozen=True)
class Campbell:
    """The plot's data. speeds_rpm: rising; firing_order: of the mean firing; orders: rising, each a line order·rpm/60;
    frequencies_hz: rising; crossings: from idle to max_speed_rpm, by speed;
    softer_hz: the first frequency with the softer clamping, 0 where it is not known."""

    speeds_rpm: tuple[float, ...]
    max_speed_rpm: float
    firing_order: float
    orders: tuple[Order, ...]
    frequencies_hz: tuple[float, ...]
    crossings: tuple[SpeedCrossing, ...]
    softer_hz: float = 0.0

    def label(self, order: Order) -> str:
        """What an order is called on the plot and in sentences."""
        return " + ".join(order.names) or f"order {order.order:g}"

    def short(self, order: Order) -> str:
        """The same for a picture's edge: forces and couples of one order are told as that order, each on a line."""
        names = dict.fromkeys(
            name.replace("-order force", " order").replace("-order couple", " order") for name in order.names
        )
        return " +\n".join(names) or self.label(order)

    def label_of(self, number: float) -> str:
        """The same by the order's number."""
        return next(self.label(order) for order in self.orders if order.order == number)


def campbell(frequencies_hz: Sequence[float], engine: Engine | None, softer_hz: float = 0.0) -> Campbell | None:
    """The data for an engine; None without its cylinders and highest speed."""
    shakes = excited(engine)
    if shakes is None:
        return None
    orders = shakes.orders
    top = BEYOND * shakes.max_rpm
    speeds = tuple(float(round(s, 3)) for s in np.linspace(0.0, top, SPEEDS))
    crossings = [
        SpeedCrossing(mode, order.order, round(order.rpm(hz) / ROUND_RPM) * ROUND_RPM, hz)
        for mode, hz in enumerate(frequencies_hz, 1)
        for order in orders
        if shakes.idle_rpm <= order.rpm(hz) <= shakes.max_rpm
    ]
    crossings.sort(key=lambda c: (c.rpm, c.mode, c.order))
    firing, own = shakes.firing_order, tuple(frequencies_hz)
    return Campbell(speeds, shakes.max_rpm, firing, orders, own, tuple(crossings), softer_hz)
