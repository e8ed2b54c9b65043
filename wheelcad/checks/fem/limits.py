"""What a shaken bracket may do, each limit stated once; whether it keeps them, and how much stiffer it must be."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from wheelcad.checks.fem.model import Held, scaled
from wheelcad.checks.fem.response import QUANTITIES, Speeds, WorstShake, worst
from wheelcad.checks.fem.setup import shakes
from wheelcad.parts.bracket.bolts import slips_at_g
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.stiffness import GAP_LOST
from wheelcad.parts.common.excited import excited
from wheelcad.parts.common.stack import looking_radius
from wheelcad.trade.materials import material

TIMING_LOST = 0.1  # degrees of crank; common practice, no source
YIELD_SHARE = 1 / 3  # of the yield strength: room for fatigue at welds and bends; common practice, no source
STIFFER_STEP = 1.02  # of the search for a frequency that will do
STIFFEST = 20.0  # times the present frequency: where the search ends


@dataclass(frozen=True)
class BracketLimits:
    """gap, aside: mm; stress: MPa; load: g at the bolts, inf where no thread is named. strength: the yield strength;
    radius: where the sensor looks, mm."""

    gap: float
    aside: float
    stress: float
    load: float
    strength: float
    radius: float


def limits_of(design: BracketDesign) -> BracketLimits:
    """The limits of a bracket."""
    job, strength = design.asked.job, material(design.material).strength_mpa
    radius = looking_radius(design.asked.sensor, job.wheel.outside_diameter / 2, job.wheel.slot.depth)
    slips = slips_at_g(design)
    return BracketLimits(
        GAP_LOST / 100 * design.gap,
        radius * math.tan(math.radians(TIMING_LOST)),
        YIELD_SHARE * strength,
        math.inf if slips is None else slips,
        strength,
        radius,
    )


def speeds_of(design: BracketDesign) -> Speeds | None:
    """What shakes a bracket; None without the engine's cylinders and highest speed."""
    found = excited(design.asked.job.engine)
    if found is None:
        return None
    tangent = shakes(design)[-1].direction
    return Speeds(found.orders, found.idle_rpm, found.max_rpm, tangent)


def keeps(found: WorstShake, limits: BracketLimits) -> bool:
    """Whether all four quantities keep their limits."""
    return all(getattr(found, name).size <= getattr(limits, name) for name in QUANTITIES)


def wanted_times(held: Sequence[Held], speeds: Speeds, limits: BracketLimits) -> float:
    """How many times as high its frequencies must be for it to keep the limits; 1 if it does, inf beyond STIFFEST."""
    times = 1.0
    while times <= STIFFEST:
        if keeps(worst([scaled(one, times) for one in held], speeds), limits):
            return times
        times *= STIFFER_STEP
    return math.inf
