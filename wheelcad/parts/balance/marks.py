"""What the shop can set: angles on the rotary table, depths on the quill, radii on the mill's dials."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.job.models import Job
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.drills import Drill, drills
from wheelcad.trade.frames import apart_deg

LAID_OUT_DEG = 0.1  # step of angles where no rotary table is given: what careful marking out can do
LEAST_RADIUS_STEPS = 12


@dataclass(frozen=True)
class ShopSteps:
    """Steps of this shop. zero_deg: the table's zero, the centre of the gap. ratio: None without a rotary table.

    dial_step_deg: degrees; depth_step_mm, radius_step_mm: mm.
    """

    zero_deg: float
    ratio: int | None
    dial_step_deg: float
    depth_step_mm: float
    radius_step_mm: float

    def nearest(self, at_deg: float) -> float:
        """The angle nearest to `at_deg` that can be set, 0 ≤ a < 360.

        The dial starts afresh on every turn and a whole turn is a mark too, as in trade.indexing.dial_setting; in
        floats, because thousands of angles are tried.
        """
        turn = 360.0 / (self.ratio or 1)
        turns, rest = divmod((at_deg - self.zero_deg) % 360.0, turn)
        dial = math.floor(rest / self.dial_step_deg + 0.5 + 1e-9) * self.dial_step_deg
        if turn - rest < abs(dial - rest) - 1e-9:  # nearer, or the mark would be over the turn
            dial = turn
        return round((self.zero_deg + turns * turn + dial) % 360.0, 9) % 360.0

    def around(self, at_deg: float) -> list[float]:
        """The nearest settable angle and its neighbours on either side."""
        out: list[float] = []
        for step in (0.0, -1.0, 1.0):
            angle = self.nearest(at_deg + step * self.dial_step_deg)
            if all(apart_deg(angle, other) > 1e-9 for other in out):
                out.append(angle)
        return out

    def depth_up(self, depth: Floats) -> Floats:
        """The depths rounded up to the quill's next mark."""
        return np.round(np.ceil(depth / self.depth_step_mm - 1e-9) * self.depth_step_mm, 9)

    def depth_near(self, depth: Floats) -> Floats:
        """The depths rounded to the quill's nearest mark."""
        return np.round(np.round(depth / self.depth_step_mm) * self.depth_step_mm, 9)

    def radii(self, low: float, high: float) -> Floats:
        """Radii on the dial's marks within low..high mm; finer marks where the band is narrow."""
        step = self.radius_step_mm
        while (high - low) / step < LEAST_RADIUS_STEPS and step > 0.05:
            step /= 2
        first, last = int(np.ceil(low / step - 1e-9)), int(np.floor(high / step + 1e-9))
        return np.round(np.arange(first, last + 1) * step, 9)


def marks_of(job: Job, wheel: WheelDesign) -> ShopSteps:
    """The shop of a job: 0.1 mm of depth and 0.5 mm of radius, or 0.005 in and 0.020 in where the job is in inches."""
    table = job.shop.rotary_table
    inch = job.units == "in"
    return ShopSteps(
        wheel.gap_at_deg,
        table.ratio if table is not None else None,
        table.dial_step if table is not None else LAID_OUT_DEG,
        0.127 if inch else 0.1,
        0.508 if inch else 0.5,
    )


def usable_drills(set_name: str, largest_mm: float, least_mm: float) -> tuple[Drill, ...]:
    """Drills of the set from least_mm to largest_mm; from the smallest on where the largest is below the least."""
    fitting = [drill for drill in drills(set_name) if drill.diameter_mm <= largest_mm + 1e-3]
    strong = tuple(drill for drill in fitting if drill.diameter_mm >= least_mm - 1e-9)
    return strong or tuple(fitting)
