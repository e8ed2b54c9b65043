"""How a survey speaks of places: with no more decimals than they mean, and directions as on a clock's face."""

from __future__ import annotations

import math

from wheelcad.survey.model import Suspect
from wheelcad.words import length

READ = 1  # decimals of a mm that a tape or a calliper on an engine can mean


def place(x_mm: float, y_mm: float) -> str:
    """x and y, held as quantities."""
    return f"x {length(x_mm, READ)}, y {length(y_mm, READ)}"


def clock(x_mm: float, y_mm: float) -> str:
    """The direction of a place from the crank axis, to the nearest half hour, facing the wheel: 10 o'clock, 10:30."""
    halves = round(math.degrees(math.atan2(x_mm, y_mm)) / 15.0) % 24
    hour, half = divmod(halves, 2)
    return f"{hour or 12}:30" if half else f"{hour or 12} o'clock"


def told(suspect: Suspect) -> str:
    """What is wrong with a reading: m1 to m2 is 3.1 mm longer than the others allow."""
    way = "longer" if suspect.off_mm > 0 else "shorter"
    return f"{suspect.reading.name} is {length(abs(suspect.off_mm), READ)} {way} than the others allow"
