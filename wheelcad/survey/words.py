"""How a survey speaks: lengths in the job's unit with no more places than they mean, directions as on a clock."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wheelcad.units import LENGTHS


@dataclass(frozen=True)
class Say:
    """Puts mm into words in a job's unit, mm or in."""

    units: str = "mm"

    def number(self, mm: float, fine: bool = False) -> str:
        """A length without its unit: to 0.1 mm or 0.005 in, `fine` to 0.01 mm or 0.001 in."""
        places = (2 if fine else 1) + (1 if self.units == "in" else 0)
        text = f"{mm / float(LENGTHS[self.units]):.{places}f}"
        return text[1:] if text.startswith("-") and not text.strip("-0.") else text

    def length(self, mm: float, fine: bool = False) -> str:
        """A length with its unit."""
        return f"{self.number(mm, fine)} {self.units}"

    def place(self, x_mm: float, y_mm: float) -> str:
        """x and y."""
        return f"x {self.number(x_mm)}, y {self.number(y_mm)} {self.units}"

    def clock(self, x_mm: float, y_mm: float) -> str:
        """The direction of a place from the crank axis, to the nearest half hour, seen facing the wheel."""
        halves = round(math.degrees(math.atan2(x_mm, y_mm)) / 15.0) % 24
        hour, half = divmod(halves, 2)
        return f"{hour or 12}{':30' if half else ''} o'clock"
