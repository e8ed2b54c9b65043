"""Numbers as the chart writes them."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from wheelcad.parts.wheel.teeth import ToothGap
from wheelcad.words import count


def decimals_of(step: Fraction) -> int | None:
    """Decimals that write every multiple of a dial's step exactly (2 at least), or None when it takes more than 4."""
    for places in range(2, 5):
        if (step * 10**places).denominator == 1:
            return places
    return None


def in_minutes(step: Fraction) -> bool:
    """True when the dial is written in degrees and minutes: its step is whole seconds but no short decimal."""
    return decimals_of(step) is None and (step * 3600).denominator == 1


def dial(value: Fraction, step: Fraction) -> str:
    """A dial reading as the dial is divided: 6.05°, 5°21′ or 5°21′30″."""
    places = decimals_of(step)
    if places is not None:
        return f"{float(value):.{places}f}°"
    if not in_minutes(step):
        return f"{float(value):.4f}°"
    degrees, rest = divmod(value, 1)
    minutes, rest = divmod(rest * 60, 1)
    seconds = f"{int(rest * 60):02d}″" if (step * 60).denominator != 1 else ""
    return f"{int(degrees)}°{int(minutes):02d}′{seconds}"


def angle(value: float | Fraction) -> str:
    """An angle of the plan, to a hundred-thousandth of a degree and no longer than it needs."""
    return f"{round(float(value), 5) + 0.0:.5f}".rstrip("0").rstrip(".") + "°"


def edge(value: float) -> str:
    """A reading of the table's edge, which nobody can read closer than to a tenth of a degree."""
    return f"{round(value, 1) % 360:g}°"


def turns(number: int) -> str:
    """1 turn, 2 turns."""
    return count(number, "turn")


def holes(number: int | None, circle: int | None = None) -> str:
    """14 holes of 18; without a circle 14 holes."""
    return count(number or 0, "hole") + (f" of {circle}" if circle is not None else "")


def setting(whole: int, part: Fraction, step: Fraction, circle: int | None = None, pin: int | None = None) -> str:
    """A setting or a move in a line: 3 turns + 7.00°, or 3 turns and 14 holes of 18. pin: holes, None without."""
    text = f"{turns(whole)} + {dial(part, step)}"
    return text if pin is None else f"{text}, or {turns(whole)} and {holes(pin, circle)}"


def round_rpm(rpm: float) -> int:
    """Two figures are all a spindle speed can mean."""
    size = 10 if rpm < 1000 else 50
    return max(size, round(rpm / size) * size)


def way_round(sense: int) -> str:
    """Which way the work turns from cut to cut, seen facing the wheel's front."""
    return "anticlockwise" if sense > 0 else "clockwise"


def zero_name(gaps: Sequence[ToothGap]) -> str:
    """What is under the cutter at the table's zero."""
    if not any(gap.missing for gap in gaps):
        return "the first slot"
    return "the centre of the gap" if len(gaps) == 1 else "the centre of the first gap"
