"""The indexing plan of a job as plain numbers and lines: what is turned to, in which order, and what must meet where.

Zero is the centre of the (first) gap; angles rise the way the crank turns, in degrees. Every setting is reckoned
from zero.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from wheelcad.errors import Faults
from wheelcad.findings import Finding, at_most, holds
from wheelcad.job.models import Cutter, Job
from wheelcad.parts.balance.holes import CorrectionHole
from wheelcad.parts.indexing import access, reach, readout, setup
from wheelcad.parts.indexing.checkpoints import find_checkpoints
from wheelcad.parts.indexing.laps import Work, plan_laps
from wheelcad.parts.indexing.model import Cut, HoleWork, IndexPlan
from wheelcad.parts.indexing.passes import (
    RIDGE_MM,
    SAME_MM,
    SlotPass,
    gap_angles,
    lies_flat,
    narrowest_mm,
    ridge_mm,
    slot_passes,
    widest_step_deg,
)
from wheelcad.parts.indexing.settings import WHOLE, Table, TableSetting, table_for
from wheelcad.parts.indexing.words import angle, length
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.cutting import MillingPlan, drilling_rpm, milling_plan
from wheelcad.trade.indexing import exact_angle

__all__ = ["IndexPlan", "design_indexing"]

POOR_SETTING_DEG = 0.1  # a setting error from which a controller's timing suffers; our judgement


@dataclass(frozen=True)
class _Ground:
    """What all steps need: the grid of half pitches, the slots' exact angles from the gap, table, cutter."""

    job: Job
    wheel: WheelDesign
    grid: Fraction
    slots: tuple[Fraction, ...]
    cutter: Cutter | None
    table: Table | None

    def scale(self, at: Fraction) -> float | None:
        """What the edge reads with angle `at` under the cutter; it rises when its numbers run as the crank does."""
        spec = self.job.shop.rotary_table
        if spec is None or spec.scale is None:
            return None
        rises = (spec.scale == "clockwise") == (self.wheel.sense > 0)
        return float(at if rises else (WHOLE - at) % WHOLE)


def design_indexing(job: Job, wheel: WheelDesign, holes: Sequence[CorrectionHole] = ()) -> IndexPlan | None:
    """The plan for cutting `wheel`, with its balance `holes` on the same set-up.

    None when the shop has no rotary table, readout or driven axis. DesignError when the cutter is wider than the slot.
    """
    shop = job.shop
    if shop.rotary_table is None and not shop.readout and not shop.rotary_axis:
        return None
    _check_cutter(job, wheel)
    ground = _ground(job, wheel)
    passes = slot_passes(wheel.slot, ground.cutter.diameter) if ground.cutter else ()
    mills = _slots(ground) + _sides(ground, passes)
    gap, ridge = _gap(ground)
    drilled = _in_order(wheel, holes)
    hole_cuts = [Cut(0, "hole", i, at) for i, (at, _) in enumerate(drilled, start=1)]
    cuts = _numbered(ground, [*mills, *gap, *hole_cuts], [hole.centre(wheel.sense) for _, hole in drilled])
    slots = tuple(cut for cut in cuts if cut.work == "slot")
    flat = ground.cutter is None or lies_flat(wheel.slot, ground.cutter.diameter / 2)
    milling = _milling(ground, flat)
    lines, findings = _set_up(ground, flat, milling)
    plates = reach.plates_reach(shop.rotary_table, job.wheel.teeth, slots) if shop.rotary_table else None
    step = ground.table.dial_step if ground.table else Fraction(0)
    findings = [*_setting_findings(ground, cuts, ridge), *reach.reach_finding(plates, job.wheel.teeth, step), *findings]
    table = ground.table
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
        cutter_mm=ground.cutter.diameter if ground.cutter else None,
        lying="flat" if flat else "upright",
        table=table,
        scale=shop.rotary_table.scale if shop.rotary_table else None,
        backlash_deg=shop.rotary_table.backlash if shop.rotary_table else 0.0,
        cuts=cuts,
        slots=len(slots),
        closing=table.move(_set(slots[-1]), table.zero) if table else None,
        slot_passes=passes,
        gap_ridge_mm=ridge,
        holes=_hole_work(cuts, drilled, wheel.material),
        laps=plan_laps(cuts, passes, table, _work(job, wheel, flat)),
        checkpoints=find_checkpoints(job, wheel, slots, ground.grid, table, ground.scale),
        reach=plates,
        milling=milling,
        setup=tuple(lines),
        cautions=setup.CAUTIONS,
        readout=shop.readout,
        rotary_axis=shop.rotary_axis,
        findings=tuple(findings),
    )


def _set(cut: Cut) -> TableSetting:
    assert cut.setting is not None
    return cut.setting


def _toothed(job: Job) -> bool:
    """Whether the wheel is a ready-made ring whose teeth are cut: then the chart serves to check them."""
    return job.wheel.as_found is not None and job.wheel.as_found.toothed


def _work(job: Job, wheel: WheelDesign, flat: bool) -> Work:
    gauge = job.gauge is not None and job.pulley is not None
    return Work(job.units, wheel.slot.depth, flat, _toothed(job), gauge)


def _check_cutter(job: Job, wheel: WheelDesign) -> None:
    """A cutter has to go into the slot."""
    cutter = job.shop.cutter
    if cutter is None or _toothed(job):
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


def _ground(job: Job, wheel: WheelDesign) -> _Ground:
    grid = Fraction(180, wheel.teeth.count)
    zero = wheel.gap_at_deg
    rising = sorted(
        round((centre - zero) % 360.0 / float(grid)) * grid % WHOLE for centre in wheel.slot_centres_deg.tolist()
    )
    spec = job.shop.rotary_table
    table = table_for(spec, rising) if spec else None
    return _Ground(job, wheel, grid, tuple(rising), None if _toothed(job) else job.shop.cutter, table)


def _slots(ground: _Ground) -> list[Cut]:
    return [Cut(0, "slot", i, at) for i, at in enumerate(ground.slots, start=1)]


def _sides(ground: _Ground, passes: tuple[SlotPass, ...]) -> list[Cut]:
    """Stops for the passes that turn the table a little off the slot's own setting; number_of_kind is the pass."""
    out = []
    for number, one in enumerate(passes, start=1):
        if one.turn_deg:
            turn = exact_angle(one.turn_deg)
            side = [Cut(0, "side", number, (at + turn) % WHOLE, slot=i) for i, at in enumerate(ground.slots, start=1)]
            out += sorted(side, key=lambda cut: cut.at)
    return out


def _gap(ground: _Ground) -> tuple[list[Cut], float | None]:
    """The passes that clear every gap, and the highest ridge they leave, mm; nothing without a cutter or a gap."""
    if ground.cutter is None:
        return [], None
    slot, diameter = ground.wheel.slot, ground.cutter.diameter
    table = ground.table
    grids = (
        [grid for grid in (table.hole_step, table.dial_step) if grid is not None]
        if table
        else [Fraction(1, 2), Fraction(1, 20)]
    )
    widest = widest_step_deg(slot, diameter)
    out: list[Cut] = []
    ridges = []
    for after in sorted(ground.wheel.teeth.gap_after):
        first, last = (_relative(ground, (after + k) % len(ground.slots)) for k in (0, 1))
        end = last if last > first else last + WHOLE
        inner = gap_angles(first, end, widest, grids)
        out += [Cut(0, "gap", len(out) + k, at % WHOLE) for k, at in enumerate(inner, start=1)]
        reached = [_reached(ground, at) for at in (first, *inner, end)]
        ridges += [ridge_mm(slot, diameter, float(b - a)) for a, b in pairwise(reached)]
    return out, max(ridges, default=None)


def _relative(ground: _Ground, index: int) -> Fraction:
    """Exact angle from the gap of the slot at `index` of the wheel's list."""
    away = (float(ground.wheel.slot_centres_deg[index]) - ground.wheel.gap_at_deg) % 360.0
    return round(away / float(ground.grid)) * ground.grid % WHOLE


def _reached(ground: _Ground, at: Fraction) -> Fraction:
    """The angle the table really gives, which may be beyond a whole revolution."""
    if ground.table is None:
        return at
    return at + ground.table.setting(at % WHOLE).error


def _in_order(wheel: WheelDesign, holes: Sequence[CorrectionHole]) -> list[tuple[Fraction, CorrectionHole]]:
    """The holes with their exact angles from the gap, rising."""
    gap_at = exact_angle(wheel.gap_at_deg)
    return sorted((((exact_angle(hole.at_deg) - gap_at) % WHOLE, hole) for hole in holes), key=lambda pair: pair[0])


def _hole_work(
    cuts: tuple[Cut, ...], holes: list[tuple[Fraction, CorrectionHole]], material: str
) -> tuple[HoleWork, ...]:
    """The drilling at each hole's stop."""
    stops = [cut for cut in cuts if cut.work == "hole"]
    return tuple(
        HoleWork(
            stop.cut,
            hole.radius_mm,
            hole.diameter_mm,
            hole.drill,
            None if hole.through else hole.depth_mm,
            hole.from_back,
            hole.where,
            drilling_rpm(material, hole.diameter_mm),
        )
        for stop, (_, hole) in zip(stops, holes, strict=True)
    )


def _numbered(ground: _Ground, cuts: list[Cut], hole_centres: list[tuple[float, float]]) -> tuple[Cut, ...]:
    """The cuts with their numbers, settings, moves and places. hole_centres: x, y in mm, in the holes' order."""
    out: list[Cut] = []
    before: dict[str, TableSetting] = {}
    for number, cut in enumerate(cuts, start=1):
        done = cut._replace(cut=number, scale_deg=ground.scale(cut.at), points_mm=_points(ground, cut, hole_centres))
        if ground.table is not None:
            setting = ground.table.setting(cut.at)
            move = ground.table.move(before.get(cut.work, ground.table.zero), setting)
            before[cut.work] = setting
            done = done._replace(setting=setting, move=move)
        out.append(done)
    return tuple(out)


def _points(ground: _Ground, cut: Cut, hole_centres: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Where the spindle goes by a readout; () without a readout, without a cutter, or for a side of a slot."""
    if not ground.job.shop.readout:
        return ()
    if cut.work == "hole":
        return (hole_centres[cut.number_of_kind - 1],)
    if ground.cutter is None:
        return ()
    at = float(cut.at) + ground.wheel.gap_at_deg
    diameter, sense, slot = ground.cutter.diameter, ground.wheel.sense, ground.wheel.slot
    if cut.work == "slot":
        return readout.slot_points(slot, diameter, at, sense)
    return readout.gap_points(slot, diameter, at, sense) if cut.work == "gap" else ()


def _milling(ground: _Ground, flat: bool) -> MillingPlan | None:
    if ground.cutter is None:
        return None
    cutter = ground.cutter
    depth = ground.job.wheel.thickness if flat else ground.wheel.slot.depth
    return milling_plan(cutter.material, ground.wheel.material, cutter.diameter, cutter.flutes, depth, cutter.stick_out)


def _set_up(ground: _Ground, flat: bool, milling: MillingPlan | None) -> tuple[list[str], list[Finding]]:
    job, slot, sense = ground.job, ground.wheel.slot, ground.wheel.sense
    packing, findings = access.packing_lines(job, slot)
    lines = []
    if ground.table is not None and job.shop.rotary_table is not None:
        spec = job.shop.rotary_table
        lines += setup.mounting_lines(job, flat, sense, packing)
        lines += setup.zero_lines(ground.wheel, ground.table, ground.scale, spec.backlash)
        lines += setup.counting_lines(ground.table, job.wheel.teeth, spec.scale, sense)
    if job.shop.readout:
        lines += setup.readout_lines(sense)
    if job.shop.rotary_axis:
        lines += setup.axis_lines(sense)
    if ground.cutter is not None:
        held, more = access.check_holder(job, slot, ground.cutter, flat)
        lines += held
        findings += more
        if job.shop.readout and not flat:
            why = (
                "a wheel that lies flat gets the cutter's radius in its floor corners; only a table on edge leaves "
                "the floor as drawn"
            )
            findings.append(
                holds(
                    "floor-corners",
                    "indexing",
                    False,
                    f"radius {length(ground.cutter.diameter / 2, job.units)}",
                    why,
                    access.SHOP,
                    "warn",
                )
            )
    elif _toothed(job):
        lines.append(
            "The ring's teeth are cut already: go round with a pointer in the spindle, which each slot has to meet."
        )
        return lines, findings
    else:
        lines.append("Passes, speeds and the clearing of the gap need the section shop.cutter.")
    return [*lines, *setup.cutting_lines(job, slot, flat, milling)], findings


def _setting_findings(ground: _Ground, cuts: tuple[Cut, ...], ridge: float | None) -> list[Finding]:
    """Trade verdicts on the settings and on this cutter in this gap."""
    out = []
    if ground.table is not None:
        settings = [_set(cut) for cut in cuts if cut.work == "slot"]
        worst = max(abs(float(setting.error)) for setting in settings)
        exact = all(setting.circle is not None for setting in settings)
        why = (
            "the dial's nearest marks; "
            f"{'the plates reach every setting exactly' if exact else 'each is rounded by itself and never drifts'}"
        )
        out.append(
            at_most(
                "setting-error",
                "indexing",
                worst,
                "deg",
                POOR_SETTING_DEG,
                why,
                "our judgement of what timing can bear",
                "warn",
            )
        )
    if ridge is not None:
        why = (
            "height left on the gap's floor between passes before the last sweep; steps of at most "
            f"{angle(widest_step_deg(ground.wheel.slot, _diameter(ground)))}"
        )
        out.append(
            at_most("gap-ridge", "indexing", ridge, "mm", 1.5 * RIDGE_MM, why, "geometry of the cutter's path", "warn")
        )
    return out


def _diameter(ground: _Ground) -> float:
    assert ground.cutter is not None
    return ground.cutter.diameter
