"""What a job file says that is allowed but unlikely to be meant: values of the wrong unit, and keys without an effect.

The ranges are wide: what a home shop and its engines hold, common practice, no source. A value outside is only asked
about, never refused; what cannot be meant at all is `impossible`'s to say.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from wheelcad.codes import Check
from wheelcad.errors import Fault, Key
from wheelcad.findings import PRACTICE, Finding
from wheelcad.job.consistency import form_of
from wheelcad.job.elements import element_of
from wheelcad.job.models import Job
from wheelcad.job.sizes import SIZES, Size
from wheelcad.units import INCH_MM, fraction_text
from wheelcad.words import Words, about, number, quantity, typed

_UNITS = {"length": "mm", "angle": "deg", "speed": "rpm", "frequency": "Hz", "mass": "kg", "time": "ms"}
# What may have been meant: the factor from what was read, and the unit the same number would then have carried; ""
# where it is the number that slipped. In the order of likelihood; lengths by the unit that bare ones have.
_SLIPS: dict[str, tuple[tuple[float, str], ...]] = {
    "mm": ((INCH_MM, "in"), (INCH_MM / 1000, "thou"), (10.0, "cm"), (0.1, "")),
    "in": ((1 / INCH_MM, "mm"), (0.001, "thou"), (0.1, "")),
    "mass": ((0.001, "g"), (0.0283495, "oz")),
    "frequency": ((1000.0, "kHz"),),
    "time": ((0.001, "us"), (1000.0, "s")),
    "speed": ((60.0, "rps"), (100.0, ""), (1000.0, ""), (0.1, "")),
    "angle": ((1 / 60, "'"),),
}


def likely_slips(job: Job) -> list[Finding]:
    """Warnings: values that look like a slip of the unit, with what was likely meant, and keys without an effect."""
    return [_slip(job, *odd) for odd in _odd(job)] + unused_keys(job)


def _odd(job: Job) -> Iterator[tuple[Key, float, Size, str]]:
    """Values outside of what is usual: their key, what is usual, and what that is in words."""
    for key, value in written_values(job):
        usual = SIZES.get(dotted(key))
        if usual is not None and not usual.low <= value <= usual.high:
            low, high = (round_figure(limit, usual.kind) for limit in (usual.low, usual.high))
            yield key, value, usual, f"{usual.of} is usually {low} to {high}"


def _slip(job: Job, key: Key, value: float, usual: Size, said: str) -> Finding:
    fault = job.source.located(Fault("", key=key))
    meant = meant_instead(job.units, value, usual)
    asked = f": {meant}" if meant else ""
    why = f"{fault.dotted}{_line(fault)} is {shown(value, usual.kind)}; {said}{asked}"
    limit = f"{usual.low:g} to {usual.high:g}"
    return Finding(Check.LIKELY_UNIT, fault.dotted, value, _UNITS[usual.kind], limit, "warn", why, PRACTICE)


def slip_faults(job: Job) -> Iterator[Fault]:
    """The likely slips of the unit as faults, told before those of a job that cannot be, for they may be its cause."""
    for key, value, usual, said in _odd(job):
        hint = meant_instead(job.units, value, usual)
        yield Fault(f"looks like a slip of the unit: {said}", key, found=shown(value, usual.kind), hint=hint)


def _line(fault: Fault) -> str:
    return f" (line {fault.line})" if fault.line else ""


def dotted(key: Key) -> str:
    """A key without the places in lists: bracket.mounts.x."""
    return ".".join(part for part in key if isinstance(part, str))


def meant_instead(units: str, value: float, usual: Size) -> str:
    """As in `was 85 g meant?`: what the number would be in a unit in which it is usual; "" where there is none."""
    per = Words(units).form("length").per if usual.kind == "length" else 1.0
    written = number(value / per, 4)
    part = Fraction(value / per)
    in_parts = usual.kind == "length" and part > 0 and 1 < part.denominator <= 64
    if units == "mm" and in_parts and usual.low <= value * INCH_MM <= usual.high:
        return f"was {fraction_text(part)} in meant?"  # nobody writes 1/8 or 6 1/4 of a millimetre
    meant = [
        f"{written} {name}".replace(" '", "'") if name else shown(value * factor, usual.kind)
        for factor, name in _SLIPS[units if usual.kind == "length" else usual.kind]
        if usual.low <= value * factor <= usual.high
    ]
    return f"was {' or '.join(meant[:2])} meant?" if meant else ""


def shown(value: float, kind: str) -> str:
    """A value of a kind of `wheelcad.units` for a sentence."""
    if kind == "length":
        return typed(value)
    if kind == "mass":
        return quantity(value * 1000, "mass" if abs(value) < 1 else "heavy")
    if kind == "frequency" and value >= 1000:
        return f"{value / 1000:g} kHz"
    return f"{number(value, 4)} {_UNITS[kind]}"  # the same in every document


def round_figure(value: float, kind: str) -> str:
    """An end of a range, likewise."""
    return about(value) if kind == "length" else shown(value, kind)


def written_values(value: object, key: Key = ()) -> Iterator[tuple[Key, float]]:
    """Every number of a job with the path of its key; values that nobody wrote are left out."""
    if isinstance(value, tuple):
        for i, item in enumerate(value):
            yield from written_values(item, (*key, i))
    elif isinstance(value, float):
        yield key, value
    elif hasattr(type(value), "model_fields"):
        fields = type(value).model_fields  # type: ignore[attr-defined]
        written = value.model_fields_set  # type: ignore[attr-defined]
        for name, field in fields.items():
            if name in written:
                yield from written_values(getattr(value, name), (*key, field.alias or name))


def unused_keys(job: Job) -> list[Finding]:
    """Warnings: keys that are right but have no effect beside the others, so that nobody relies on them."""
    out: list[tuple[Key, str]] = []
    turned_down = form_of(job) == "turned-down"
    if job.adapter is not None and turned_down:
        out.append((("adapter",), "an adapter carries a plate wheel; this one is turned down from its pulley"))
    if job.pulley is not None and job.pulley.turned and not turned_down:
        out.append((("pulley", "turned"), "this wheel is cut from plate, so its pulley is taken as found"))
    sensor, bracket = job.sensor, job.bracket
    if sensor is not None and sensor.looks == "in":
        names = (("from_", "from"), ("radius", "radius"))
        out += [
            (("sensor", key), "it belongs to a sensor that looks along")
            for name, key in names
            if name in sensor.model_fields_set and getattr(sensor, name) is not None
        ]
    engine = job.engine
    if engine is not None and engine.vee_angle is not None and engine.layout not in (None, "vee"):
        out.append((("engine", "vee_angle"), f"the cylinders stand {engine.layout}, in no vee"))
    if sensor is not None and sensor.element_spacing is not None and element_of(sensor) != "hall-differential":
        out.append((("sensor", "element_spacing"), "it belongs to a hall-differential element"))
    if bracket is not None and bracket.hand_bend is not None and bracket.bends != "hand":
        out.append((("bracket", "hand_bend"), "the bends are pressed, not made by hand"))
    if bracket is not None and sensor is None:
        out.append((("bracket",), "a bracket is worked out from its sensor, and the section `sensor` is missing"))
    return [_unused(job, key, why) for key, why in out]


def _unused(job: Job, key: Key, why: str) -> Finding:
    fault = job.source.located_at_key(Fault("", key=key))
    said = f"{fault.dotted}{_line(fault)} has no effect: {why}"
    return Finding(Check.UNUSED_KEY, fault.dotted, "no effect", "", "", "warn", said, "the job file")
