"""What all patterns of a job have in common: blank, slot, sensor, cutter, table and engine, as plain numbers."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.errors import DesignError, Faults
from wheelcad.job.models import Job, RotaryTable
from wheelcad.parts.common.openings import job_sense
from wheelcad.parts.options.wants import Wants, wants_of
from wheelcad.parts.wheel.design import design_wheel, slot_shape
from wheelcad.parts.wheel.outline import SlotShape, narrowest_mm
from wheelcad.parts.wheel.passes import widest_step_deg
from wheelcad.trade.frames import point_at
from wheelcad.trade.ignition import firing_angles_even, firing_intervals_deg
from wheelcad.trade.loop import Floats
from wheelcad.trade.materials import material
from wheelcad.trade.nearness import SAME_MM


@dataclass(frozen=True)
class Ground:
    """The job's numbers. Lengths mm, g_per_mm2: of the plate. other_g_mm: (2,) unbalance of bore and holes, x and y.

    gap_way: (2,) unit vector to the gap. max_rpm, intervals_deg and table are None or empty where the job has no such
    section. gap_step_deg: widest step between two passes in a gap with this cutter; None without one that fits.
    """

    slot: SlotShape
    thickness: float
    g_per_mm2: float
    other_g_mm: Floats
    gap_way: Floats
    wants: Wants
    max_rpm: float | None
    intervals_deg: tuple[float, ...]
    table: RotaryTable | None
    cutter_mm: float | None
    gap_step_deg: float | None
    cam: bool
    units: str

    @property
    def looks_at(self) -> float:
        """Radius at which the sensor meets the teeth of this blank."""
        return self.slot.rim_radius - self.wants.inset

    @property
    def cutter_fits(self) -> bool:
        """Whether the cutter goes down this slot; so it does where there is none."""
        return self.cutter_mm is None or self.cutter_mm <= narrowest_mm(self.slot) + SAME_MM


def ground_of(job: Job) -> Ground:
    """The ground of a job. DesignError when its slot cannot exist whatever the pattern."""
    faults = Faults()
    slot = slot_shape(job.wheel, faults)
    try:
        faults.raise_if_any()
    except DesignError as error:
        raise error.placed(job.source.located) from None
    density = material(job.wheel.material).density_g_mm3 * job.wheel.thickness
    cutter = job.shop.cutter.diameter if job.shop.cutter is not None else None
    fits = cutter is not None and cutter <= narrowest_mm(slot) + SAME_MM
    engine = job.engine
    intervals: tuple[float, ...] = ()
    if engine is not None:
        count = len(engine.firing_order) if engine.firing_order else engine.cylinders
        if count:
            intervals = firing_intervals_deg(engine.firing_angles or firing_angles_even(count))
    return Ground(
        slot,
        job.wheel.thickness,
        density,
        _other_g_mm(job, density),
        point_at(1.0, job.wheel.gap_at, job_sense(job)),
        wants_of(job),
        engine.max_speed if engine is not None else None,
        intervals,
        job.shop.rotary_table,
        cutter,
        widest_step_deg(slot, cutter) if cutter is not None and fits else None,
        job.cam is not None,
        job.units,
    )


def _other_g_mm(job: Job, g_per_mm2: float) -> Floats:
    """Unbalance of a plate's bore and holes, which count whatever the pattern; 0 in turned-down form."""
    try:
        wheel = design_wheel(job)
    except DesignError:  # the job's own pattern cannot be; others may
        return np.zeros(2)
    taken = [opening.loop.oriented().moments()[1:3] for opening in wheel.openings]
    other: Floats = -g_per_mm2 * np.array(taken, dtype=float).reshape(-1, 2).sum(axis=0)
    return other
