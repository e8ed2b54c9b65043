"""What the design itself says about cutting, drilling and bending the bracket, as findings; and the drawing's notes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from shapely.geometry import LineString, Polygon

from wheelcad.findings import Finding, at_least, holds
from wheelcad.job.models import Job
from wheelcad.parts.bracket.judge_fit import fit_findings
from wheelcad.parts.bracket.layout import BEND_MARGIN_AIMED
from wheelcad.parts.bracket.model import Bend, BracketDesign, Hole, hole_distance
from wheelcad.parts.bracket.stiffness import firing_finding
from wheelcad.parts.sensor.design import SensorBody, SensorPlace
from wheelcad.trade.bending import least_inside_radius_mm, least_radius_source
from wheelcad.trade.plasma import GOOD_HOLE_PER_THICKNESS, least_bridge_mm

SUBJECT = "bracket design"
EDGE_ROUND = 1.2  # centre to edge over hole diameter, EN 1993-1-8 table 3.3, from memory
EDGE_SLOT = 1.5  # the same for slots
CHORD = 0.005  # mm: arcs taken as chords when distances are measured
PRACTICE = "common practice, no source"
HAND_BEND = 1.0  # mm: how true a bend made by hand comes out; common practice, no source
BRAKE_BEND = 0.5  # mm: how true a pressed bend comes out; common practice, no source


def fold_tolerance(design: BracketDesign) -> float:
    """How far the tab may stand from where it should, ± mm; 0 without bends."""
    if not design.bends:
        return 0.0
    return HAND_BEND if design.hand_bent else BRAKE_BEND


def judged(job: Job, design: BracketDesign, place: SensorPlace, body: SensorBody) -> list[Finding]:
    """Every finding of the design, in a fixed order."""
    out = [*_edge_distances(design), _bridge(design), *_bends(design), *_small_holes(job, design)]
    out += fit_findings(job, design, place, body, fold_tolerance(design))
    return out + firing_finding(design, job.engine)


def outline_distance(design: BracketDesign, hole: Hole) -> float:
    """Least plate between a hole's edge and the flat's outline, mm."""
    axis = LineString([(hole.x0, hole.y0), (hole.x1, hole.y1 + (1e-9 if hole.round else 0.0))])
    ring = Polygon(design.outline.flatten(CHORD)).exterior
    return float(ring.distance(axis)) - hole.diameter / 2


def _edge_distances(design: BracketDesign) -> Iterator[Finding]:
    for hole in design.holes:
        if hole.name == "body":
            continue
        limit = EDGE_ROUND if hole.round else EDGE_SLOT
        ratio = (outline_distance(design, hole) + hole.diameter / 2) / hole.diameter
        yield at_least(
            "hole-to-edge",
            f"{SUBJECT}, {hole.name}",
            round(ratio, 4),
            "hole diameters",
            limit,
            "too little plate between a bolt hole and the edge tears out",
            "EN 1993-1-8 table 3.3, from memory",
            "warn",
        )


def _bridge(design: BracketDesign) -> Finding:
    """The narrowest plate between any two cuts: holes, outline and slits."""
    t = design.thickness
    bridges = [(outline_distance(design, hole), f"{hole.name} and the edge") for hole in design.holes]
    bridges += [(hole_distance(a, b), f"{a.name} and {b.name}") for a, b in combinations(design.holes, 2)]
    bridges += [(_slit_bridge(design, n), "a slit and its neighbour") for n in range(len(design.slits))]
    least, where = min(bridges)
    return at_least(
        "least-bridge",
        SUBJECT,
        round(least, 3),
        "mm",
        least_bridge_mm(t),
        f"the narrowest plate between two cuts lies between {where}; a narrower one than 1.5 × the thickness "
        "overheats and warps",
        "plasma cutting guides; from memory",
        "warn",
    )


def _slit_bridge(design: BracketDesign, number: int) -> float:
    a, b = design.slits[number]
    slit = LineString([a, b])
    others = [LineString(s) for n, s in enumerate(design.slits) if n != number]
    ring = Polygon(design.outline.flatten(CHORD)).exterior
    return float(min(slit.distance(other) for other in [ring, *others]))


def bend_distance(design: BracketDesign, hole: Hole, bend: Bend) -> float:
    """Plate between a hole's edge and the metal of a bend, mm; infinite for a hole beside the bend line's ends."""
    r = hole.diameter / 2
    if min(hole.y0, hole.y1) - r > bend.y_to or max(hole.y0, hole.y1) + r < bend.y_from:
        return math.inf
    return max(min(hole.x0, hole.x1) - r - bend.x_arm, bend.x_tab - max(hole.x0, hole.x1) - r)


def _bends(design: BracketDesign) -> Iterator[Finding]:
    t = design.thickness
    for number, bend in enumerate(design.bends, 1):
        least = least_inside_radius_mm(design.material, t)
        yield at_least(
            "bend-radius",
            f"{SUBJECT}, bend {number}",
            round(bend.inside_radius, 4),
            "mm",
            round(least, 4),
            "a tighter inside radius cracks the outside; bend across the grain, along it take half as much again",
            least_radius_source(design.material),
            "warn",
        )
        name, nearest = min(((h.name, bend_distance(design, h, bend)) for h in design.holes), key=lambda pair: pair[1])
        yield at_least(
            "hole-to-bend",
            f"{SUBJECT}, bend {number}",
            round(nearest, 3),
            "mm",
            BEND_MARGIN_AIMED * t,
            f"{name} is the hole nearest to the bend; nearer than twice the thickness it is drawn out of round",
            PRACTICE,
            "warn",
        )


def _small_holes(job: Job, design: BracketDesign) -> Iterator[Finding]:
    if job.shop.plasma is None:
        return
    drilled = [hole.name for hole in design.holes if hole.drill]
    cut = [hole.diameter for hole in design.holes if not hole.drill]
    if cut:
        yield at_least(
            "plasma-hole",
            SUBJECT,
            round(min(cut), 4),
            "mm",
            GOOD_HOLE_PER_THICKNESS * design.thickness,
            "holes under twice the thickness come off a plasma table tapered and rough: ream or drill them after "
            "cutting"
            + (f"; {', '.join(drilled)} would be under 1.5 × and is only marked, to be drilled" if drilled else ""),
            "plasma cutting guides; from memory",
            "warn",
        )
    if design.hand_bent:
        yield holds(
            "hand-slits",
            SUBJECT,
            bool(design.slits) or not design.bends,
            f"{len(design.slits)} slits",
            "a bend line too short for a slit between two bridges does not fold by hand: have it pressed",
            PRACTICE,
            "warn",
        )


def with_notes(design: BracketDesign, job: Job, body: SensorBody) -> BracketDesign:
    """The design with what its drawing must say in words."""
    notes = []
    t = fold_tolerance(design)
    if design.hand_bent and design.bends:
        notes += [
            "Bend by hand along the slits, grip the arm in the vice up to the bend line, then weld the slits up "
            "from outside.",
            f"A bend made by hand is good to about ±{t:g} mm and pulls in welding: tack, check the angle, then weld.",
        ]
        if job.bracket is not None and job.bracket.hand_bend is None:
            notes.append(
                "Bend a slit test strip of the same plate first and write its allowance into the job (hand_bend)."
            )
    elif design.bends:
        notes.append(f"Press the bend on the line given; a pressed bend is good to about ±{t:g} mm.")
    if design.bends:
        notes.append(
            "Bend across the rolling direction. The bend runs from edge to edge, so no relief cuts are needed."
        )
    if design.gussets:
        notes.append("Weld the gussets in last, in short runs from alternate sides; check that the tab stays square.")
    notes += _setting_notes(design, body)
    notes.append(
        "Deburr every edge. Welding, grinding and spinning parts: eyes, hands and clothing protected; local rules hold."
    )
    return replace(design, notes=tuple(notes))


def _setting_notes(design: BracketDesign, body: SensorBody) -> list[str]:
    notes = []
    if abs(design.look[2]) < 0.5:
        notes.append(
            f"The air gap of {design.gap:g} mm is set with the slots, engine stopped: the nose touches the wheel "
            f"{design.gap:g} mm inside the drawn place; the slots run {design.travel_to:g} mm outwards from it."
        )
        tolerance = max(fold_tolerance(design), 0.3)
        notes.append(f"The sensor's axis meets the middle of the tooth ring within ±{tolerance:g} mm along the crank.")
    else:
        set_by = "the barrel's nuts" if body.barrel else "shims between block and arm"
        notes.append(f"The air gap of {design.gap:g} mm is set with {set_by}; the slots set the radius it looks at.")
    notes.append("Turn the crank by hand through two whole turns before the starter is used.")
    small = [hole for hole in design.holes if hole.drill]
    for hole in small:
        notes.append(
            f"Drill {hole.name} ⌀{hole.diameter:.1f} on its centre mark: too small for the plasma table in this plate."
        )
    return notes
