"""What the design itself says about cutting, drilling and bending the bracket, as findings; and the drawing's notes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

from shapely.geometry import LineString, Polygon

from wheelcad.codes import Check
from wheelcad.findings import Finding
from wheelcad.parts.bracket.judge_fit import fit_findings
from wheelcad.parts.bracket.layout import BEND_MARGIN_AIMED
from wheelcad.parts.bracket.model import ABOUT, Bend, BracketDesign, Hole, hole_distance
from wheelcad.parts.bracket.obstacles import obstacle_findings
from wheelcad.parts.bracket.stiffness import firing_finding
from wheelcad.trade.bending import least_inside_radius_mm, least_radius_source
from wheelcad.trade.plasma import GOOD_HOLE_PER_THICKNESS, least_bridge_mm
from wheelcad.words import count

GUIDES = "plasma cutting guides; from memory"
EDGE_ROUND = 1.2  # centre to edge over hole diameter, EN 1993-1-8 table 3.3
EDGE_SLOT = 1.5  # the same for slots
CHORD = 0.005  # mm: arcs taken as chords when distances are measured


def bracket_findings(design: BracketDesign) -> list[Finding]:
    """Every finding of the design, in a fixed order."""
    out = [*_edge_distances(design), _bridge(design), *_bends(design), *_small_holes(design)]
    out += _gusset(design)
    out += fit_findings(design)
    out += obstacle_findings(design)
    return out + firing_finding(design, design.asked.job.engine)


def outline_distance(design: BracketDesign, hole: Hole) -> float:
    """Least plate between a hole's edge and the flat's outline, mm."""
    ring = Polygon(design.outline.flatten(CHORD)).exterior
    return float(ring.distance(hole.axis)) - hole.diameter / 2


def _edge_distances(design: BracketDesign) -> Iterator[Finding]:
    for hole in design.holes:
        if hole.use == "body":
            continue
        limit = EDGE_ROUND if hole.round else EDGE_SLOT
        ratio = (outline_distance(design, hole) + hole.diameter / 2) / hole.diameter
        why = "too little plate between a bolt hole and the edge tears out"
        about = replace(ABOUT, source="EN 1993-1-8 table 3.3").of(hole.name)
        yield about.at_least(Check.HOLE_TO_EDGE, round(ratio, 4), "hole diameters", limit, why)


def _bridge(design: BracketDesign) -> Finding:
    """The narrowest plate between any two cuts: holes, outline and slits."""
    t = design.thickness
    cut = [hole for hole in design.holes if not hole.drill]  # what is drilled afterwards heats nothing
    bridges = [(outline_distance(design, hole), f"{hole.name} and the edge") for hole in cut]
    bridges += [(hole_distance(a, b), f"{a.name} and {b.name}") for a, b in combinations(cut, 2)]
    bridges += [(_slit_bridge(design, n), "a slit and its neighbour") for n in range(len(design.slits))]
    least, where = min(bridges)
    why = (
        f"the narrowest plate between two cuts lies between {where}; a narrower one than 1.5 × the thickness "
        "overheats and warps"
    )
    return replace(ABOUT, source=GUIDES).at_least(Check.LEAST_BRIDGE, round(least, 3), "mm", least_bridge_mm(t), why)


def _slit_bridge(design: BracketDesign, number: int) -> float:
    a, b = design.slits[number]
    slit = LineString([a, b])
    others = [LineString(s) for n, s in enumerate(design.slits) if n != number]
    ring = Polygon(design.outline.flatten(CHORD)).exterior
    return float(min(slit.distance(other) for other in [ring, *others]))


def bend_distance(hole: Hole, bend: Bend) -> float:
    """Plate between a hole's edge and the metal of a bend, mm; infinite for a hole beside the bend line's ends."""
    r = hole.diameter / 2
    if min(hole.y0, hole.y1) - r > bend.y_to or max(hole.y0, hole.y1) + r < bend.y_from:
        return math.inf
    return max(min(hole.x0, hole.x1) - r - bend.x_arm, bend.x_tab - max(hole.x0, hole.x1) - r)


def _bends(design: BracketDesign) -> Iterator[Finding]:
    t = design.thickness
    for number, bend in enumerate(design.bends, 1):
        about, least = ABOUT.of(f"bend {number}"), round(least_inside_radius_mm(design.material, t), 4)
        why = "a tighter inside radius cracks the outside; bend across the grain, along it take half as much again"
        by_table = replace(about, source=least_radius_source(design.material))
        yield by_table.at_least(Check.BEND_RADIUS, round(bend.inside_radius, 4), "mm", least, why)
        name, nearest = min(((h.name, bend_distance(h, bend)) for h in design.holes), key=lambda pair: pair[1])
        why = f"{name} is the hole nearest to the bend; nearer than twice the thickness it is drawn out of round"
        yield about.at_least(Check.HOLE_TO_BEND, round(nearest, 3), "mm", BEND_MARGIN_AIMED * t, why)


def _gusset(design: BracketDesign) -> Iterator[Finding]:
    if design.asked.bracket.gusset and not design.gussets:
        why = "a flat bracket and a gentle Z have no corner for a gusset"
        yield ABOUT.holds(Check.GUSSET, False, "not made", why)


def _small_holes(design: BracketDesign) -> Iterator[Finding]:
    if design.asked.job.shop.plasma is None:
        return
    drilled = [hole.name for hole in design.holes if hole.drill]
    cut = [hole.diameter for hole in design.holes if not hole.drill]
    if cut:
        why = "holes under twice the thickness come off a plasma table tapered and rough: ream or drill them "
        why += "after cutting"
        if drilled:
            why += f"; {', '.join(drilled)} would be under 1.5 × and is only marked, to be drilled"
        least = GOOD_HOLE_PER_THICKNESS * design.thickness
        about = replace(ABOUT, source=GUIDES, otherwise="note")
        yield about.at_least(Check.PLASMA_HOLE, round(min(cut), 4), "mm", least, why)
    if design.hand_bent:
        why = "a bend line too short for a slit between two bridges does not fold by hand: have it pressed"
        slits = count(len(design.slits), "slit")
        yield ABOUT.holds(Check.HAND_SLITS, bool(design.slits) or not design.bends, slits, why)
