"""Scans for the tests: a polygon rastered four times as fine as the picture, then all that a scanner at home does to it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import shapely
from PIL import Image, ImageDraw
from scipy import ndimage
from shapely.geometry import Polygon

FINE = 4


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
    """(h, w) brightness 0 … 255 of the plate turned clockwise by `turned` degrees. stretch: mm (n, 2) from the middle, y
    down, to mm on the picture. blur: standard deviation in pixels."""
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
        return q * scale + middle + 0.5

    mask = Image.new("L", (size * FINE, size * FINE), 0)
    draw = ImageDraw.Draw(mask)
    plate = shapely.segmentize(plate, 0.5)
    draw.polygon([tuple(p) for p in on_picture(np.array(plate.exterior.coords)) * FINE - 0.5], fill=255)
    for ring in plate.interiors:
        draw.polygon([tuple(p) for p in on_picture(np.array(ring.coords)) * FINE - 0.5], fill=0)
    cover = np.asarray(mask, dtype=np.float32).reshape(size, FINE, size, FINE).mean(axis=(1, 3)) / 255
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
