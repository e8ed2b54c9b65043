"""A cutting file's outlines, holes and marks against the design, point by point: both ways, and as many of each.

The file holds nine decimals of a millimetre, so whatever is off by more than FLAT_LIMIT was written so. Lengths mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from wheelcad.arrays import Floats
from wheelcad.checks.sections import away_from
from wheelcad.codes import Check
from wheelcad.files.dxf import MILLIMETRES, CutFile, CutPath
from wheelcad.findings import OWN, Finding, at_most, holds
from wheelcad.trade.loop import Loop
from wheelcad.words import count

FLAT_LIMIT = 0.001  # mm: outlines, holes, marks
ARC = 1e-4  # mm: how far the straight pieces lie from the arcs they stand for
STEP = 1.0  # mm between points on straight pieces


@dataclass(frozen=True)
class FlatWanted:
    """What a cutting file should hold, as it lies in the file. marks: ends of open straight marks."""

    outlines: tuple[Loop, ...]
    holes: tuple[Loop, ...]
    marks: tuple[tuple[tuple[float, float], tuple[float, float]], ...] = ()
    layers: frozenset[str] = frozenset({"OUTLINE", "HOLES", "MARK"})


def check_flat(name: str, cut: CutFile, wanted: FlatWanted) -> list[Finding]:
    """All that a cutting file is held to for its shapes: head, layers, outlines, holes, marks."""
    return [*check_head(name, cut, wanted.layers), *check_shapes(name, cut, wanted)]


def check_head(name: str, cut: CutFile, allowed: frozenset[str]) -> list[Finding]:
    """Its unit, its layers, and that it holds nothing which a cutting table does not follow."""
    other = sorted(set(cut.layers) - allowed)
    other += [f"words on {layer}" for layer, texts in cut.texts.items() if texts and layer != "TEXT"]
    unit = f"$INSUNITS {cut.insunits}"
    said = "; ".join(cut.strange) or "lines, arcs and circles"
    layers = f"only what is cut or marked: {', '.join(sorted(allowed))}"
    return [
        holds(Check.UNITS, name, cut.insunits == MILLIMETRES, unit, "the file is in mm, code 4", "DXF reference"),
        holds(Check.LAYERS, name, not other, ", ".join(other or cut.layers), layers, OWN),
        holds(Check.FOLLOWABLE, name, not cut.strange, said, "nothing that a cutting table does not follow", OWN),
    ]


def check_shapes(name: str, cut: CutFile, wanted: FlatWanted) -> list[Finding]:
    """Outlines, holes and marks, each as many and where they should be."""
    return [
        *_loops(Check.FLAT_OUTLINE, name, "outline", _closed(cut, "OUTLINE"), _open(cut, "OUTLINE"), wanted.outlines),
        *_loops(Check.FLAT_HOLES, name, "hole", _closed(cut, "HOLES"), _open(cut, "HOLES"), wanted.holes),
        _marks(name, cut, wanted),
    ]


def _closed(cut: CutFile, layer: str) -> list[Loop]:
    circles = [Loop.circle(c.x, c.y, c.radius) for c in cut.circles.get(layer, [])]
    return [*cut.loops.get(layer, []), *circles]


def _open(cut: CutFile, layer: str) -> int:
    return len(cut.paths.get(layer, []))


def _loops(
    check: Check, name: str, what: str, found: Sequence[Loop], left_open: int, wanted: Sequence[Loop]
) -> list[Finding]:
    """Closed loops of one layer against those wanted; run anticlockwise, as a table's program takes an inside from an
    outside."""
    turned = sum(loop.area <= 0 for loop in found)
    if len(found) != len(wanted) or left_open or turned:
        said = f"{count(len(found), what)}, {left_open} not closed, {turned} run clockwise"
        return [holds(check, name, False, said, f"{count(len(wanted), what)} wanted, all closed", OWN)]
    off = apart(found, wanted)
    why = f"{count(len(wanted), what)}: largest distance from the design, point by point"
    return [at_most(check, name, off, "mm", FLAT_LIMIT, why, OWN)]


def apart(found: Sequence[Loop], wanted: Sequence[Loop]) -> float:
    """Largest distance between two sets of closed outlines, either way; 0 for none of both."""
    if not found and not wanted:
        return 0.0
    if not found or not wanted:
        return math.inf
    here, there = [_rings(found), _rings(wanted)]
    return float(max(_worst(here, there), _worst(there, here)))


def _rings(loops: Sequence[Loop]) -> list[Floats]:
    """Every loop as points, closed by its first one again."""
    flat = [loop.flatten(ARC) for loop in loops]
    return [np.vstack([points, points[:1]]) for points in flat]


def _worst(of: Sequence[Floats], to: Sequence[Floats]) -> float:
    points = np.vstack([shapely.get_coordinates(shapely.segmentize(shapely.linestrings(ring), STEP)) for ring in of])
    pieces = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in to])
    return float(away_from(points, pieces).max())


def _marks(name: str, cut: CutFile, wanted: FlatWanted) -> Finding:
    """Every mark by its ends; a circle or a closed loop on that layer is none."""
    paths = cut.paths.get("MARK", [])
    pieces = [piece for path in paths for piece in _pieces(path)]
    strange = len(_closed(cut, "MARK"))
    why = f"{count(len(wanted.marks), 'centre or angle mark')}: largest distance of their ends from the design"
    if len(pieces) != len(wanted.marks) or strange:
        said = f"{count(len(pieces), 'mark')}, {strange} closed"
        return holds(Check.FLAT_MARKS, name, False, said, f"{len(wanted.marks)} are wanted", OWN)
    off = max((min(_ends(piece, mark) for piece in pieces) for mark in wanted.marks), default=0.0)
    return at_most(Check.FLAT_MARKS, name, off, "mm", FLAT_LIMIT, why, OWN)


End = tuple[float, float]


def _pieces(path: CutPath) -> list[tuple[End, End]]:
    corners = [(x, y) for x, y, _ in path.vertices]
    return list(itertools.pairwise(corners))


def _ends(a: tuple[End, End], b: tuple[End, End]) -> float:
    """How far two lines' ends lie apart, either way round."""
    return min(max(math.dist(a[0], b[i]), math.dist(a[1], b[1 - i])) for i in (0, 1))
