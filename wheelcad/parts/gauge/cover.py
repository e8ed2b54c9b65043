"""How much of the circle the gauge covers, and which marks that holds. Degrees from the TDC line; mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from wheelcad.errors import Faults
from wheelcad.parts.gauge.labels import Mark
from wheelcad.parts.gauge.shape import sector
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import wrap_180
from wheelcad.trade.loop import Loop

HUB_WALL = 5.0  # mm of hub around bolt holes, where the wedge does not reach
HUB_ROOM = 11.0  # mm more for TDC pointer and lettering, where there is room inside the slots
SKIRT_WALL = 4.0  # mm of skirt round a hub that reaches over the shoulder
FAR = 40.0  # mm beyond the rim: a wedge takes in all that stands there


class PrintHole(NamedTuple):
    """A printed bolt hole: its centre and radius, mm."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True)
class Cover:
    """covers_deg: as made, 360 for the whole circle; from_deg, to_deg: its ends, from the TDC line (unwrapped);
    keep: the area kept, None for all; marks: the cuts it shows, in the order of cutting."""

    covers_deg: float
    from_deg: float
    to_deg: float
    keep: Loop | None
    marks: tuple[Mark, ...]
    hub_radius: float


def find_cover(covers_deg: float, wheel: WheelDesign, hub: float, faults: Faults) -> Cover:
    """The part of the circle a gauge covers, centred on the gap; its ends lie in the middle of teeth, so that it
    covers at least what was asked for. A fault when that holds fewer than two slots. hub: its hub's radius, mm.
    """
    centres, gaps, gap = wheel.slot_centres_deg.tolist(), wheel.teeth.gap_after, wheel.gaps[0]
    every = tuple(Mark(i + 1, a, (i - 1) % len(centres) in gaps, i in gaps) for i, a in enumerate(centres))
    # outwards to the next tooth's middle
    first = wheel.pitch_deg * (gap.missing + 1) / 2
    half = first + wheel.pitch_deg * max(0, math.ceil((covers_deg / 2 - first) / wheel.pitch_deg - 1e-9))
    if half >= 180.0 - wheel.pitch_deg / 2:
        return Cover(360.0, gap.at_deg - 180.0, gap.at_deg + 180.0, None, every, hub)
    marks = tuple(m for m in every if abs(float(wrap_180(m.at_deg - gap.at_deg))) < half)
    if len(marks) < 2:
        least = (gap.missing + 1) * wheel.pitch_deg
        found, allowed = f"{covers_deg:g} deg", f"more than {least:g} deg"
        faults.add(("gauge", "covers"), "holds fewer than two slots", found=found, allowed=allowed)
    keep = sector(gap.at_deg - half, gap.at_deg + half, hub, wheel.radius_mm + FAR, wheel.sense)
    return Cover(2 * half, gap.at_deg - half, gap.at_deg + half, keep, marks, hub)


def hub_radius(
    openings: Sequence[float | None], wheel: WheelDesign, holes: Sequence[PrintHole], shoulder: float
) -> float:
    """Round the bolts or the opening, with room for lettering where there is some, never into the slots, and never with
    a sliver of skirt round it. openings: diameters of bores and recess; shoulder: inside the skirt, 0 without one; mm.
    """
    need = max((math.hypot(h.x, h.y) + h.radius for h in holes), default=0.0)
    for diameter in openings:
        need = max(need, diameter / 2 if diameter is not None else 0.0)
    most = wheel.floor_radius_mm - 1.0
    hub = need + HUB_WALL + HUB_ROOM
    if shoulder and hub > shoulder - 0.5:
        hub = shoulder - 0.5 if need + HUB_WALL <= shoulder - 0.5 else max(need + HUB_WALL, shoulder + SKIRT_WALL)
    return min(hub, most)
