"""Lengths of bent plate: what a bend takes up, and how tight it may be.

angle_deg: the bend angle, how far the plate is turned out of flat (90 for an L), 0 < angle < 180. r: inside radius,
s: thickness, mm. k: DIN 6935's correction factor; the neutral fibre lies k·s/2 from the inside, so the K-factor that
programs ask for is k/2.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from wheelcad.words import length

SMALLEST_RATIO = 0.1  # r/s; below it the formula's logarithm runs away, and no press makes such a bend anyway
MEMORY = "from memory"


def din6935_k(r_mm: float, s_mm: float) -> float:
    """DIN 6935's correction factor k = 0.65 + 0.5·log10(r/s), at most 1; r/s is taken as at least 0.1.

    ValueError for s ≤ 0 or r < 0. Source: DIN 6935.
    """
    if s_mm <= 0 or r_mm < 0:
        raise ValueError("plate has a thickness, and a radius is not negative")
    return min(1.0, 0.65 + 0.5 * math.log10(max(r_mm / s_mm, SMALLEST_RATIO)))


def k_factor(r_mm: float, s_mm: float) -> float:
    """The neutral fibre's distance from the inside as a share of the thickness: k/2, by DIN 6935."""
    return din6935_k(r_mm, s_mm) / 2


def allowance(angle_deg: float, r_mm: float, s_mm: float, k: float | None = None) -> float:
    """Bend allowance, mm: length of the neutral fibre in the bend, rad(angle)·(r + k·s/2); k None: DIN 6935's.

    ValueError for an angle outside 0 < angle < 180, s ≤ 0 or r < 0. Source: DIN 6935.
    """
    _check_angle(angle_deg)
    k = din6935_k(r_mm, s_mm) if k is None else k
    return math.radians(angle_deg) * (r_mm + k * s_mm / 2)


def allowance_k_factor(angle_deg: float, r_mm: float, s_mm: float, k_factor: float) -> float:
    """Bend allowance, mm, from a K-factor (share of the thickness, 0.3 to 0.5) instead of DIN 6935's k = 2·K."""
    return allowance(angle_deg, r_mm, s_mm, 2 * k_factor)


def setback(angle_deg: float, r_mm: float, s_mm: float) -> float:
    """Distance, mm, from the bend's tangent line to where the outside dimension of a leg is measured.

    Up to 90 degrees: the outside mould line, (r + s)·tan(angle/2). Above: the tangent to the outside of the bend square
    to the leg, r + s. Source: DIN 6935.
    """
    _check_angle(angle_deg)
    return (r_mm + s_mm) * (math.tan(math.radians(angle_deg) / 2) if angle_deg <= 90 else 1.0)


def deduction(angle_deg: float, r_mm: float, s_mm: float, taken_mm: float | None = None) -> float:
    """What to take off the sum of the two outside dimensions to get the flat length, mm: 2·setback - allowance.

    Flat = a + b - deduction with a and b measured as in `setback`. taken_mm: another allowance than the standard's.
    Source: DIN 6935.
    """
    return 2 * setback(angle_deg, r_mm, s_mm) - (allowance(angle_deg, r_mm, s_mm) if taken_mm is None else taken_mm)


# Least inside radius over thickness, by plate thickness (mm) up to which it holds; across the grain, bent cold.
_LEAST_RADIUS: Mapping[str, tuple[tuple[float, float], ...]] = MappingProxyType(
    {
        "mild-steel": ((6.35, 1.0), (12.7, 1.5), (math.inf, 2.0)),
        "stainless-430": ((6.35, 1.0), (math.inf, 2.0)),
        "aluminium-6061": ((0.8, 1.0), (1.6, 1.5), (3.2, 2.5), (4.8, 3.0), (6.35, 3.5), (9.5, 4.5), (math.inf, 5.0)),
    }
)
_LEAST_RADIUS_SOURCE: Mapping[str, str] = MappingProxyType(
    {
        "mild-steel": f"structural steel reference for A36 plate, to {length(12.7)}; above from memory",
        "stainless-430": MEMORY,
        "aluminium-6061": MEMORY + " (6061-T6, cold)",
    }
)
ALONG_GRAIN = 1.5  # source: ASTM A6 Table X4.2: half as much again when the bend line runs along the rolling direction


def least_inside_radius_mm(material: str, s_mm: float, along_grain: bool = False) -> float:
    """Least inside radius, mm, that plate of thickness `s_mm` takes without cracking, bent cold.

    material: mild-steel, stainless-430 or aluminium-6061 (T6). along_grain: the bend line runs along the rolling
    direction, which wants half as much again. KeyError for another material, ValueError for s ≤ 0. Source: as
    `least_radius_source` says.
    """
    if s_mm <= 0:
        raise ValueError("plate has a thickness")
    factor = next(factor for upto, factor in _LEAST_RADIUS[material] if s_mm <= upto)
    return factor * s_mm * (ALONG_GRAIN if along_grain else 1.0)


def least_radius_source(material: str) -> str:
    """Where the row of `least_inside_radius_mm` comes from."""
    return _LEAST_RADIUS_SOURCE[material]


def _check_angle(angle_deg: float) -> None:
    if not 0 < angle_deg < 180:
        raise ValueError("a bend's angle is more than 0 and less than 180 degrees")
