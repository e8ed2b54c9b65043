"""Finds tags in a picture, and their corners to a small part of a pixel.

OpenCV finds and reads the tags. Each side of a tag is then looked at across: where brightness changes most, at many
places along it, a line is fitted, and corners are where lines meet. A tag's sides are black all along and white beside,
so neither blur, uneven light nor how bright the print is moves that line, but for both sides of a tag alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from wheelcad.arrays import Bytes, Floats, Ints
from wheelcad.survey.library import cv2, dictionary
from wheelcad.survey.tags import CELLS, DICTIONARY

FIND_SIDE = 2200  # px: tags are looked for on a picture reduced to about this, as that is quick
PLACES = 25  # along a side at which its edge is looked for
ALONG = (0.10, 0.90)  # the share of a side that is looked at: corners are rounded by blur
STEP = 0.5  # px between samples across
LEAST_TAG_PX = 14.0  # side of a tag: a smaller one is not used
REACH_PX = (2.5, 8.0)  # px on either side of the edge that are looked at, at least and at most


@dataclass(frozen=True)
class Found:
    """Tags in a picture: numbers (n,), corners (n, 4, 2) px in the tag's own order; doubled: numbers seen twice."""

    numbers: Ints
    corners: Floats
    doubled: tuple[int, ...]


def find_tags(grey: Bytes, name: str = DICTIONARY) -> Found:
    """All tags of the dictionary in a picture, each once."""
    library = cv2()
    shrink = max(1, round(max(grey.shape) / FIND_SIDE))
    small = grey
    if shrink > 1:
        size = (grey.shape[1] // shrink, grey.shape[0] // shrink)
        small = library.resize(grey[: size[1] * shrink, : size[0] * shrink], size, interpolation=library.INTER_AREA)
    rough, ids = _rough(small, name)
    if not len(ids):
        return Found(np.zeros(0, dtype=np.int64), np.zeros((0, 4, 2)), ())
    # the middle of a reduced pixel is the middle of those it was made of
    corners = (rough + 0.5) * shrink - 0.5
    side = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).min(axis=1)
    kept = side >= LEAST_TAG_PX
    corners, ids, side = corners[kept], ids[kept], side[kept]
    unique, counts = np.unique(ids, return_counts=True)
    doubled = tuple(int(number) for number in unique[counts > 1])
    kept = ~np.isin(ids, doubled)
    fine = refined(grey, corners[kept])
    sharp = np.isfinite(fine).all(axis=(1, 2))
    return Found(ids[kept][sharp], fine[sharp], doubled)


def is_mirrored(grey: Bytes, name: str = DICTIONARY) -> bool:
    """Whether tags are found in the picture's mirror image: such a picture was mirrored by the camera."""
    return len(find_tags(np.ascontiguousarray(grey[:, ::-1]), name).numbers) >= 2


def _rough(grey: Bytes, name: str) -> tuple[Floats, Ints]:
    """Corners (n, 4, 2) to about a pixel, and numbers."""
    aruco = cv2().aruco
    settings: Any = aruco.DetectorParameters()
    settings.adaptiveThreshWinSizeMin, settings.adaptiveThreshWinSizeMax = 9, 53
    settings.adaptiveThreshWinSizeStep = 22
    settings.minMarkerPerimeterRate = 0.01
    settings.cornerRefinementMethod = aruco.CORNER_REFINE_SUBPIX
    corners, ids, _ = aruco.ArucoDetector(dictionary(name), settings).detectMarkers(grey)
    if ids is None or not len(ids):
        return np.zeros((0, 4, 2)), np.zeros(0, dtype=np.int64)
    return np.array(corners, dtype=float).reshape(-1, 4, 2), np.array(ids, dtype=np.int64).ravel()


def refined(grey: Bytes, corners: Floats) -> Floats:
    """Corners (n, 4, 2) from lines fitted to the tags' sides; nan where a side shows no edge."""
    if not len(corners):
        return corners
    for _ in range(2):  # the second time the edge is in the middle of what is looked at
        corners = _from_sides(grey, corners)
    return corners


def _from_sides(grey: Bytes, corners: Floats) -> Floats:
    start, end = corners, np.roll(corners, -1, axis=1)
    along = end - start
    length = np.linalg.norm(along, axis=2)
    with np.errstate(invalid="ignore", divide="ignore"):
        along = along / length[..., None]
    # corners go round clockwise in the picture, so that outwards is to the left of the way along (y is down)
    out = np.stack([along[..., 1], -along[..., 0]], axis=-1)
    share = np.linspace(*ALONG, PLACES)
    base = start[:, :, None] + share[:, None] * (end - start)[:, :, None]
    module = length.min(axis=1) / CELLS
    reach = np.clip(0.45 * module, *REACH_PX)
    count = int(2 * REACH_PX[1] / STEP) + 1
    across = np.linspace(-1.0, 1.0, count)[None, :] * reach[:, None]  # (n, count)
    at = base[:, :, :, None] + across[:, None, None, :, None] * out[:, :, None, None]
    light = _light(grey, at)
    rise = np.clip(np.diff(light, axis=-1), 0.0, None)
    middle = (across[:, 1:] + across[:, :-1]) / 2
    # first where it rises most on the whole, then the middle of the rise about that, heavier where it is steep
    weight = rise**2
    centre = _mean(weight, middle[:, None, None])
    near = np.exp(-0.5 * ((middle[:, None, None] - centre[..., None]) / (0.5 * reach[:, None, None, None])) ** 2)
    shift = _mean(weight * near, middle[:, None, None])
    strength = rise.sum(axis=-1)
    return _meets(base, out, shift, strength)


def _mean(weight: Floats, value: Floats) -> Floats:
    total = weight.sum(axis=-1)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(total > 0, (weight * value).sum(axis=-1) / total, np.nan), dtype=float)


def _light(grey: Bytes, at: Floats) -> Floats:
    """Brightness at places (…, 2) px, between pixels in straight steps."""
    flat = at.reshape(-1, 2)
    limit = np.array([grey.shape[1] - 1.001, grey.shape[0] - 1.001])
    flat = np.clip(np.nan_to_num(flat), 0.0, limit)
    whole = flat.astype(np.int64)
    u, v = (flat - whole).T
    x, y = whole.T
    tone = grey.astype(np.float32) if grey.size < 4_000_000 else grey
    a, b, c, d = (tone[y + j, x + i].astype(float) for j in (0, 1) for i in (0, 1))
    return np.asarray((a * (1 - u) + b * u) * (1 - v) + (c * (1 - u) + d * u) * v, dtype=float).reshape(at.shape[:-1])


def _meets(base: Floats, out: Floats, shift: Floats, strength: Floats) -> Floats:
    """Where lines through the sides' edges meet. base (n, 4, places, 2), out (n, 4, 2); shift, strength: of edges."""
    weight = np.where(np.isfinite(shift), np.clip(strength, 0.0, None), 0.0)
    off = np.nan_to_num(shift)
    place = np.linspace(-1.0, 1.0, base.shape[2])
    slope = level = np.zeros(off.shape[:2])
    for _ in range(4):  # a straight line over the side, that a few bad places do not bend
        total = np.maximum(weight.sum(axis=-1), 1e-12)
        mean_p = (weight * place).sum(axis=-1) / total
        mean_o = (weight * off).sum(axis=-1) / total
        spread = (weight * (place - mean_p[..., None]) ** 2).sum(axis=-1)
        slope = (weight * (place - mean_p[..., None]) * (off - mean_o[..., None])).sum(axis=-1) / np.maximum(
            spread, 1e-12
        )
        level = mean_o - slope * mean_p
        left = np.abs(off - level[..., None] - slope[..., None] * place)
        scale = 1.4826 * np.median(left, axis=-1, keepdims=True) + 0.02
        weight = np.where(np.isfinite(shift), np.clip(strength, 0.0, None), 0.0) * (left < 3.0 * scale)
    first = base[:, :, 0] + (level - slope)[..., None] * out
    last = base[:, :, -1] + (level + slope)[..., None] * out
    good = (weight > 0).sum(axis=-1) >= base.shape[2] // 2
    # corner k lies where side k - 1 ends and side k begins
    p, d = first, last - first
    q, e = np.roll(first, 1, axis=1), np.roll(last - first, 1, axis=1)
    cross = d[..., 0] * e[..., 1] - d[..., 1] * e[..., 0]
    with np.errstate(invalid="ignore", divide="ignore"):
        t = ((q - p)[..., 0] * e[..., 1] - (q - p)[..., 1] * e[..., 0]) / cross
    corners = p + t[..., None] * d
    ok = good & np.roll(good, 1, axis=1)
    return np.asarray(np.where(ok[..., None], corners, np.nan), dtype=float)
