"""Speeds, feeds and depths for milling slots, turning the blank and drilling holes on light machines.

Cutting speed m/min, spindle rpm, feed mm/min, chip load mm a tooth, lengths mm. The figures are where to start: listen
to the machine, and slow down first.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple


class Range(NamedTuple):
    """From low to high, and where that comes from."""

    low: float
    high: float
    source: str

    @property
    def start(self) -> float:
        """Where to start: a third of the way up."""
        return self.low + (self.high - self.low) / 3


_SHOP = "milling tables for HSS, grey iron and mild steel"
_LIGHT = "milling tables lowered for light machines, our judgement"
_MEMORY = "from memory"

# Milling speed, m/min, by (cutter material, work material).
MILLING_SPEEDS: Mapping[tuple[str, str], Range] = MappingProxyType(
    {
        ("hss", "grey-iron"): Range(20, 35, _SHOP),
        ("hss", "ductile-iron"): Range(18, 30, _MEMORY),
        ("hss", "mild-steel"): Range(20, 35, _SHOP),
        ("hss", "stainless-430"): Range(15, 22, _MEMORY),
        ("hss", "aluminium-6061"): Range(60, 120, _MEMORY),
        ("carbide", "grey-iron"): Range(45, 60, _LIGHT),
        ("carbide", "ductile-iron"): Range(45, 60, _LIGHT),
        ("carbide", "mild-steel"): Range(45, 60, _LIGHT),
        ("carbide", "stainless-430"): Range(40, 55, _LIGHT),
        ("carbide", "aluminium-6061"): Range(120, 250, _MEMORY),
    }
)

# Turning speed, m/min, for roughing on a home lathe. From memory.
TURNING_SPEEDS: Mapping[tuple[str, str], Range] = MappingProxyType(
    {
        ("hss", "grey-iron"): Range(15, 25, _MEMORY),
        ("hss", "ductile-iron"): Range(15, 25, _MEMORY),
        ("hss", "mild-steel"): Range(20, 30, _MEMORY),
        ("hss", "stainless-430"): Range(12, 20, _MEMORY),
        ("hss", "aluminium-6061"): Range(60, 120, _MEMORY),
        ("carbide", "grey-iron"): Range(50, 80, _MEMORY),
        ("carbide", "ductile-iron"): Range(50, 80, _MEMORY),
        ("carbide", "mild-steel"): Range(70, 120, _MEMORY),
        ("carbide", "stainless-430"): Range(50, 90, _MEMORY),
        ("carbide", "aluminium-6061"): Range(150, 300, _MEMORY),
    }
)

CHIP_PER_DIAMETER = Range(0.005, 0.010, "milling tables: chip load a tooth as a share of the cutter's diameter")

# Depth of one full-width pass as a share of the cutter's diameter, by (cutter, work). Common practice, no source.
_SLOT_DEPTH_SHARE: Mapping[str, float] = MappingProxyType(
    {"grey-iron": 0.30, "ductile-iron": 0.25, "mild-steel": 0.25, "stainless-430": 0.20, "aluminium-6061": 0.50}
)
STUBBY = 3.0  # stick-out over diameter up to which a cutter is taken as stiff; common practice, no source

GREY_IRON_NOTE = "Grey iron is cut dry: coolant turns its dust into grinding paste."
ONE_HEAD_SETTING_NOTE = (
    "A round-column mill loses its place when the head is raised: cut every slot, and drill the balance holes, at one "
    "head setting."
)
CHATTER_NOTE = "Chatter: clamp both sides of the table, shorten the stick-out, lower the speed, keep the chip load."


def spindle_rpm(speed_m_min: float, diameter_mm: float) -> float:
    """Spindle speed n = 1000·Vc/(π·D), rpm. diameter: of the cutter (milling) or of the work (turning).

    ValueError unless both are > 0.
    """
    if speed_m_min <= 0 or diameter_mm <= 0:
        raise ValueError("speed and diameter must be greater than nothing")
    return 1000.0 * speed_m_min / (math.pi * diameter_mm)


def feed_mm_min(rpm: float, flutes: int, chip_load_mm: float) -> float:
    """Table feed = chip load · flutes · n, mm/min."""
    return chip_load_mm * flutes * rpm


def chip_load_mm(diameter_mm: float) -> Range:
    """Chip load a tooth, mm, low to high, for a cutter of this diameter: 0.005 to 0.010 of it."""
    return Range(CHIP_PER_DIAMETER.low * diameter_mm, CHIP_PER_DIAMETER.high * diameter_mm, CHIP_PER_DIAMETER.source)


def slot_pass_depth_mm(diameter_mm: float, work: str, stick_out_mm: float | None = None) -> float:
    """Depth of one pass in a full-width slot on a light machine, mm.

    A share of the cutter's diameter by work material; a cutter that sticks out more than three diameters takes less,
    falling with the square of the excess (bending stiffness would say the cube). Common practice, no source.
    KeyError for an unknown material.
    """
    depth = _SLOT_DEPTH_SHARE[work] * diameter_mm
    if stick_out_mm is not None and stick_out_mm > STUBBY * diameter_mm:
        depth *= (STUBBY * diameter_mm / stick_out_mm) ** 2
    return depth


def passes(depth_mm: float, pass_depth_mm: float) -> int:
    """Number of equal passes that reach `depth_mm` with none deeper than `pass_depth_mm`.

    ValueError unless both > 0.
    """
    if depth_mm <= 0 or pass_depth_mm <= 0:
        raise ValueError("depths must be greater than nothing")
    return max(1, math.ceil(depth_mm / pass_depth_mm - 1e-9))


class MillingPlan(NamedTuple):
    """Where to start with a slot. rpm, mm/min, mm; passes: equal passes to the depth; source: of the speed."""

    rpm: float
    feed_mm_min: float
    chip_load_mm: float
    speed_m_min: float
    passes: int
    pass_depth_mm: float
    source: str


def milling_plan(
    cutter: str, work: str, diameter_mm: float, flutes: int, depth_mm: float, stick_out_mm: float | None = None
) -> MillingPlan:
    """Speed, feed and passes for one full-width slot. cutter: hss or carbide. KeyError for an unknown pair."""
    speed = MILLING_SPEEDS[cutter, work]
    rpm = spindle_rpm(speed.start, diameter_mm)
    chip = chip_load_mm(diameter_mm).start
    count = passes(depth_mm, slot_pass_depth_mm(diameter_mm, work, stick_out_mm))
    return MillingPlan(rpm, feed_mm_min(rpm, flutes, chip), chip, speed.start, count, depth_mm / count, speed.source)


def turning_rpm(tool: str, work: str, diameter_mm: float) -> float:
    """Lathe speed to start with, rpm, for work of this diameter. tool: hss or carbide. KeyError for an unknown pair."""
    return spindle_rpm(TURNING_SPEEDS[tool, work].start, diameter_mm)


def drilling_rpm(work: str, diameter_mm: float) -> float:
    """Speed to start with, rpm, for an HSS drill: the milling speed's low end. Common practice, no source."""
    return spindle_rpm(MILLING_SPEEDS["hss", work].low, diameter_mm)
