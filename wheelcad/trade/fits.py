"""Tolerances and clearance holes: ISO 2768, ISO 273 and the few ISO 286 fits a pilot or bore needs. All mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from wheelcad.units import INCH_MM

# Permissible ± deviations of linear sizes, class m: (up to and including, mm). Source: ISO 2768-1 Table 1.
_ISO_2768_M = ((3.0, 0.1), (6.0, 0.1), (30.0, 0.2), (120.0, 0.3), (400.0, 0.5), (1000.0, 0.8), (2000.0, 1.2))
ISO_2768_LEAST_MM = 0.5  # the table starts here; smaller sizes carry their own tolerance


# Clearance holes for bolts: fine, medium, coarse. Source: ISO 273; M3, M4, M16 and M20 from memory.
_ISO_273: Mapping[float, tuple[float, float, float]] = MappingProxyType(
    {
        3: (3.2, 3.4, 3.6),
        4: (4.3, 4.5, 4.8),
        5: (5.3, 5.5, 5.8),
        6: (6.4, 6.6, 7.0),
        8: (8.4, 9.0, 10.0),
        10: (10.5, 11.0, 12.0),
        12: (13.0, 13.5, 14.5),
        14: (15.0, 15.5, 16.5),
        16: (17.0, 17.5, 18.5),
        20: (21.0, 22.0, 24.0),
    }
)
_UNIFIED = tuple(INCH_MM * n for n in (3 / 16, 1 / 4, 5 / 16, 3 / 8, 7 / 16, 1 / 2, 9 / 16, 5 / 8, 3 / 4))
SAME_HOLE_MM = 0.02  # a hole this near one of ISO 273 is meant to be it
CLOSE_MM = 0.15  # least clearance a unified bolt is given
_SERIES: Mapping[str, int] = MappingProxyType({"fine": 0, "medium": 1, "coarse": 2})

# Rows of ISO 286: over .. up to and including, mm. H7 for 18 to 80: ISO 286-2; the rest from memory.
_STEPS = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0)
LEAST_MM, GREATEST_MM = _STEPS[0], _STEPS[-1]  # sizes covered: over the one, up to and including the other
_IT6 = (8, 9, 11, 13, 16, 19, 22, 25, 29)
_IT7 = (12, 15, 18, 21, 25, 30, 35, 40, 46)
_G_UPPER = (-4, -5, -6, -7, -9, -10, -12, -14, -15)
_F_UPPER = (-10, -13, -16, -20, -25, -30, -36, -43, -50)
FITS = ("H7", "h6", "g6", "f7")


def iso2768_m(size_mm: float) -> float:
    """Permissible deviation (± mm) of a linear size, class m. Source: ISO 2768-1.

    ValueError below 0.5 or above 2000 mm.
    """
    if size_mm >= ISO_2768_LEAST_MM:
        for upto, deviation in _ISO_2768_M:
            if size_mm <= upto:
                return deviation
    raise ValueError("ISO 2768-1 covers 0.5 to 2000 mm: give this size its own tolerance")


def clearance_hole_mm(bolt_mm: float, series: str = "medium") -> float:
    """Clearance hole for a bolt of nominal diameter `bolt_mm`; series fine, medium or coarse. Source: ISO 273.

    ValueError for a bolt or series the table does not have.
    """
    if bolt_mm not in _ISO_273 or series not in _SERIES:
        raise ValueError(f"ISO 273 here: M{', M'.join(f'{b:g}' for b in _ISO_273)}; fine, medium or coarse")
    return _ISO_273[bolt_mm][_SERIES[series]]


def bolt_for_hole(hole_mm: float) -> float | None:
    """The largest bolt whose fine clearance hole is no larger than `hole_mm`, nominal mm; None when none is."""
    fitting = [bolt for bolt, (fine, _, _) in _ISO_273.items() if fine <= hole_mm + 1e-9]
    return max(fitting) if fitting else None


def likely_bolt_mm(hole_mm: float) -> float | None:
    """Nominal diameter of the bolt a clearance hole is for, metric or unified; None when no bolt goes through.

    A hole of ISO 273 is for its bolt; any other for the thickest of both kinds that goes through with a fine clearance.
    Unified sizes and their clearance: common practice, no source.
    """
    for bolt, holes in _ISO_273.items():
        if min(abs(hole_mm - hole) for hole in holes) < SAME_HOLE_MM:
            return bolt
    fitting = [bolt_for_hole(hole_mm) or 0.0, *(size for size in _UNIFIED if size + CLOSE_MM <= hole_mm)]
    return max(fitting) or None


def limits_mm(size_mm: float, fit: str) -> tuple[float, float]:
    """(lower, upper) deviation from the nominal size, mm. fit: H7 for a bore; h6, g6 or f7 for a shaft or pilot.

    ValueError outside 3 < size ≤ 250 or for another fit. Source: ISO 286-2 (H7, 18 to 80 mm); the rest from memory.
    """
    if fit not in FITS:
        raise ValueError(f"fits here: {', '.join(FITS)}")
    row = _row(size_mm)
    um: Mapping[str, tuple[int, int]] = {
        "H7": (0, _IT7[row]),
        "h6": (-_IT6[row], 0),
        "g6": (_G_UPPER[row] - _IT6[row], _G_UPPER[row]),
        "f7": (_F_UPPER[row] - _IT7[row], _F_UPPER[row]),
    }
    lower, upper = um[fit]
    return lower / 1000, upper / 1000


def _row(size_mm: float) -> int:
    steps: Sequence[float] = _STEPS
    if not steps[0] < size_mm <= steps[-1]:
        raise ValueError("ISO 286 rows here cover more than 3 up to 250 mm")
    return next(i for i, upto in enumerate(steps[1:]) if size_mm <= upto)
