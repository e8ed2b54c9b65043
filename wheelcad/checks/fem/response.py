"""A bracket shaken by an engine through its speeds: what the answers to steady shakes grow to at resonance.

Modal superposition: each mode's part of the steady answer is multiplied by its own response, what no mode found
accounts for stays as it is. Source: any text on vibration (mode acceleration method; from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from wheelcad.arrays import Floats
from wheelcad.checks.fem.model import Held, ShakeAnswer, Vector, scaled
from wheelcad.trade.excitation import BLOCK_G, Order
from wheelcad.trade.resonance import DAMPING, response

Complexes = NDArray[np.complex128]
SPEEDS = 61  # looked at between idle and the highest, besides the resonances themselves
BETWEEN = 5  # clampings looked at from the softer to the stiffer, both ends counted


@dataclass(frozen=True)
class Speeds:
    """What shakes, and over which speeds. tangent: unit vector round the crank at the sensor."""

    orders: tuple[Order, ...]
    idle_rpm: float
    max_rpm: float
    tangent: Vector
    shake_g: float = BLOCK_G  # of the steady answers


@dataclass(frozen=True)
class Peak:
    """The worst of one quantity: its size, at which speed, by which order, in which clamping's first frequency, and how
    much larger than a slow shake of the same strength; shake: its name."""

    size: float = 0.0
    rpm: float = 0.0
    order: Order | None = None
    first_hz: float = 0.0
    times: float = 1.0
    shake: str = ""


@dataclass(frozen=True)
class WorstShake:
    """gap: mm; aside: mm round the crank; stress: MPa; load: g that pull at the bolts."""

    gap: Peak
    aside: Peak
    stress: Peak
    load: Peak


QUANTITIES = ("gap", "aside", "stress", "load")


def worst(held: Sequence[Held], speeds: Speeds, damping: float = DAMPING) -> WorstShake:
    """The worst of each over all orders, speeds, shakes, and clampings from the softer to the stiffer."""
    return _gravest(
        peaks for one in between(held) for order in speeds.orders for peaks in _peaks(one, order, speeds, damping)
    )


def worst_by_order(held: Sequence[Held], speeds: Speeds, damping: float = DAMPING) -> list[tuple[Order, WorstShake]]:
    """The same for each order alone."""
    return [(order, worst(held, replace(speeds, orders=(order,)), damping)) for order in speeds.orders]


def between(held: Sequence[Held]) -> list[Held]:
    """Clampings from the first to the last, as many as BETWEEN: a real joint lies somewhere there."""
    if len(held) < 2:
        return list(held)
    soft, stiff = held[0], held[-1]
    ratio = stiff.first_hz / soft.first_hz
    inside = [scaled(soft, ratio ** (n / (BETWEEN - 1))) for n in range(1, BETWEEN - 1)]
    return [soft, *inside, stiff]


def _gravest(all_of: Iterable[WorstShake]) -> WorstShake:
    found = list(all_of)
    if not found:
        return WorstShake(Peak(), Peak(), Peak(), Peak())
    return WorstShake(*(max((getattr(one, name) for one in found), key=lambda peak: peak.size) for name in QUANTITIES))


def _peaks(held: Held, order: Order, speeds: Speeds, damping: float) -> Iterator[WorstShake]:
    """Those of each shake."""
    rpm = _speeds_of(held, order, speeds)
    level = order.levels(rpm / speeds.max_rpm) * BLOCK_G / speeds.shake_g
    own = np.array(held.frequencies_hz)[:, None]
    more = response(order.order * rpm / 60 / own, damping) - 1.0  # a mode's part is in the steady answer once already
    for shake in held.shakes:
        yield _of_shake(held.first_hz, shake, order, speeds, rpm, level, more[: len(shake.modes)])


def _of_shake(
    first_hz: float, shake: ShakeAnswer, order: Order, speeds: Speeds, rpm: Floats, level: Floats, more: Complexes
) -> WorstShake:
    """rpm, level: (n,) speeds, and how strong the order is there; more: (modes, n) what each mode's part grows by."""

    def whole(steady: float, parts: Sequence[float]) -> Floats:
        return np.abs(steady + np.asarray(parts) @ more) if len(parts) else np.full(len(rpm), abs(steady))

    gap = whole(shake.gap_change_mm, [m.gap_change_mm for m in shake.modes])
    aside = whole(_dot(shake.sideways_mm, speeds.tangent), [_dot(m.sideways_mm, speeds.tangent) for m in shake.modes])
    # no phase is known of the places where stress is highest: the parts are added as if all met in one
    stress = shake.stress_mpa + np.array([m.stress_mpa for m in shake.modes]) @ np.abs(more)
    load = speeds.shake_g * whole(1.0, [m.load for m in shake.modes])
    steady = (abs(shake.gap_change_mm), abs(_dot(shake.sideways_mm, speeds.tangent)), shake.stress_mpa, speeds.shake_g)

    def peak(values: Floats, slow: float) -> Peak:
        n = int(np.argmax(values * level))
        times = float(values[n]) / slow if slow > 0 else 1.0
        return Peak(float(values[n] * level[n]), float(rpm[n]), order, first_hz, times, shake.name)

    return WorstShake(*(peak(v, s) for v, s in zip((gap, aside, stress, load), steady, strict=True)))


def _speeds_of(held: Held, order: Order, speeds: Speeds) -> Floats:
    """Speeds to look at, rpm: evenly from idle to the highest, and where the order meets a natural frequency."""
    met = [order.rpm(hz) for hz in held.frequencies_hz]
    inside = [n for n in met if speeds.idle_rpm <= n <= speeds.max_rpm]
    return np.unique(np.concatenate([np.linspace(speeds.idle_rpm, speeds.max_rpm, SPEEDS), inside]))


def _dot(a: Vector, b: Vector) -> float:
    return float(np.dot(a, b))
