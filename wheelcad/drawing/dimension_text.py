"""How a dimension is said: its value in mm, inches or both, with sign, count, fit and limits (ISO 129-1, ISO 286)."""

from __future__ import annotations

import math

from wheelcad.drawing.model import Dimension, Units
from wheelcad.units import INCH_MM
from wheelcad.words import MINUS
from wheelcad.words import number as plain_number

MEANT = 0.025  # a tolerance changed by no more than this share means the same
ROUNDS_AT_IN = 5e-5  # an inch value further than this from three places is given four


def number(value: float, decimals: int, strip: bool = True) -> str:
    """A number with at most (strip) or exactly `decimals` places; never "-0"."""
    return plain_number(value, decimals, keep=not strip).replace("-", MINUS)


def length(value_mm: float, units: Units, decimals: int | None = None, fine: bool = False) -> str:
    """A length: mm with at most 2 places (3 when `fine`), inches with 3 or, where that would round, 4; dual mm [in]."""
    if units == "in":
        return _inches(value_mm, fine, decimals)
    mm = number(value_mm, (3 if fine else 2) if decimals is None else decimals)
    return mm if units == "mm" else f"{mm} [{_inches(value_mm, fine, None)}]"


def _inches(value_mm: float, fine: bool, decimals: int | None) -> str:
    value = value_mm / INCH_MM
    if decimals is None:
        decimals = 4 if fine or abs(value - round(value, 3)) > ROUNDS_AT_IN else 3
    return number(value, decimals, strip=False)


def degrees(value_deg: float, decimals: int | None = None) -> str:
    """An angle in degrees with at most 2 places, and its sign."""
    return f"{number(value_deg, 2 if decimals is None else decimals)}°"


def rounded_inches(value_mm: float) -> str:
    """A plus-or-minus in inches with the figures it means: 1 mm is ±0.04, not ±0.0394; 0.3 mm is ±0.012."""
    value = value_mm / INCH_MM
    if value == 0:
        return "0"
    one, two = (round(value, k - 1 - math.floor(math.log10(value))) for k in (1, 2))
    return number(one if abs(one / value - 1) <= MEANT else two, 6)


def limits(upper: float, lower: float, units: Units, angle: bool = False) -> str:
    """Limit deviations: ±0.1, or +0.025/0."""

    def one(value: float, signed: bool = True) -> str:
        if angle:
            text = degrees(abs(value), 3)
        else:
            text = length(abs(value), "in" if units == "in" else "mm", None, fine=True)
        if not signed:
            return text
        return "0" if value == 0 else ("+" if value > 0 else MINUS) + text

    if upper == -lower:
        if units == "in" and not angle:
            return f"±{rounded_inches(upper)}"
        return f"±{one(upper, signed=False)}"
    return f"{one(upper)}/{one(lower)}"


def dimension(dim: Dimension, value: float, units: Units, angle: bool = False, sign: str = "") -> str:
    """The whole text of a dimension on one line. sign: what the kind of dimension brings itself (⌀, R)."""
    fine = bool(dim.fit) or dim.upper is not None
    said = degrees(value, dim.decimals) if angle else length(value, units, dim.decimals, fine)
    text = f"{dim.prefix or sign}{said}"
    if dim.count > 1:
        text = f"{dim.count}× {text}"
    if dim.fit:
        text += f" {dim.fit}"
    if dim.upper is not None or dim.lower is not None:
        text += f" {limits(dim.upper or 0.0, dim.lower or 0.0, units, angle)}"
    if dim.suffix:
        text += f" {dim.suffix}"
    return f"({text})" if dim.reference else text
