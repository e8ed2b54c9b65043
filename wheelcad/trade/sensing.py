"""What a crank sensor wants of the teeth it reads, and what it makes of them.

Lengths mm, speeds rpm or m/s, angles degrees. Rules are the sensor makers' rules of thumb: a wheel outside them may
work, so a broken rule warns and never forbids.
"""

from __future__ import annotations

import math

from wheelcad.codes import Check
from wheelcad.findings import Finding, at_least, at_most

RELUCTANCE_GAP_MM = (0.4, 0.8)  # source: pickup makers' guides
RELUCTANCE_SLOT_PER_POLE = 3.0  # source: pickup makers' guides
RELUCTANCE_LEAST_SPEED_M_S = 15 * 0.0254  # 15 in/s; source: pickup makers' guides
HALL_LEAST_TOOTH_MM = 2.0  # source: gear-tooth sensor data sheet (differential part)
HALL_LEAST_SLOT_MM = 2.0
HALL_LEAST_DEPTH_MM = 2.0
HALL_LEAST_FACE_MM = 3.0
GREATEST_RUNOUT_MM = 0.2  # of the target; source: gear-tooth sensor data sheet

_PICKUP = "pickup makers' guides"
_HALL = "gear-tooth sensor data sheet"


def tooth_rate_hz(teeth: int, rpm: float) -> float:
    """Teeth a second past the sensor, missing ones counted: teeth·rpm/60."""
    return teeth * rpm / 60.0


def surface_speed_m_s(diameter_mm: float, rpm: float) -> float:
    """Speed of the rim, m/s."""
    return math.pi * diameter_mm * 1e-3 * rpm / 60.0


def reluctance_findings(
    *,
    subject: str,
    tooth_top_mm: float,
    face_width_mm: float,
    slot_mm: float,
    depth_mm: float,
    pole_diameter_mm: float | None = None,
    air_gap_mm: float | None = None,
    rim_diameter_mm: float | None = None,
    cranking_rpm: float | None = None,
) -> list[Finding]:
    """The magnetic pickup's rules held against a wheel, one Finding a rule; rules whose numbers are None are left out.

    tooth_top_mm and slot_mm: along the rim. face_width_mm: the ring's thickness. depth_mm: of the slots.
    """
    found = [
        at_least(Check.SLOT_DEPTH, subject, depth_mm, "mm", slot_mm,
                 "A pickup wants teeth at least as high as the slots are wide.", _PICKUP, "warn"),
    ]  # fmt: skip
    if pole_diameter_mm is not None:
        found += [
            at_least(Check.TOOTH_TOP, subject, tooth_top_mm, "mm", pole_diameter_mm,
                     "A pole wider than the tooth top sees two edges at once.", _PICKUP, "warn"),
            at_least(Check.RING_THICKNESS, subject, face_width_mm, "mm", pole_diameter_mm,
                     "A pole wider than the ring loses part of its field beside the teeth.", _PICKUP, "warn"),
            at_least(Check.SLOT_WIDTH, subject, slot_mm, "mm", RELUCTANCE_SLOT_PER_POLE * pole_diameter_mm,
                     "A slot about three poles wide gives the full signal; many 36-tooth wheels cannot have it and "
                     "still work with a smaller one.", _PICKUP, "warn"),
        ]  # fmt: skip
    if air_gap_mm is not None:
        low, high = RELUCTANCE_GAP_MM
        found += [
            at_most(Check.AIR_GAP, subject, air_gap_mm, "mm", high,
                    "A pickup's signal falls fast with the gap.", _PICKUP, "warn"),
            at_least(Check.AIR_GAP_LEAST, subject, air_gap_mm, "mm", low,
                     "A smaller gap leaves little room for run-out before the teeth touch.", _PICKUP, "warn"),
        ]  # fmt: skip
    if rim_diameter_mm is not None and cranking_rpm is not None:
        found.append(
            at_least(Check.RIM_SPEED_CRANKING, subject, surface_speed_m_s(rim_diameter_mm, cranking_rpm), "m/s",
                     RELUCTANCE_LEAST_SPEED_M_S, "Below about 15 in/s a pickup gives too little to start on.",
                     _PICKUP, "warn")
        )  # fmt: skip
    return found


def hall_findings(
    *,
    subject: str,
    tooth_top_mm: float,
    face_width_mm: float,
    slot_mm: float,
    depth_mm: float,
    sensing_diameter_mm: float | None = None,
    air_gap_mm: float | None = None,
    air_gap_range_mm: tuple[float, float] | None = None,
) -> list[Finding]:
    """The back-biased Hall sensor's rules held against a wheel, one Finding a rule; rules without numbers are left out.

    The least sizes are those of a common differential part; `sensing_diameter_mm` and the gap range are the user's own
    sensor's. Where the sensing part is known, tooth and slot should not be narrower than it (common practice).
    """
    found = [
        at_least(Check.TOOTH_TOP, subject, tooth_top_mm, "mm", HALL_LEAST_TOOTH_MM,
                 "A Hall sensor needs enough iron in front of it to switch.", _HALL, "warn"),
        at_least(Check.SLOT_WIDTH, subject, slot_mm, "mm", HALL_LEAST_SLOT_MM,
                 "A narrower slot never lets a Hall sensor switch off.", _HALL, "warn"),
        at_least(Check.SLOT_DEPTH, subject, depth_mm, "mm", HALL_LEAST_DEPTH_MM,
                 "A Hall sensor still sees the floor of a shallower slot.", _HALL, "warn"),
        at_least(Check.RING_THICKNESS, subject, face_width_mm, "mm", HALL_LEAST_FACE_MM,
                 "A thinner ring is a weak target and must be met exactly.", _HALL, "warn"),
    ]  # fmt: skip
    if sensing_diameter_mm is not None:
        found.append(
            at_least(Check.SENSING_PART, subject, min(tooth_top_mm, slot_mm), "mm", sensing_diameter_mm,
                     "Where tooth or slot is narrower than the sensing part, edges are smeared.",
                     "common practice, no source", "warn")
        )  # fmt: skip
    if air_gap_mm is not None and air_gap_range_mm is not None:
        low, high = air_gap_range_mm
        found += [
            at_most(Check.AIR_GAP, subject, air_gap_mm, "mm", high,
                    "The gap is greater than this sensor allows.", "the job file's sensor", "warn"),
            at_least(Check.AIR_GAP_LEAST, subject, air_gap_mm, "mm", low,
                     "The gap is smaller than this sensor allows.", "the job file's sensor", "warn"),
        ]  # fmt: skip
    return found
