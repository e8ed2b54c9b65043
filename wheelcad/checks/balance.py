"""Every correction hole found again in wheel.stl; what is left after them is measured in unbalance.py."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.checks.mesh import fitted_circle, section_segments
from wheelcad.codes import Check
from wheelcad.files.stl import read_stl
from wheelcad.findings import OWN, Finding, at_most, holds
from wheelcad.parts.balance.model import BalanceDesign
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.drills import sized
from wheelcad.trade.frames import angle_of
from wheelcad.words import angle, diameter, length

PLACE_LIMIT_MM = 0.02  # a hole's centre and diameter in the mesh against the plan: a few times the mesh's deflection
ROUND_MM = 0.02  # a closed outline this near to a circle is a round hole
LEAST_CORNERS = 8  # of such an outline
INSIDE_MM = 0.05  # unplanned holes are looked for this far inside slot floors and outsides
NEAR_FACE = 0.1  # share of a hole's depth from its ends at which it is looked for


def check_balance(folder: Path, wheel: WheelDesign, balance: BalanceDesign) -> list[Finding]:
    """Every correction hole in wheel.stl, and none besides. OSError or ValueError without the file."""
    return _holes(read_stl(folder / "wheel.stl"), balance, wheel)


@dataclass(frozen=True)
class RoundHole:
    """A round hole in a section of the mesh: centre and diameter, mm."""

    x: float
    y: float
    diameter: float


def round_holes(
    triangles: Floats, z: float, within: float = math.inf, about: tuple[float, float] = (0.0, 0.0)
) -> Iterator[RoundHole]:
    """The round holes in the section of a mesh at height z (outlines with metal outside them).

    Only walls within `within` mm of the point `about` are looked at, which keeps the teeth out of the way.
    """
    segments, normals = section_segments(triangles, z)
    near = (np.hypot(segments[..., 0] - about[0], segments[..., 1] - about[1]) < within).all(axis=1)
    segments, normals = segments[near], normals[near]
    for loop in _loops(segments):
        points = segments[loop].reshape(-1, 2)
        if len(loop) < LEAST_CORNERS:
            continue
        x, y, radius = fitted_circle(points)
        if np.abs(np.hypot(points[:, 0] - x, points[:, 1] - y) - radius).max() > ROUND_MM:
            continue
        middle = segments[loop].mean(axis=1) - np.array([x, y])
        if float((middle * normals[loop]).sum()) < 0:  # the wall faces its own middle: a hole
            yield RoundHole(x, y, 2 * radius)


def _loops(segments: Floats) -> list[list[int]]:
    """Segments (m, 2, 2) chained end to end: indexes of each closed chain. Ends within 1 µm are the same."""
    ends: dict[tuple[int, int], list[int]] = {}
    keys = np.round(segments * 1000).astype(int)
    for i, pair in enumerate(keys.tolist()):
        for key in pair:
            ends.setdefault((key[0], key[1]), []).append(i)
    left, out = set(range(len(segments))), []
    for start in range(len(segments)):
        if start not in left:
            continue
        chain, todo = [], [start]
        while todo:
            i = todo.pop()
            if i not in left:
                continue
            left.remove(i)
            chain.append(i)
            for key in keys[i].tolist():
                todo += ends[(key[0], key[1])]
        out.append(sorted(chain))
    return out


def _holes(triangles: Floats, balance: BalanceDesign, wheel: WheelDesign) -> list[Finding]:
    """Each planned hole at both ends of its depth, blind ones closed beyond it, and no hole that nobody planned."""
    out = [_one_hole(triangles, hole, i, wheel.sense) for i, hole in enumerate(balance.holes, start=1)]
    strange = _unplanned(triangles, balance, wheel)
    said = "none" if not strange else "; ".join(_said(hole, wheel.sense) for hole in strange)
    why = "every round hole that is neither bore nor bolt hole must be one that was planned"
    out.append(holds(Check.UNPLANNED_HOLES, "wheel.stl", not strange, said, why, OWN))
    return out


def _one_hole(triangles: Floats, hole: CorrectionHole, number: int, sense: int) -> Finding:
    x, y = hole.centre(sense)
    step = NEAR_FACE * hole.depth_mm
    worst = 0.0
    for z in (hole.z_top - step, hole.z_bottom + step):
        near = round_holes(triangles, z, hole.diameter_mm / 2 + 1.0, (x, y))
        off = [max(math.hypot(h.x - x, h.y - y), abs(h.diameter - hole.diameter_mm)) for h in near]
        worst = max(worst, min(off, default=math.inf))
    subject = f"wheel.stl, hole {number}"
    drill, at, radius = sized(hole.drill, hole.diameter_mm), angle(hole.at_deg), length(hole.radius_mm)
    why = f"{drill} at {at}, radius {radius}: place and diameter in the mesh"
    if not hole.through and math.isfinite(worst):
        end = float(_depth_end(triangles, x, y, hole))
        wanted = hole.highest if hole.from_back else hole.lowest
        worst = max(worst, abs(end - wanted))
        why += ", and the tip of its point"
    return at_most(Check.CORRECTION_HOLE, subject, worst, "mm", PLACE_LIMIT_MM, why, OWN)


def _depth_end(triangles: Floats, x: float, y: float, hole: CorrectionHole) -> float:
    """z of the mesh corner nearest to the hole's centre line and its planned tip; infinite when there is none."""
    corners = triangles.reshape(-1, 3)
    on_line = corners[np.hypot(corners[:, 0] - x, corners[:, 1] - y) < PLACE_LIMIT_MM]
    if len(on_line) == 0:
        return math.inf
    wanted = hole.highest if hole.from_back else hole.lowest
    return float(on_line[np.abs(on_line[:, 2] - wanted).argmin(), 2])


def _unplanned(triangles: Floats, balance: BalanceDesign, wheel: WheelDesign) -> list[RoundHole]:
    """Round holes half-way through each length of the piece that are not known."""
    known = [(0.0, 0.0, 2 * balance.metal.bore), (0.0, 0.0, 2 * balance.metal.recess)]
    known += [(x, y, 2 * radius) for x, y, radius in balance.metal.bolts]
    out: list[RoundHole] = []
    for piece in balance.metal.pieces:
        z = (piece.land.z_front + piece.land.z_back) / 2
        outside = wheel.floor_radius_mm if piece.land.name == "ring" else piece.land.least_radius
        for hole in round_holes(triangles, z, outside - INSIDE_MM):
            seen = [(other.x, other.y, other.diameter) for other in out]
            planned = any(_part_of(hole, other, balance.sense) for other in balance.holes)
            if not planned and not any(_same(hole, item) for item in (*known, *seen)):
                out.append(hole)
    return out


def _same(hole: RoundHole, known: tuple[float, float, float]) -> bool:
    x, y, diameter = known
    return math.hypot(hole.x - x, hole.y - y) <= PLACE_LIMIT_MM and abs(hole.diameter - diameter) <= 2 * PLACE_LIMIT_MM


def _part_of(hole: RoundHole, planned: CorrectionHole, sense: int) -> bool:
    """True for a section of a planned hole; of a blind one's point it is smaller (its depth is checked by itself)."""
    x, y = planned.centre(sense)
    over = hole.diameter - planned.diameter_mm
    known = abs(over) <= 2 * PLACE_LIMIT_MM if planned.through else over <= 2 * PLACE_LIMIT_MM
    return known and math.hypot(hole.x - x, hole.y - y) <= PLACE_LIMIT_MM


def _said(hole: RoundHole, sense: int) -> str:
    at, radius = float(angle_of(hole.x, hole.y, sense)), math.hypot(hole.x, hole.y)
    if radius < PLACE_LIMIT_MM:  # the angle of so short a radius says nothing
        return f"{diameter(hole.diameter)} at the centre"
    return f"{diameter(hole.diameter)} at {angle(at)}, radius {length(radius)}"
