"""What a plasma table can cut, and what its tolerances mean on a wheel. Lengths mm, currents A, angles degrees.

Lead-ins and kerf offset belong to the table's own program; these figures judge the outline that goes into it.
"""

from __future__ import annotations

import math

SMALLEST_HOLE_PER_THICKNESS = 1.5  # sources: plasma cutting guides; better 2
GOOD_HOLE_PER_THICKNESS = 2.0  # from memory
BRIDGE_PER_THICKNESS = 1.5  # metal left between two cuts; from memory
SLOT_PER_THICKNESS = 1.5  # a narrower slot is not cut but melted; common practice, no source


PERPENDICULARITY_RANGE = 4  # ISO 9013 range that a home plasma table keeps (our judgement)
ROUGHNESS_RANGE = 4  # of Rz5, likewise
SIZE_CLASS = 2  # the usual one for plasma
# Squareness range, roughness range, size class, in this order. Source: ISO 9013:2017, clause 8 (from memory)
THERMAL_CUT = f"ISO 9013-{PERPENDICULARITY_RANGE}{ROUGHNESS_RANGE}{SIZE_CLASS}"

# Perpendicularity u = constant + share·thickness, mm, by range. Source: ISO 9013.
_PERPENDICULARITY = {1: (0.05, 0.003), 2: (0.15, 0.007), 3: (0.4, 0.01), 4: (0.8, 0.02), 5: (1.2, 0.035)}

# Limit deviations (± mm), class 2, the usual one for plasma. Rows: thickness up to and including; columns: nominal size
# less than. NaN: not covered. Source: ISO 9013:2017 as a metal-cutting firm prints it, seen without blank cells: the
# column that the rows over 6.3 mm start in is that of class 1, whose blank cells the same firm prints.
_SIZES = (3.0, 10.0, 35.0, 125.0, 315.0, 1000.0, 2000.0)
_CLASS_2: tuple[tuple[float, tuple[float, ...]], ...] = (
    (1.0, (0.5, 0.6, 0.6, 0.7, 0.7, 0.8, 0.9)),
    (3.15, (0.6, 0.6, 0.7, 0.7, 0.8, 0.9, 1.0)),
    (6.3, (0.7, 0.8, 0.9, 0.9, 1.1, 1.2, 1.3)),
    (10.0, (math.nan, 1.0, 1.1, 1.3, 1.4, 1.5, 1.6)),
    (15.0, (math.nan, 1.8, 1.8, 1.8, 1.9, 2.3, 3.0)),
)


def smallest_hole_mm(thickness_mm: float) -> float:
    """Smallest hole worth cutting, mm: 1.5 × thickness. Smaller ones become centre marks to be drilled."""
    return SMALLEST_HOLE_PER_THICKNESS * thickness_mm


def least_bridge_mm(thickness_mm: float) -> float:
    """Least metal to leave between two cuts, mm: 1.5 × thickness."""
    return BRIDGE_PER_THICKNESS * thickness_mm


def narrowest_slot_mm(thickness_mm: float, kerf_mm: float = 0.0) -> float:
    """Narrowest slot a torch can cut, mm: 1.5 × thickness, and never less than the kerf, which is one pass."""
    return max(SLOT_PER_THICKNESS * thickness_mm, kerf_mm)


def perpendicularity_mm(thickness_mm: float, quality_range: int = 3) -> float:
    """How far a cut edge leans over the thickness, mm, for ranges 1 (best) to 5; home tables reach 3 to 4.

    ValueError for another range or a thickness ≤ 0. Source: ISO 9013.
    """
    if quality_range not in _PERPENDICULARITY or thickness_mm <= 0:
        raise ValueError("ranges are 1 to 5, and plate has a thickness")
    constant, share = _PERPENDICULARITY[quality_range]
    return constant + share * thickness_mm


def size_tolerance_mm(size_mm: float, thickness_mm: float) -> float | None:
    """Limit deviation (± mm) of a plasma-cut size in plate of this thickness, class 2; None where the table has none.

    Covers sizes over 0 and under 2000 mm in plate up to 15 mm. Source: ISO 9013:2017.
    """
    if not 0 < size_mm < _SIZES[-1] or thickness_mm <= 0:
        return None
    column = next(i for i, upto in enumerate(_SIZES) if size_mm < upto)
    for upto, row in _CLASS_2:
        if thickness_mm <= upto:
            return None if math.isnan(row[column]) else row[column]
    return None


def tolerance_deg(tolerance_mm: float, radius_mm: float) -> float:
    """Degrees of crank that `tolerance_mm` along the rim is at `radius_mm`. ValueError if the radius ≤ 0."""
    if radius_mm <= 0:
        raise ValueError("a radius is greater than nothing")
    return math.degrees(tolerance_mm / radius_mm)
