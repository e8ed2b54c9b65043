"""A whole turn of the sensor's signal from the solved field: what the strip of the design page and a scope show.

Round each gap the field's own row; everywhere else its last ordinary pitch, over and over. At an even speed, so that
shapes are the wheel's: `trace.scope` shows the starter's speed as well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.signal.edges import gaps_in
from wheelcad.signal.report import Signal, crossings_of
from wheelcad.signal.trace import given_along
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
    gaps = np.array([gap.at_deg for gap in gaps_in(edges)])
    if view is None or not len(gaps) or any(m != view.gap_missing for m in edges.missing):
        return None
    x, row = view.x, given_along(view, inputs)
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
