"""The indexing plan of a job as plain numbers and lines: what is turned to, in which order, and what must meet where.

Zero is the centre of the (first) gap; angles rise the way the crank turns, in degrees. Every setting is reckoned
from zero.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from wheelcad.errors import Faults
from wheelcad.job.models import Job
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.indexing import setup
from wheelcad.parts.indexing.checkpoints import find_checkpoints
from wheelcad.parts.indexing.ground import Ground, ground_of, toothed
from wheelcad.parts.indexing.judge import set_up, setting_findings
from wheelcad.parts.indexing.laps import Work, plan_laps
from wheelcad.parts.indexing.model import Cut, IndexPlan
from wheelcad.parts.indexing.reach import plates_reach, reach_finding
from wheelcad.parts.indexing.settings import Move
from wheelcad.parts.indexing.stops import gap_stops, hole_work, in_order, numbered, sides_stops, slots_stops
from wheelcad.parts.indexing.words import length
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.outline import narrowest_mm
from wheelcad.parts.wheel.passes import slot_passes
from wheelcad.trade.cutting import MillingPlan, milling_plan
from wheelcad.trade.nearness import SAME_MM

__all__ = ["IndexPlan", "design_indexing"]


def design_indexing(job: Job, wheel: WheelDesign, holes: Sequence[CorrectionHole] = ()) -> IndexPlan | None:
    """The plan for cutting `wheel`, with its balance `holes` on the same set-up.

    None when the shop has no rotary table, readout or driven axis. DesignError when the cutter is wider than the slot.
    """
    shop = job.shop
    if shop.rotary_table is None and not shop.readout and not shop.rotary_axis:
        return None
    _check_cutter(job, wheel)
    ground = ground_of(job, wheel)
    table = ground.table
    passes = slot_passes(ground.slot, ground.cutter.diameter) if ground.cutter else ()
    gap, ridge = gap_stops(ground)
    drilled = in_order(wheel, holes)
    cuts = numbered(ground, [*slots_stops(ground), *sides_stops(ground, passes), *gap], drilled)
    slots = tuple(cut for cut in cuts if cut.work == "slot")
    milling = _milling(ground)
    lines, findings = set_up(ground, milling)
    plates = plates_reach(shop.rotary_table, job.wheel.teeth, slots) if shop.rotary_table else None
    step = table.dial_step if table else Fraction(0)
    return IndexPlan(
        job=job.job,
        title=job.title,
        units=job.units,
        teeth=job.wheel.teeth,
        gaps=tuple(gap.missing for gap in wheel.gaps),
        sense=wheel.sense,
        gap_at_deg=wheel.gap_at_deg,
        slot_centres_deg=tuple(wheel.slot_centres_deg.tolist()),
        rim_radius_mm=wheel.radius_mm,
        floor_radius_mm=wheel.floor_radius_mm,
        slot_width_mm=wheel.slot.width,
        slot_depth_mm=wheel.slot.depth,
        side_lean_deg=wheel.slot.rim_half_deg if wheel.slot.radial else 0.0,
        cutter_mm=ground.cutter.diameter if ground.cutter else None,
        lying="flat" if ground.flat else "upright",
        table=table,
        scale=shop.rotary_table.scale if shop.rotary_table else None,
        backlash_deg=shop.rotary_table.backlash if shop.rotary_table else 0.0,
        cuts=cuts,
        slots=len(slots),
        closing=_closing(ground, slots),
        slot_passes=passes,
        gap_ridge_mm=ridge,
        holes=hole_work(cuts, drilled, wheel.material),
        laps=plan_laps(cuts, passes, table, _work(ground)),
        checkpoints=find_checkpoints(job, wheel, slots, ground.grid, table, ground.scale),
        reach=plates,
        milling=milling,
        setup=tuple(lines),
        cautions=setup.CAUTIONS,
        readout=shop.readout,
        rotary_axis=shop.rotary_axis,
        findings=(
            *setting_findings(ground, cuts, ridge),
            *reach_finding(plates, job.wheel.teeth, step),
            *findings,
        ),
    )


def _closing(ground: Ground, slots: tuple[Cut, ...]) -> Move | None:
    """From the last slot back to zero; None without a table."""
    last = slots[-1].setting
    return ground.table.move(last, ground.table.zero) if ground.table is not None and last is not None else None


def _work(ground: Ground) -> Work:
    job = ground.job
    gauge = job.gauge is not None and job.pulley is not None
    return Work(job.units, ground.slot.depth, ground.flat, toothed(job), gauge, ground.turns)


def _check_cutter(job: Job, wheel: WheelDesign) -> None:
    """A cutter has to go into the slot."""
    cutter = job.shop.cutter
    if cutter is None or toothed(job):
        return
    widest = narrowest_mm(wheel.slot)
    faults = Faults()
    if cutter.diameter > widest + SAME_MM:
        where = "the slot at its floor" if wheel.slot.radial else "the slot"
        faults.add(
            ("shop", "cutter", "diameter"),
            f"is wider than {where}",
            found=length(cutter.diameter, job.units),
            allowed=f"at most {length(widest, job.units)}",
        )
    faults.raise_if_any()


def _milling(ground: Ground) -> MillingPlan | None:
    if ground.cutter is None:
        return None
    cutter = ground.cutter
    depth = ground.job.wheel.thickness if ground.flat else ground.slot.depth
    return milling_plan(cutter.material, ground.wheel.material, cutter.diameter, cutter.flutes, depth, cutter.stick_out)
