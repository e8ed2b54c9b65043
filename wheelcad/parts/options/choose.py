"""Which of several patterns to take, and what stands against each of the others."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from wheelcad.codes import Check
from wheelcad.errors import Fault
from wheelcad.findings import GRAVEST, Finding, Verdict, worst
from wheelcad.parts.options.row import Option
from wheelcad.words import KIND_OF_UNIT, length, quantity

_NEVER_CLOSEST = (Check.SLOT_CUTTER, Check.POSITIONS)  # what just fits is right
_NEEDS_ROOM = (Check.TOOTH_TOP, Check.SENSING_PART)


@dataclass(frozen=True)
class Choice:
    """verdicts, reasons: one a pattern. best: the one to take, None where none can be made. why: in a sentence.

    shared: warnings that every pattern draws alike, so that they decide nothing and count in no verdict.
    """

    verdicts: tuple[Verdict, ...]
    reasons: tuple[str, ...]
    best: Option | None
    why: str
    shared: tuple[Finding, ...]


def choose(options: Sequence[Option]) -> Choice:
    """Judge `options` side by side."""
    judged = [option for option in options if option.fault is None]
    everywhere = set.intersection(*(_warned(option) for option in judged)) if len(judged) > 1 else set()
    shared = tuple(f for f in judged[0].findings if f.verdict == "warn" and f.check in everywhere) if judged else ()
    own = [[f for f in option.findings if f not in shared and f.check not in everywhere] for option in options]
    verdicts: list[Verdict] = [
        "fail" if option.fault is not None else worst(findings) for option, findings in zip(options, own, strict=True)
    ]
    poor = [[f for f in findings if f.verdict in ("fail", "warn")] for findings in own]
    reasons = [_reason(option, *both) for option, *both in zip(options, own, poor, strict=True)]
    able = [i for i, verdict in enumerate(verdicts) if verdict != "fail"]
    best = min(able, key=lambda i: (len(poor[i]), -options[i].teeth, options[i].missing), default=None)
    why = _why(options[best], poor[best]) if best is not None else ""
    return Choice(tuple(verdicts), tuple(reasons), options[best] if best is not None else None, why, shared)


def _warned(option: Option) -> set[Check]:
    return {f.check for f in option.findings if f.verdict == "warn"}


def _gravest(poor: list[Finding]) -> Finding:
    """The obstacle that decides: failures before warnings, else in the order of the work."""
    return min(poor, key=lambda f: GRAVEST.index(f.verdict))


def _reason(option: Option, findings: list[Finding], poor: list[Finding]) -> str:
    if option.fault is not None:
        return _fault(option.fault)
    if poor:
        first = _gravest(poor)
        return f"{said(first)}; {first.why[:1].lower()}{first.why[1:].rstrip('.')}{_from(option, first)}"
    measured = [f for f in findings if _share(f) is not None and f.check not in _NEVER_CLOSEST]
    closest = min(measured, key=lambda f: _share(f) or math.inf, default=None)
    return f"nothing against it; closest: {said(closest)}" if closest is not None else "nothing against it"


def _fault(fault: Fault) -> str:
    numbers = [fault.found and f"found {fault.found}", fault.allowed and f"allowed {fault.allowed}"]
    told = ", ".join(part for part in numbers if part)
    return f"{fault.dotted} {fault.message}" + (f" ({told})" if told else "")


def said(finding: Finding) -> str:
    """What was measured against what was wanted, as half a sentence: tooth top 1.2 mm, at least 2 mm wanted."""
    name = str(finding.check).replace("-", " ")
    value, limit = finding.measured, finding.limit
    if isinstance(value, str) or isinstance(limit, str):
        return f"{name}: {value}"
    good = finding.verdict == "pass"
    least = value >= limit if good else value < limit
    return f"{name} {_number(value, finding.unit)}, {'at least' if least else 'at most'} {_number(limit, finding.unit)}"


def _number(value: float, unit: str) -> str:
    if unit == "Hz":
        return f"{value / 1000:.4g} kHz"  # as the table's column gives it
    if unit in KIND_OF_UNIT:
        return quantity(value, KIND_OF_UNIT[unit])
    return f"{value:.3g}" if unit in ("", Check.POSITIONS) else f"{value:.3g} {unit}"


def _share(finding: Finding) -> float | None:
    """How many times as good as it must be; None where it is no number or nothing is asked."""
    value, limit = finding.measured, finding.limit
    if isinstance(value, str) or isinstance(limit, str) or not (value > 0 and limit > 0):
        return None
    return max(value / limit, limit / value)


def _from(option: Option, finding: Finding) -> str:
    """The diameter from which the tooth would be wide enough, the slot left as it is."""
    if finding.check not in _NEEDS_ROOM or isinstance(finding.limit, str) or option.slot_mm < finding.limit:
        return ""
    return f". It would be right from {length(math.ceil(least_diameter(option, finding.limit)))} across the teeth on"


def least_diameter(option: Option, tooth_mm: float) -> float:
    """The diameter (mm) on which a tooth is `tooth_mm` wide beside the pattern's slot, both along the chord.

    They are two sides of a triangle on the rim whose third spans the pitch, 2R sin(180°/n); the angle between them is
    180° less half the pitch's, for an angle at the rim stands on the whole arc. Source: law of cosines.
    """
    half = math.pi / option.teeth
    slot = option.slot_mm
    return math.sqrt(tooth_mm**2 + slot**2 + 2 * tooth_mm * slot * math.cos(half)) / math.sin(half)


def _why(best: Option, poor: list[Finding]) -> str:
    pitch = quantity(best.pitch_deg, "angle")
    if poor:
        return f"Least stands against it ({said(_gravest(poor))}); a tooth every {pitch}."
    parts = [f"Nothing speaks against it, and of such patterns it has the finest pitch, {pitch}"]
    if best.pitches:
        parts.append("each firing falls on a whole number of pitches")
    if best.reach is not None and best.reach.exact:
        parts.append("the rotary table reaches every slot exactly")
    return "; ".join(parts) + "."
