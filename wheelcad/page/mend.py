"""The nearest value that works: for a fault, and for a finding that failed or warned, a change that was tried.

Nothing here reasons about shapes. Values that could do are taken from the fault's own words, from round values on both
sides of the one that is written, and from the last job that could be made; each is put into the text and judged as the
command line judges it. What takes the fault away and brings no other is offered, the nearest first.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

from wheelcad.codes import Check
from wheelcad.errors import Fault, JobError, Key, nearest
from wheelcad.findings import Finding, poor
from wheelcad.job import describe
from wheelcad.job.edit import put_text, scalar_text, text_at, without
from wheelcad.job.kinds import Quantity, Whole, YesOrNo
from wheelcad.page.echo import value_in_base
from wheelcad.page.verdict import designed, dotted_all, read
from wheelcad.units import INCH_MM

MOST_TRIED = 16  # texts judged for one fault or finding
HALVINGS, FAR = 5, 0.05  # how often the way to a value that works is halved, and down to which share of the value
MOST_MENDED = 6  # faults and findings looked at
_HELD = re.compile("\ue000[a-z-]+\ue002([^\ue002]*)\ue002[^\ue001]*\ue001")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_QUOTED = re.compile(r"`([^`]+)`|did you mean ([\w.-]+)")
SPREAD = (0.02, 0.05, 0.1, 0.2, 0.35, 0.6, 1.0)  # how far from the written value others are tried, as shares of it

# What is changed for a finding: the keys tried in turn, the least harmful first.
CHANGES: Mapping[Check, tuple[str, ...]] = {
    Check.FIRST_FREQUENCY: ("bracket.plate.thickness", "bracket.width"),
    Check.RIM_SPEED: ("wheel.material", "wheel.outside_diameter"),
    Check.RIM_STRESS: ("wheel.slot.corner_radius", "wheel.material"),
    Check.SLOT_WIDTH: ("wheel.slot.width", "sensor.face_diameter"),
    Check.SLOT_DEPTH: ("wheel.slot.depth",),
    Check.TOOTH_TOP: ("wheel.slot.width", "wheel.outside_diameter"),
    Check.TOOTH_ROOT: ("wheel.slot.depth", "wheel.slot.width"),
    Check.SENSING_PART: ("wheel.slot.width", "wheel.thickness"),
    Check.THIN_RING: ("wheel.thickness",),
    Check.SLOT_CUTTER: ("wheel.slot.width", "shop.cutter.diameter"),
    Check.AIR_GAP: ("sensor.air_gap",),
    Check.AIR_GAP_LEAST: ("sensor.air_gap",),
    Check.GAP_PLACE: ("wheel.gap_at",),
    Check.GAP_CLEAR: ("wheel.gap_at",),
    Check.BEND_RADIUS: ("bracket.plate.inside_radius",),
    Check.HOLE_TO_EDGE: ("bracket.width",),
    Check.HOLE_TO_BEND: ("bracket.width",),
    Check.GAP_SETTING: ("bracket.packing", "bracket.adjust"),
    Check.NOSE_CLEARS: ("bracket.packing", "bracket.adjust"),
    Check.LINE_UP_ALONG_CRANK: ("bracket.adjust_along",),
    Check.PLASMA_SLOT: ("wheel.slot.width",),
    Check.BALANCE_LIMIT: ("balance.largest_drill", "balance.radius"),
    Check.BALANCE_AIM: ("balance.largest_drill", "balance.radius"),
    Check.GAUGE_BED: ("gauge.covers",),
    Check.GAUGE_JOINTS: ("gauge.covers",),
    Check.CUTTER_STICK_OUT: ("shop.cutter.stick_out",),
    Check.HOLDER_TABLE: ("shop.cutter.stick_out",),
}


class Mend(NamedTuple):
    """A change that works: YAML at a key, "" to take it out; renamed: the key's right name instead."""

    key: Key
    value: str
    renamed: str = ""

    @property
    def said(self) -> str:
        """What its button says."""
        if self.renamed:
            return f"call it {self.renamed}"
        return f"{dotted_all(self.key)}: {self.value}" if self.value else f"leave {dotted_all(self.key)} out"

    def applied(self, text: str, file: str = "job") -> str:
        """The text with the change. JobError where it cannot be made."""
        if self.renamed:
            held = text_at(text, self.key) or ""
            return put_text(
                without(text, self.key, file), (*self.key[:-1], self.renamed), scalar_text(held, True), file
            )
        return put_text(text, self.key, self.value, file) if self.value else without(text, self.key, file)


Problem = tuple[str, str]  # what a fault or finding is known by: key and message, or check and subject


def problem_of(what: Fault | Finding) -> Problem:
    """What a mend is kept under."""
    return (what.dotted, what.message) if isinstance(what, Fault) else (str(what.check), what.subject)


def mends_of(text: str, last_good: str = "", changed: Key = (), file: str = "job") -> Iterator[tuple[Problem, Mend]]:
    """A change that works for each fault of a text, or where it has none for each finding that warned or failed.

    last_good: the text of the last job that could be made. changed: the key that was changed since.
    """
    faults, findings = judged(text, file)
    for fault in faults[:MOST_MENDED]:
        mend = _for_fault(fault, text, last_good, changed, faults, file)
        if mend is not None:
            yield problem_of(fault), mend
    if not faults:
        for finding in poor(findings)[:MOST_MENDED]:
            mend = _for_finding(finding, text, findings, file)
            if mend is not None:
                yield problem_of(finding), mend


def judged(text: str, file: str = "job") -> tuple[tuple[Fault, ...], tuple[Finding, ...]]:
    """Faults and findings of a text, as the command line has them."""
    job, faults = read(text, file)
    if job is None:
        return faults, ()
    design, faults = designed(job)
    return faults, design.findings if design is not None else ()


# --- faults ----------------------------------------------------------------------------------------------------------
def _for_fault(
    fault: Fault, text: str, last_good: str, changed: Key, faults: Sequence[Fault], file: str
) -> Mend | None:
    def works(mend: Mend) -> bool | None:
        """None where the change cannot be made at all."""
        try:
            after = mend.applied(text, file)
        except (JobError, ValueError, KeyError):
            return None
        left, _ = judged(after, file)
        gone = all(other.key != fault.key and problem_of(other) != problem_of(fault) for other in left)
        return gone and (not left or len(left) < len(faults) or not _same_stage(left, faults))

    tried = 0
    for mend in _candidates(fault, text, last_good) if fault.key else ():
        if tried == MOST_TRIED:
            break
        good = works(mend)
        if good:
            return _nearer(mend, text_at(text, fault.key), fault.units, works)
        tried += good is not None
    was = text_at(last_good, changed) if last_good and changed else None
    back = Mend(changed, scalar_text(was, True)) if was is not None else None
    return back if back is not None and works(back) else None


def _nearer(mend: Mend, written: str | None, units: str, works: Callable[[Mend], bool | None]) -> Mend:
    """The same with a value nearer to the one written, where that works too: halving the way, in two figures."""
    field = describe.field_at(mend.key)
    kind = describe.kind_of(field) if field is not None else None
    if not isinstance(kind, Quantity) or written is None or not mend.value:
        return mend
    bad, good = value_in_base(mend.key, written, units), value_in_base(mend.key, mend.value, units)
    for _ in range(HALVINGS):
        if bad is None or good is None or abs(good - bad) < FAR * abs(bad):
            break
        middle = float(f"{(good + bad) / 2:.2g}")
        other = _mend(mend.key, middle, kind.kind, units)
        if middle not in (good, bad) and works(other):
            good, mend = middle, other
        else:
            bad = middle
    return mend


def _same_stage(left: Sequence[Fault], faults: Sequence[Fault]) -> bool:
    """Whether any fault is left of those there were: where none is, the next ones were hidden behind them."""
    before = {problem_of(fault) for fault in faults}
    return any(problem_of(fault) in before for fault in left)


def _candidates(fault: Fault, text: str, last_good: str) -> Iterator[Mend]:
    key = fault.key
    field, written = describe.field_at(key), text_at(text, key)
    if field is None:  # no key of a job file
        model = describe.section_at(key[:-1])
        names = list(describe.keys_of(model)) if model is not None else []
        likely = next((a or b for a, b in _QUOTED.findall(fault.hint)), "") or nearest(str(key[-1]), names)
        if likely in names:
            yield Mend(key, "", likely)
        yield Mend(key, "")
        return
    words = ("yes", "no") if isinstance(describe.kind_of(field), YesOrNo) else describe.words_of(field)
    for a, b in _QUOTED.findall(fault.hint):
        yield Mend(key, scalar_text(a or b, True))
    if words:
        close = nearest(written or "", words)
        for word in dict.fromkeys([*([close] if close else []), *words]):
            yield Mend(key, word)
    yield from _numbers(fault, written)
    before = text_at(last_good, key) if last_good else None
    if before is not None and before != written:
        yield Mend(key, scalar_text(before, True))
    example = describe.example_of(field, fault.units)
    if written is None and example is not None:
        yield Mend(key, describe.flow(example))
    if written is not None and not field.is_required():
        yield Mend(key, "")


def _numbers(fault: Fault, written: str | None) -> Iterator[Mend]:
    """Values from what the fault says is allowed, the nearest to the one written first, then others about it."""
    kind = describe.kind_of(found) if (found := describe.field_at(fault.key)) is not None else None
    said = f"{fault.allowed} {fault.hint}"
    if isinstance(kind, Whole):
        meant = _NUMBER.search(written) if written else None
        now = int(float(meant[0])) if meant else 0
        wholes = {int(float(n)) + d for n in _NUMBER.findall(_HELD.sub("", said)) for d in (-1, 0, 1)}
        near = {now + d for d in (-2, -1, 0, 1, 2)} if written else set()
        for number in sorted(wholes | near, key=lambda n: abs(n - now)):
            yield Mend(fault.key, str(number))
    if not isinstance(kind, Quantity):
        return
    now_base = value_in_base(fault.key, written, fault.units) if written else None
    held = [float(number) for number in _HELD.findall(said)]
    rounds = {near for value in held for near in round_about(value, kind.kind, fault.units)}
    if now_base is not None:
        middle = now_base
        yield from (_mend(fault.key, v, kind.kind, fault.units) for v in sorted(rounds, key=lambda v: abs(v - middle)))
        yield from (_mend(fault.key, v, kind.kind, fault.units) for v in _about(now_base, kind.kind, fault.units))
    else:
        yield from (_mend(fault.key, value, kind.kind, fault.units) for value in sorted(rounds))


def _mend(key: Key, value: float, kind: str, units: str) -> Mend:
    return Mend(key, value_text_in(value, kind, units))


def value_text_in(value: float, kind: str, units: str) -> str:
    """A value in base units as a job file in `units` writes it, bare where that is its unit."""
    if kind == "length" and units == "in":
        return f"{round(value / INCH_MM, 4):g}"
    suffix = {"mass": " kg", "frequency": " Hz", "speed": " rpm", "time": " ms", "angle": " deg"}.get(kind, "")
    return f"{round(value, 4):g}{suffix}"


def round_about(value: float, kind: str, units: str) -> list[float]:
    """The round values just under and just over one, and itself: to a tenth and a hundredth of a millimetre, say."""
    unit = INCH_MM if kind == "length" and units == "in" else 1.0
    out = [value]
    for step in (0.1, 0.01, 0.001) if unit != 1.0 else (1.0, 0.1, 0.01):
        n = value / unit / step
        out += [math.floor(n - 1e-9) * step * unit, math.ceil(n + 1e-9) * step * unit]
    return list(dict.fromkeys(round(v, 6) for v in out))


def _about(value: float, kind: str, units: str) -> Iterator[float]:
    """Round values farther and farther from one, on both sides."""
    unit = INCH_MM if kind == "length" and units == "in" else 1.0
    scale = abs(value) or 1.0
    step = 10.0 ** math.floor(math.log10(scale / unit) - 1) * unit / 2
    for share in SPREAD:
        for sign in (1, -1):
            yield round(value + sign * max(round(share * scale / step), 1) * step, 6)


# --- findings --------------------------------------------------------------------------------------------------------
def _for_finding(finding: Finding, text: str, findings: Sequence[Finding], file: str) -> Mend | None:
    bad = {problem_of(other) for other in poor(findings)}
    tried = 0
    for dotted in CHANGES.get(finding.check, ()):
        for mend in _around(tuple(dotted.split(".")), text):
            if tried >= MOST_TRIED:
                return None
            try:
                after = mend.applied(text, file)
            except (JobError, ValueError, KeyError):
                continue
            tried += 1
            faults, left = judged(after, file)
            still = {problem_of(other) for other in poor(left)}
            if not faults and problem_of(finding) not in still and still <= bad:
                return mend
    return None


def _around(key: Key, text: str) -> Iterator[Mend]:
    field, written = describe.field_at(key), text_at(text, key)
    if field is None or written is None:
        return
    units = text_at(text, ("units",)) or "mm"
    words, kind = describe.words_of(field), describe.kind_of(field)
    yield from (Mend(key, word) for word in words if word != written)
    value = value_in_base(key, written, units)
    if isinstance(kind, Quantity) and value is not None:
        yield from (_mend(key, other, kind.kind, units) for other in _about(value, kind.kind, units))
