"""The outline of the piece as found, where it differs from the turned one."""

from __future__ import annotations

from itertools import pairwise

from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.common.profile import outer_points, radius_at
from wheelcad.parts.common.stack import Land

APART = 1e-4  # mm: outlines closer than this are the same line
BESIDE = 1e-3  # mm: how far from a step a profile is looked at

Vertices = tuple[tuple[float, float, float], ...]


def is_turned(land: Land, found: tuple[Land, ...]) -> bool:
    """True for a land the lathe makes: it is not as it was found."""
    if not found:
        return True
    same = [f for f in found if abs(f.radius - land.radius) < APART and f.groove == land.groove]
    return not any(f.z_back <= land.z_back + APART and f.z_front >= land.z_front - APART for f in same)


def found_paths(design: BlankDesign) -> list[Vertices]:
    """Runs of lines (z, ±r, 0) of the outline as found that are not on the turned outline, both halves."""
    if not design.found:
        return []
    pieces = [p for p in _pieces(design) if not _same(design.lands, p)]
    runs: list[list[tuple[float, float]]] = []
    for start, end in pieces:
        if runs and _near(runs[-1][-1], start):
            runs[-1].append(end)
        else:
            runs.append([start, end])
    out = []
    for sign in (1.0, -1.0):
        out += [tuple((z, sign * r, 0.0) for z, r in run) for run in runs]
    return out


Piece = tuple[tuple[float, float], tuple[float, float]]


def _pieces(design: BlankDesign) -> list[Piece]:
    """The outline as found in short pieces (z, r), cut wherever the turned outline has an edge."""
    found, turned = outer_points(design.found), outer_points(design.lands)
    front, back = design.found[0].z_front, design.found[-1].z_back
    inner = design.recess[0] if design.recess is not None else design.bore_radius_mm
    points = [(front, inner), *((z, r) for r, z in found), (back, design.bore_radius_mm)]
    out: list[Piece] = []
    for (z0, r0), (z1, r1) in pairwise(points):
        cuts = {0.0, 1.0}
        for r, z in turned:
            if min(z0, z1) < z < max(z0, z1):
                cuts.add((z - z0) / (z1 - z0))
            elif abs(z1 - z0) <= APART and abs(z - z0) < APART and min(r0, r1) < r < max(r0, r1):
                cuts.add((r - r0) / (r1 - r0))
        ordered = sorted(cuts)
        at = [(z0 + t * (z1 - z0), r0 + t * (r1 - r0)) for t in ordered]
        out.extend(pairwise(at))
    return [p for p in out if not _near(*p)]


def _same(lands: tuple[Land, ...], piece: Piece) -> bool:
    """True when a piece lies on the turned outline: on its outside, or on one of its steps or end faces."""
    (z0, r0), (z1, r1) = piece
    z, r = (z0 + z1) / 2, (r0 + r1) / 2
    if abs(z1 - z0) > APART:
        return abs(radius_at(lands, z) - r) < APART
    behind, ahead = radius_at(lands, z - BESIDE), radius_at(lands, z + BESIDE)
    return min(behind, ahead) - APART <= r <= max(behind, ahead) + APART


def _near(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return abs(a[0] - b[0]) < APART and abs(a[1] - b[1]) < APART
