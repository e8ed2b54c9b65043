"""One pattern on the job's blank: the wheel's own design and findings, and what matters to the choice alone.

Nothing about the wheel is worked out here: the job is given the pattern, and its wheel designed and judged as a build
would.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from wheelcad.codes import Check
from wheelcad.errors import DesignError, Fault
from wheelcad.findings import PRACTICE, Finding, at_least, at_most, holds
from wheelcad.job.models import Engine, Job
from wheelcad.parts.ignition import design_ignition
from wheelcad.parts.indexing.judge import POOR_SETTING_DEG
from wheelcad.parts.options.patterns import Pattern
from wheelcad.parts.options.reach import TableReach, table_reach
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.parts.wheel.trade import wheel_findings
from wheelcad.trade.ignition import firing_angles_even, firing_intervals_deg
from wheelcad.trade.materials import material
from wheelcad.words import angle

FEWEST = 12  # positions: the practical least
LEAST_ROOT = 1.0  # mm of tooth at the slot floors, below which a tooth is a fin (our judgement)
WIDEST_GAP_DEG = 60.0  # from the last tooth before a gap to the first one after it: that of 12-1, the widest in use
WHOLE = 1e-6  # pitches: how near a firing interval is to a whole number of them when it is one
OF_THE_TORCH = (Check.PLASMA_SLOT, Check.PLASMA_TOOTH)  # teeth are milled; what the torch does chooses no pattern


@dataclass(frozen=True)
class Option:
    """A pattern on the blank. fault: why it cannot be, and then no wheel, findings or unbalance.

    pitches: the firing intervals in pitches, rising, each once; empty without an engine. reach: None without a table.
    rate_hz: None without a max_speed.
    """

    teeth: int
    missing: int
    wheel: WheelDesign | None = None
    fault: Fault | None = None
    findings: tuple[Finding, ...] = ()
    pitches: tuple[float, ...] = ()
    reach: TableReach | None = None
    rate_hz: float | None = None
    unbalance_g_mm: float | None = None
    slot_mm: float = field(kw_only=True)

    @property
    def name(self) -> str:
        """As a person writes it: 36-1."""
        return f"{self.teeth}-{self.missing}"

    @property
    def pitch_deg(self) -> float:
        """Degrees from tooth to tooth."""
        return 360.0 / self.teeth

    @property
    def cuts(self) -> int:
        """Slots to cut."""
        return self.teeth - self.missing + (1 if self.missing else 0)

    @property
    def whole(self) -> bool:
        """Whether every firing interval is a whole number of pitches."""
        return all(abs(pitches - round(pitches)) < WHOLE for pitches in self.pitches)

    @property
    def tooth_root_mm(self) -> float:
        """A tooth's width at the slot floors, sides carried down to them, along the chord; 0 without a wheel."""
        return 0.0 if self.wheel is None else _root_mm(self.wheel)


def option_of(job: Job, pattern: Pattern) -> Option:
    """The job's blank with `pattern` (positions, missing)."""
    teeth, missing = pattern
    job = with_pattern(job, pattern)
    table, slot = job.shop.rotary_table, job.wheel.slot.width
    pitches = tuple(interval * teeth / 360 for interval in sorted(set(intervals_deg(job.engine))))
    reach = table_reach(table, teeth, missing) if table is not None else None
    top = job.max_speed
    rate = teeth * top / 60 if top is not None else None
    try:
        wheel = design_wheel(job)
    except DesignError as error:
        return Option(teeth, missing, None, error.faults[0], (), pitches, reach, rate, slot_mm=slot)
    findings = [*design_ignition(job.engine, job.sensor, wheel).findings, *_choice(job, wheel)]
    why, root = "a thinner tooth is a fin that bends in the cut", _root_mm(wheel)
    findings += [f for f in wheel_findings(job, wheel) if f.check not in OF_THE_TORCH]
    findings.append(at_least(Check.TOOTH_ROOT, "wheel", root, "mm", LEAST_ROOT, why, "our judgement", "warn"))
    findings += _firing(pitches)
    if reach is not None:
        findings.append(_setting(reach))
    heavy = _unbalance(job, wheel)
    return Option(teeth, missing, wheel, None, tuple(findings), pitches, reach, rate, heavy, slot_mm=slot)


def with_pattern(job: Job, pattern: Pattern) -> Job:
    """The job with another pattern, its (first) gap where it was."""
    change = {"teeth": pattern[0], "missing": pattern[1], "gaps": ()}
    return job.model_copy(update={"wheel": job.wheel.model_copy(update=change)})


def intervals_deg(engine: Engine | None) -> tuple[float, ...]:
    """Crank degrees from each firing to the next; empty where the job does not say how many cylinders there are."""
    count = (len(engine.firing_order) if engine.firing_order else engine.cylinders) if engine is not None else None
    if engine is None or not count:
        return ()
    return firing_intervals_deg(engine.firing_angles or firing_angles_even(count))


def _root_mm(wheel: WheelDesign) -> float:
    half = math.radians(wheel.pitch_deg / 2 - wheel.slot.half_deg(wheel.floor_radius_mm))
    return max(0.0, 2 * wheel.floor_radius_mm * math.sin(half))


def _choice(job: Job, wheel: WheelDesign) -> Iterator[Finding]:
    """What speaks against a pattern before it is chosen."""
    intervals, gap = intervals_deg(job.engine), (wheel.gaps[0].missing + 1) * wheel.pitch_deg
    yield at_least(
            Check.POSITIONS, "wheel", wheel.teeth.count, "positions", FEWEST,
            "with fewer the controller guesses too long between teeth", PRACTICE, "warn",
        )  # fmt: skip
    if wheel.gaps[0].missing and intervals and gap > min(intervals):
        why = (
            f"the gap lasts longer than from one spark to the next, {angle(min(intervals))}: some spark always falls "
            "where there is no tooth to time it by"
        )
        yield at_most(Check.GAP_WIDTH, "wheel", gap, "deg", min(intervals), why, "geometry", "fail")
    elif wheel.gaps[0].missing:
        why = "from tooth to tooth over the gap: so far the controller guesses, on the starter above all"
        yield at_most(Check.GAP_WIDTH, "wheel", gap, "deg", WIDEST_GAP_DEG, why, PRACTICE, "warn")


def _firing(pitches: tuple[float, ...]) -> list[Finding]:
    """Many controllers want each firing at the same place between two teeth."""
    if not pitches:
        return []
    off = max(pitches, key=lambda value: abs(value - round(value)))
    why = (
        "where that is no whole number, cylinders fire at different places between two teeth, and many controllers "
        "want them at the same"
    )
    said = f"{off:.4g} pitches from spark to spark"
    return [holds(Check.WHOLE_PITCHES, "wheel", abs(off - round(off)) < WHOLE, said, why, PRACTICE, "warn")]


def _setting(reach: TableReach) -> Finding:
    """How far the rotary table is off, at most."""
    why = "the worst setting by the dial's nearest mark, where no plate reaches it exactly"
    source = "our judgement of what timing can bear"
    return at_most(Check.SETTING_ERROR, "indexing", reach.worst_deg, "deg", POOR_SETTING_DEG, why, source, "warn")


def _unbalance(job: Job, wheel: WheelDesign) -> float:
    """What is to be corrected, g·mm, before any hole is drilled: of the outline and, in plate form, of its openings."""
    moment = np.array(wheel.outline.moments()[1:3])
    for opening in wheel.openings:
        area, mx, my, _ = opening.loop.moments()
        moment -= math.copysign(1.0, area) * np.array([mx, my])
    return float(np.hypot(*moment)) * material(job.wheel.material).density_g_mm3 * job.wheel.thickness
