"""Scans for the tests: a polygon rastered finer than the picture, then all that a scanner at home does to it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import shapely
from PIL import Image
from scipy import ndimage
from shapely.geometry import Polygon

FINE = 4


def covered(rings: list[np.ndarray], size: int) -> np.ndarray:
    """(size, size) share of each pixel inside closed rings (n, 2) of x, y in pixels; exact along x, FINE rows along y.

    Each crossing of a row by an edge adds or takes away all that lies to its right.
    """
    rows = size * FINE
    change = np.zeros(rows * (size + 2), dtype=np.float32)
    for ring in rings:
        a, b = ring[:-1], ring[1:]
        ya, yb = a[:, 1] * FINE - 0.5, b[:, 1] * FINE - 0.5
        low, high = np.minimum(ya, yb), np.maximum(ya, yb)
        first = np.ceil(low).astype(int)
        count = np.maximum(np.ceil(high).astype(int) - first, 0)
        edge = np.repeat(np.arange(len(a)), count)
        row = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(count) - count, count)
        x = a[edge, 0] + (row - ya[edge]) / (yb - ya)[edge] * (b - a)[edge, 0]
        sign = np.where(yb > ya, 1.0, -1.0)[edge]
        at = np.clip(np.floor(x).astype(int), 0, size - 1)
        np.add.at(change, row * (size + 2) + at, sign * (at + 1 - x))
        np.add.at(change, row * (size + 2) + at + 1, sign * (x - at))
    fine = np.cumsum(change.reshape(rows, size + 2), axis=1)[:, :size]
    share = fine.reshape(size, FINE, size).mean(axis=1)
    return np.abs(share)


def scanned(
    plate: Polygon,
    dpi: float,
    rng: np.random.Generator,
    *,
    turned: float = 0.0,
    stretch: Callable[[np.ndarray], np.ndarray] | None = None,
    lid: str = "closed",
    blur: float = 0.8,
    noise: float = 0.015,
    tilt: float = 0.1,
    dust: int = 60,
    margin: float = 18.0,
    shadow: float = 0.0,
    shift: tuple[float, float] = (0.0, 0.0),
) -> np.ndarray:
    """(h, w) brightness 0 … 255 of the plate turned clockwise by `turned` degrees. stretch: mm (n, 2) from the
    middle, y down, to mm on the picture. blur: standard deviation in pixels."""
    scale = dpi / 25.4
    outside = np.abs(np.array(plate.exterior.coords)).max()
    size = int(2 * (outside + margin) * scale)
    back, metal = (235.0, 70.0) if lid == "closed" else (12.0, 150.0)
    middle = size / 2 + np.array(shift) * scale

    def on_picture(p: np.ndarray) -> np.ndarray:
        t = np.radians(turned)
        x, y = p[:, 0] * np.cos(t) + p[:, 1] * np.sin(t), p[:, 1] * np.cos(t) - p[:, 0] * np.sin(t)
        q = np.column_stack([x, -y])
        q = q if stretch is None else stretch(q)
        return q * scale + middle

    rings = [np.array(ring.coords) for ring in [plate.exterior, *plate.interiors]]
    cover = covered([on_picture(np.array(shapely.segmentize(shapely.LinearRing(r), 0.5).coords)) for r in rings], size)
    y, x = np.mgrid[0:size, 0:size].astype(np.float32) / size - 0.5
    light = 1 + tilt * (0.8 * x + 0.6 * y)
    grain = 1 + 0.08 * ndimage.gaussian_filter1d(rng.standard_normal((size, size)).astype(np.float32), 6, axis=1)
    behind = np.full((size, size), back, dtype=np.float32)
    if shadow:
        fallen = ndimage.gaussian_filter(np.roll(cover, (int(0.8 * scale), int(0.5 * scale)), (0, 1)), 0.4 * scale)
        behind *= 1 - shadow * fallen
    picture = (behind * (1 - cover) + metal * cover * grain) * light
    for _ in range(dust):
        cx, cy = rng.integers(0, size, 2)
        r = int(rng.integers(1, max(2, int(0.12 * scale))))
        picture[max(0, cy - r) : cy + r, max(0, cx - r) : cx + r] = rng.choice([30.0, 220.0])
    if blur:
        picture = ndimage.gaussian_filter(picture, blur)
    return picture + 255 * noise * rng.standard_normal((size, size))


def save_picture(path: Path, picture: np.ndarray, dpi: float | None = None, quality: int = 85) -> Path:
    """PNG, JPEG or TIFF by the name's suffix."""
    image = Image.fromarray(np.clip(np.round(picture), 0, 255).astype(np.uint8))
    keys = {} if dpi is None else {"dpi": (dpi, dpi)}
    if path.suffix in (".jpg", ".jpeg"):
        keys["quality"] = quality
    image.save(path, **keys)
    return path
