"""Quantities in sentences, and the one writer that puts them into a document's unit.

A sentence is made where its numbers are known, and read in a unit that is known only where it is printed. So a quantity
goes into a sentence whole: `f"the gap is {length(0.8)}"` holds value and kind (length, angle, mass, …), and
`Words("in").text(…)` writes it as 0.031 in, `Words("mm").text(…)` as 0.8 mm. Nothing else in the package turns one unit
into another. A quantity that nobody wrote out shows its marks; `unwritten` finds them.

Values are in base units: mm, degrees, g, g·mm, rpm, Hz, MPa, N, N·m, m/s, mm/min, m/min, N/mm, mm², mm³, ms.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, fields, is_dataclass, replace
from math import floor, isfinite, log10
from typing import Any, NamedTuple, TypeVar

from wheelcad.units import INCH_MM, Written

OPEN, CLOSE, BAR = "\ue000", "\ue001", "\ue002"  # private use: no keyboard makes them, and a job file may not hold them
T = TypeVar("T")
_HELD = re.compile(f"{OPEN}([a-z-]+){BAR}([^{BAR}]*){BAR}([^{BAR}]*){BAR}([^{CLOSE}]*){CLOSE}")
MINUS = "−"
SMALL = 0.1  # in the document's unit: what is smaller is given two figures, however many places they take
HEAVY_G, ROUGH_G = 1000.0, 10.0  # from here in kilograms or pounds; from here to a tenth of a gram
MOST = 6  # decimals: half of what the last but one shows is a computer's rounding, and written 0
POUND_FORCE_N = 4.4482216152605  # 0.45359237 kg x 9.80665 m/s², exact: the 1959 pound and standard gravity
PSI_MPA = POUND_FORCE_N / INCH_MM**2  # 0.006894757


class Form(NamedTuple):
    """How a kind is written in one unit. per: base units in one of these; places: decimals; keep: end zeros stay; most:
    decimals that a small value may take."""

    unit: str
    per: float
    places: int
    keep: bool = False
    most: int = MOST


def _same(unit: str, places: int) -> tuple[Form, Form]:
    form = Form(unit, 1.0, places)
    return form, form


# kind: (in a metric document, in an inch document)
FORMS: dict[str, tuple[Form, Form]] = {
    "length": (Form(" mm", 1.0, 2), Form(" in", INCH_MM, 3, keep=True)),
    "fine": (Form(" mm", 1.0, 3), Form(" in", INCH_MM, 4, keep=True)),
    "rough": (Form(" mm", 1.0, 0), Form(" in", INCH_MM, 2)),
    "typed": (Form(" mm", 1.0, 4), Form(" in", INCH_MM, 4)),  # as somebody wrote it: no zeros behind it
    "about": (Form(" mm", 1.0, 2), Form(" in", INCH_MM, 2)),  # round in mm; in inches to two figures
    "area": (Form(" mm²", 1.0, 1), Form(" in²", INCH_MM**2, 4)),
    "volume": (Form(" mm³", 1.0, 0), Form(" in³", INCH_MM**3, 3, most=9)),
    "angle": _same("°", 2),
    "fine-angle": _same("°", 5),
    "mass": _same(" g", 2),
    "heavy": (Form(" kg", 1000.0, 2), Form(" lb", 453.59237, 2)),
    "unbalance": (Form(" g·mm", 1.0, 1), Form(" g·in", INCH_MM, 2)),
    # a gram is a gram: so many g·mm to a millimetre are as many g·in to an inch
    "unbalance-per-thickness": (Form(" g·mm per mm", 1.0, 1), Form(" g·in per in", 1.0, 1)),
    "speed": _same(" rpm", 0),
    "frequency": _same(" Hz", 1),
    "stress": (Form(" MPa", 1.0, 1), Form(" psi", PSI_MPA, 0)),
    "force": (Form(" N", 1.0, 0), Form(" lbf", POUND_FORCE_N, 1)),
    "torque": (Form(" N·m", 1.0, 1), Form(" lbf·ft", POUND_FORCE_N * 12 * INCH_MM / 1000, 1)),
    "stiffness": (Form(" N/mm", 1.0, 0), Form(" lbf/in", POUND_FORCE_N / INCH_MM, 0)),
    "surface-speed": (Form(" m/s", 1.0, 1), Form(" ft/s", 0.3048, 0)),
    "cutting-speed": (Form(" m/min", 1.0, 0), Form(" ft/min", 0.3048, 0)),
    "feed": (Form(" mm/min", 1.0, 0), Form(" in/min", INCH_MM, 1)),
    "share": _same(" %", 1),
    "time": _same(" ms", 2),
}
# What a finding's unit says of its kind; every other unit counts things and is written as it stands.
KIND_OF_UNIT = {
    "mm": "length", "deg": "angle", "g·mm": "unbalance", "Hz": "frequency", "%": "share", "MPa": "stress",
    "m/s": "surface-speed", "mm2": "area", "mm3": "volume", "g": "mass", "N": "force", "N·m": "torque", "rpm": "speed",
    "ms": "time",
}  # fmt: skip


def _held(kind: str, value: float, places: int | None = None) -> str:
    written = value.text if isinstance(value, Written) else ""
    return f"{OPEN}{kind}{BAR}{float(value)!r}{BAR}{'' if places is None else places}{BAR}{written}{CLOSE}"


def length(mm: float, places: int | None = None) -> str:
    """A length in a sentence. places: decimals in a metric document where not the usual two; inches get one more."""
    return _held("length", mm, places)


def diameter(mm: float, places: int | None = None) -> str:
    """A diameter with its sign."""
    return "⌀" + length(mm, places)


def short(mm: float, least: float) -> str:
    """A length that falls short of the least: a tenth of a millimetre, or as many decimals as tell the two apart, in
    inches as well."""
    return length(mm, figures((least - mm) / 10, 1))


def fine(mm: float) -> str:
    """A length that a fit or an indicator hangs on: a thousandth of a millimetre, a ten-thousandth of an inch."""
    return _held("fine", mm)


def typed(mm: float) -> str:
    """A length that somebody wrote, or is to write, in a job file: 158.75 in, not 158.750."""
    return _held("typed", mm)


def about(mm: float) -> str:
    """A round figure, such as the end of a range: as it stands in mm, to two figures in inches."""
    return _held("about", mm)


def quantity(value: float, kind: str, places: int | None = None) -> str:
    """A value of any kind in FORMS, in its base unit. places: decimals in a metric document."""
    return _held(kind, value, places)


def angle(deg: float, places: int | None = None) -> str:
    """An angle in degrees."""
    return _held("angle", deg, places)


def mass(grams: float) -> str:
    """A mass: what a kitchen scale can show, from a kilogram on what a bathroom scale can."""
    return _held("heavy", grams) if grams >= HEAVY_G else _held("mass", grams, 1 if grams >= ROUGH_G else 2)


def unbalance(g_mm: float) -> str:
    """An unbalance, g·mm; in inch documents g·in."""
    return _held("unbalance", g_mm)


def speed(rpm: float) -> str:
    """A rotational speed."""
    return _held("speed", rpm)


def frequency(hz: float) -> str:
    """A frequency."""
    return _held("frequency", hz)


def count(number: int, one: str, many: str = "") -> str:
    """1 gap, 2 gaps: many is `one` with an s unless it is given."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def unwritten(text: str) -> bool:
    """Whether a text still holds a quantity that nobody wrote out: a mistake wherever a person reads it."""
    return OPEN in text


def number(value: float, places: int, keep: bool = False) -> str:
    """A number with at most (keep: exactly) so many decimals and a plain hyphen for minus; never -0."""
    text = f"{value:.{places}f}"
    if not keep and "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.lstrip("-") if float(text) == 0.0 else text


def figures(value: float, places: int, most: int = MOST) -> int:
    """Decimals that show a small value with two figures, and no fewer than `places`; `most` at most."""
    if not isfinite(value) or abs(value) < 0.5 / 10 ** (most - 1) or abs(value) >= SMALL:
        return places
    return min(most, max(places, 1 - floor(log10(abs(value)))))


@dataclass(frozen=True)
class Words:
    """The writer of a document in `units`, mm or in."""

    units: str = "mm"

    def text(self, said: str) -> str:
        """The sentence with every quantity in it written in this document's unit."""
        return _HELD.sub(self._written, said) if OPEN in said else said

    def through(self, said: T) -> T:
        """The same dict, list, tuple or frozen dataclass with each sentence in it written; other values as they are."""
        out: Any = said
        if isinstance(said, str):
            out = self.text(said)
        elif isinstance(said, dict):
            out = {key: self.through(value) for key, value in said.items()}
        elif isinstance(said, list):
            out = [self.through(value) for value in said]
        elif isinstance(said, tuple):
            values = [self.through(value) for value in said]
            changed = any(new is not old for new, old in zip(values, said, strict=True))
            out = (type(said)(*values) if hasattr(said, "_fields") else tuple(values)) if changed else said
        elif is_dataclass(said) and not isinstance(said, type):
            changes = {}
            for field in fields(said):
                old = getattr(said, field.name)
                new = self.through(old)
                if new is not old and new != old:
                    changes[field.name] = new
            out = replace(said, **changes) if changes else said
        same: T = out
        return same

    def form(self, kind: str) -> Form:
        """How this document writes the kind."""
        return FORMS[kind][1 if self.units == "in" else 0]

    def length(self, mm: float, places: int | None = None) -> str:
        """A length with its unit."""
        return self.text(length(mm, places))

    def fine(self, mm: float) -> str:
        """A fine length with its unit."""
        return self.text(fine(mm))

    def bare(self, mm: float, places: int | None = None) -> str:
        """A length for a column whose head names the unit."""
        return self.length(mm, places).removesuffix(self.form("length").unit)

    def quantity(self, value: float, kind: str, places: int | None = None) -> str:
        """A value of any kind with its unit."""
        return self.text(quantity(value, kind, places))

    def measured(self, value: float, unit: str, limit: float | None = None) -> str:
        """A measured value or a limit of a finding: as many decimals as tell it from its limit, and none that do not.

        unit: a base unit (mm, deg, …), or the name of what is counted.
        """
        kind = KIND_OF_UNIT.get(unit)
        form = self.form(kind) if kind else Form(f" {unit}" if unit else "", 1.0, 3)
        if not isfinite(value):
            return f"nothing measured{'' if not unit else ' in' + form.unit}"
        if not kind and value == 1 and unit.endswith("s"):
            form = form._replace(unit=f" {unit[:-1]}")  # 1 speed, 2 speeds
        shown, apart = value / form.per, abs((limit or 0.0) / form.per)
        places = max(form.places, figures(apart, 0, form.most))
        if limit is None:
            places = figures(shown, form.places, form.most)
        return number(shown, min(places, form.most)) + form.unit

    def _written(self, found: re.Match[str]) -> str:
        kind, value, places, written = found[1], float(found[2]), found[3], found[4]
        form = self.form(kind)
        if written and self.units == "in" and form.per == INCH_MM:
            return written
        if not isfinite(value):
            return f"no {kind}"
        more = 1 if self.units == "in" and form.per == INCH_MM else 0
        wanted = int(places) + more if places else form.places
        shown = value / form.per
        if kind == "about" and self.units == "in":
            return number(float(f"{shown:.2g}"), 6) + form.unit
        small = figures(shown, wanted, form.most)
        return number(shown, small, form.keep and small == wanted) + form.unit
