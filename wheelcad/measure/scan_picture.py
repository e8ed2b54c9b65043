"""A picture from a flatbed scanner as brightness, its scale, and roughly where in it the wheel lies.

The wheel may be darker than what is behind it (lid closed) or brighter (lid left open), and the light may fall off
across the picture: what is behind is a smooth surface through the picture's border, the wheel is what differs from
it. x runs to the right and y down, in pixels.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.arrays import Bools, Floats
from wheelcad.measure.reading import refused
from wheelcad.units import INCH_MM

SUFFIXES = (".png", ".jpg", ".jpeg", ".tif", ".tiff")
MOST_PIXELS = 200_000_000
ROUGH = 1400  # pixels along the longer side of the rough picture
BORDER = 0.03  # of the shorter side: the strip that shows what is behind
DARK, BRIGHT = 0.62, 0.5  # of the contrast: from here on it is the wheel, and no shadow beside it
LEAST_CONTRAST = 0.08  # of full brightness between wheel and background
LARGEST_BED_MM = (320.0, 450.0)  # of a scanner at home or in an office, with room to spare
PLACEHOLDER_DPI = 100.0  # a resolution below this in a file is what programs write when they know none
LEAST_DPI, MOST_DPI = 50.0, 9600.0


@dataclass(frozen=True, eq=False)
class ScanPicture:
    """light: (h, w) brightness 0 … 1. dpi: as the file states it, or None."""

    path: Path
    light: np.ndarray[tuple[int, ...], np.dtype[np.float32]]
    dpi: float | None


@dataclass(frozen=True, eq=False)
class Rough:
    """The wheel in the rough picture. factor: pixels of the picture to one of the rough one. body: with its holes
    filled; solid: without. sign: +1 where the wheel is brighter than what is behind it."""

    factor: int
    body: Bools
    solid: Bools
    sign: int
    contrast: float


def read_picture(path: Path) -> ScanPicture:
    """Read PNG, JPEG or TIFF. JobFileError for anything else."""
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            with Image.open(path) as image:
                dpi = image.info.get("dpi")
                deep = image.mode.startswith("I")
                light = np.asarray(image if deep else image.convert("L"), dtype=np.float32)
    except OSError as error:
        raise refused(path, f"is no picture that can be read: {error.strerror or 'unknown or spoilt format'}") from None
    except Exception as error:  # the library raises whatever it trips over
        raise refused(path, f"is no picture that can be read ({type(error).__name__})") from None
    if light.ndim != 2 or min(light.shape) < 100:
        raise refused(path, "is too small a picture to measure: scan at 300 dpi or more")
    stated = float(dpi[0]) if dpi else None
    return ScanPicture(
        path, light / (65535.0 if deep else 255.0), stated if stated and stated > PLACEHOLDER_DPI else None
    )


def scale_of(picture: ScanPicture, dpi: float | None) -> float | None:
    """Dots per inch to go by, or None. JobFileError when what is asked cannot be this picture's."""
    if dpi is None:
        return picture.dpi
    if not LEAST_DPI <= dpi <= MOST_DPI:
        raise refused("--dpi", f"cannot be {dpi:g}", allowed=f"{LEAST_DPI:g} to {MOST_DPI:g} dots per inch")
    if picture.dpi is not None and abs(dpi / picture.dpi - 1) > 0.02:
        hint = "leave --dpi out, or give the wheel's --diameter instead"
        raise refused(picture.path, f"says it was scanned at {picture.dpi:g} dpi, and --dpi says {dpi:g}", hint)
    height, width = (side / dpi * INCH_MM for side in picture.light.shape)
    if min(width, height) > LARGEST_BED_MM[0] or max(width, height) > LARGEST_BED_MM[1]:
        found = f"{width:.0f} × {height:.0f} mm"
        raise refused(
            picture.path, f"would be larger than any scanner's bed at {dpi:g} dpi: the dpi is wrong", found=found
        )
    return dpi


def find_wheel(picture: ScanPicture) -> Rough:
    """Where the wheel lies. JobFileError for a picture without contrast, or a wheel that runs over its border."""
    from scipy import ndimage
    from skimage.filters import threshold_otsu

    factor = max(1, round(max(picture.light.shape) / ROUGH))
    light = reduced(picture.light, factor)
    away = light - background(light)
    strip = _strip(light.shape)
    noise = 1.4826 * float(np.median(np.abs(away[strip])))
    size = np.abs(ndimage.gaussian_filter(away, 1.0))
    limit = max(float(threshold_otsu(size)), 5 * noise)
    first = _largest(picture, size > 0.7 * limit)
    difference = float(np.median(away[first & (size > 0.7 * limit)]))
    if abs(difference) < LEAST_CONTRAST:
        hint = "close the lid over white paper, or leave it open in a dark room"
        raise refused(picture.path, "shows too little contrast between the wheel and what is behind it", hint)
    sign = 1 if difference > 0 else -1
    metal = ndimage.gaussian_filter(sign * away, 1.0) > (DARK if sign < 0 else BRIGHT) * abs(difference)
    body = _largest(picture, metal)
    edge = np.concatenate([body[0], body[-1], body[:, 0], body[:, -1]])
    if edge.any():
        hint = "scan the whole wheel with room round it"
        raise refused(picture.path, "is cropped: the wheel runs over the picture's border", hint)
    return Rough(factor, body, metal & body, sign, abs(difference))


def _largest(picture: ScanPicture, metal: Bools) -> Bools:
    """The largest piece, its holes filled; specks of dust taken away first."""
    from scipy import ndimage

    labels, count = ndimage.label(ndimage.binary_fill_holes(ndimage.binary_opening(metal, iterations=1)))
    if not count:
        raise refused(picture.path, "shows nothing that stands out from its background")
    sizes = np.bincount(labels.ravel())
    sizes[0] = 0
    return np.asarray(labels == int(sizes.argmax()))


def reduced(light: np.ndarray[tuple[int, ...], np.dtype[np.float32]], factor: int) -> Floats:
    """The light in blocks of factor × factor pixels."""
    h, w = (side // factor * factor for side in light.shape)
    blocks = light[:h, :w].reshape(h // factor, factor, w // factor, factor)
    return np.asarray(blocks.mean(axis=(1, 3)), dtype=float)


def _strip(shape: tuple[int, ...]) -> Bools:
    wide = max(2, int(BORDER * min(shape)))
    strip = np.ones(shape, dtype=bool)
    strip[wide:-wide, wide:-wide] = False
    return strip


def background(light: Floats) -> Floats:
    """A smooth surface of second degree through the border strip, what does not belong to it left out."""
    h, w = light.shape
    y, x = np.mgrid[0:h, 0:w]
    u, v = 2 * x / w - 1, 2 * y / h - 1
    terms = np.stack([np.ones_like(u), u, v, u * u, u * v, v * v], axis=-1)
    strip = _strip(light.shape)
    a, b = terms[strip], light[strip]
    kept = np.abs(b - np.median(b)) <= 0.25
    solution = np.zeros(6)
    for _ in range(4):
        solution = np.linalg.lstsq(a[kept], b[kept], rcond=None)[0]
        rest = np.abs(b - a @ solution)
        kept = rest <= max(3 * 1.4826 * float(np.median(rest)), 0.01)
    return np.asarray(terms @ solution)
