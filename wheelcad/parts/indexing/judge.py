"""Set-up lines and verdicts of the trade on the plan: holder, packing, settings, plates, the gap's floor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, Finding, at_most, holds
from wheelcad.parts.indexing import access, setup
from wheelcad.parts.indexing.basis import IndexBasis, toothed
from wheelcad.parts.indexing.model import Cut
from wheelcad.parts.indexing.settings import TableSetting
from wheelcad.parts.indexing.words import angle
from wheelcad.parts.wheel.passes import RIDGE_MM, lies_flat, widest_step_deg
from wheelcad.trade.cutting import MillingPlan
from wheelcad.words import length

SLACK = "geometry of the worm: the slack is turned through before the table moves"
POOR_SETTING_DEG = 0.1  # a setting error from which a controller's timing suffers; our judgement


def mill_lines(basis: IndexBasis, milling: MillingPlan | None, bolts: Sequence[Cut]) -> tuple[list[str], list[Finding]]:
    """The lines before the first slot, in order, and what they bring to light. bolts: a plate wheel's bolt holes,
    drilled on this table before the rim was turned."""
    job, slot = basis.job, basis.slot
    bolt = bolts[0] if bolts else None
    packing, findings = access.packing_lines(job, slot)
    lines = setup.mounting_lines(basis.flat, packing, bolt is not None)
    if basis.turns:
        lines += setup.turning_lines(job, basis.wheel.sense)
    if basis.table is not None and job.shop.rotary_table is not None:
        spec = job.shop.rotary_table
        if bolt is not None and basis.flat:
            lines += setup.bolt_zero_lines(basis.table, bolt, basis.wheel)
        else:
            lines += setup.zero_lines(basis.wheel, basis.table, basis.scale, spec.backlash)
        if bolts:
            lines.append(setup.go_on_line(basis.table, bolts[-1], basis.wheel))
        if bolt is None:
            lines += setup.counting_lines(basis.table, job.wheel.teeth, spec.scale, basis.wheel.sense)
    if job.shop.readout:
        lines += setup.readout_lines(None if basis.turns else bolt, job.units)
    if job.shop.rotary_axis:
        lines += setup.axis_lines(basis.wheel)
    if toothed(job):
        lines.append(
            "The ring's teeth are cut already: go round with a pointer in the spindle, which each slot has to meet."
        )
        return lines, findings
    if basis.cutter is None:
        lines.append("Passes, speeds and the clearing of the gap need the section shop.cutter.")
    else:
        held, more = access.check_holder(job, slot, basis.cutter, basis.flat)
        lines += held
        findings += more + _corners(basis, basis.cutter.diameter / 2)
    return [*lines, *setup.cutting_lines(job, slot, basis.flat, milling)], findings


def _corners(basis: IndexBasis, radius: float) -> list[Finding]:
    """Floor corners by readout: a wheel that lies flat gets the cutter's radius."""
    if not basis.job.shop.readout or lies_flat(basis.wheel.slot, radius):
        return []
    why = (
        "a wheel that lies flat gets the cutter's radius in its floor corners; only a table on edge leaves them as "
        "drawn"
    )
    said = f"radius {length(radius)}"
    return [holds(Check.FLOOR_CORNERS, "indexing", False, said, why, PRACTICE, "warn")]


def setting_findings(basis: IndexBasis, settings: Sequence[TableSetting], ridge: float | None) -> Iterator[Finding]:
    """Verdicts on the slots' settings and on this cutter in this gap; ridge: mm left between passes, None without."""
    if settings:
        worst = max(abs(setting.error) for setting in settings)
        exact = all(setting.circle is not None for setting in settings)
        rest = "the plates reach every setting exactly" if exact else "each is rounded by itself and never drifts"
        why = f"the dial's nearest marks; {rest}"
        source = "our judgement of what timing can bear"
        yield at_most(Check.SETTING_ERROR, "indexing", float(worst), "deg", POOR_SETTING_DEG, why, source, "warn")
    spec = basis.job.shop.rotary_table
    if spec is not None and basis.table is not None and spec.backlash:
        half = float(basis.table.per_turn) / 2
        back = setup.back_words(basis.table, spec.backlash)
        why = (
            f"half a turn of this handwheel is {angle(half)}: where that is less than the slack, going back by the "
            f"usual half turn does not even move the table; after an overshoot go back {back}"
        )
        yield at_most(Check.BACKLASH, "indexing", spec.backlash, "deg", half, why, SLACK, "warn")
    if ridge is not None and basis.cutter is not None:
        step = angle(widest_step_deg(basis.slot, basis.cutter.diameter))
        why = f"height left on the gap's floor between passes, before a last sweep; steps of at most {step}"
        source = "geometry of the cutter's path"
        yield at_most(Check.GAP_RIDGE, "indexing", ridge, "mm", 1.5 * RIDGE_MM, why, source, "warn")
