"""Lines of the engine frame drawn into a photograph, where its camera would see them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.survey.camera import Camera, project
from wheelcad.survey.photos import PhotoSeen, PrintMounting

LONGEST_PX = 60.0  # a straight line of the engine is a bent one in the picture: it is drawn in pieces no longer
WIDTH_SHARE = 0.0012  # of the picture's longer side: a line's width
LARGEST_SIDE = 2400  # px: the picture that is drawn into is reduced to this


@dataclass(frozen=True)
class OverlayLine:
    """A polyline (n, 3) mm in the engine frame, its colour (red, green, blue), and whether it ends where it began."""

    points_mm: Floats
    colour: tuple[int, int, int]
    closed: bool = False


def engine_camera(seen: PhotoSeen, mounting: PrintMounting) -> Camera:
    """The camera of a picture with the engine frame for its world: the disc's print lies at the pulley's front face."""
    camera = seen.camera
    raised = np.array([0.0, 0.0, mounting.front_z_mm + mounting.disc_plate_mm])
    return replace(camera, shift_mm=camera.shift_mm - camera.rotation @ raised)


def in_picture(line: OverlayLine, camera: Camera) -> list[Floats]:
    """The line as the picture has it: pieces (n, 2) px, broken where it goes behind the camera."""
    corners = np.asarray(line.points_mm, dtype=float)
    if line.closed:
        corners = np.vstack([corners, corners[:1]])
    fine = [corners[:1]]
    rough = project(corners, camera)
    for k in range(1, len(corners)):
        far = float(np.linalg.norm(rough[k] - rough[k - 1]))
        parts = int(min(200, max(1, np.ceil(far / LONGEST_PX)))) if np.isfinite(far) else 50
        share = np.arange(1, parts + 1)[:, None] / parts
        fine.append(corners[k - 1] + share * (corners[k] - corners[k - 1]))
    pixels = project(np.concatenate(fine), camera)
    there = np.asarray(np.isfinite(pixels).all(axis=1), dtype=bool)
    starts = np.flatnonzero(there & ~np.r_[False, there[:-1]])
    ends = np.flatnonzero(there & ~np.r_[there[1:], False]) + 1
    return [pixels[a:b] for a, b in zip(starts.tolist(), ends.tolist(), strict=True) if b - a > 1]


def draw_into(
    file: Path, lines: Sequence[OverlayLine], camera: Camera, solved_size_px: tuple[int, int], out: Path
) -> None:
    """Save `file` (the photograph, turned the right way up) as a JPEG with the lines drawn into it.

    solved_size_px: of the picture that the camera was solved for, which may have been reduced.
    """
    from PIL import Image, ImageDraw, ImageOps

    with Image.open(file) as opened:
        picture = ImageOps.exif_transpose(opened).convert("RGB")
    picture.thumbnail((LARGEST_SIDE, LARGEST_SIDE))
    scale = picture.size[0] / solved_size_px[0]
    pen = ImageDraw.Draw(picture)
    width = max(2, round(WIDTH_SHARE * max(picture.size)))
    for line in lines:
        for piece in in_picture(line, camera):
            # pixels count from their middles there, and from their edges here
            flat = ((piece + 0.5) * scale).ravel().tolist()
            pen.line(flat, fill=line.colour, width=width, joint="curve")
    picture.save(out, "JPEG", quality=90)
