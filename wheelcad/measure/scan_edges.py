"""Edges in a scan to a small part of a pixel: along the sides of the teeth, over their tops, round the bore.

Across a rough edge the brightness is read along a short line; the edge is the centre of the steepest rise. Points are
in pixels, x to the right and y down; angles in degrees from the picture's top, clockwise.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.measure.partway import part_voids
from wheelcad.measure.pattern import FEWEST, find_pattern, steps_round
from wheelcad.measure.rounds import circle_through, hull_circle
from wheelcad.measure.scan_picture import Rough, ScanPicture
from wheelcad.measure.sides import fit_sides
from wheelcad.trade.frames import wrap_360

LEAST_TOPS, LEAST_KEPT = 0.1, 0.7  # of the circle; of a slot's width near the rim, more than half-way down
ANGLES = 14400  # samples round a circle of the rough picture
STEP = 0.5  # pixels between samples across an edge
ALONG = 48  # points along one side, at most
ON_TOP = 16  # points over one tooth
ROUND_BORE = 360
HALF_WIDTH = 2.355  # standard deviations of a normal curve across, at half its height
WEAK = 0.25  # of the wheel's contrast: a rise weaker than this is no edge of the wheel


@dataclass(frozen=True, eq=False)
class ScanTeeth:
    """The ring of teeth, roughly. centre (2,), rim and floor radius in pixels; starts, ends: (t, radii) edge angles."""

    centre: Floats
    rim: float
    floor: float
    radii: Floats
    starts: Floats
    ends: Floats


@dataclass(frozen=True, eq=False)
class ScanEdges:
    """sides: (2t, k, 2) points, starts first, then ends; tops: (t, k, 2); bore: (m, 2) or None. NaN where no edge was
    found. blur: standard deviation of the edges' spread, pixels. found: share of points that were found."""

    sides: Floats
    tops: Floats
    bore: Floats | None
    blur: float
    found: float


def find_teeth(rough: Rough) -> ScanTeeth | str:
    """The ring of teeth in the rough picture, in pixels of the picture; or why there is none, as one sentence."""
    from scipy import ndimage

    border = rough.body & ~ndimage.binary_erosion(rough.body)
    points = np.argwhere(border)[:, ::-1].astype(float)
    rim = hull_circle(points) if len(points) > 50 else None
    if rim is None:
        return "shows nothing round"
    x, y, r = rim
    filled = float(rough.body.sum()) / (np.pi * r * r)
    if not 0.3 < filled < 1.05:
        return "shows no wheel: what stands out from the background is not round"
    angles = np.radians(np.arange(ANGLES) * 360.0 / ANGLES)
    radii = r - np.arange(1.5, 0.5 * r, 1.0)
    px = np.round(x + radii[:, None] * np.sin(angles)).astype(int)
    py = np.round(y - radii[:, None] * np.cos(angles)).astype(int)
    h, w = rough.body.shape
    inside = (px >= 0) & (px < w) & (py >= 0) & (py < h)
    metal = np.zeros(px.shape, dtype=bool)
    metal[inside] = rough.body[py[inside], px[inside]]
    crossings = [_crossings(row) for row in metal]
    counts = np.array([len(starts) for starts, _ in crossings])
    run = _longest_run(counts)
    if run is None:
        return "shows a disc without teeth, or teeth that cannot be told from noise"
    first, last = run
    used = np.arange(first, last + 1)
    middle = len(used) // 2
    starts = _in_order([crossings[i][0] for i in used], middle)
    ends = _in_order([crossings[i][1] for i in used], middle)
    widths = np.mod(ends[:, middle] - starts[:, middle], 360.0)
    metal_edges = np.column_stack([starts[:, middle], starts[:, middle] + widths])
    even = find_pattern(steps_round(np.sort(wrap_360(starts[:, middle] + widths / 2)))) is not None
    if not even and part_voids(metal_edges) is None:
        return f"shows {len(starts)} teeth that fit no even spacing round a circle"
    if not _has_sides(starts, ends, radii[used], r):
        return "shows no teeth with sides: only corners or points stand out all round"
    f = rough.factor
    centre = np.array([x, y]) * f + (f - 1) / 2
    return ScanTeeth(centre, r * f, float(radii[last]) * f, radii[used] * f, starts, ends)


def _crossings(row: Bools) -> tuple[Floats, Floats]:
    """Angles at which metal begins and ends round a circle, paired; specks shorter than a tenth of the usual run are
    taken for dust."""
    change = np.flatnonzero(row != np.roll(row, 1))
    if len(change) < 2:
        return np.zeros(0), np.zeros(0)
    long = np.diff(change, append=change[0] + len(row))
    usual = float(np.median(long))
    while len(change) > 2 and long.min() < 0.2 * usual:
        k = int(long.argmin())
        change = np.delete(change, [k, (k + 1) % len(change)])
        long = np.diff(change, append=change[0] + len(row))
    starts, ends = change[row[change]], change[~row[change]]
    if len(starts) != len(ends):
        return np.zeros(0), np.zeros(0)
    if len(ends) and ends[0] < starts[0]:
        ends = np.roll(ends, -1)
    return (starts - 0.5) * 360.0 / len(row), (ends - 0.5) * 360.0 / len(row)


def _longest_run(counts: Ints) -> tuple[int, int] | None:
    """First and last index of the longest run of circles that cross the same number (at least FEWEST) of teeth."""
    change = np.flatnonzero(np.diff(counts)) + 1
    bounds = [0, *change.tolist(), len(counts)]
    runs = [(b - a, a, b - 1) for a, b in itertools.pairwise(bounds) if counts[a] >= FEWEST]
    if not runs:
        return None
    long, first, last = max(runs)
    return (first, last) if long >= 4 else None


def _has_sides(starts: Floats, ends: Floats, radii: Floats, rim: float) -> bool:
    """Whether what lies between the teeth keeps its width on the way down, and the teeth have tops."""
    depth = rim - radii[-1]
    at = [int(np.abs(rim - share * depth - radii).argmin()) for share in (0.1, 0.2, 0.6)]
    if float(np.mod(ends[:, at[0]] - starts[:, at[0]], 360.0).sum()) < LEAST_TOPS * 360.0:
        return False
    voids = [np.median(np.mod(np.roll(starts[:, k], -1) - ends[:, k], 360.0)) for k in at[1:]]
    chords = [radii[k] * np.sin(np.radians(void) / 2) for k, void in zip(at[1:], voids, strict=True)]
    return bool(LEAST_KEPT < chords[1] / chords[0] < 1 / LEAST_KEPT)


def _in_order(rows: list[Floats], middle: int) -> Floats:
    """(t, radii) the edges of every circle, each beside its own on the middle circle.

    Those of one circle may begin with another tooth when an edge leans across the angle 0.
    """
    reference = rows[middle]
    columns = []
    for row in rows:
        off = np.mod(row[None, :] - reference[:, None] + 180.0, 360.0) - 180.0
        nearest = np.abs(off).argmin(axis=1)
        columns.append(reference + off[np.arange(len(reference)), nearest])
    return np.array(columns).T


def find_edges(picture: ScanPicture, rough: Rough, teeth: ScanTeeth) -> ScanEdges:
    """Every edge of the wheel to a part of a pixel."""
    depth = teeth.rim - teeth.floor
    width = float(np.median(np.mod(np.roll(teeth.starts[:, 0], -1) - teeth.ends[:, 0], 360.0)))
    chord = 2 * teeth.rim * np.sin(np.radians(width) / 2)
    straight = max(depth - chord / 2, 0.25 * depth)
    radii = teeth.rim - straight * np.linspace(0.12, 0.88, int(np.clip(straight, 8, ALONG)))
    # further in round floors bend away, and at the very rim axes that differ cut corners
    down = (teeth.rim - teeth.radii) / straight
    outer = (down >= 0.12) & (down <= 0.95)
    if outer.sum() < 3:
        outer = down <= 1.5
    both = np.concatenate([teeth.starts, teeth.ends])[:, outer]
    lines = fit_sides(np.broadcast_to(teeth.radii[outer], both.shape), both)
    angles = np.column_stack([lines.at(float(r)) for r in radii])
    tooth = (
        2 * teeth.rim * np.sin(np.radians(float(np.median(np.mod(teeth.ends[:, 0] - teeth.starts[:, 0], 360.0)))) / 2)
    )
    reach = min(4.0 * rough.factor + 8.0, 0.35 * chord, 0.35 * tooth)
    t = np.radians(angles)
    points = teeth.centre + radii[None, :, None] * np.stack([np.sin(t), -np.cos(t)], axis=-1)
    along = np.stack([np.cos(t), np.sin(t)], axis=-1)  # clockwise
    along[len(teeth.ends) :] *= -1  # always from outside into the metal
    sides, blur, found = refined(picture, points, along, reach, rough)
    tops, _, found_tops = refined(picture, *_tops(rough, teeth), min(reach, 0.35 * depth), rough)
    bore = _bore(picture, rough, teeth)
    return ScanEdges(sides, tops, bore, blur, min(found, found_tops))


def _tops(rough: Rough, teeth: ScanTeeth) -> tuple[Floats, Floats]:
    """Points over the teeth, each where the rough metal ends, and the directions into the metal.

    Not on one circle: axes that differ by 1 % put the rim many pixels from it.
    """
    start, end = teeth.starts[:, 0], teeth.ends[:, 0]
    wide = np.mod(end - start, 360.0)
    t = np.radians(start[:, None] + wide[:, None] * np.linspace(0.2, 0.8, ON_TOP))
    out = np.stack([np.sin(t), -np.cos(t)], axis=-1)
    radii = np.arange(0.5 * (teeth.rim + teeth.floor), 1.03 * teeth.rim, rough.factor / 2)
    where = (teeth.centre + radii[:, None] * out[..., None, :] - (rough.factor - 1) / 2) / rough.factor
    x, y = (np.clip(np.round(where[..., k]).astype(int), 0, rough.body.shape[1 - k] - 1) for k in (0, 1))
    metal = rough.body[y, x]
    last = radii[metal.shape[-1] - 1 - metal[..., ::-1].argmax(axis=-1)]
    return teeth.centre + last[..., None] * out, -out


def refined(
    picture: ScanPicture, points: Floats, into: Floats, reach: float, rough: Rough
) -> tuple[Floats, float, float]:
    """Points (…, 2) moved along `into` onto the edge, NaN where there is none; the edges' spread; share found."""
    from scipy import ndimage

    count = max(4, int(reach / STEP))
    along = STEP * np.arange(-count, count + 1)
    at = points[..., None, :] + along[:, None] * into[..., None, :]
    # three lines side by side, averaged: less noise, and an edge is straight over so short a way
    aside = np.stack([-into[..., 1], into[..., 0]], axis=-1)
    light = np.zeros(at.shape[:-1])
    for shift in (-1.0, 0.0, 1.0):
        where = at + shift * aside[..., None, :]
        light += ndimage.map_coordinates(picture.light, [where[..., 1], where[..., 0]], order=1, mode="nearest") / 3
    rise = rough.sign * np.gradient(ndimage.gaussian_filter1d(light, 1.0 / STEP, axis=-1), axis=-1)
    peak = rise.argmax(axis=-1)
    height = np.take_along_axis(rise, peak[..., None], axis=-1)
    # the upper half of the rise alone: a shadow beside the edge adds a broad, low rise on one side
    upper = _about(rise > 0.5 * height, peak)
    weight = np.where(upper, rise - 0.5 * height, 0.0)
    middle = (weight * along).sum(axis=-1) / np.maximum(weight.sum(axis=-1), 1e-12)
    whole = np.where(_about(rise > 0.25 * height, peak), np.maximum(rise, 0.0), 0.0).sum(axis=-1)
    spread = STEP * upper.sum(axis=-1) / HALF_WIDTH
    good = (whole > WEAK * rough.contrast) & (peak > 0) & (peak < len(along) - 1)
    out = np.where(good[..., None], points + middle[..., None] * into, np.nan)
    blur = float(np.median(spread[good])) if good.any() else np.inf
    return out, blur, float(good.mean())


def _about(high: Bools, peak: Ints) -> Bools:
    """Where `high` holds without a break from the peak on, along the last axis."""
    index = np.arange(high.shape[-1])
    right = index >= peak[..., None]
    ahead = np.logical_and.accumulate(high | ~right, axis=-1) & right
    left = index <= peak[..., None]
    back = np.logical_and.accumulate((high | ~left)[..., ::-1], axis=-1)[..., ::-1] & left
    return np.asarray(ahead | back)


def _bore(picture: ScanPicture, rough: Rough, teeth: ScanTeeth) -> Floats | None:
    """(m, 2) points round the bore, where what is behind shows through it round the middle; None where there is
    none."""
    from scipy import ndimage

    x, y = (teeth.centre - (rough.factor - 1) / 2) / rough.factor
    labels, _ = ndimage.label(rough.body & ~rough.solid)
    label = int(labels[round(y), round(x)])
    if not label:
        return None
    hole = labels == label
    border = hole & ~ndimage.binary_erosion(hole)
    points = np.argwhere(border)[:, ::-1].astype(float)
    if len(points) < 20:
        return None
    r0 = float(np.median(np.hypot(points[:, 0] - x, points[:, 1] - y)))
    circle = circle_through(points, (x, y, r0), 0.25 * r0, 1.0)
    if circle is None or circle.used.mean() < 0.6 or not 4 < circle.radius < 0.95 * teeth.floor / rough.factor:
        return None
    t = np.radians(np.arange(ROUND_BORE) * 360.0 / ROUND_BORE)
    out = np.stack([np.sin(t), -np.cos(t)], axis=-1)
    centre = circle.centre * rough.factor + (rough.factor - 1) / 2
    start = centre + circle.radius * rough.factor * out
    reach = min(3.0 * rough.factor + 6.0, 0.4 * circle.radius * rough.factor)
    found, _, share = refined(picture, start, out, reach, rough)
    return found if share > 0.6 else None
