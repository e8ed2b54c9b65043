"""What the controller makes of the sensor's signal. What is left out is assumed (trade/assumed.py) and printed so."""

from typing import Annotated, Literal

from wheelcad.job.kinds import Number
from wheelcad.job.section import Section, Share, Time, Volts, optional


class Controller(Section):
    """What the controller makes of the sensor's signal."""

    least_volts: Volts | None = optional(
        "the least signal a reluctance input takes for a tooth; left out: assumed and printed so", 0.3
    )
    arming: Share | None = optional(
        "the share of the last peak at which a reluctance input is armed again; left out: assumed and printed so", 0.35
    )
    ratio: Annotated[float, Number(1, 20)] | None = optional(
        "how much longer than its neighbour an interval must be to be the gap; left out: (missing + 2)/2 "
        "of the smallest gap",
        1.5,
    )
    compares: Literal["last", "both"] | None = optional(
        "last: each interval with the one before; both: with the one before and the one after; left out: "
        "last, and printed so",
        "last",
    )
    filter: Time | None = optional("time constant of its input filter; left out: assumed and printed so", "20 us")
