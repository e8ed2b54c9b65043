"""Where parts touch that must not, for the scene to show at the place: by the rules that refuse such a bracket.

Engine frame, mm. The distances are `parts.bracket.clear`'s own, so that the picture and the fault cannot differ.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon
from shapely.ops import nearest_points

from wheelcad.errors import DesignError
from wheelcad.page.scene_parts import SceneMade
from wheelcad.parts.bracket import clear
from wheelcad.parts.bracket.blocks import held_blocks, nose_blocks, slide_of
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.common.stack import Land
from wheelcad.parts.sensor.design import sensor_place
from wheelcad.words import Words, length

Point = tuple[float, float, float]
MOST = 12  # places shown


@dataclass(frozen=True)
class Touch:
    """One place. what, other: as a user calls them. distance: between them, negative by how much they overlap.

    hits: nearer than `clear.LEAST`, which is a fault; else nearer than `clear.AIMED`, which is a warning.
    parts: names in the scene of what touches.
    """

    what: str
    other: str
    distance: float
    at: Point
    parts: tuple[str, str]

    @property
    def hits(self) -> bool:
        """Whether this is a fault."""
        return self.distance < clear.LEAST - 1e-6

    def words(self, units: str) -> str:
        """The sentence beside the mark."""
        if self.distance <= 0:
            said = f"{self.what} hits {self.other}: they overlap by {length(-self.distance, 1)}"
        elif self.hits:
            said = f"{self.what} hits {self.other}: {length(self.distance)} between them, {length(clear.LEAST)} needed"
        else:
            said = (
                f"{self.what} is near {self.other}: {length(self.distance)} between them, aim at {length(clear.AIMED)}"
            )
        return Words(units).text(said)


def touches(made: SceneMade) -> list[Touch]:
    """Every pair of a piece of the bracket or sensor and what turns, or a belt, that are too near: the nearest place of
    each, the worst first."""
    bracket, found = made.bracket, list(_nose(made))
    if bracket is not None:
        found += [*_turning(made, bracket), *_belts(made, bracket)]
    worst: dict[tuple[str, str], Touch] = {}
    for touch in found:
        key = touch.what, touch.other
        if key not in worst or touch.distance < worst[key].distance:
            worst[key] = touch
    return sorted(worst.values(), key=lambda touch: touch.distance)[:MOST]


def _turning(made: SceneMade, bracket: BracketDesign) -> Iterator[Touch]:
    slide = slide_of(bracket)
    lands = clear.turning_parts(made.job)
    for block, land, distance in clear.rooms(held_blocks(bracket), lands, slide):
        if distance < clear.AIMED - 1e-6:
            yield Touch(block.what, clear.name_of(land), distance, _place(block, land, slide), _names(block, land))


def _nose(made: SceneMade) -> Iterator[Touch]:
    """The nose against what turns beside the ring, whatever carries the sensor: `drawn.check_nose`'s rule."""
    sensor = made.job.sensor
    if sensor is None or sensor.nose_length is None or (sensor.body_diameter is None and sensor.thread is None):
        return
    try:
        place = sensor_place(made.job, sensor)
    except DesignError:  # its sizes contradict each other, which is told as a fault
        return
    still = clear.Slide(place.out[0], place.out[1], 0.0, 0.0)
    least = min(clear.LEAST, sensor.air_gap)
    beside = [land for land in clear.turning_parts(made.job) if land.name != "ring"]
    for block, land, distance in clear.rooms(nose_blocks(place), beside, still):
        if distance < least - 1e-6:
            yield Touch(block.what, clear.name_of(land), distance, _place(block, land, still), _names(block, land))


def _names(block: clear.Block, land: Land) -> tuple[str, str]:
    ours = {"the sensor's nose": "sensor", "the sensor's nut": "sensor-fasteners"}.get(block.what, "bracket")
    return ours, {"ring": "wheel", "pilot": "adapter", "crankshaft": "found"}.get(land.name, land.name)


def _place(block: clear.Block, land: Land, slide: clear.Slide) -> Point:
    """The point of the block nearest the axis, at the height where both are, or half-way between them."""
    _, near = nearest_points(clear.axis_path(slide), block.polygon)
    low, high = max(block.z_low, land.z_back), min(block.z_high, land.z_front)
    return float(near.x), float(near.y), (low + high) / 2


def _belts(made: SceneMade, bracket: BracketDesign) -> Iterator[Touch]:
    job = made.job
    slide = slide_of(bracket)
    blocks: Sequence[clear.Block] = [*held_blocks(bracket), *nose_blocks(bracket.asked.place)]
    for number, belt in enumerate(job.belts, 1):
        one = job.model_copy(update={"pulley": job.pulley.model_copy(update={"belts": (belt,)})}) if job.pulley else job
        sector, z_low, z_high = clear.belt_sector(job, belt)
        for block in blocks:
            room = clear.belt_room(one, [block], slide)
            if room is not None and room.distance < clear.LEAST:
                at = _in_sector(block.polygon, sector)
                z = (max(block.z_low, z_low) + min(block.z_high, z_high)) / 2
                ours = "sensor" if block.what == "the sensor's nose" else "bracket"
                yield Touch(block.what, f"belt {number}", room.distance, (*at, z), (ours, f"belt-{number}"))


def _in_sector(block: Polygon, sector: Polygon) -> tuple[float, float]:
    both = block.intersection(sector)
    if both.is_empty:
        near, _ = nearest_points(block, sector)
        return float(near.x), float(near.y)
    x, y = np.array(both.centroid.coords)[0]
    return float(x), float(y)
