"""The metal's outline in a scan, round teeth, gap, bore and every hole that shows light, and its moment about the axis.

Each outline is walked in the rough picture and its points moved onto the edge to a part of a pixel, as the teeth's are;
Green's theorem makes area and first moments of the polygon. What does not go through (a counterbore, a blind hole, a
chamfer) does not show, and neither does the thickness: the moment is per mm of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.measure.scan_bed import Bed
from wheelcad.measure.scan_edges import refined
from wheelcad.measure.scan_picture import Rough, ScanPicture

STEP_ROUGH = 0.75  # rough pixels from point to point of an outline
SMOOTH = 2.0  # points: the staircase of the rough picture taken off
LEAST_HOLE = 0.012  # of the rim's radius: what is narrower across half of it is dust
LEAST_SEEN = 0.7  # of an outline's points, on which the edge must be found
OUTLIER = 5.0  # robust standard deviations from its neighbours' median: dust on the edge
NEIGHBOURS = 7  # points
ALIKE = 4  # neighbouring points that blur and grain make err alike


@dataclass(frozen=True, eq=False)
class ScanMetal:
    """area: in units of the bed's size²; first: (2,) ∫x, ∫y about its middle, x to the right and y down, size³. holes:
    openings that were counted. noise: standard deviation of either of `first` by the scatter of single points."""

    area: float
    first: Floats
    holes: int
    noise: float

    def about(self, centre: Floats) -> Floats:
        """(2,) first moments about another point."""
        return np.asarray(self.first - self.area * centre)


def find_metal(picture: ScanPicture, rough: Rough, bed: Bed, reach: float) -> ScanMetal | None:
    """The metal of a scan; None where too little of its outline shows. reach: pixels by which a rough point may miss
    its edge."""
    from skimage.measure import find_contours

    padded = np.pad(rough.solid, 1).astype(np.float32)
    area, first, holes, noise = 0.0, np.zeros(2), 0, 0.0
    for path in sorted(find_contours(padded, 0.5), key=len, reverse=True):
        points = (path[:-1, ::-1] - 1) * rough.factor + (rough.factor - 1) / 2
        rough_area = abs(moments(points)[0])
        if rough_area < np.pi * (LEAST_HOLE * bed.size) ** 2:
            continue
        outside = area == 0.0  # the longest outline comes first, and all others lie within it
        seen = _on_edge(picture, rough, points, reach)
        if seen is None:
            if outside:
                return None
            continue
        points, scatter = bed.straight(seen[0]), seen[1] / bed.size
        own, moment = moments(points)
        turn = np.sign(own) * (1 if outside else -1)
        area, first = area + turn * own, first + turn * moment
        noise = float(np.hypot(noise, _noise(points, scatter)))
        holes += not outside
    return ScanMetal(area, first, holes, noise) if area > 0 else None


def moments(points: Floats) -> tuple[float, Floats]:
    """Area and first moments (∫x, ∫y) of a closed polygon (n, 2); both change sign with its sense."""
    following = np.roll(points, -1, axis=0)
    cross = points[:, 0] * following[:, 1] - following[:, 0] * points[:, 1]
    return float(cross.sum() / 2), np.asarray(((points + following) * cross[:, None]).sum(axis=0) / 6)


def _on_edge(picture: ScanPicture, rough: Rough, points: Floats, reach: float) -> tuple[Floats, float] | None:
    """An outline's points (n, 2) moved onto the edge, and how single ones scatter, pixels; None where it is not
    seen."""
    from scipy import ndimage

    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0, append=points[:1]).T))])
    count = max(24, int(along[-1] / (STEP_ROUGH * rough.factor)))
    at = np.arange(count) * along[-1] / count
    even = np.column_stack([np.interp(at, along, np.append(p, p[0])) for p in points.T])
    even = ndimage.gaussian_filter1d(even, SMOOTH, axis=0, mode="wrap")
    tangent = np.roll(even, -1, axis=0) - np.roll(even, 1, axis=0)
    tangent /= np.maximum(np.hypot(*tangent.T), 1e-9)[:, None]
    into = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    into *= _metal_side(rough, even, into)
    found, _, share = refined(picture, even, into, reach, rough)
    if share < LEAST_SEEN:
        return None
    moved = ((found - even) * into).sum(axis=1)
    known = np.isfinite(moved)
    moved = np.interp(np.arange(count), np.flatnonzero(known), moved[known], period=count)
    usual = ndimage.median_filter(moved, NEIGHBOURS, mode="wrap")
    scatter = 1.4826 * float(np.median(np.abs(moved - usual))) + 1e-9
    moved = np.where(np.abs(moved - usual) > OUTLIER * max(scatter, 0.1), usual, moved)
    return np.asarray(even + moved[:, None] * into), scatter


def _metal_side(rough: Rough, points: Floats, aside: Floats) -> float:
    """1 where the metal lies to the side to which `aside` (n, 2) points from an outline, else -1."""
    shares = []
    for side in (1.0, -1.0):
        at = (points + side * 1.5 * rough.factor * aside - (rough.factor - 1) / 2) / rough.factor
        x, y = (np.clip(np.round(at[:, k]).astype(int), 0, rough.solid.shape[1 - k] - 1) for k in (0, 1))
        shares.append(float(rough.solid[y, x].mean()))
    return 1.0 if shares[0] > shares[1] else -1.0


def _noise(points: Floats, scatter: float) -> float:
    """Standard deviation of a first moment when points scatter across their outline: √Σ (r · ds · scatter)², runs of
    ALIKE points as one, half of it in either direction."""
    step = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    return float(scatter * np.sqrt(ALIKE * ((points**2).sum(axis=1) * step**2).sum() / 2))
