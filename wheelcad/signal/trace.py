"""What a scope shows: the sensor round the gap, right way round and swapped, and the crank's speed on the starter.

A pickup's signal is drawn in volts only where the job holds a measured point; else its ordinary tooth's peak is 1. A
Hall sensor's is a level, 0 or 1, with the output's own sense: iron-low is 0 with iron in front.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Bools, Floats
from wheelcad.signal.decode import gap_expected, intervals_of, ratios
from wheelcad.signal.detect import half_swing, slope_of
from wheelcad.signal.inputs import Inputs
from wheelcad.signal.report import Signal
from wheelcad.signal.view import Sight
from wheelcad.signal.weak import peak_volts
from wheelcad.trade.ignition import CYCLE_DEG, us_per_degree


@dataclass(frozen=True, eq=False)
class Scope:
    """A trace round the gap. crank_deg: (p,) ascending, 0 where the gap's middle passes; right, swapped: (p,).

    unit: "V", "of a tooth's peak" or "level". swapped: a pickup with its wires swapped; of a Hall sensor the output
    that stands the other way up.
    """

    crank_deg: Floats
    right: Floats
    swapped: Floats
    unit: str


@dataclass(frozen=True, eq=False)
class Cranking:
    """Two turns on the starter. ms, rpm: (p,) the speed; teeth_ms: (e,) edges; gap_found: (e,) where the decoder finds
    a gap; gap_there: (e,) where there is one."""

    ms: Floats
    rpm: Floats
    teeth_ms: Floats
    gap_found: Bools
    gap_there: Bools


def scope(signal: Signal) -> Scope | None:
    """The traces round the gap at cranking speed; None where the field was not solved or there is no gap."""
    view, inputs = signal.view, signal.inputs
    if view is None or signal.gaps is None:
        return None
    row = given_along(view, inputs)[::-1]
    crank = -view.x[::-1] / signal.edges.mm_per_deg  # the crank brings falling wheel angles
    if inputs.element != "pole":
        return Scope(crank, row, 1 - row, "level")
    share = row * signal.speeds["cranking"].share_at(crank + signal.gaps.here_deg)
    peak = peak_volts(inputs, inputs.cranking_rpm, 1.0, view.strength)
    scale, unit = (1.0, "of a tooth's peak") if peak is None else (float(peak), "V")
    return Scope(crank, share * scale, -share * scale, unit)


def given_along(view: Sight, inputs: Inputs) -> Floats:
    """(p,) what the sensor gives along the solved row at an even speed: a pickup's signal, an ordinary tooth's peak
    being 1; a Hall sensor's level, 0 or 1, the output's own sense."""
    x, flux = view.x, view.flux
    if inputs.element != "pole":
        ordinary = np.abs(x) > view.pitch_mm * (view.gap_missing + 1) / 2
        iron = (flux > half_swing(flux[ordinary])).astype(float)
        if inputs.element == "vane":
            iron = 1 - iron
        return iron if inputs.output == "iron-high" else 1 - iron
    pull = -slope_of(x, flux)
    edge = np.abs(x) > x[-1] - view.pitch_mm
    return np.asarray(pull / float(np.abs(pull[edge]).max()))


def cranking(signal: Signal) -> Cranking:
    """Speed, teeth and what the job's decoder makes of them, over one cycle on the starter."""
    inputs, speed = signal.inputs, signal.speeds["cranking"]
    per_deg = us_per_degree(inputs.cranking_rpm) / 1e3
    grid = np.arange(0.0, CYCLE_DEG + 1.0)
    two = signal.passing.turns(2)
    when = np.mod(speed.when(two.crank_deg), CYCLE_DEG)
    order = np.argsort(when)
    when, steps = when[order], two.steps[order]
    found = ratios(intervals_of(when, CYCLE_DEG), inputs.compares) > inputs.ratio
    return Cranking(
        speed.when(grid) * per_deg,
        speed.share_at(grid) * inputs.cranking_rpm,
        when * per_deg,
        np.asarray(found),
        gap_expected(steps, inputs.ratio, inputs.compares),
    )
