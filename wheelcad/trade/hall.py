"""What Hall sensors want of the teeth they read: rules by the kind of element.

Lengths mm. Rules of thumb: a wheel outside them may work, so a broken rule warns and never forbids.

- differential: two elements along the motion. Over the middle of a tooth much wider than they are apart both see the
  same, and it is there that it is to switch; a pitch as wide as the elements are apart gives no signal at all.
- fixed: its level was set once. Over a tooth the field falls as 1/gap, over a deep slot as 1/√(gap² + (slot/2)²), so
  that one level does for gaps from a to b only where the slot is wide enough.
- selfsetting: sets its level between the highest and the lowest field of the last teeth; it wants some swing, no more.
- vane: iron between magnet and element. A blade must hide all of the magnet, a window lay it all bare.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, About, Finding
from wheelcad.trade.sensing import WIDEST_SOURCE, Target, widest_tooth_mm

HallElement = Literal["hall-fixed", "hall-selfsetting", "hall-differential", "vane"]

DATA_SHEET = "gear-tooth sensor data sheet"
SLOT_FIELD = "field opposite a deep slot, 1/√(1 + u²), from memory; how much of it is our judgement"
LEVEL_ROOM = 1.25  # a fixed level must do for gaps so many times as great: magnets and chips differ; our judgement
LEAST_DIP = (
    0.7  # field over a slot's middle over that over a tooth, at most, for a level that sets itself; our judgement
)
MOST_PITCH = 0.75  # of a pitch that two elements may be apart: at a whole one both see the same
VANE_OVER_PART = 1.5  # width of blade and window over the sensing part; common practice, no source


Least = tuple[float, str]  # mm, and what a smaller one does


@dataclass(frozen=True)
class HallRule:
    """Least sizes for one kind of element. face: the ring's thickness. source: of the sizes."""

    tooth: Least
    slot: Least
    depth: Least
    face: Least
    source: str


_IRON = HallRule(
    (2.0, "A Hall sensor needs enough iron in front of it to switch."),
    (2.0, "A narrower slot never lets a Hall sensor switch off."),
    (2.0, "A Hall sensor still sees the floor of a shallower slot."),
    (3.0, "A thinner ring is a weak target and must be met exactly."),
    DATA_SHEET,
)
HALL_RULES: dict[HallElement, HallRule] = {
    "hall-differential": replace(
        _IRON,
        tooth=(2.0, "Narrower teeth stand before neither of its two elements alone."),
        slot=(2.0, "A narrower slot looks like iron to both of its elements."),
    ),
    "hall-fixed": replace(_IRON, source=f"{DATA_SHEET} of a differential part; a fixed level wants as much"),
    "hall-selfsetting": replace(_IRON, source=f"{DATA_SHEET} of a differential part; one element is no finer"),
    "vane": HallRule(
        (5.0, "A narrower blade lets the magnet's field round its sides."),
        (5.0, "A narrower window never lets the field through whole."),
        (5.0, "In a shallower window the disc stays between magnet and element."),
        (1.0, "A thinner blade is full of field and lets the rest through."),
        PRACTICE,
    ),
}
_SMEARED = "Where tooth or slot is narrower than the sensing part, edges are smeared."
_SPREAD = "Blade and window must be wider than the magnet by half: the field spreads on its way."


def least_slot_fixed_mm(low_mm: float, high_mm: float) -> float:
    """Slot (mm) from which one level does from air gap `low_mm` to `high_mm`: 2·√((LEVEL_ROOM·high)² - low²).

    The level lies below the field over a tooth at the greatest gap, 1/high, and above that over a slot at the least,
    1/√(low² + (slot/2)²). ValueError unless 0 < low ≤ high. Source: conformal map of a deep slot, from memory.
    """
    if not 0 < low_mm <= high_mm:
        raise ValueError("a range of air gaps goes from more than nothing upwards")
    return 2 * math.sqrt((LEVEL_ROOM * high_mm) ** 2 - low_mm**2)


def least_slot_selfsetting_mm(gap_mm: float) -> float:
    """Slot (mm) over whose middle the field at an air gap falls to LEAST_DIP of that over a tooth; ValueError for ≤ 0.

    Source: 1/√(1 + u²), u = slot/2gap: conformal map of a deep slot, from memory.
    """
    if gap_mm <= 0:
        raise ValueError("an air gap is greater than nothing")
    return 2 * gap_mm * math.sqrt(1 / LEAST_DIP**2 - 1)


def hall_findings(element: HallElement, seen: Target) -> Iterator[Finding]:
    """The rules of an element held against a wheel, one Finding a rule."""
    rule, part, gap = HALL_RULES[element], seen.sensing_mm, seen.air_gap_mm
    about = About(seen.subject, rule.source, "warn")
    for code, size, (least, why) in (
        (Check.TOOTH_TOP, seen.tooth_top_mm, rule.tooth),
        (Check.SLOT_WIDTH, seen.slot_mm, rule.slot),
        (Check.SLOT_DEPTH, seen.depth_mm, rule.depth),
        (Check.RING_THICKNESS, seen.face_width_mm, rule.face),
    ):
        yield about.at_least(code, size, "mm", least, why)
    if element == "hall-differential":
        yield from _two_elements(about, seen)
    elif part is not None:
        times, why = (VANE_OVER_PART, _SPREAD) if element == "vane" else (1.0, _SMEARED)
        size = min(seen.tooth_top_mm, seen.slot_mm)
        yield replace(about, source=PRACTICE).at_least(Check.SENSING_PART, size, "mm", times * part, why)
    yield from _swing(about, element, seen)
    if gap is not None and seen.air_gap_range_mm is not None:
        (low, high), own = seen.air_gap_range_mm, replace(about, source="the job file's sensor")
        yield own.at_most(Check.AIR_GAP, gap, "mm", high, "The gap is greater than this sensor allows.")
        yield own.at_least(Check.AIR_GAP_LEAST, gap, "mm", low, "The gap is smaller than this sensor allows.")


def _two_elements(about: About, seen: Target) -> Iterator[Finding]:
    """A differential's upper limits: of tooth and slot, and of the spacing itself."""
    if seen.spacing_mm is None:
        return
    if seen.sensing_mm is not None and seen.air_gap_mm is not None:
        why = (
            "Over a tooth much wider than its two elements are apart both see the same, and nothing tells where its "
            "middle is: more teeth, elements farther apart, or an element that sets its own level."
        )
        most, wide = widest_tooth_mm(seen.sensing_mm + seen.spacing_mm, seen.air_gap_mm), WIDEST_SOURCE
        yield replace(about, source=wide).at_most(Check.WIDEST_TOOTH, seen.tooth_top_mm, "mm", most, why)
    why = "Two elements a whole pitch apart see the same all the time: fewer teeth, or elements closer together."
    limit, ours = MOST_PITCH * (seen.tooth_top_mm + seen.slot_mm), replace(about, source="geometry; our judgement")
    yield ours.at_most(Check.ELEMENT_SPACING, seen.spacing_mm, "mm", limit, why)


def _swing(about: About, element: HallElement, seen: Target) -> Iterator[Finding]:
    """Whether the field falls far enough over a slot for the level to be found in it."""
    if element == "hall-fixed" and seen.air_gap_range_mm is not None:
        least = least_slot_fixed_mm(*seen.air_gap_range_mm)
        why = (
            "One fixed level does over the sensor's whole range of air gaps only from this width of slot on: keep the "
            "gap and run-out closer (sensor.air_gap_range), or take an element that sets its own level."
        )
    elif element == "hall-selfsetting" and seen.air_gap_mm is not None:
        least = least_slot_selfsetting_mm(seen.air_gap_mm)
        why = "Over a narrower slot the field hardly falls at this air gap: a closer gap, or wider slots."
    else:
        return
    yield replace(about, source=SLOT_FIELD).at_least(Check.SLOT_SWING, seen.slot_mm, "mm", least, why)
