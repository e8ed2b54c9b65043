"""How much room hexagon bolt heads, nuts and washers take. Sizes in mm."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

# Width across flats by nominal diameter, where it is not one and a half times that. Source: ISO 4014/4017.
ACROSS_FLATS_MM: Mapping[float, float] = MappingProxyType({3: 5.5, 4: 7, 5: 8, 6: 10, 8: 13, 10: 16})
# Outside diameter of plain washers by nominal diameter, where it is not twice that. Source: ISO 7089.
WASHER_ACROSS_MM: Mapping[float, float] = MappingProxyType({3: 7, 4: 9, 16: 30, 20: 37})
WASHER_OTHERWISE = 2.0  # of the diameter: ISO 7089 from M5 to M14; for sizes it lacks common practice, no source
OTHERWISE = 1.5  # of the diameter: ISO 4017 from M12 to M20; for sizes it lacks common practice, no source
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


# Thickness of washers by nominal diameter: plain, and large ones to lie over slots. Source: ISO 7089 and ISO 7093-1,
# from memory.
WASHER_THICKNESS_MM: Mapping[float, tuple[float, float]] = MappingProxyType(
    {5: (1.0, 1.2), 6: (1.6, 1.6), 8: (1.6, 2.0), 10: (2.0, 2.5), 12: (2.5, 3.0), 14: (2.5, 3.0), 16: (3.0, 3.0),
     20: (3.0, 4.0)}
)  # fmt: skip
# Lengths that hexagon screws threaded to the head are sold in, mm. Source: ISO 4017, from memory.
SCREW_LENGTHS_MM = (8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100)
SOCKET_WALL = 2.5  # mm of a thin-walled socket beyond the head's corners; common practice, no source


def washer_thickness_mm(bolt_mm: float, over_slot: bool = False) -> float:
    """Thickness of the washer, mm; a fifth of the bolt for sizes the table lacks."""
    return WASHER_THICKNESS_MM.get(bolt_mm, (0.2 * bolt_mm, 0.25 * bolt_mm))[over_slot]


def screw_length_mm(least_mm: float) -> float | None:
    """The shortest length sold that is no shorter than `least_mm`; None when none is."""
    return next((float(size) for size in SCREW_LENGTHS_MM if size >= least_mm - 1e-9), None)


def socket_radius_mm(bolt_mm: float) -> float:
    """Radius of the room that a socket on a hexagon head takes. ValueError for a bolt ≤ 0."""
    return across_flats_mm(bolt_mm) / math.sqrt(3) + SOCKET_WALL


def washer_across_mm(bolt_mm: float) -> float:
    """Outside diameter, mm, of a plain washer: what a bolt with one presses on. ValueError for a bolt ≤ 0."""
    if bolt_mm <= 0:
        raise ValueError("a bolt has a diameter")
    return WASHER_ACROSS_MM.get(bolt_mm, WASHER_OTHERWISE * bolt_mm)
