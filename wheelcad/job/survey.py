"""Distances read on the engine, from which the places of the bracket's mounts are worked out."""

from typing import Annotated

from pydantic import ConfigDict

from wheelcad.job.kinds import Clock, Quantity
from wheelcad.job.section import PointName, Positive, Section, YesNo, key

CENTRE = "centre"  # the crank axis, in readings
BOLT = "bolt-"  # bolt-1 is at pulley.bolts.first_at; numbers rise the way the crank turns


class Reading(Section):
    """One distance between two points."""

    model_config = ConfigDict(populate_by_name=True)

    from_: PointName = key(
        "a point: centre (the crank axis), bolt-1 (the pulley's bolt at first_at; numbers rise the way the "
        "crank turns) or a mount's name",
        "centre",
        alias="from",
    )
    to: PointName = key("the other point", "m1")
    is_: Positive = key("the distance, square to the crank unless `slant: yes`", 158.6, alias="is")
    slant: YesNo = key("read straight between the points, which do not lie in one plane", "yes", default=False)


class Survey(Section):
    """Where the block's holes are, by distances read with cylinder 1 at TDC."""

    read_to: Annotated[float, Quantity("length", 0, 50, above=True)] = key(
        "how well the distances are read, ±, a 95 per cent limit", 0.5, default=0.5
    )
    readings: tuple[Reading, ...] = key(
        "the distances",
        [{"from": "centre", "to": "m1", "is": 158.6}, {"from": "bolt-4", "to": "m1", "is": 119.7}],
        min_length=1,
        max_length=200,
    )
    clock: dict[str, Annotated[float, Clock()]] = key(
        "where a mount is, by the clock as seen facing the wheel, 12 being the TDC line: only where "
        "distances leave two answers",
        {"m1": "10 o'clock"},
        default_factory=dict,
    )
