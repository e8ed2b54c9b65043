"""How much room hexagon bolt heads and nuts take. Sizes in mm."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

# Width across flats by nominal diameter. Source: ISO 4014/4017, from memory.
ACROSS_FLATS_MM: Mapping[float, float] = MappingProxyType(
    {3: 5.5, 4: 7, 5: 8, 6: 10, 8: 13, 10: 16, 12: 18, 14: 21, 16: 24, 20: 30}
)
OTHERWISE = 1.5  # of the diameter, for sizes the table lacks; common practice, no source
# The rest in nominal diameters: common practice, no source.
NUT_REACH = 0.95  # half the width a nut with its washer takes, at least
NUT_HEIGHT = 0.9  # nut and thread standing out of it
BARREL_NUT_HEIGHT = 0.4  # of the flat nuts of barrels
HEAD_HEIGHT = 0.65


def across_flats_mm(bolt_mm: float) -> float:
    """Width across flats, mm, of a hexagon head: the widest circle that it presses on. ValueError for a bolt ≤ 0."""
    if bolt_mm <= 0:
        raise ValueError("a bolt has a diameter")
    return ACROSS_FLATS_MM.get(bolt_mm, OTHERWISE * bolt_mm)


def nut_radius_mm(bolt_mm: float) -> float:
    """Radius of the room that a turning nut takes: to its corners, or its washer's edge. ValueError as above."""
    return max(across_flats_mm(bolt_mm) / math.sqrt(3), NUT_REACH * bolt_mm)
