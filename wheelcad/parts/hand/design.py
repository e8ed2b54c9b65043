"""Slots without a mill or a rotary table: where each centre punch goes, and how true such a wheel comes out.

A hole is drilled at the bottom of each slot, its sides sawn and filed. Angles in degrees from the TDC line, positive
the way the crank turns; lengths mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, Finding, at_most, holds
from wheelcad.job.models import Job
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.trade import sensor_findings
from wheelcad.trade.frames import wrap_360
from wheelcad.words import angle, length

# What each step of the work may be off by along the circle, ±95 %, mm.
ERRORS_MM = (("the dividing paper glued on", 0.2), ("the punch", 0.2), ("the drill's wander", 0.15), ("the file", 0.15))
CHORD_MM = 0.1  # dividers set from a rule, ±: at every step anew
SPACING_SHARE = 0.1  # of a pitch, by which a tooth may pass early or late before a decoder that compares each time with
# the last sees another speed of more than a tenth; our judgement
LARGEST_PAPER_MM = 300.0  # wheels over this are divided by dividers alone
TOLD = {
    Check.TOOTH_TOP: "narrowest tooth",
    Check.SLOT_WIDTH: "narrowest slot",
    Check.SLOT_DEPTH: "shallowest slot",
    Check.SENSING_PART: "narrowest of both",
}
SIZES = frozenset(TOLD)  # the sensor's rules that hand work can break
SAW_CLEAR = 0.5  # the saw stays this far inside the scribed sides; the file takes the rest


class Punch(NamedTuple):
    """One centre punch. number: of the slot in the order of working; at_deg: from TDC; chord_mm: from the last punch
    (None for the first); check_mm: from the first punch, straight across, to check by."""

    number: int
    at_deg: float
    chord_mm: float | None
    check_mm: float


@dataclass(frozen=True)
class HandPlan:
    """The work by hand. circle_mm: radius of the punches; drill_mm: the hole at a slot's bottom; across_mm: the sides'
    distance after filing, as the gauge shows it; spread_deg: how far a slot may be from its place, ±95 %, by paper and
    by dividers stepped round; findings: what that means for sensor and controller."""

    circle_mm: float
    drill_mm: float
    across_mm: float
    punches: tuple[Punch, ...]
    spread_deg: float
    stepped_deg: float
    findings: tuple[Finding, ...]

    def report(self) -> dict[str, object]:
        """report.json's `by_hand`."""
        return {
            "circle_radius_mm": self.circle_mm,
            "drill_mm": self.drill_mm,
            "punches": [punch._asdict() for punch in self.punches],
            "spread_95_deg": self.spread_deg,
            "stepped_95_deg": self.stepped_deg,
        }


def by_hand(job: Job) -> bool:
    """Whether the job's slots are made by hand."""
    toothed = job.wheel.as_found is not None and job.wheel.as_found.toothed
    return job.shop.slots_by == "hand" and not toothed


def has_paper(job: Job) -> bool:
    """Whether a dividing paper at 1:1 is printed: a quarter of a larger wheel goes on no home printer's sheet."""
    return job.wheel.outside_diameter <= LARGEST_PAPER_MM


def design_hand(job: Job, wheel: WheelDesign) -> HandPlan | None:
    """The plan for a job whose slots are made by hand, or None."""
    if not by_hand(job):
        return None
    slot = wheel.slot
    drill = math.floor(2 * slot.floor_half_width * 2) / 2 if not slot.round_floor else slot.width  # half-mm drills
    circle = slot.floor_radius + drill / 2
    gap = wheel.gap_at_deg
    rising = sorted(float(wrap_360(a - gap)) for a in wheel.slot_centres_deg.tolist())
    punches = []
    for number, at in enumerate(rising, start=1):
        chord = None if number == 1 else chord_mm(circle, at - rising[number - 2])
        punches.append(Punch(number, float(wrap_360(at + gap)), chord, chord_mm(circle, at - rising[0])))
    by_paper = math.degrees(math.sqrt(sum(e * e for _, e in ERRORS_MM)) / circle)
    steps = math.sqrt(len(rising)) * CHORD_MM
    stepped = math.degrees(math.hypot(steps, math.sqrt(sum(e * e for _, e in ERRORS_MM[1:]))) / circle)
    return HandPlan(circle, drill, slot.width, tuple(punches), by_paper, stepped, _findings(job, wheel, by_paper))


def chord_mm(radius: float, degrees: float) -> float:
    """The straight distance between two points of a circle. Source: geometry, chord = 2 r sin(a/2)."""
    return 2 * radius * math.sin(math.radians(degrees) / 2)


def _teeth(job: Job, wheel: WheelDesign) -> list[Finding]:
    """The sensor's own rules, held against the narrowest tooth and slot that hand work gives: each has two sides, and
    each side is off by all that marking, drilling and filing do. Nothing without a sensor."""
    off = math.sqrt(2 * sum(error * error for _, error in ERRORS_MM))
    drawn = {rule.check: rule for rule in sensor_findings(job, wheel)}
    worst = [rule for rule in sensor_findings(job, wheel, off) if rule.check in SIZES]
    if not worst:
        return []
    broken = [rule for rule in worst if rule.verdict != "pass" and drawn[rule.check].verdict == "pass"]
    said = "; ".join(f"{TOLD[rule.check]} {length(float(rule.measured), 1)}" for rule in worst)
    why = (
        f"by hand a tooth or slot comes out up to {length(off, 1)} narrower than drawn (two sides, ±95 %), and so does "
        "the slot's depth; held against the sensor's own rules"
    )
    if broken:
        rules = " ".join(f"{rule.why} At least {length(float(rule.limit))}." for rule in broken)
        why += f": {rules} Wider teeth and slots (fewer of them, or a larger wheel) stand it"
    return [holds(Check.HAND_TEETH, "wheel", not broken, said, why, worst[0].source, "warn")]


def _findings(job: Job, wheel: WheelDesign, paper: float) -> tuple[Finding, ...]:
    limit = SPACING_SHARE * wheel.pitch_deg
    two = math.sqrt(2) * paper  # from one slot to the next both are off
    errors = ", ".join(f"{name} {length(size)}" for name, size in ERRORS_MM)
    why = (
        f"what marking, drilling and filing by hand give ({errors}, ±95 %): from slot to slot {angle(two, 2)}, where a "
        f"tenth of a pitch ({angle(limit, 2)}) is what a decoder that compares each tooth with the last still takes; "
        f"each spark may be {angle(paper, 2)} off, which the timing light shows tooth by tooth. Fewer or wider teeth, "
        "or a larger wheel, make it better"
    )
    out = [at_most(Check.HAND_SPACING, "wheel", two, "deg", limit, why, PRACTICE, "warn"), *_teeth(job, wheel)]
    if wheel.slot.radial:
        said = "parallel sides are filed to a gauge block; sides that point at the axis want a template of their own"
        out.append(holds(Check.HAND_SIDES, "wheel", False, "radial sides", said, PRACTICE, "warn"))
    if job.wheel.thickness > 6:
        said = f"sawing and filing {length(job.wheel.thickness)} square by eye: take a guide block to file against"
        out.append(holds(Check.HAND_SIDES, "wheel", False, length(job.wheel.thickness), said, PRACTICE, "warn"))
    return tuple(out)
