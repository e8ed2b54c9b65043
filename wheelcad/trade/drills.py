"""Drills a shop has: metric, inch fractions, numbers and letters; and how deep they go. Diameters mm."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from wheelcad.units import INCH_MM, Written
from wheelcad.words import Words, length

SETS = ("metric", "inch")


class Drill(NamedTuple):
    """A drill as it is stamped, and its diameter in mm."""

    name: str
    diameter_mm: float


def in_plain_set(diameter_mm: float) -> bool:
    """Whether a drill comes in the plain sets, by half millimetres or by 64ths of an inch; common practice, no
    source."""
    steps = (diameter_mm / 0.5, diameter_mm / (INCH_MM / 64))
    return any(abs(step - round(step)) < 1e-6 for step in steps)


def sized(name: str, diameter_mm: float) -> str:
    """A drill in a sentence: its own name, and its size where that does not say it in the document's unit."""
    if name.endswith(" mm"):
        return length(Written(diameter_mm, f"{name} ({Words('in').length(diameter_mm)})"))
    return f"{name} ({length(diameter_mm)})"


# Thousandths of an inch. Source: ANSI B94.11M number and letter drills, from memory.
_NUMBERS = (
    *(228, 221, 213, 209, 205.5, 204, 201, 199, 196, 193.5, 191, 189, 185, 182, 180, 177, 173, 169.5, 166, 161),
    *(159, 157, 154, 152, 149.5, 147, 144, 140.5, 136, 128.5, 120, 116, 113, 111, 110, 106.5, 104, 101.5, 99.5, 98),
    *(96, 93.5, 89, 86, 82, 81, 78.5, 76, 73, 70, 67, 63.5, 59.5, 55, 52, 46.5, 43, 42, 41, 40),
)
_LETTERS = (
    *(234, 238, 242, 246, 250, 257, 261, 266, 272, 277, 281, 290, 295),
    *(302, 316, 323, 332, 339, 348, 358, 368, 377, 386, 397, 404, 413),
)


def metric_drills() -> tuple[Drill, ...]:
    """Metric drills, rising: 1.0 to 10.0 mm by 0.1, then to 13.0 by 0.5."""
    tenths = [*range(10, 101), *range(105, 131, 5)]
    return tuple(Drill(f"{n / 10:.1f} mm", n / 10) for n in tenths)


def fraction_drills() -> tuple[Drill, ...]:
    """Inch fractions, rising: 1/64 to 1/2 in by 1/64."""
    found = []
    for n in range(1, 33):
        top, bottom = n, 64
        while top % 2 == 0:
            top, bottom = top // 2, bottom // 2
        found.append(Drill(f"{top}/{bottom} in", INCH_MM * n / 64))
    return tuple(found)


def number_drills() -> tuple[Drill, ...]:
    """Number drills, rising: No. 60 to No. 1."""
    return tuple(Drill(f"No. {n}", INCH_MM * _NUMBERS[n - 1] / 1000) for n in range(60, 0, -1))


def letter_drills() -> tuple[Drill, ...]:
    """Letter drills, rising: A to Z."""
    return tuple(Drill(chr(ord("A") + i), INCH_MM * thou / 1000) for i, thou in enumerate(_LETTERS))


@cache
def drills(set_name: str) -> tuple[Drill, ...]:
    """All drills of a set, by rising diameter. metric: `metric_drills`; inch: fractions, numbers and letters together.

    Where two inch drills are the same size (E and 1/4) the fraction comes first. ValueError for another name.
    """
    if set_name == "metric":
        return metric_drills()
    if set_name == "inch":
        everything = [*fraction_drills(), *number_drills(), *letter_drills()]
        return tuple(sorted(everything, key=lambda drill: round(drill.diameter_mm, 6)))
    raise ValueError(f"drill sets are {' and '.join(SETS)}")


# Flute lengths of jobber drills: (up to and including this diameter, length), mm. Source: DIN 338, from memory.
_FLUTES = (
    (1.06, 12.0), (1.18, 14.0), (1.32, 16.0), (1.5, 18.0), (1.7, 20.0), (1.9, 22.0), (2.12, 24.0), (2.36, 27.0),
    (2.65, 30.0), (3.0, 33.0), (3.35, 36.0), (3.75, 39.0), (4.25, 43.0), (4.75, 47.0), (5.3, 52.0), (6.0, 57.0),
    (6.7, 63.0), (7.5, 69.0), (8.5, 75.0), (9.5, 81.0), (10.6, 87.0), (11.8, 94.0), (13.2, 101.0), (14.0, 108.0),
)  # fmt: skip


def flute_length_mm(diameter_mm: float) -> float:
    """How deep an ordinary (jobber) drill of this diameter can go before its flutes are full, mm.

    ValueError unless 0 < diameter ≤ 14. Source: DIN 338, from memory.
    """
    if diameter_mm > 0:
        for upto, length in _FLUTES:
            if diameter_mm <= upto + 1e-9:
                return length
    raise ValueError("flute lengths here are for drills up to 14 mm")
