"""What every step of the indexing plan stands on: the wheel's slots as exact angles, the table, the cutter."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from wheelcad.job.models import Cutter, Job
from wheelcad.parts.indexing.settings import WHOLE, TurnTable, table_for
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.parts.wheel.passes import lies_flat


@dataclass(frozen=True)
class IndexBasis:
    """slots: their exact angles from the (first) gap, rising; degrees.

    slot: as it comes out with this set-up. cutter: None without one, or where the teeth are there already. flat: the
    wheel lies face up under the spindle; else its table stands on edge.
    """

    job: Job
    wheel: WheelDesign
    slots: tuple[Fraction, ...]
    slot: SlotShape
    cutter: Cutter | None
    table: TurnTable | None
    flat: bool

    def scale(self, at: Fraction) -> float | None:
        """What the edge reads with angle `at` under the cutter; it rises when its numbers run as the crank does."""
        spec = self.job.shop.rotary_table
        if spec is None or spec.scale is None:
            return None
        rises = (spec.scale == "clockwise") == (self.wheel.sense > 0)
        return float(at if rises else (WHOLE - at) % WHOLE)

    @property
    def turns(self) -> bool:
        """Whether the work is turned to the cutter, by a table or a driven axis, and not the cutter brought to it."""
        return self.table is not None or self.job.shop.rotary_axis


def toothed(job: Job) -> bool:
    """Whether the wheel is a ready-made ring whose teeth are cut: then the chart serves to check them."""
    return job.wheel.as_found is not None and job.wheel.as_found.toothed


def basis_of(job: Job, wheel: WheelDesign) -> IndexBasis:
    """The basis for a job's wheel and shop."""
    rising = tuple(sorted(wheel.teeth.slots_exact))
    spec = job.shop.rotary_table
    cutter = None if toothed(job) else job.shop.cutter
    table = table_for(spec, rising) if spec else None
    slot, flat = wheel.slot, cutter is None or lies_flat(wheel.slot, cutter.diameter / 2)
    if cutter is not None and not flat and table is None and not job.shop.rotary_axis:
        # nothing that could stand on edge: the floor's corners come out with the cutter's radius
        slot, flat = replace(slot, corner_radius=cutter.diameter / 2), True
    return IndexBasis(job, wheel, rising, slot, cutter, table, flat)
