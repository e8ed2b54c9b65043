"""A gauge larger than the printer's bed, cut into pieces that key together: where, and along what line. mm, degrees.

Each joint is a thin saw cut from the opening to beyond the rim with a dovetail in it; the pieces slide together along
the crank axis. In the wheel's own outline and the comb it runs through the middle of a tooth, between windows' rims
through the middle of a window.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from wheelcad.arrays import Floats
from wheelcad.trade.frames import apart_deg, point_at
from wheelcad.trade.loop import Loop
from wheelcad.trade.printing import usable_bed

JOINT_GAP = 0.2  # mm between pieces: sliding clearance of prints; source: print guides
MOST_PIECES = 8
NECK, HEAD, LENGTH = 6.0, 9.0, 7.0  # mm: dovetail at its root, at its end, and its length
LEAST_KEY = 0.45  # of that size, below which a dovetail holds nothing


@dataclass(frozen=True)
class Joints:
    """at_deg: where pieces meet; cuts: the saw cuts' outlines; pieces: how many (1: none needed, 0: none possible)."""

    at_deg: tuple[float, ...]
    cuts: tuple[Loop, ...]
    pieces: int


NO_JOINTS = Joints((), (), 1)


def fits_bed(area: shapely.Geometry, bed: tuple[float, float]) -> bool:
    """Whether an outline lies on the bed with room for a skirt all round, turned as need be (in steps of 3 degrees)."""
    room = usable_bed(bed)
    points = np.array(area.convex_hull.exterior.coords)
    a = np.radians(np.arange(0.0, 180.0, 3.0))[:, None]
    x = points[:, 0] * np.cos(a) - points[:, 1] * np.sin(a)
    y = points[:, 0] * np.sin(a) + points[:, 1] * np.cos(a)
    return bool(((np.ptp(x, axis=1) <= room[0]) & (np.ptp(y, axis=1) <= room[1])).any())


def find_joints(
    outline: Loop,
    bed: tuple[float, float] | None,
    places_deg: Sequence[float],
    holes: Sequence[tuple[float, float, float]],
    inner: float,
    clear: float,
    reach: float,
    sense: int,
    shoulder: float,
) -> Joints:
    """Cuts that make a whole-circle gauge fit the bed with the fewest pieces.

    places_deg: where joints may be, 0 ≤ a < 360; holes: x, y, radius to keep clear of; inner: radius of the opening;
    clear: inside of which nothing is cut into the plate; reach: outermost radius; shoulder: radius inside the skirt, 0
    without.
    """
    whole = shapely.Polygon(outline.flatten(0.2))
    if bed is None or fits_bed(whole, bed):
        return NO_JOINTS
    key = _key_place(inner, clear, shoulder)
    if key is None:
        return Joints((), (), 0)
    taken = shapely.union_all([shapely.Point(x, y).buffer(r + 2.0) for x, y, r in holes])
    for pieces in range(2, MOST_PIECES + 1):
        best: tuple[float, tuple[float, ...]] | None = None
        for start in places_deg:
            at = tuple(_nearest(places_deg, start + 360.0 * k / pieces) for k in range(pieces))
            if len(set(at)) < pieces:
                continue
            lines = [joint_line(a, key, inner, reach, sense) for a in at]
            room = min(line.distance(taken) for line in lines) if holes else math.inf
            if room > 1.0 and (best is None or room > best[0] + 1e-6) and _all_fit(whole, at, inner, reach, sense, bed):
                best = room, at
        if best is not None:
            cuts = [_outline_of(joint_line(a, key, inner, reach, sense)) for a in best[1]]
            return Joints(tuple(sorted(best[1])), tuple(cuts), pieces)
    return Joints((), (), 0)


def _key_place(inner: float, clear: float, shoulder: float) -> tuple[float, float] | None:
    """Middle radius of the dovetail and its scale, on one side of the skirt's inside; None where there is no room."""
    bands = [(inner + 4.0, clear - 8.0)]
    if inner < shoulder < clear:
        bands = [(inner + 4.0, shoulder - 2.0), (shoulder + 2.0, clear - 8.0)]
    low, high = max(bands, key=lambda band: (min(1.0, (band[1] - band[0]) / HEAD), band[1]))
    scale = min(1.0, (high - low) / HEAD)
    if scale < LEAST_KEY:
        return None
    return ((low + 2 * high) / 3 if high - low > 3 * HEAD else (low + high) / 2), scale


def joint_line(at_deg: float, key: tuple[float, float], inner: float, reach: float, sense: int) -> shapely.Geometry:
    """The line of a joint: outwards along at_deg, round a dovetail towards rising angle."""
    middle, scale = key
    neck, head, length = NECK * scale / 2, HEAD * scale / 2, LENGTH * scale
    start = max(inner - 4.0, 0.0)
    along = [(0, start), (0, middle - neck), (length, middle - head), (length, middle + head), (0, middle + neck)]
    points = np.array([*along, (0, reach + 3.0)])
    out, across = point_at(1.0, at_deg, sense), point_at(1.0, at_deg + 90.0, sense)
    return shapely.LineString(points[:, :1] * across + points[:, 1:] * out)


def _outline_of(line: shapely.Geometry) -> Loop:
    shape = line.buffer(JOINT_GAP / 2, cap_style="flat", join_style="mitre")
    return Loop.polygon(np.array(shape.exterior.coords)[:-1]).oriented()


def _nearest(places: Sequence[float], wanted: float) -> float:
    return min(places, key=lambda p: (round(apart_deg(p, wanted), 6), p))


def _all_fit(
    whole: shapely.Geometry, at: Sequence[float], inner: float, reach: float, sense: int, bed: tuple[float, float]
) -> bool:
    """Whether every sector between neighbouring joints, its dovetail taken in, lies on the bed."""
    ends = sorted(at)
    for a, b in zip(ends, [*ends[1:], ends[0] + 360.0], strict=True):
        sector = shapely.Polygon(_sector_points(a, b, max(inner - 0.1, 0.0), reach + 3.0, sense))
        if not fits_bed(whole.intersection(sector).buffer(0.0), (bed[0] - 1.0, bed[1] - 1.0)):
            return False
    return True


def _sector_points(from_deg: float, to_deg: float, inner: float, reach: float, sense: int) -> Floats:
    """A sector's outline, with room for the dovetail beyond its far end at half the reach."""
    angles = np.linspace(from_deg, to_deg, max(3, int((to_deg - from_deg) / 3.0)))
    tip = point_at(reach * 0.55, to_deg, sense) + LENGTH * point_at(1.0, to_deg + 90.0, sense)
    outer = point_at(reach, angles, sense)
    inside = point_at(inner, angles[::-1], sense) if inner > 0 else np.zeros((1, 2))
    return np.vstack([outer, tip[None, :], inside])
