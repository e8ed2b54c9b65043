"""What a filament printer makes of holes, walls and letters. Lengths mm.

Printed gauges are for layout only: they come off before the engine turns.
"""

from __future__ import annotations

import math
from typing import NamedTuple

HOLE_ALLOWANCE_MM = 0.2  # added to the diameter; prints come out 0.1 to 0.3 small; source: print guides
LEAST_TEXT_HEIGHT_MM = 3.0  # source: print guides
LEAST_TEXT_STROKE_MM = 0.6  # source: print guides
TEXT_DEPTH_MM = 1.0  # source: print guides
PLA_SHRINKAGE = 0.002  # of every length; from memory
LEAST_WALL_LINES = 2  # walls thinner than two lines of the nozzle come apart; common practice, no source

BED_MARGIN_MM = 8.0  # of bed left free on every side: a slicer draws its skirt there; common practice, no source

LAYOUT_ONLY_NOTE = "Layout only. Never on a turning engine: take it off before the crank is turned under power."


def usable_bed(bed_mm: tuple[float, float]) -> tuple[float, float]:
    """The part of a bed (x, y) that a piece may take, mm: less a margin on every side; 0 where nothing is left."""
    x, y = (max(0.0, side - 2 * BED_MARGIN_MM) for side in bed_mm)
    return x, y


def printed_hole_mm(wanted_mm: float, allowance_mm: float = HOLE_ALLOWANCE_MM) -> float:
    """Diameter to draw for a printed hole that should measure `wanted_mm`. ValueError when nothing is left of it."""
    if wanted_mm + allowance_mm <= 0:
        raise ValueError("the allowance closes the hole")
    return wanted_mm + allowance_mm


def shrinkage_scale(shrinkage: float = PLA_SHRINKAGE) -> float:
    """What to multiply lengths by to measure right when cold: 1/(1 - shrinkage). ValueError outside 0 to 0.1."""
    if not 0 <= shrinkage < 0.1:
        raise ValueError("shrinkage is a share from 0 to 0.1")
    return 1.0 / (1.0 - shrinkage)


def least_wall_mm(nozzle_mm: float) -> float:
    """Thinnest wall that holds together, mm: two lines of the nozzle."""
    return LEAST_WALL_LINES * nozzle_mm


def least_text(nozzle_mm: float) -> tuple[float, float]:
    """(height, stroke) of the smallest letters for this nozzle, mm: at least 3 and 0.6, and strokes 1.5 lines wide."""
    stroke = max(LEAST_TEXT_STROKE_MM, 1.5 * nozzle_mm)
    return max(LEAST_TEXT_HEIGHT_MM, 5 * stroke), stroke


class GaugeSlop(NamedTuple):
    """How far a gauge can sit wrong.

    shift_mm: its centre off the axis. turn_deg: turned about it. worst_deg: a mark's error when both go together.
    """

    shift_mm: float
    turn_deg: float
    worst_deg: float


def gauge_slop(bolts: int, clearance_mm: float, bolt_circle_mm: float, mark_radius_mm: float) -> GaugeSlop:
    """What the clearance in a gauge's bolt holes lets it do.

    clearance_mm: hole less bolt, on diameter; where the pulley's holes are larger than their bolts, the sum of both.
    bolt_circle_mm: diameter, bolts evenly spaced. Each bolt allows half the clearance in any direction, so shift t and
    turn θ (at bolt radius R) obey t² + 2·t·θR·cos(π/n) + θ²R² ≤ c² in the worst direction; worst_deg is the greatest
    (t + θ·r)/r at mark radius r. ValueError for fewer than 2 bolts, clearance < 0 or sizes ≤ 0.
    """
    if bolts < 2 or clearance_mm < 0 or bolt_circle_mm <= 0 or mark_radius_mm <= 0:
        raise ValueError("two bolts at least, no negative clearance, and circles have a size")
    c, radius = clearance_mm / 2, bolt_circle_mm / 2
    gamma, k = math.cos(math.pi / bolts), mark_radius_mm / radius
    together = gamma < k and k * gamma < 1
    most = math.sqrt((1 - 2 * gamma * k + k * k) / (1 - gamma * gamma)) if together else max(1.0, k)
    return GaugeSlop(c, math.degrees(c / radius), math.degrees(c * most / mark_radius_mm))
