"""Lengths, angles, speeds, frequencies, masses and times as a shop writes them.

Base units: mm, degrees, rpm, Hz, kg, ms. Values are read exactly (rational arithmetic, 1 in = 25.4 mm by
definition) and rounded once, to a float. What is read: 6.35, "1/4 in", "1 1/2 in", '3/16"', "0.250 in", "10 thou",
"8 mm", "1½ in", "45 deg", "30'", "12 deg 30'", "5200 rpm", "15 kHz", "60 g", "2 oz", "4 ms", "10 us".
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction

# 1 inch is 25.4 mm and 1 pound is 0.45359237 kg exactly: International yard and pound agreement, 1959.
INCH = Fraction("25.4")
POUND = Fraction("0.45359237")
INCH_MM = float(INCH)
POINT_MM = INCH_MM / 72  # what page descriptions measure in

LENGTHS: Mapping[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "um": Fraction(1, 1000),
    "µm": Fraction(1, 1000),
    "μm": Fraction(1, 1000),
    "in": INCH,
    "in.": INCH,
    "inch": INCH,
    "inches": INCH,
    '"': INCH,
    "″": INCH,
    "”": INCH,
    "thou": INCH / 1000,
    "ft": INCH * 12,
}
ANGLES: Mapping[str, Fraction] = {
    "deg": Fraction(1),
    "degree": Fraction(1),
    "degrees": Fraction(1),
    "°": Fraction(1),
    "'": Fraction(1, 60),
    "′": Fraction(1, 60),
    "’": Fraction(1, 60),
    "arcmin": Fraction(1, 60),
    '"': Fraction(1, 3600),
    "″": Fraction(1, 3600),
    "”": Fraction(1, 3600),
    "arcsec": Fraction(1, 3600),
}
SPEEDS: Mapping[str, Fraction] = {"rpm": Fraction(1), "rev/min": Fraction(1), "r/min": Fraction(1), "rps": Fraction(60)}
FREQUENCIES: Mapping[str, Fraction] = {"Hz": Fraction(1), "kHz": Fraction(1000), "MHz": Fraction(1_000_000)}
MASSES: Mapping[str, Fraction] = {
    "kg": Fraction(1),
    "g": Fraction(1, 1000),
    "lb": POUND,
    "oz": POUND / 16,
}
# The base is the millisecond, the unit a dwell is told in: delays and filters are written in us.
TIMES: Mapping[str, Fraction] = {
    "ms": Fraction(1),
    "us": Fraction(1, 1000),
    "µs": Fraction(1, 1000),
    "μs": Fraction(1, 1000),
    "s": Fraction(1000),
}

KINDS: Mapping[str, Mapping[str, Fraction]] = {
    "length": LENGTHS,
    "angle": ANGLES,
    "speed": SPEEDS,
    "frequency": FREQUENCIES,
    "mass": MASSES,
    "time": TIMES,
}
EXAMPLES: Mapping[str, str] = {
    "length": "6.35, 1/4 in, 1 1/2 in or 8 mm",
    "angle": "45, 45 deg or 30'",
    "speed": "5200 or 5200 rpm",
    "frequency": "15 kHz or 15000",
    "mass": "60 g, 0.06 or 2 oz",
    "time": "4 ms, 4 or 10 us",
}
SECOND = Fraction(1, 3600)
LONGEST = 64  # characters: no shop value is longer, and nothing longer is worth parsing

# Signs and fractions that word processors and phones put in the place of the plain characters.
_LOOKALIKES = str.maketrans({"−": "-", "–": "-", "⁄": "/", "\u00a0": " ", "\u202f": " ", "\u2009": " "})
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}

_DECIMAL = r"(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_FRACTION = r"(?:[0-9]+[ \t-]+)?[0-9]+[ \t]*/[ \t]*[0-9]+"
_TERM = re.compile(
    rf"\s*(?:(?:(?P<whole>[0-9]+)[ \t-]+)?(?P<top>[0-9]+)[ \t]*/[ \t]*(?P<bottom>[0-9]+)|(?P<number>{_DECIMAL}))"
    r"\s*(?P<unit>[^0-9\s+.,_-][^0-9]*?)?\s*(?=[0-9]|\.[0-9]|$)"
)
_LEADING_ZERO = re.compile(r"^[+-]?0[0-9]+$")
_SIXTIES = re.compile(r"^[+-]?[0-9]+(:[0-9]+)+(\.[0-9]*)?$")
_OTHER_BASE = re.compile(r"^[+-]?0[xXoObB][0-9a-fA-F_]+$")
_GROUPED = re.compile(r"^[+-]?[0-9]+([_,' ][0-9]{3})+(?![0-9]|[ \t]*/)")
_A_FRACTION = re.compile(r"[/⁄½¼¾⅛⅜⅝⅞]")
_COMMA = re.compile(r"^([+-]?[0-9]+),([0-9]+)(.*)$")
_NOT_FINITE = re.compile(r"^[+-]?\.?(inf|infinity|nan)$", re.IGNORECASE)


class Written(float):
    """A length in mm that was written as a fraction of an inch: as good as a float, and `text` says how ("3/16 in")."""

    text: str

    def __new__(cls, value: float, text: str = "") -> Written:
        """The value with its text."""
        made = super().__new__(cls, value)
        made.text = text
        return made

    def __getnewargs__(self) -> tuple[float, str]:  # type: ignore[override]  # pickled with its text
        return float(self), self.text


def written_inches(value: object, bare: str) -> str:
    """How a length that was written as a fraction of an inch is written out ("1 1/2 in"); "" for any other.

    bare: the unit of a number that carries none.
    """
    if not isinstance(value, str) or not _A_FRACTION.search(value):
        return ""
    inches = exact(value, "length", bare) / INCH
    unit = value.strip().lstrip("+-0123456789/ \t" + "".join(_VULGAR) + "⁄").strip()
    if inches <= 0 or (_factor(unit or None, "length", bare) != INCH):
        return ""
    return f"{fraction_text(inches)} in"


def fraction_text(value: Fraction) -> str:
    """A fraction of an inch as a rule is read: 1 1/2, 3/16, 2; -1 3/16 for one that is negative."""
    whole, rest = divmod(abs(value), 1)
    return ("-" if value < 0 else "") + (f"{whole} {rest}" if whole and rest else str(rest or whole))


def decimal_text(inches: float) -> str:
    """Inches to a ten-thousandth, without noughts at the end."""
    return f"{inches:.4f}".rstrip("0").rstrip(".")


class UnitError(ValueError):
    """A value that cannot be read as the kind of quantity that is wanted; `hint` says what was likely meant, or ""."""

    def __init__(self, why: str, hint: str = "") -> None:
        super().__init__(why)
        self.hint = hint


def parse(value: object, kind: str, bare: str) -> float:
    """A value of `kind` (length, angle, speed, frequency, mass, time) in its base unit, rounded once.

    `bare` is the unit of a number that carries none. UnitError says what was wrong, in words for a user.
    """
    try:
        return float(exact(value, kind, bare))
    except OverflowError:
        raise UnitError(f"should be {_a(kind)} within reason") from None


def exact(value: object, kind: str, bare: str) -> Fraction:
    """As `parse`, without any rounding."""
    if isinstance(value, str):
        return _exact_text(value, kind, bare)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnitError(f"should be {_a(kind)} such as {EXAMPLES[kind]}")
    if not math.isfinite(value):
        raise UnitError(f"should be a finite {kind}")
    # repr is what was written: 0.1 means a tenth, not the nearest binary number; numpy's own repr names its kind
    return (Fraction(Decimal(repr(float(value)))) if isinstance(value, float) else Fraction(value)) * KINDS[kind][bare]


def _exact_text(text: str, kind: str, bare: str) -> Fraction:
    trap = number_trap(text)
    if trap is not None:
        raise trap
    plain = text.translate(_LOOKALIKES)
    for sign, written in _VULGAR.items():
        plain = plain.replace(sign, f" {written}")
    plain = plain.strip()
    negative = plain.startswith("-")
    plain = plain.removeprefix("-" if negative else "+")
    if not plain or len(text) > LONGEST:
        raise _unreadable(kind)
    total, at, last = Fraction(0), 0, None
    while at < len(plain):
        match = _TERM.match(plain, at)
        if match is None or (at and kind != "angle"):
            raise _unreadable(kind)
        factor = _factor(match["unit"], kind, bare)
        # degrees, minutes and seconds are the one kind written in several terms, each smaller than the one before
        if last is not None and (match["unit"] is None or factor >= last):
            raise _unreadable(kind)
        if last is None and kind == "angle" and factor == SECOND:
            raise UnitError(
                "is in seconds of arc or in inches", f"write deg, or for seconds of arc 0' {match[0].strip()}"
            )
        total += _number(match) * factor
        at, last = match.end(), factor
        if at < len(plain) and match["unit"] is None:
            raise _unreadable(kind)
    return -total if negative else total


def _number(match: re.Match[str]) -> Fraction:
    if match["number"] is not None:
        return Fraction(Decimal(match["number"]))
    if int(match["bottom"]) == 0:
        raise UnitError("is a fraction with nothing below the line")
    return Fraction(int(match["top"]), int(match["bottom"])) + int(match["whole"] or 0)


def _factor(unit: str | None, kind: str, bare: str) -> Fraction:
    units = KINDS[kind]
    if unit is None:
        return units[bare]
    unit = unit.strip()
    if unit in units:
        return units[unit]
    lowered = {name.lower(): name for name in units}
    if unit.lower() in lowered:
        return units[lowered[unit.lower()]]
    if unit.lower() in ("mil", "mils"):
        raise UnitError("has the unit mil, which some read as a thousandth of an inch and others as 1 mm", "thou or mm")
    other = next((name for name, known in KINDS.items() if unit in known), None)
    why = f"has the unit {unit}, which is {'a unit of ' + other if other else 'no unit'}, where {_a(kind)} is wanted"
    raise UnitError(why, f"units of {kind}: {', '.join(name for name in units if name.isascii())}")


def number_trap(text: str) -> UnitError | None:
    """Why a number's spelling could be misread, or None: 010, 1:30, 0x10, 1_000, 6,35, .inf and .nan."""
    text = text.strip()
    if len(text) > LONGEST:
        return None
    if _LEADING_ZERO.match(text):
        as_eight = f"{int(text, 8)} or " if set(text.lstrip("+-")) <= set("01234567") else ""
        return UnitError("begins with 0, which YAML readers take in different ways", f"write {as_eight}{int(text)}")
    if _SIXTIES.match(text):
        return UnitError("holds a colon, which some YAML readers take as sixtieths", "write it as one decimal number")
    if _OTHER_BASE.match(text):
        return UnitError("is not a decimal number", "write it with the digits 0 to 9")
    if _NOT_FINITE.match(text):
        return UnitError("should be a finite number")
    if _GROUPED.match(text):
        bare = re.sub(r"[_,' ](?=[0-9]{3})", "", text)
        point = f" or, if the comma is a decimal one, {text.replace(',', '.')}" if text.count(",") == 1 else ""
        return UnitError("has its digits grouped, which can be misread", f"write {bare}{point}")
    comma = _COMMA.match(text)
    if comma:
        return UnitError("has a decimal comma", f"write {comma[1]}.{comma[2]}{comma[3]}")
    return None


def pattern(kind: str) -> str:
    """A regular expression (of the kind JSON Schema allows) for the texts `parse` reads as `kind`."""
    names = KINDS[kind]
    number = rf"(?:{_FRACTION}|[0-9]*[ \t]*[{''.join(_VULGAR)}]|{_DECIMAL})"
    if kind == "angle":
        # degrees, then minutes, then seconds, any of them left out, but never seconds alone
        degrees, minutes, seconds = (
            rf"{number}\s*{_alternatives(name for name in names if names[name] == factor)}"
            for factor in (1, SECOND * 60, SECOND)
        )
        term = rf"(?:{number}|(?:{degrees}(?:\s*{minutes})?|{minutes})(?:\s*{seconds})?)"
    else:
        term = rf"{number}\s*{_alternatives(names)}?"
    return rf"^\s*[+−–-]?\s*{term}\s*$"


def _alternatives(names: Iterable[str]) -> str:
    """Any of these units, the longest first, in small or capital letters."""
    longest_first = sorted(names, key=lambda name: (-len(name), name))
    return "(?:" + "|".join("".join(map(_either_case, name)) for name in longest_first) + ")"


def _either_case(character: str) -> str:
    if character.isascii() and character.isalpha():
        return f"[{character.lower()}{character.upper()}]"
    return "\\" + character if character in "/." else character


def _unreadable(kind: str) -> UnitError:
    return UnitError(f"should be {_a(kind)} such as {EXAMPLES[kind]}")


def _a(kind: str) -> str:
    return f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"


def length_mm(value: object, units: str = "mm") -> float:
    """A length in mm; bare numbers are in `units` (mm or in)."""
    return parse(value, "length", units)
