"""What a crank sensor wants of the teeth it reads, and what it makes of them.

Lengths mm, speeds rpm or m/s, angles degrees. Rules are the sensor makers' rules of thumb: a wheel outside them may
work, so a broken rule warns and never forbids.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, About, Finding, holds
from wheelcad.trade.materials import material
from wheelcad.words import quantity, speed

RELUCTANCE_GAP_MM = (0.4, 0.8)  # source: pickup makers' guides
RELUCTANCE_SLOT_PER_POLE = 3.0  # source: pickup makers' guides
RELUCTANCE_LEAST_SPEED_M_S = 15 * 0.0254  # 15 in/s; source: pickup makers' guides
GREATEST_RUNOUT_MM = 0.2  # of the target; source: gear-tooth sensor data sheet

WIDEST_PER_GAP = 8.0  # see `widest_tooth_mm`
WIDEST_SOURCE = "fit to our own plane field solutions: the crossing has a twentieth of its best slope, our judgement"


def magnetic(subject: str, key: str) -> Finding:
    """Whether a sensor reads the metal with this key."""
    metal = material(key)
    why = "a Hall or reluctance sensor reads iron; aluminium, brass and austenitic stainless are no target"
    return holds(Check.MAGNETIC, subject, metal.magnetic, metal.title, why, PRACTICE, "warn")


def tooth_rate_hz(teeth: int, rpm: float) -> float:
    """Teeth a second past the sensor, missing ones counted: teeth·rpm/60."""
    return teeth * rpm / 60.0


def surface_speed_m_s(diameter_mm: float, rpm: float) -> float:
    """Speed of the rim, m/s."""
    return math.pi * diameter_mm * 1e-3 * rpm / 60.0


def widest_tooth_mm(part_mm: float, gap_mm: float) -> float:
    """Widest tooth (mm) over whose middle there is a zero crossing to time on: sensing part + 8 air gaps.

    part_mm: along the motion, of a pole, or of a differential's element and the distance of its two together. Within
    a sixth of where field solutions (parts of 2.5 to 6.5 mm, gaps of 0.5 to 1.2 mm, slots of 6 mm) have a slope of a
    twentieth of that over a tooth as wide as the part. ValueError unless both are greater than nothing.
    """
    if part_mm <= 0 or gap_mm <= 0:
        raise ValueError("sensing part and air gap are greater than nothing")
    return part_mm + WIDEST_PER_GAP * gap_mm


@dataclass(frozen=True)
class Target:
    """Teeth as a sensor meets them, and what is known of the sensor; rules whose numbers are None are left out.

    subject: wheel or cam. tooth_top_mm, slot_mm: along the row of teeth. face_width_mm: the ring's thickness. depth_mm:
    of the slots. sensing_mm: across the pole or the element; spacing_mm: of a differential's two. slowest_rpm: of the
    crank at the slowest moment on the starter, not its mean: it is there that teeth are lost.
    """

    subject: str
    tooth_top_mm: float
    face_width_mm: float
    slot_mm: float
    depth_mm: float
    sensing_mm: float | None = None
    spacing_mm: float | None = None
    air_gap_mm: float | None = None
    air_gap_range_mm: tuple[float, float] | None = None
    rim_diameter_mm: float | None = None
    slowest_rpm: float | None = None


def reluctance_findings(seen: Target) -> Iterator[Finding]:
    """The magnetic pickup's rules held against a wheel, one Finding a rule."""
    about, pole, gap = About(seen.subject, "pickup makers' guides", "warn"), seen.sensing_mm, seen.air_gap_mm
    why = "A pickup wants teeth at least as high as the slots are wide."
    yield about.at_least(Check.SLOT_DEPTH, seen.depth_mm, "mm", seen.slot_mm, why)
    if pole is not None:
        why = "A pole wider than the tooth top sees two edges at once."
        yield about.at_least(Check.TOOTH_TOP, seen.tooth_top_mm, "mm", pole, why)
        why = "A pole wider than the ring loses part of its field beside the teeth."
        yield about.at_least(Check.RING_THICKNESS, seen.face_width_mm, "mm", pole, why)
        why = (
            "A slot about three poles wide gives the full signal; many 36-tooth wheels cannot have it and still work "
            "with a smaller one."
        )
        yield about.at_least(Check.SLOT_WIDTH, seen.slot_mm, "mm", RELUCTANCE_SLOT_PER_POLE * pole, why)
    if pole is not None and gap is not None:
        why = (
            "Over a tooth far wider than the pole the signal lies flat, and there is nothing to time on: more teeth "
            "(narrower ones), a wider pole, or a Hall sensor."
        )
        wide = replace(about, source=WIDEST_SOURCE)
        yield wide.at_most(Check.WIDEST_TOOTH, seen.tooth_top_mm, "mm", widest_tooth_mm(pole, gap), why)
    if gap is not None:
        low, high = RELUCTANCE_GAP_MM
        yield about.at_most(Check.AIR_GAP, gap, "mm", high, "A pickup's signal falls fast with the gap.")
        why = "A smaller gap leaves little room for run-out before the teeth touch."
        yield about.at_least(Check.AIR_GAP_LEAST, gap, "mm", low, why)
    if seen.rim_diameter_mm is not None and seen.slowest_rpm is not None:
        why = (
            f"At the slowest moment on the starter, {speed(seen.slowest_rpm)}. Below about "
            f"{quantity(RELUCTANCE_LEAST_SPEED_M_S, 'surface-speed', 2)} a pickup gives too little to start on."
        )
        at_rim = surface_speed_m_s(seen.rim_diameter_mm, seen.slowest_rpm)
        yield about.at_least(Check.RIM_SPEED_CRANKING, at_rim, "m/s", RELUCTANCE_LEAST_SPEED_M_S, why)
