"""The indexing plan of a job as plain numbers and lines: what is turned to, in which order, and what must meet where.

Zero is the centre of the (first) gap; angles rise the way the crank turns, in degrees. Every setting is reckoned
from zero.
"""

from __future__ import annotations

from collections.abc import Sequence

from wheelcad.errors import Faults
from wheelcad.job.models import Job
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.indexing.basis import IndexBasis, basis_of, toothed
from wheelcad.parts.indexing.checkpoints import find_checkpoints
from wheelcad.parts.indexing.judge import setting_findings
from wheelcad.parts.indexing.laps import plan_laps
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.indexing.reach import plates_reach, reach_finding
from wheelcad.parts.indexing.setups import plan_setups
from wheelcad.parts.indexing.stops import all_cuts, make_stops
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.outline import narrowest_mm
from wheelcad.parts.wheel.passes import slot_passes
from wheelcad.trade.cutting import MillingPlan, milling_plan
from wheelcad.trade.nearness import SAME_MM
from wheelcad.words import length


def design_indexing(job: Job, wheel: WheelDesign, holes: Sequence[CorrectionHole] = ()) -> IndexPlan | None:
    """The plan for cutting `wheel`, with its balance `holes` on the same set-up.

    None when the shop has no rotary table, readout or driven axis, or works by hand.
    DesignError when the cutter is wider than the slot.
    """
    shop = job.shop
    if (shop.rotary_table is None and not shop.readout and not shop.rotary_axis) or shop.slots_by == "hand":
        return None
    _check_cutter(job, wheel)
    basis = basis_of(job, wheel)
    table, spec = basis.table, shop.rotary_table
    passes = slot_passes(basis.slot, basis.cutter.diameter) if basis.cutter else ()
    cuts, ridge = all_cuts(basis, passes, holes)
    slots = [cut for cut in cuts if cut.work == "slot"]
    milling = _milling(basis)
    setups, findings = plan_setups(basis, cuts, milling)
    checkpoints = tuple(find_checkpoints(job, wheel, slots, table, basis.scale))
    laps, stops = make_stops(basis, cuts, list(plan_laps(basis, cuts, passes, setups)), checkpoints)
    settings = [table.setting(cut.at) for cut in slots] if table is not None else []
    plates = plates_reach(spec, job.wheel.teeth, settings) if spec else None
    return IndexPlan(
        job=job,
        wheel=wheel,
        table=table,
        setups=setups,
        laps=laps,
        stops=stops,
        cutter_mm=basis.cutter.diameter if basis.cutter else None,
        slot_passes=passes,
        gap_ridge_mm=ridge,
        checkpoints=checkpoints,
        reach=plates,
        milling=milling,
        findings=(
            *setting_findings(basis, settings, ridge),
            *(reach_finding(plates, job.wheel.teeth, table.dial_step) if table is not None else ()),
            *findings,
        ),
    )


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
            found=length(cutter.diameter),
            allowed=f"at most {length(widest)}",
        )
    faults.raise_if_any()


def _milling(basis: IndexBasis) -> MillingPlan | None:
    if basis.cutter is None:
        return None
    cutter = basis.cutter
    depth = basis.job.wheel.thickness if basis.flat else basis.slot.depth
    return milling_plan(cutter.material, basis.wheel.material, cutter.diameter, cutter.flutes, depth, cutter.stick_out)
