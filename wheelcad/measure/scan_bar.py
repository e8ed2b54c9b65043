"""A printed bar of known length beside the wheel in a scan: the scale, where neither dpi nor diameter is to be trusted.

A solid bar, drawn or printed, apart from the wheel and the picture's border, at least four times as long as wide. Its
length comes from its second moment along itself (L² / 12 for a rectangle of length L, which needs no sharp ends).
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.measure.reading import refused
from wheelcad.measure.scan_bed import Bed, stretched
from wheelcad.measure.scan_picture import Rough, ScanPicture, background, reduced
from wheelcad.words import length

LEAST_LONG = 4.0  # length over width
FULL = 0.08  # how far a piece's area may be from its length times its width, of it
LEAST_ROUGH = 40  # pixels of the rough picture along a bar
SAME = 0.01  # two bars of one length agree so far, of it
ROOM = 3  # rough pixels round a bar that are looked at as well
HINT = "a solid bar at least four times as long as wide, apart from the wheel and the border; --bar is its length"


def mm_per_size(picture: ScanPicture, rough: Rough, bed: Bed, bar_mm: float) -> float:
    """Millimetres to the unit in which the bed is straight, from the bars in the picture. JobFileError without one, or
    with several of different lengths."""
    lengths = [_length(picture, rough, bed, piece) for piece in _bars(picture, rough)]
    if not lengths:
        raise refused(picture.path, f"shows no bar of {length(bar_mm)} beside the wheel", HINT)
    if max(lengths) / min(lengths) > 1 + SAME:
        raise refused(picture.path, f"shows {len(lengths)} bars of different lengths", "leave one, or make them alike")
    return bar_mm / float(np.mean(lengths))


def _bars(picture: ScanPicture, rough: Rough) -> Iterator[tuple[slice, slice]]:
    """Where bars lie in the rough picture."""
    from scipy import ndimage

    light = reduced(picture.light, rough.factor)
    away = rough.sign * (light - background(light))
    wheel = ndimage.binary_dilation(rough.body, iterations=ROOM)
    labels, count = ndimage.label((away > 0.5 * rough.contrast) & ~wheel)
    for piece in ndimage.find_objects(labels, count):
        inside = [(s.start > 0, s.stop < size) for s, size in zip(piece, labels.shape, strict=True)]
        if not all(all(ends) for ends in inside) or max(s.stop - s.start for s in piece) < LEAST_ROUGH:
            continue
        grown = tuple(
            slice(max(0, s.start - ROOM), min(size, s.stop + ROOM)) for s, size in zip(piece, labels.shape, strict=True)
        )
        weight = np.clip(away[grown] / rough.contrast, 0, 1) * (weight_of(away[grown], rough.contrast) > 0)
        y, x = np.mgrid[grown]
        long, wide = _sides(np.column_stack([x.ravel(), y.ravel()]).astype(float), weight.ravel())
        if wide > 0 and long / wide > LEAST_LONG and abs(float(weight.sum()) / (long * wide) - 1) < FULL:
            yield (grown[0], grown[1])


def weight_of(away: Floats, contrast: float) -> Floats:
    """(h, w) share of each pixel that is bar: grain of the paper counts as none, grain of the ink as all."""
    return np.clip((away / contrast - 0.2) / 0.6, 0.0, 1.0)


def _sides(points: Floats, weight: Floats) -> tuple[float, float]:
    """Length and width of a rectangle with the moments of weighted points (n, 2)."""
    whole = float(weight.sum())
    if whole <= 0:
        return 0.0, 0.0
    middle = weight @ points / whole
    moments = np.linalg.eigvalsh(((points - middle) * weight[:, None]).T @ (points - middle) / whole)
    return float(np.sqrt(12 * moments[1])), float(np.sqrt(12 * max(moments[0], 0.0)))


def _length(picture: ScanPicture, rough: Rough, bed: Bed, piece: tuple[slice, slice]) -> float:
    """A bar's length in the picture itself, the bed's stretch taken out, in units of the bed's size."""
    f = rough.factor
    where = tuple(slice(s.start * f, s.stop * f) for s in piece)
    light = picture.light[where].astype(float)
    rows = np.r_[light[: f * 2].ravel(), light[-f * 2 :].ravel()]
    away = rough.sign * (light - float(np.median(rows)))
    contrast = float(np.percentile(away, 95))
    y, x = np.mgrid[where]
    points = stretched(np.column_stack([x.ravel(), y.ravel()]).astype(float), bed)
    return _sides(points, weight_of(away, contrast).ravel())[0]


def checked_bar(bar_mm: float | None, path: Path) -> None:
    """JobFileError for a length that no bar on a scanner's glass has."""
    if bar_mm is not None and not 20.0 <= bar_mm <= 400.0:
        raise refused("--bar", f"cannot be {bar_mm:g} mm", allowed="20 to 400 mm", found=str(path))
