"""A plate wheel's cutting files: the TDC line on them, and that their bolt holes fit one way.

Equally spaced bolts let a plate go on in as many ways as there are of them, and only one is right. What tells them
apart is the TDC line on layer MARK: a radial line on the front face. Everything is read from the file; wheel frame, mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.codes import Check
from wheelcad.files.dxf import CutFile, CutPath
from wheelcad.files.dxf_reader import read_cut_dxf
from wheelcad.findings import OWN, Finding, at_most, holds
from wheelcad.parts.common.openings import bolt_centres
from wheelcad.parts.design import Design
from wheelcad.trade.frames import angle_of, apart_deg
from wheelcad.words import count

TDC_LIMIT_DEG = 0.001  # of the line's direction, as of every tooth edge
SAME_MM = 0.01  # a hole turned onto another within so much is the same hole
RADIAL_MM = 1e-3  # how far a line may pass the axis by and still point at it


def check_wheel_flat(folder: Path, names: Sequence[str], design: Design) -> list[Finding]:
    """The findings of a plate wheel's cutting files of these names. JobFileError when one cannot be read."""
    return [finding for name in names for finding in _one(name, read_cut_dxf(folder / name), design)]


def _one(name: str, cut: CutFile, design: Design) -> list[Finding]:
    sense = design.wheel.sense
    lines = list(radial_lines(cut))
    off = min((apart_deg(float(angle_of(*path.vertices[0][:2], sense)), 0.0) for path in lines), default=math.inf)
    why = "the TDC line on layer MARK, which the pulley's own TDC mark meets; nearest to 0° of the lines that point at "
    found = at_most(Check.FLAT_TDC, name, round(off, 6), "deg", TDC_LIMIT_DEG, why + "the axis", OWN)
    if math.isinf(off):
        why = "the TDC line belongs on layer MARK: give wheel.marks, or room inside the slot floors on that line"
        found = holds(Check.FLAT_TDC, name, False, "no line points at the axis", why, OWN)
    bolts = bolt_centres(design.job)
    return [found] if len(bolts) < 2 else [found, _one_way(name, cut, bolts, lines)]


def _one_way(name: str, cut: CutFile, bolts: Floats, lines: Sequence[CutPath]) -> Finding:
    """In how many ways the plate goes on by its holes, and in how many of them its marks lie where they belong."""
    seen = holes_seen(cut, bolts)
    ways = turns_onto(seen, bolts)
    marks = np.array([path.vertices[end][:2] for path in lines for end in (0, -1)]).reshape(-1, 2)
    alike = [way for way in ways if _lies_on(_turned(marks, way), marks)]
    said = f"{count(len(ways), 'way')} by the holes, {len(alike)} by the marks"
    if len(seen) != len(bolts):
        said = f"{len(seen)} of {len(bolts)} bolt places found"
    why = (
        "turned by a bolt the plate goes on as well: only one of these ways may look right, front outwards, TDC line "
        "on the pulley's TDC mark"
    )
    return holds(Check.BOLTS_ONE_WAY, name, len(seen) == len(bolts) and len(alike) == 1, said, why, OWN)


def radial_lines(cut: CutFile) -> Iterator[CutPath]:
    """The straight marks that point at the axis and do not pass through it: the arms of centre crosses left out."""
    for path in cut.paths.get("MARK", []):
        (x0, y0, _), (x1, y1, _) = path.vertices[0], path.vertices[-1]
        long = math.hypot(x1 - x0, y1 - y0)
        past = abs(x0 * y1 - x1 * y0) / max(long, 1e-9)
        inner, outer = sorted((math.hypot(x0, y0), math.hypot(x1, y1)))
        if (
            len(path.vertices) == 2
            and past < RADIAL_MM
            and outer - inner > long - RADIAL_MM
            and not _in_cross(path, cut)
        ):
            yield path


def _in_cross(path: CutPath, cut: CutFile) -> bool:
    """Whether another mark crosses this one in its middle: then it is an arm of a centre cross."""
    middle = np.mean([vertex[:2] for vertex in path.vertices], axis=0)
    others = [other for other in cut.paths.get("MARK", []) if other is not path]
    return any(np.hypot(*(np.mean([v[:2] for v in o.vertices], axis=0) - middle)) < SAME_MM for o in others)


def holes_seen(cut: CutFile, bolts: Floats) -> Floats:
    """(n, 2) the bolts' places that the file has: holes cut, or crosses on MARK to drill on."""
    places = [(circle.x, circle.y) for circle in cut.circles.get("HOLES", [])]
    places += [tuple(np.mean([v[:2] for v in path.vertices], axis=0)) for path in cut.paths.get("MARK", [])]
    held = np.array(places).reshape(-1, 2)
    return np.array([bolt for bolt in bolts if len(held) and np.hypot(*(held - bolt).T).min() < SAME_MM]).reshape(-1, 2)


def turns_onto(holes: Floats, bolts: Floats) -> list[float]:
    """Degrees by which the holes can be turned so that each comes onto a bolt, 0 ≤ a < 360; none for no holes."""
    if not len(holes):
        return []
    first = math.degrees(math.atan2(holes[0][1], holes[0][0]))
    tries = {round((math.degrees(math.atan2(y, x)) - first) % 360.0, 6) % 360.0 for x, y in bolts.tolist()}
    return sorted(way for way in tries if _lies_on(_turned(holes, way), bolts))


def _turned(points: Floats, degrees: float) -> Floats:
    a = math.radians(degrees)
    turn = np.array([[math.cos(a), math.sin(a)], [-math.sin(a), math.cos(a)]])
    return np.asarray(points @ turn)


def _lies_on(points: Floats, others: Floats) -> bool:
    """Whether every point is one of the others."""
    return all(np.hypot(*(others - point).T).min() < SAME_MM for point in points)
