"""How well the gauge locates: what its clearances leave loose, and what turning it by one bolt tells."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from wheelcad.job.models import Job
from wheelcad.parts.gauge.seat import Register
from wheelcad.trade.fits import bolt_for_hole
from wheelcad.trade.indexing import degrees_per_turn
from wheelcad.trade.printing import GaugeSlop, gauge_slop
from wheelcad.words import angle

PINS = 2  # close pins that an opposite pair of holes takes
INCH_BOLTS = (4.7625, 6.35, 7.9375, 9.525, 11.1125, 12.7, 14.2875, 15.875)  # mm: 3/16 to 5/8 in
INCH_CLEAR = 0.2  # mm: least clearance on the diameter at which a hole is taken to be meant for an inch bolt


@dataclass(frozen=True)
class Hold:
    """How the gauge is held, and what that is worth.

    bolt_mm: the bolts taken to go into the pulley's holes, and pin_mm: pins that just fill them (0: none); bolted: with
    the bolts alone to locate it; pinned: with the register and close pins; fault_deg: the smallest fault it must show
    (None without a rotary table), fault: what that is; repeats and self_check: what turning it by one bolt tells.
    """

    bolt_mm: float
    pin_mm: float
    bolted: GaugeSlop | None
    pinned: GaugeSlop | None
    fault_deg: float | None
    fault: str
    self_check: str
    repeats: bool | None


def judge_mounting(job: Job, allowance: float, register: Register, mark_radius: float) -> Hold:
    """The mounting of a job's gauge whose marks lie at mark_radius mm; allowance: of its holes."""
    bolts = job.bolts
    fault_deg, fault = smallest_fault(job)
    if bolts is None:
        return Hold(0.0, 0.0, None, _keyed(job, register, mark_radius), fault_deg, fault, "", None)
    bolt = _bolt(bolts.hole, job.units)
    loose = max(allowance, 0.0)
    both = loose + 2 * (bolts.hole - bolt)
    bolted = _looseness(Register("bolts"), bolts.count, both, bolts.circle, mark_radius)
    pinned = _looseness(register, min(bolts.count, PINS), loose, bolts.circle, mark_radius)
    repeats, said = turned_one_bolt(job.wheel.teeth, job.wheel.missing, bolts.count)
    return Hold(bolt, bolts.hole, bolted, pinned, fault_deg, fault, said, repeats)


def _bolt(hole: float, units: str) -> float:
    """The bolt a hole is meant for: ISO 273, or in an inch job the largest inch size that goes through freely."""
    inch = max((b for b in INCH_BOLTS if b + INCH_CLEAR <= hole), default=0.0)
    metric = bolt_for_hole(hole) or 0.0
    return (inch or metric) if units == "in" else (metric or inch)


def _looseness(register: Register, bolts: int, clearance: float, circle: float, mark_radius: float) -> GaugeSlop | None:
    """By bolts alone, or by bolts or pins for the angle and the register for the middle; None for one bolt alone."""
    if register.by == "bolts":
        return gauge_slop(bolts, clearance, circle, mark_radius) if bolts > 1 else None
    shift = register.clearance / 2
    # a lone pin also lets the gauge turn by what it may be off centre; opposite pins do not
    turn = (clearance / 2 + (shift if bolts < 2 else 0.0)) / (circle / 2)
    return GaugeSlop(shift, math.degrees(turn), math.degrees(turn + shift / mark_radius))


def _keyed(job: Job, register: Register, mark_radius: float) -> GaugeSlop | None:
    """Located by a boss with a key."""
    if not register.keyed or job.pulley is None or job.pulley.bore is None:
        return None
    shift = register.clearance / 2
    turn = register.clearance / 2 / (job.pulley.bore / 2)
    return GaugeSlop(shift, math.degrees(turn), math.degrees(turn + shift / mark_radius))


def smallest_fault(job: Job) -> tuple[float | None, str]:
    """The smallest fault of indexing the gauge must show, degrees, and its name: part of a turn, or a whole turn."""
    table = job.shop.rotary_table
    if table is None:
        return None, ""
    turn = degrees_per_turn(table.ratio)
    exact = Fraction(table.ratio, job.wheel.teeth)
    part = float(exact - exact.__floor__()) * turn
    if part > 0:
        return part, "one forgotten part of a turn"
    return turn, "one whole turn of the handwheel too few"


def turned_one_bolt(teeth: int, missing: int, bolts: int) -> tuple[bool | None, str]:
    """Whether the pattern repeats when the gauge is turned by one bolt, and what to make of it."""
    if bolts < 2:
        return None, "one bolt: the gauge goes on in one way only."
    step = Fraction(teeth, bolts)
    turn = float(Fraction(360, bolts))
    if step.denominator == 1:
        said = (
            f"Turned by one bolt ({angle(turn)}, {step} positions) every mark must find a slot again. A fault that "
            "then shows at another place of the wheel is the gauge's own; one that stays at its slot is the wheel's."
        )
        if missing:
            said += " The gap is then elsewhere: only with the TDC pointer on the TDC mark is the gauge right."
        return True, said
    off = float(step - step.__floor__()) * 360.0 / teeth
    off = min(off, 360.0 / teeth - off)
    return False, (
        f"Only one mounting is right: the TDC pointer on the TDC mark. Turned by one bolt ({angle(turn)}) every mark "
        f"lies {angle(off)} off its slot" + (", on the middle of a tooth." if step.denominator == 2 else ".")
    )
