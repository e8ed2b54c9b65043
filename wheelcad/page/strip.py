"""The signal strip: what passes the sensor while the crank turns twice, as numbers to draw.

Degrees of crank from TDC of cylinder 1, 0 to 720. From the design's teeth and without the field, so in milliseconds: it
shows which tooth is where and what is timed on, not how strong the signal is.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelcad.errors import DesignError
from wheelcad.job.elements import element_of, times_on_of
from wheelcad.job.models import Job
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.signal.edges import first_gap, passing
from wheelcad.signal.inputs import inputs_of
from wheelcad.trade.assumed import ASSUMED
from wheelcad.trade.frames import wrap_360
from wheelcad.trade.ignition import CYCLE_DEG

TURN = 360.0
SHOWN = {"leading": "leading edges", "trailing": "trailing edges", "centre": "tooth centres"}


@dataclass(frozen=True)
class Strip:
    """teeth: (from, to) crank degrees in one turn while a tooth is under the sensor, to may pass 360; in the order in
    which they pass, the first after the gap first. gap: (from, to) between the teeth beside it, None without one.
    timed: where the controller times, in one turn. tdc: (degrees, cylinder) over two. square: a Hall's level is drawn,
    else a pickup's swing; high_over_iron: the level's sense. on: what is timed on, in words."""

    teeth: tuple[tuple[float, float], ...]
    gap: tuple[float, float] | None
    timed: tuple[float, ...]
    tdc: tuple[tuple[float, int], ...]
    square: bool
    high_over_iron: bool
    on: str

    def under(self, crank_deg: float) -> str:
        """What is at the sensor now, in words: tooth 5, a slot, the gap."""
        at = crank_deg % TURN
        for number, (start, end) in enumerate(self.teeth, 1):
            if (at - start) % TURN < end - start:
                return f"tooth {number}"
        if self.gap is not None and (at - self.gap[0]) % TURN < self.gap[1] - self.gap[0]:
            return "the gap"
        return "a slot"


def strip_of(job: Job, wheel: WheelDesign) -> Strip | None:
    """The strip of a job; None without a sensor."""
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
    return Strip(teeth, there, timed, tdc, element_of(sensor) != "pole", output == "iron-high", SHOWN[on])
