"""What the controller makes of the sensor's signal. What is left out is assumed (trade/assumed.py) and printed so."""

from typing import Annotated, Literal

from pydantic import Field

from wheelcad.job.kinds import Number
from wheelcad.job.section import Section, Share, Time, Volts


class Controller(Section):
    """What the controller makes of the sensor's signal."""

    least_volts: Volts | None = Field(
        default=None,
        description="the least signal a reluctance input takes for a tooth; left out: assumed and printed so",
        examples=[0.3],
    )
    arming: Share | None = Field(
        default=None,
        description="the share of the last peak at which a reluctance input is armed again; left out: assumed and "
        "printed so",
        examples=[0.35],
    )
    ratio: Annotated[float, Number(1, 20)] | None = Field(
        default=None,
        description="how much longer than its neighbour an interval must be to be the gap; left out: (missing + 2)/2 "
        "of the smallest gap",
        examples=[1.5],
    )
    compares: Literal["last", "both"] | None = Field(
        default=None,
        description="last: each interval with the one before; both: with the one before and the one after; left out: "
        "last, and printed so",
        examples=["last"],
    )
    filter: Time | None = Field(
        default=None,
        description="time constant of its input filter; left out: assumed and printed so",
        examples=["20 us"],
    )
