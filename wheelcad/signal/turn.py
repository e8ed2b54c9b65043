"""A whole turn of the sensor's signal from the solved field: what the strip of the design page and a scope show.

Round each gap the field's own row; everywhere else its last ordinary pitch, over and over. At an even speed, so that
shapes are the wheel's: `trace.scope` shows the starter's speed as well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.signal.detect import half_swing, slope_of
from wheelcad.signal.report import Signal, crossings_of
from wheelcad.trade.frames import wrap_180, wrap_360

STEP_DEG = 0.25  # of crank between the trace's points


@dataclass(frozen=True, eq=False)
class Turn:
    """crank_deg: (p,) 0 to 360 after TDC of cylinder 1. values: (p,) a pickup's signal, an ordinary tooth's peak being
    1; a Hall sensor's level, 0 or 1, the output's own sense. timed_deg: (n,) where the controller times, as the field
    has it, in one turn."""

    crank_deg: Floats
    values: Floats
    timed_deg: Floats


def turn_of(signal: Signal) -> Turn | None:
    """The trace of one turn; None where the field was not solved, or gaps of several kinds pass."""
    view, inputs, edges = signal.view, signal.inputs, signal.edges
    gaps = _gaps_deg(signal)
    if view is None or gaps is None:
        return None
    x, row = view.x, _row(signal)
    crank = np.arange(0.0, 360.0 + STEP_DEG / 2, STEP_DEG)
    where = wrap_180(inputs.sensor_deg - crank)  # wheel angle at the sensor
    away = wrap_180(where[:, None] - gaps[None, :]) * edges.mm_per_deg
    near = away[np.arange(len(crank)), np.abs(away).argmin(axis=1)]
    end = float(x[-1])
    beyond = np.abs(near) > end  # there every pitch is the window's last
    turns = np.ceil((np.abs(near) - end) / view.pitch_mm)
    near = np.where(beyond, np.sign(near) * (np.abs(near) - turns * view.pitch_mm), near)
    values = np.interp(near, x, row)
    if inputs.element != "pole":
        values = (values > 0.5).astype(float)
    one = signal.passing if inputs.element != "pole" else crossings_of(signal.passing, view)
    return Turn(crank, values, np.asarray(wrap_360(one.crank_deg)))


def _gaps_deg(signal: Signal) -> Floats | None:
    """Middles of the wheel's gaps, wheel degrees; None where they are not all of the kind that was solved."""
    view, edges = signal.view, signal.edges
    if view is None or not edges.missing or any(m != view.gap_missing for m in edges.missing):
        return None
    centres = edges.centres_deg
    space = np.mod(np.roll(centres, -1) - centres, 360.0)
    wide = space > 1.5 * edges.pitch_deg
    if not wide.any():
        return None
    return np.asarray(wrap_360(centres[wide] + space[wide] / 2))


def _row(signal: Signal) -> Floats:
    """What the sensor gives along the solved row, as `trace.scope` has it but for the speed."""
    view, inputs = signal.view, signal.inputs
    assert view is not None
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
