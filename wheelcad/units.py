"""Lengths, angles, speeds, frequencies and masses as a shop writes them.

Base units: mm, degrees, rpm, Hz, kg. Values are read exactly (rational arithmetic, 1 in = 25.4 mm by definition) and
rounded once, to a float. What is read: 6.35, "1/4 in", "1 1/2 in", '3/16"', "0.250 in", "10 thou", "8 mm",
"45 deg", "30'", "5200 rpm", "15 kHz", "60 g", "2 oz".
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

# 1 inch is 25.4 mm and 1 pound is 0.45359237 kg exactly: International yard and pound agreement, 1959.
INCH = Fraction("25.4")
POUND = Fraction("0.45359237")

LENGTHS: Mapping[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "um": Fraction(1, 1000),
    "µm": Fraction(1, 1000),
    "μm": Fraction(1, 1000),
    "in": INCH,
    "inch": INCH,
    "inches": INCH,
    '"': INCH,
    "″": INCH,
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
    "arcmin": Fraction(1, 60),
}
SPEEDS: Mapping[str, Fraction] = {"rpm": Fraction(1), "rev/min": Fraction(1), "rps": Fraction(60)}
FREQUENCIES: Mapping[str, Fraction] = {"Hz": Fraction(1), "kHz": Fraction(1000), "MHz": Fraction(1_000_000)}
MASSES: Mapping[str, Fraction] = {
    "kg": Fraction(1),
    "g": Fraction(1, 1000),
    "lb": POUND,
    "oz": POUND / 16,
}

KINDS: Mapping[str, Mapping[str, Fraction]] = {
    "length": LENGTHS,
    "angle": ANGLES,
    "speed": SPEEDS,
    "frequency": FREQUENCIES,
    "mass": MASSES,
}

_NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?"
_VALUE = re.compile(
    rf"^\s*(?P<sign>[+-]?)\s*(?:(?:(?P<whole>\d+)[ \t-]+)?(?P<top>\d+)\s*/\s*(?P<bottom>\d+)|(?P<number>{_NUMBER}))"
    r"\s*(?P<unit>[^\d\s].*?)?\s*$"
)
LONGEST = 64  # characters: no shop value is longer, and nothing longer is worth parsing


class UnitError(ValueError):
    """A value that cannot be read as the kind of quantity that is wanted."""


def parse(value: object, kind: str, bare: str) -> float:
    """A value of `kind` (length, angle, speed, frequency, mass) in its base unit.

    `bare` is the unit of a number that carries none. UnitError says what was wrong, in words for a user.
    """
    units = KINDS[kind]
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise UnitError(f"should be {_a(kind)} such as {EXAMPLES[kind]}")
    if isinstance(value, str):
        return _parse_text(value, kind, bare)
    if isinstance(value, float) and not math.isfinite(value):
        raise UnitError(f"should be a finite {kind}")
    return _in_base(Fraction(Decimal(repr(value))) if isinstance(value, float) else Fraction(value), units[bare], kind)


def _parse_text(text: str, kind: str, bare: str) -> float:
    units = KINDS[kind]
    match = _VALUE.match(text) if len(text) <= LONGEST else None
    if match is None:
        raise UnitError(f"should be {_a(kind)} such as {EXAMPLES[kind]}")
    unit = match["unit"] or bare
    if unit not in units:
        lowered = {name.lower(): name for name in units}
        if unit.lower() in lowered:
            unit = lowered[unit.lower()]
        else:
            raise UnitError(f"has the unit {unit!r}, which is no unit of {kind}; known: {', '.join(_plain(units))}")
    if match["number"] is not None:
        number = Fraction(Decimal(match["number"]))
    else:
        if int(match["bottom"]) == 0:
            raise UnitError("is a fraction with nothing below the line")
        number = Fraction(int(match["top"]), int(match["bottom"])) + int(match["whole"] or 0)
    return _in_base(-number if match["sign"] == "-" else number, units[unit], kind)


def _in_base(number: Fraction, factor: Fraction, kind: str) -> float:
    try:
        return float(number * factor)
    except OverflowError:
        raise UnitError(f"should be a {kind} within reason") from None


def _a(kind: str) -> str:
    return f"an {kind}" if kind[0] in "aeiou" else f"a {kind}"


def _plain(units: Mapping[str, Fraction]) -> list[str]:
    return [name for name in units if name.isascii()]


EXAMPLES: Mapping[str, str] = {
    "length": "6.35, 1/4 in, 1 1/2 in or 8 mm",
    "angle": "45, 45 deg or 30'",
    "speed": "5200 or 5200 rpm",
    "frequency": "15 kHz or 15000",
    "mass": "60 g, 0.06 or 2 oz",
}


def length_mm(value: object, units: str = "mm") -> float:
    """A length in mm; bare numbers are in `units` (mm or in)."""
    return parse(value, "length", units)


def angle_deg(value: object) -> float:
    """An angle in degrees; bare numbers are degrees."""
    return parse(value, "angle", "deg")


def speed_rpm(value: object) -> float:
    """A rotational speed in rpm; bare numbers are rpm."""
    return parse(value, "speed", "rpm")


def frequency_hz(value: object) -> float:
    """A frequency in Hz; bare numbers are Hz."""
    return parse(value, "frequency", "Hz")


def mass_kg(value: object) -> float:
    """A mass in kg; bare numbers are kg."""
    return parse(value, "mass", "kg")
