"""Trade verdicts on the gauge, computed from its design: what can be made but is poor."""

from __future__ import annotations

import math
from collections.abc import Iterator

import shapely

from wheelcad.codes import Check
from wheelcad.findings import OWN, Finding, at_least, at_most, holds
from wheelcad.parts.gauge.joints import JOINT_GAP, fits_bed
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.shape import sector
from wheelcad.trade.printing import BED_MARGIN_MM, least_text
from wheelcad.words import diameter, length

PRINT_GUIDES = "print guides"


def design_findings(design: GaugeDesign) -> tuple[Finding, ...]:
    """All verdicts on a gauge."""
    return *_writing(design), *_location(design), *_bed(design)


def _writing(design: GaugeDesign) -> Iterator[Finding]:
    engraving = design.body.engraving
    written, wanted = len(engraving.numbered), len(design.cover.marks)
    if written < wanted:
        why = "slots stand too close to number every one: count on from those that are"
        yield holds(Check.GAUGE_NUMBERS, "gauge", written * 5 >= wanted, f"{written} of {wanted}", why, OWN, "warn")
    for text in engraving.missing:
        why = "there is no room for it on the front face between holes, opening and slots: write it on by hand"
        yield holds(Check.GAUGE_LETTERING, "gauge", False, f"{text} is left out", why, OWN, "note")
    height, stroke = (round(v, 6) for v in least_text(design.nozzle_mm))
    small = engraving.smallest
    why = "smallest lettering on the gauge"
    yield at_least(Check.GAUGE_TEXT_HEIGHT, "gauge", small.height, "mm", height, why, PRINT_GUIDES, "warn")
    why = "narrowest stroke of the lettering for this nozzle"
    yield at_least(Check.GAUGE_TEXT_STROKE, "gauge", small.stroke, "mm", stroke, why, PRINT_GUIDES, "warn")


def _location(design: GaugeDesign) -> list[Finding]:
    mounting, by = design.mounting, design.seat.register.by
    best = mounting.pinned or mounting.bolted
    if best is None:
        why = "nothing turns the gauge to its place but your eye on the TDC line: scribe that line well"
        return [holds(Check.GAUGE_LOCATION, "gauge", False, f"centred by the {by} alone", why, OWN, "warn")]
    if mounting.fault_deg is None:
        return []
    held = "the key"
    if design.holes:
        pins = "two opposite holes" if len(design.holes) > 1 else "its hole"
        held = f"pins or drill shanks of {diameter(mounting.pin_mm)} in {pins}"
    loose = (
        f" With bolts alone it would be {mounting.bolted.worst_deg:.2f} deg: bolts only clamp."
        if mounting.bolted
        else ""
    )
    why = (
        f"how far marks can be off, centred by the {by} and turned by {held}, against half of {mounting.fault}, "
        f"the smallest fault it must show.{loose}"
    )
    limit, source = mounting.fault_deg / 2, "clearances and geometry"
    return [at_most(Check.GAUGE_LOOSENESS, "gauge", best.worst_deg, "deg", limit, why, source, "warn")]


def _bed(design: GaugeDesign) -> list[Finding]:
    """Pieces that key together, or a part circle that would fit, where the bed is smaller than the gauge."""
    if design.bed is None:
        return []
    x, y, _ = design.size_mm
    bed = f"{length(design.bed[0])} × {length(design.bed[1])}"
    said = f"{length(x, 1)} × {length(y, 1)} on {bed}"
    if design.pieces > 1:
        loose = math.degrees(JOINT_GAP / 2 / design.mark_radius)
        why = (
            f"larger than the bed less {length(BED_MARGIN_MM)} a side: {design.pieces} pieces that key together; what "
            "their joints leave loose"
        )
        limit = design.mounting.fault_deg / 2 if design.mounting.fault_deg is not None else design.pitch_deg / 20
        return [at_most(Check.GAUGE_JOINTS, "gauge", loose, "deg", limit, why, OWN, "warn")]
    kept = shapely.Polygon(design.body.outline.flatten(0.2))
    if design.cover.keep is not None:
        kept = kept.intersection(shapely.Polygon(design.cover.keep.flatten(0.2)))
    if fits_bed(kept, design.bed):
        why = f"fits the printer's bed, {length(BED_MARGIN_MM)} left on every side"
        return [holds(Check.GAUGE_BED, "gauge", True, said, why, "shop.printer")]
    most = covers_that_fits(design, design.bed)
    hint = f"`covers: {most:g} deg` prints in one piece" if most else "no part circle of it fits either"
    why = f"larger than the bed {bed} less its margin: {hint}"
    return [holds(Check.GAUGE_BED, "gauge", False, said, why, "shop.printer", "warn")]


def covers_that_fits(design: GaugeDesign, bed: tuple[float, float]) -> float:
    """The largest part of the circle, in whole pitches about the gap, that lies on the bed, degrees; 0 for none."""
    whole = shapely.Polygon(design.body.outline.flatten(0.2))
    at = (design.cover.from_deg + design.cover.to_deg) / 2
    half = (design.cover.to_deg - design.cover.from_deg) / 2 - design.pitch_deg
    reach = design.body.style.slot.rim_radius + 40.0
    while half > 1.5 * design.pitch_deg:
        keep = sector(at - half, at + half, design.cover.hub_radius, reach, design.sense)
        if fits_bed(whole.intersection(shapely.Polygon(keep.flatten(0.2))), bed):
            return round(2 * half, 6)
        half -= design.pitch_deg
    return 0.0
