"""Distances read on the engine, from which the places of the bracket's mounts are worked out."""

from typing import Annotated

from pydantic import ConfigDict, Field

from wheelcad.job.kinds import Clock, Quantity
from wheelcad.job.section import PointName, Positive, Section, YesNo

CENTRE = "centre"  # the crank axis, in readings
BOLT = "bolt-"  # bolt-1 is at pulley.bolts.first_at; numbers rise the way the crank turns


class Reading(Section):
    """One distance between two points."""

    model_config = ConfigDict(populate_by_name=True)

    from_: PointName = Field(
        alias="from",
        description="a point: centre (the crank axis), bolt-1 (the pulley's bolt at first_at; numbers rise the way the "
        "crank turns) or a mount's name",
        examples=["centre"],
    )
    to: PointName = Field(description="the other point", examples=["m1"])
    is_: Positive = Field(
        alias="is", description="the distance, square to the crank unless `slant: yes`", examples=[158.6]
    )
    slant: YesNo = Field(
        default=False, description="read straight between the points, which do not lie in one plane", examples=["yes"]
    )


class Survey(Section):
    """Where the block's holes are, by distances read with cylinder 1 at TDC."""

    read_to: Annotated[float, Quantity("length", 0, 50, above=True)] = Field(
        default=0.5, description="how well the distances are read, ±, a 95 per cent limit", examples=[0.5]
    )
    readings: tuple[Reading, ...] = Field(
        min_length=1,
        max_length=200,
        description="the distances",
        examples=[[{"from": "centre", "to": "m1", "is": 158.6}, {"from": "bolt-4", "to": "m1", "is": 119.7}]],
    )
    clock: dict[str, Annotated[float, Clock()]] = Field(
        default_factory=dict,
        description="where a mount is, by the clock as seen facing the wheel, 12 being the TDC line: only where "
        "distances leave two answers",
        examples=[{"m1": "10 o'clock"}],
    )
