"""Opens bracket-flat.dxf as a cutting table would, and bracket.stl as it folds: both measured against the design.

Tolerances (mm unless said): the DXF holds nine decimals, so its sizes and places must agree to SIZE_LIMIT. The flat
against the folded solid is limited by the mesh, whose facets lie within MESH_DEFLECTION of round walls.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
from shapely.geometry import LineString, Polygon

from wheelcad.checks.bracket_folded import check_folded
from wheelcad.checks.flats import check_head
from wheelcad.codes import Check
from wheelcad.files.dxf import CutFile, CutPath
from wheelcad.files.dxf_reader import read_cut_dxf
from wheelcad.findings import OWN, PRACTICE, About, Finding, at_least, at_most, holds
from wheelcad.parts.bracket.cutting import compensated_name
from wheelcad.parts.bracket.model import BracketDesign, Hole
from wheelcad.trade.loop import Edge, Loop
from wheelcad.words import count, diameter, length, quantity

FLAT = "bracket-flat.dxf"
ABOUT = About(FLAT, OWN)
SIZE_LIMIT = 0.001  # mm: hole sizes and places, slit ends
SMALLEST_EDGE = 0.1  # mm: shorter pieces make a torch stutter
TOUCHING = 0.01  # mm: edges nearer than this all along are the same line twice
CUT_LAYERS = frozenset({"OUTLINE", "HOLES", "SLIT", "MARK"})
MARK_LAYERS = {"BEND", "TEXT"}


def check_bracket(folder: Path, design: BracketDesign) -> Iterator[Finding]:
    """All findings of bracket-flat.dxf and bracket.stl in the folder.

    OSError, ValueError or JobFileError when unreadable.
    """
    cut = _in_flat(read_cut_dxf(folder / FLAT), design)
    layers = CUT_LAYERS | (MARK_LAYERS if design.bend_marks else set())
    yield from check_head(FLAT, cut, layers)
    yield from _lines(cut)
    outlines, wrong = _outlines(cut, design)
    yield from wrong
    if outlines:
        yield from _hole_findings(cut, design, outlines[0])
        yield from _slit_findings(cut, design)
    if design.compensate_kerf > 0:
        yield from _compensated(folder, design)
    area = (
        abs(outlines[0].area) - _hole_area(cut) - sum(h.area for h in design.holes if h.drill) if outlines else math.nan
    )
    yield from check_folded(folder, design, area)


def _in_flat(cut: CutFile, design: BracketDesign) -> CutFile:
    """The file with everything moved back from its place on the sheet to the flat's own frame."""
    dx, dy = design.sheet_place
    return replace(
        cut,
        loops={layer: [loop.moved(-dx, -dy) for loop in loops] for layer, loops in cut.loops.items()},
        circles={layer: [replace(c, x=c.x - dx, y=c.y - dy) for c in some] for layer, some in cut.circles.items()},
        paths={
            layer: [CutPath(tuple((x - dx, y - dy, b) for x, y, b in path.vertices)) for path in paths]
            for layer, paths in cut.paths.items()
        },
    )


def _size_and_place(loop: Loop) -> tuple[float, tuple[float, float, float, float]]:
    """Orders pieces largest first, and pieces of one size, such as a pair of gussets, by where they lie."""
    return -round(abs(loop.area), 3), loop.bounds()


def _compensated(folder: Path, design: BracketDesign) -> list[Finding]:
    """The cutting file that allows for the kerf: outlines half of it further out, holes narrower by all of it."""
    kerf = design.compensate_kerf
    name = compensated_name(kerf)
    cut = _in_flat(read_cut_dxf(folder / name), design)
    loops = sorted(cut.loops.get("OUTLINE", []), key=_size_and_place)
    pieces = sorted((design.outline, *(g.nested for g in design.gussets)), key=_size_and_place)
    off = math.inf
    if len(loops) == len(pieces):
        off = max(
            abs(piece.distance(x, y) - kerf / 2)
            for loop, piece in zip(loops, pieces, strict=True)
            for x, y in loop.flatten(TOUCHING / 2).tolist()
        )
    grown = all(abs(loop.area) > abs(piece.area) for loop, piece in zip(loops, pieces, strict=False))
    found = sorted(hole.diameter for hole in _found_holes(cut))
    wanted = sorted(hole.diameter - kerf for hole in design.holes if not hole.drill)
    narrower = len(found) == len(wanted) and np.allclose(found, wanted, rtol=0, atol=SIZE_LIMIT)
    widths = ", ".join(length(width, 3) for width in found)
    why = f"outlines lie half the kerf of {length(kerf)} outside"
    return [
        at_most(Check.KERF_OUTLINE, name, round(off if grown else math.inf, 4), "mm", 2 * TOUCHING, why, OWN),
        holds(Check.KERF_HOLES, name, narrower, f"widths {widths}", f"holes narrower by {length(kerf)}", OWN),
    ]


def _edges(cut: CutFile) -> Iterator[Edge]:
    """Every straight or round piece that is cut; circles as two half arcs."""
    for loops in cut.loops.values():
        for loop in loops:
            yield from loop.edges()
    for circles in cut.circles.values():
        for circle in circles:
            yield from Loop.circle(circle.x, circle.y, circle.radius).edges()
    for layer, paths in cut.paths.items():
        if layer != "MARK":
            yield from (edge for path in paths for edge in path.edges())


def _lines(cut: CutFile) -> list[Finding]:
    edges = list(_edges(cut))
    doubled = sum(_same(a, b) for a, b in combinations(edges, 2))
    shortest = min((edge.length for edge in edges), default=math.nan)
    return [
        ABOUT.at_most(Check.DOUBLED_LINES, doubled, "lines", 0, "a line drawn twice is cut twice"),
        at_least(
            Check.MICRO_SEGMENTS,
            FLAT,
            round(shortest, 4),
            "mm",
            SMALLEST_EDGE,
            "shorter pieces make the torch stutter and dwell",
            PRACTICE,
        ),
    ]


def _same(a: Edge, b: Edge) -> bool:
    """Whether the shorter of two edges lies on the other all along."""
    short, long = (a, b) if a.length <= b.length else (b, a)
    points = [(short.x0, short.y0), _at(short, 0.3), _at(short, 0.7), (short.x1, short.y1)]
    return all(long.distance(x, y) < TOUCHING for x, y in points)


def _at(edge: Edge, share: float) -> tuple[float, float]:
    """The point at a share of the edge's length."""
    if edge.is_line:
        return edge.x0 + share * (edge.x1 - edge.x0), edge.y0 + share * (edge.y1 - edge.y0)
    cx, cy = edge.centre
    a = math.atan2(edge.y0 - cy, edge.x0 - cx) + share * edge.sweep
    return cx + edge.radius * math.cos(a), cy + edge.radius * math.sin(a)


def _outlines(cut: CutFile, design: BracketDesign) -> tuple[list[Loop], list[Finding]]:
    """The closed outlines, largest first, and whether they are as many, closed, simple and the right way round."""
    loops = sorted(cut.loops.get("OUTLINE", []), key=lambda loop: -abs(loop.area))
    open_ones = len(cut.paths.get("OUTLINE", [])) + len(cut.paths.get("HOLES", []))
    wanted = 1 + len(design.gussets)
    polygons = [Polygon(loop.flatten(TOUCHING / 2)) for loop in loops]
    simple = all(polygon.is_valid for polygon in polygons)
    apart = all(not a.intersects(b) for a, b in combinations(polygons, 2)) if simple else False
    out = [
        ABOUT.at_most(Check.OPEN_OUTLINES, open_ones, "outlines", 0, "outlines and holes must be closed to be cut"),
        ABOUT.holds(
            Check.OUTLINES, len(loops) == wanted, count(len(loops), "closed outline"), f"{wanted} pieces are wanted"
        ),
        ABOUT.holds(
            Check.SIMPLE_OUTLINES,
            simple and apart,
            "no crossings" if simple and apart else "an outline crosses itself or another",
            "the torch must not cross its own path",
        ),
        ABOUT.holds(
            Check.ORIENTATION,
            all(loop.area > 0 for loop in [*loops, *cut.loops.get("HOLES", [])]),
            f"{sum(loop.area > 0 for loop in loops)} of {count(len(loops), 'outline')} anticlockwise",
            "all outlines run anticlockwise",
        ),
    ]
    if loops:
        off = abs(loops[0].area - design.outline.area)
        why = f"outline {quantity(abs(loops[0].area), 'area', 2)} against the design's"
        out.append(ABOUT.at_most(Check.FLAT_AREA, round(off, 6), "mm2", round(loops[0].length * SIZE_LIMIT, 6), why))
    return loops, out


def _hole_area(cut: CutFile) -> float:
    circles = sum(math.pi * c.radius**2 for c in cut.circles.get("HOLES", []))
    return circles + sum(abs(loop.area) for loop in cut.loops.get("HOLES", []))


def _found_holes(cut: CutFile) -> list[Hole]:
    """Circles and slots of the HOLES layer as measured: end centres and width."""
    out = [Hole("found", "", c.x, c.y, c.x, c.y, 2 * c.radius) for c in cut.circles.get("HOLES", [])]
    for loop in cut.loops.get("HOLES", []):
        arcs = [edge for edge in loop.edges() if not edge.is_line]
        if len(arcs) == 2:
            (x0, y0), (x1, y1) = arcs[0].centre, arcs[1].centre
            out.append(Hole("found", "", x0, y0, x1, y1, arcs[0].radius + arcs[1].radius))
    return out


def _miss(found: Hole, wanted: Hole) -> float:
    """How far a hole's end centres lie from the wanted ones, either way round, mm."""
    ways = (
        (found.x0, found.y0, found.x1, found.y1),
        (found.x1, found.y1, found.x0, found.y0),
    )
    return min(
        max(math.hypot(a - wanted.x0, b - wanted.y0), math.hypot(c - wanted.x1, d - wanted.y1)) for a, b, c, d in ways
    )


def _hole_findings(cut: CutFile, design: BracketDesign, outline: Loop) -> Iterator[Finding]:
    found = _found_holes(cut)
    wanted = [hole for hole in design.holes if not hole.drill]
    shapes = len(cut.circles.get("HOLES", [])) + len(cut.loops.get("HOLES", []))
    inside = all(outline.contains(hole.x0, hole.y0) for hole in found)
    yield ABOUT.holds(
        Check.HOLE_COUNT,
        shapes == len(wanted) and len(found) == shapes and inside,
        count(shapes, "hole"),
        f"{len(wanted)} holes and slots, all inside the outline",
    )
    for hole in wanted:
        subject = f"{FLAT}, {hole.name}"
        near = min(found, key=lambda item: _miss(item, hole), default=None)
        if near is None:
            yield holds(Check.HOLE_PLACE, subject, False, "missing", "the hole must be in the file", OWN)
            continue
        why = f"slot of {length(hole.travel)} travel" if not hole.round else "hole"
        yield at_most(
            Check.HOLE_PLACE, subject, round(_miss(near, hole), 6), "mm", SIZE_LIMIT, f"{why}: off its place", OWN
        )
        off = abs(near.diameter - hole.diameter)
        why = f"{diameter(near.diameter, 3)} cut, {diameter(hole.diameter, 3)} wanted"
        yield at_most(Check.HOLE_SIZE, subject, round(off, 6), "mm", SIZE_LIMIT, why, OWN)
    yield from _mark_findings(cut, design)


def _mark_findings(cut: CutFile, design: BracketDesign) -> Iterator[Finding]:
    """Every hole left to the drill has a cross at each of its centres."""
    marks = [edge.middle for path in cut.paths.get("MARK", []) for edge in path.edges()]
    for hole in design.holes:
        if hole.drill:
            ends = {(hole.x0, hole.y0), (hole.x1, hole.y1)}
            missed = [end for end in ends if sum(math.dist(mark, end) < SIZE_LIMIT for mark in marks) != 2]
            said = "crossed lines at each centre" if not missed else f"{len(missed)} centre(s) unmarked"
            why = "too small for the plasma table, so its centre is marked for the drill"
            yield holds(Check.CENTRE_MARK, f"{FLAT}, {hole.name}", not missed, said, why, OWN)


def _slit_findings(cut: CutFile, design: BracketDesign) -> list[Finding]:
    paths: Sequence[CutPath] = cut.paths.get("SLIT", [])
    closed = cut.loops.get("SLIT", [])
    if not design.slits and not paths and not closed:
        return []
    lines = [LineString([(x, y) for x, y, _ in path.vertices]) for path in paths]
    off = max(
        (min((line.hausdorff_distance(LineString(slit)) for line in lines), default=math.inf) for slit in design.slits),
        default=0.0,
    )
    good = len(paths) == len(design.slits) and not closed
    return [
        ABOUT.holds(
            Check.SLITS,
            good,
            count(len(paths), "open cut"),
            f"{len(design.slits)} single open cuts along the bend line",
        ),
        ABOUT.at_most(Check.SLIT_PLACE, round(off, 6), "mm", SIZE_LIMIT, "slits off their place"),
    ]
