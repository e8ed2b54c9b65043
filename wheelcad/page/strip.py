"""The signal strip: what passes the sensor while the crank turns twice, as numbers to draw.

Degrees of crank from TDC of cylinder 1, 0 to 720. From the design's teeth in milliseconds, with the trace sketched as
the packet's card sketches it; once the slow work has solved the field, trace and timing are its own (`signal.turn`).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from wheelcad.errors import DesignError
from wheelcad.job.elements import element_of, times_on_of
from wheelcad.job.models import Job, Sensor
from wheelcad.packet.scope_trace import level_spans, pickup_trace
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.signal.edges import first_gap, passing
from wheelcad.signal.inputs import inputs_of
from wheelcad.signal.turn import Turn
from wheelcad.trade.assumed import ASSUMED
from wheelcad.trade.frames import wrap_360
from wheelcad.trade.ignition import CYCLE_DEG

Json = dict[str, Any]
TURN = 360.0
SHOWN = {"leading": "leading edges", "trailing": "trailing edges", "centre": "tooth centres"}


@dataclass(frozen=True)
class Strip:
    """teeth: (from, to) crank degrees in one turn while a tooth is under the sensor, to may pass 360; in the order in
    which they pass, the first after the gap first. gap: (from, to) between the teeth beside it, None without one.
    timed: where the controller times, in one turn. tdc: (degrees, cylinder) over two. square: a Hall's level is drawn,
    else a pickup's swing; high_over_iron: the level's sense. on: what is timed on, in words. trace: (degrees, value)
    over one turn: a level is 0 or 1, of a pickup an ordinary tooth's peak is 1. solved: from the field, not a sketch.
    """

    teeth: tuple[tuple[float, float], ...]
    gap: tuple[float, float] | None
    timed: tuple[float, ...]
    tdc: tuple[tuple[float, int], ...]
    square: bool
    high_over_iron: bool
    on: str
    trace: tuple[tuple[float, float], ...] = ()
    solved: bool = False


def turn_json(turn: Turn, square: bool) -> Json:
    """A solved turn for the page: its trace, of a level the steps alone, and where it is timed."""
    points = list(zip(turn.crank_deg.tolist(), turn.values.tolist(), strict=True))
    if square:
        kept = [points[0]]
        for (before, was), (at, now) in pairwise(points):
            kept += [((before + at) / 2, was), ((before + at) / 2, now)] if was != now else []
        points = [*kept, points[-1]]
    return {"trace": [(round(at, 3), round(value, 4)) for at, value in points], "timed": turn.timed_deg.tolist()}


def _sketched(
    job: Job, sensor: Sensor, wheel: WheelDesign, square: bool, high: bool
) -> tuple[tuple[float, float], ...]:
    """The trace as the packet's card draws it."""
    if not square:
        return tuple(zip((np.arange(721) / 2).tolist(), pickup_trace(sensor, wheel).tolist(), strict=True))
    iron, free = float(high), float(not high)
    points = [(0.0, free)]
    for start, end in level_spans(job, wheel):
        points += [(start, free), (start, iron), (end, iron), (end, free)]
    return (*points, (TURN, free))


def strip_of(job: Job, wheel: WheelDesign, turn: Json | None = None) -> Strip | None:
    """The strip of a job; None without a sensor. turn: of `turn_json`, where the field was solved."""
    sensor = job.sensor
    if sensor is None:
        return None
    edges = designed_edges(wheel, sensor)
    gap = first_gap(edges, wheel.gap_at_deg)
    leading = passing(edges, sensor.at, "leading", wheel.gap_at_deg)
    width = edges.widths_deg
    starts = [float(deg) for deg in wrap_360(leading.crank_deg)]
    teeth = tuple((start, start + float(width[0])) for start in starts)
    there = None
    if gap is not None:
        end = starts[0]
        between = (gap.missing + 1) * edges.pitch_deg - float(width[0])
        there = (float(wrap_360(end - between)), float(wrap_360(end - between)) + between)
    on = times_on_of(sensor)
    timed = tuple(float(deg) for deg in wrap_360(passing(edges, sensor.at, on, wheel.gap_at_deg).crank_deg))
    try:
        inputs = inputs_of(job, edges)
        tdc = tuple((float(at) % CYCLE_DEG, number) for at, number in zip(inputs.firing_deg, inputs.order, strict=True))
    except DesignError:  # no firing order, say: cylinder 1 is known all the same
        tdc = ((0.0, 1),)
    output = sensor.output if sensor.output is not None else str(ASSUMED["sensor.output"].value)
    square, high = element_of(sensor) != "pole", output == "iron-high"
    if turn is not None:
        trace = tuple((at, value) for at, value in turn["trace"])
        return Strip(teeth, there, tuple(turn["timed"]), tdc, square, high, SHOWN[on], trace, True)
    return Strip(teeth, there, timed, tdc, square, high, SHOWN[on], _sketched(job, sensor, wheel, square, high))
