"""Shaded pictures of triangles, worked out on numpy arrays: no display, no graphics library, the same every run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints

PIECE = 400_000  # rows or pixels that are worked out at a time
BAND = 60  # rows of the picture that are worked out at a time: all of it would not stay near the processor
LIGHT = (0.45, 0.35, 0.82)  # towards the lamp: x to the right, y up, z to the eye
DARKEST = 0.42  # of a face turned away from the lamp
CREASE_COS = 0.85  # faces that meet at a sharper angle than about 32 degrees have a line between them
STEP_SHARE = 0.012  # a jump in depth of this share of the picture's width is an edge


@dataclass(frozen=True)
class Viewpoint:
    """Where the picture is taken from: degrees to the right of the Z axis, and above the XZ plane."""

    right_deg: float
    above_deg: float

    def turned(self, points: Floats) -> Floats:
        """Points (…, 3) as the eye sees them: x to its right, y up, z towards it."""
        a, b = np.radians([self.right_deg, self.above_deg])
        right = np.array([np.cos(a), 0.0, -np.sin(a)])
        toward = np.array([np.cos(b) * np.sin(a), np.sin(b), np.cos(b) * np.cos(a)])
        seen: Floats = points @ np.stack([right, np.cross(toward, right), toward]).T
        return seen


def shaded(triangles: Floats, greys: Floats, width: int, height: int, eye: Viewpoint, margin: float = 0.04) -> Floats:
    """Brightness (height, width) of triangles (n, 3, 3), each of a grey from 0 to 1, in parallel light on white.

    margin: the share of the picture left free on each side. ValueError when there is nothing to see.
    """
    if len(triangles) == 0:
        raise ValueError("no triangles to draw")
    seen = eye.turned(np.asarray(triangles, dtype=np.float64))
    corners, scale = _fitted(seen, width, height, margin)
    cross = np.cross(seen[:, 1] - seen[:, 0], seen[:, 2] - seen[:, 0])
    length = np.linalg.norm(cross, axis=1)
    front = cross[:, 2] > 1e-9 * np.maximum(length, 1e-12)
    corners, normals, greys = corners[front], cross[front] / length[front, None], np.asarray(greys)[front]
    lamp = np.array(LIGHT) / np.linalg.norm(LIGHT)
    tone = greys * (DARKEST + (1 - DARKEST) * np.clip(normals @ lamp, 0.0, 1.0))
    tone, slopes = np.append(tone, 1.0), _slopes(corners)  # the last one is the ground's, which is no triangle's
    picture = np.empty((height, width))
    for low in range(0, height, BAND):
        high = min(low + BAND, height)
        first, last = max(low - 1, 0), min(high + 1, height)  # a line lies on both sides of where it is seen
        depth, owner = _nearest(corners, slopes, width, first, last)
        lines = _edges(depth, owner, normals, STEP_SHARE * width / scale)
        own = slice(low - first, high - first)
        picture[low:high] = np.where(lines[own], 0.0, tone[owner[own]])
    return picture


def _fitted(seen: Floats, width: int, height: int, margin: float) -> tuple[Floats, float]:
    """Corners in pixels, y down, z kept in mm; and pixels a mm."""
    low, high = seen.reshape(-1, 3).min(axis=0), seen.reshape(-1, 3).max(axis=0)
    size = np.maximum(high - low, 1e-9)
    scale = float(min(width * (1 - 2 * margin) / size[0], height * (1 - 2 * margin) / size[1]))
    middle = (low + high) / 2
    corners = np.empty_like(seen)
    corners[..., 0] = width / 2 + (seen[..., 0] - middle[0]) * scale
    corners[..., 1] = height / 2 - (seen[..., 1] - middle[1]) * scale
    corners[..., 2] = seen[..., 2]
    return corners, scale


def _nearest(corners: Floats, slopes: Floats, width: int, first: int, last: int) -> tuple[Floats, Ints]:
    """Depth of each pixel in the rows from first to before last, and its nearest triangle, -1 for none."""
    height = last - first
    depth, owner = np.full(width * height, -np.inf), np.full(width * height, -1, dtype=np.int64)
    top = np.clip(np.ceil(corners[..., 1].min(axis=1) - 0.5), first, last).astype(np.int64)
    bottom = np.clip(np.ceil(corners[..., 1].max(axis=1) - 0.5), first, last).astype(np.int64)
    for some in _pieces(bottom - top):
        which, row = _runs(some, top[some], bottom[some])
        left, right = _span(corners[which], row.astype(np.float64) + 0.5, width)
        for part in _pieces(right - left):
            at, column = _runs(part, left[part], right[part])
            pixel = (row[at] - first) * width + column
            _keep(slopes, which[at], column, row[at], pixel, depth, owner)
    return depth.reshape(height, width), owner.reshape(height, width)


def _pieces(counts: Ints) -> list[Ints]:
    """Indices cut into pieces whose counts come to about PIECE each; those of nothing left out."""
    some = np.flatnonzero(counts > 0)
    total = np.cumsum(counts[some]) // PIECE
    return [piece for piece in np.split(some, np.flatnonzero(np.diff(total)) + 1) if len(piece)]


def _runs(index: Ints, start: Ints, end: Ints) -> tuple[Ints, Ints]:
    """Each index once for every whole number from its start up to its end, and those numbers."""
    count = end - start
    first = np.repeat(np.cumsum(count) - count, count)
    return np.repeat(index, count), np.repeat(start, count) + np.arange(int(count.sum())) - first


def _span(corners: Floats, y: Floats, width: int) -> tuple[Ints, Ints]:
    """First pixel and the one after the last of each triangle (m, 3, 3) on its line y (m,)."""
    low, high = np.full(len(y), np.inf), np.full(len(y), -np.inf)
    for k in range(3):
        (xa, ya), (xb, yb) = corners[:, k, :2].T, corners[:, (k + 1) % 3, :2].T
        meets = (np.minimum(ya, yb) <= y) & (y <= np.maximum(ya, yb)) & (ya != yb)
        x = xa + (xb - xa) * (y - ya) / np.where(ya != yb, yb - ya, 1.0)
        low, high = np.where(meets, np.minimum(low, x), low), np.where(meets, np.maximum(high, x), high)
    none = low > high
    left = np.clip(np.ceil(np.where(none, 0.0, low) - 0.5), 0, width).astype(np.int64)
    right = np.clip(np.ceil(np.where(none, 0.0, high) - 0.5), 0, width).astype(np.int64)
    return left, right


def _slopes(corners: Floats) -> Floats:
    """(n, 3): depth of each triangle's plane at the picture's corner, its change a pixel right and a pixel down.

    Of a triangle seen from its edge the depth of its first corner, everywhere.
    """
    a, b, c = corners.transpose(1, 0, 2)
    u, v = b - a, c - a
    area = u[:, 0] * v[:, 1] - v[:, 0] * u[:, 1]
    flat = np.abs(area) > 1e-12
    area = np.where(flat, area, 1.0)
    right = np.where(flat, (u[:, 2] * v[:, 1] - v[:, 2] * u[:, 1]) / area, 0.0)
    down = np.where(flat, (v[:, 2] * u[:, 0] - u[:, 2] * v[:, 0]) / area, 0.0)
    return np.column_stack([a[:, 2] - right * a[:, 0] - down * a[:, 1], right, down])


def _keep(slopes: Floats, which: Ints, column: Ints, row: Ints, pixel: Ints, depth: Floats, owner: Ints) -> None:
    """Put those pixels into the picture that are nearer than what is there. which: rising; pixel: their places."""
    start, right, down = slopes[which].T
    z = start + right * (column + 0.5) + down * (row + 0.5)
    nearer = np.flatnonzero(z > depth[pixel])
    z, pixel, which = z[nearer], pixel[nearer], which[nearer]
    np.maximum.at(depth, pixel, z)
    won = np.flatnonzero(z == depth[pixel])[::-1]  # of equally near ones the first, which is written last
    owner[pixel[won]] = which[won]


def _edges(depth: Floats, owner: Ints, normals: Floats, step: float) -> Bools:
    """Pixels on a line: where the part ends, a face lies behind another, or two faces meet at an angle."""
    lines = np.zeros(depth.shape, dtype=bool)
    for axis in (0, 1):
        near = (slice(None, -1), slice(None)) if axis == 0 else (slice(None), slice(None, -1))
        far = (slice(1, None), slice(None)) if axis == 0 else (slice(None), slice(1, None))
        one, two = owner[near], owner[far]
        differs = one != two
        outline = differs & ((one < 0) | (two < 0))
        inside = differs & ~outline
        i, j = one[inside], two[inside]
        drop = np.abs(depth[near][inside] - depth[far][inside])
        marked = outline.copy()
        marked[inside] = (np.einsum("ij,ij->i", normals[i], normals[j]) < CREASE_COS) | (drop > step)
        lines[near] |= marked
        lines[far] |= marked
    return lines
