"""A first answer to "does it flex": the closed form's first frequency against what the engine shakes with."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from wheelcad.codes import Check
from wheelcad.findings import Finding
from wheelcad.job.models import Engine
from wheelcad.parts.bracket.model import ABOUT, FREQUENCY_METHOD, BracketDesign
from wheelcad.parts.common.excited import Excited, excited
from wheelcad.trade.excitation import BLOCK_G
from wheelcad.trade.resonance import DAMPING, response, static_swing_mm
from wheelcad.words import quantity, speed

CLOSED_FORM = ABOUT.subject  # the subject of its finding, which finite elements take the place of
GAP_LOST = 20.0  # per cent of the air gap that may come and go; common practice, no source
GRAVITY_MM = 9806.65  # mm/s²
SPEEDS = 61
STEP, TOP_HZ = 1.01, 5000.0  # of the search for the least frequency that will do
SEARCHED = 856  # steps down from there: to 1 Hz


def one_mass_swing_mm(hz: float, shakes: Excited, damping: float = DAMPING) -> tuple[float, float]:
    """The most that a mass on a spring of this frequency swings from idle to the highest speed, mm, and the rpm."""
    worst, at = 0.0, shakes.max_rpm
    for order in shakes.orders:
        met = min(max(order.rpm(hz), shakes.idle_rpm), shakes.max_rpm)
        rpm = np.append(np.linspace(shakes.idle_rpm, shakes.max_rpm, SPEEDS), met)
        swing = order.levels(rpm / shakes.max_rpm) * np.abs(response(order.order * rpm / 60 / hz, damping))
        n = int(np.argmax(swing))
        if swing[n] > worst:
            worst, at = float(swing[n]), float(rpm[n])
    return worst * static_swing_mm(hz, BLOCK_G * GRAVITY_MM), at


def least_frequency_hz(shakes: Excited, allowed_mm: float) -> float:
    """The least frequency from which upwards no mass on a spring swings more than allowed, by steps of a hundredth."""
    hz = TOP_HZ / STEP ** np.arange(1, SEARCHED + 1)
    swing = np.zeros(len(hz))
    for order in shakes.orders:  # as one_mass_swing_mm, for all frequencies at once
        met = np.clip(order.rpm(1.0) * hz, shakes.idle_rpm, shakes.max_rpm)
        every = np.linspace(shakes.idle_rpm, shakes.max_rpm, SPEEDS)
        rpm = np.column_stack([np.broadcast_to(every, (len(hz), SPEEDS)), met])
        grown = np.abs(response(order.order * rpm / 60 / hz[:, None], DAMPING))
        swing = np.maximum(swing, (order.levels(rpm / shakes.max_rpm) * grown).max(axis=1))
    still = [static_swing_mm(each, BLOCK_G * GRAVITY_MM) for each in hz]
    over = np.flatnonzero(swing * still > allowed_mm)
    return TOP_HZ / STEP ** (int(over[0]) if len(over) else SEARCHED)


def firing_finding(design: BracketDesign, engine: Engine | None) -> list[Finding]:
    """First frequency against the least that will do, by one mass on a spring; empty without cylinders and speed."""
    shakes = excited(engine)
    if shakes is None:
        return []
    hz = design.first_frequency_hz
    swing, rpm = one_mass_swing_mm(hz, shakes)
    lost = f"{100 * swing / design.gap:.0f} % of the air gap"
    why = (
        f"shaken with up to {BLOCK_G:g} g it would lose {lost} at {speed(rpm)}, damping {100 * DAMPING:g} % of "
        f"critical; from the limit upwards it is no more than {GAP_LOST:g} %. One mass on a spring; its frequency, "
        f"{quantity(hz, 'frequency', 0)}, found by {FREQUENCY_METHOD}"
    )
    limit = least_frequency_hz(shakes, GAP_LOST / 100 * design.gap)
    source = "Euler-Bernoulli beam theory; shake, damping and share are common practice, no source"
    about, why = replace(ABOUT, source=source), "; ".join([why, *shakes.assumed])
    return [about.at_least(Check.FIRST_FREQUENCY, round(hz, 1), "Hz", round(limit, 1), why)]
