"""Photographs of a scene, drawn from survey-tags.pdf itself by a projector of its own.

Each page is rasterised, each piece's part of it is laid on its plane at its true depth, and every pixel of the picture
looks along its own ray, bent as the lens bends it. Then come blur, uneven light, noise and JPEG.
"""

from __future__ import annotations

import io
import math
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
from numpy.typing import NDArray
from PIL import Image

from tests.survey.scene import Floats, Lens, Scene

DPI = 400
A_MM = DPI / 25.4  # pixels of a page a millimetre


def pages_of(pdf: Path) -> list[NDArray[np.uint8]]:
    """Each page as brightness, DPI pixels an inch."""
    document = pypdfium2.PdfDocument(str(pdf))
    return [np.asarray(document[k].render(scale=DPI / 72).to_pil().convert("L")) for k in range(len(document))]


def rays(lens: Lens, us: Floats, vs: Floats) -> tuple[Floats, Floats]:
    """x/z and y/z of the rays of pixels: the bend undone by Newton's steps on the radius."""
    a, b = (us - lens.middle[0]) / lens.focal, (vs - lens.middle[1]) / lens.focal
    bent2 = a * a + b * b
    # on a fine table of radii, which straight steps between are true to 1e-7
    table = np.linspace(0.0, 1.5 * float(np.sqrt(bent2.max())), 20_001)
    r2 = table**2
    stretch = 1 + lens.k1 * r2 + lens.k2 * r2**2
    share = np.interp(np.sqrt(bent2), table * stretch, 1 / stretch)
    return a * share, b * share


def photograph(
    scene: Scene,
    pages: list[NDArray[np.uint8]],
    lens: Lens,
    pose: tuple[Floats, Floats],
    rng: np.random.Generator,
    names: list[str] | None = None,
    blur_px: float = 1.0,
) -> NDArray[np.uint8]:
    """One picture, (height, width); nearer pieces hide those behind."""
    width, height = lens.size
    picture = backdrop(rng, width, height)
    turn_c, shift_c = pose
    pieces = [piece for piece in scene.sheet.pieces if piece.name in (names or scene.pieces)]
    for piece in sorted(pieces, key=lambda p: p.name == "disc"):
        turn_p, shift_p = scene.pieces[piece.name]
        turn, shift = turn_c @ turn_p, turn_c @ shift_p + shift_c
        half = piece.size_mm / 2 * 1.05
        rim = np.array([[x, y] for x in np.linspace(-half, half, 9) for y in np.linspace(-half, half, 9)])
        seen = lens.see(rim @ turn.T[:2] + shift)
        u0, v0 = np.floor(seen.min(axis=0)).astype(int) - 2
        u1, v1 = np.ceil(seen.max(axis=0)).astype(int) + 2
        u0, v0, u1, v1 = max(u0, 0), max(v0, 0), min(u1, width - 1), min(v1, height - 1)
        us, vs = np.meshgrid(np.arange(u0, u1 + 1, dtype=float), np.arange(v0, v1 + 1, dtype=float))
        a, b = rays(lens, us, vs)
        # where each ray meets the piece's plane: turn's third column is the plane's normal
        normal = turn[:, 2]
        z = (normal @ shift) / (a * normal[0] + b * normal[1] + normal[2])
        inside = np.stack([a * z, b * z, z], -1) - shift
        x, y = inside @ turn[:, 0], inside @ turn[:, 1]
        x, y = x / scene.scale[0], y / scene.scale[1]
        own = scene.own.get(piece.name, 1.0)
        x, y = x / own, y / own
        mine = (
            np.hypot(x, y) <= piece.size_mm / 2 if piece.name == "disc" else np.maximum(abs(x), abs(y)) <= half / 1.05
        )
        # the rasteriser fits the page to whole pixels
        high, wide = pages[piece.page - 1].shape
        column = (piece.centre_mm[0] + x) * wide / scene.sheet.page_mm[0] - 0.5
        row = (scene.sheet.page_mm[1] - piece.centre_mm[1] - y) * high / scene.sheet.page_mm[1] - 0.5
        far = float(np.median(z))
        footprint = far / lens.focal * A_MM  # pixels of the page that one pixel of the picture covers
        c0, r0 = max(int(column[mine].min()) - 20, 0), max(int(row[mine].min()) - 20, 0)
        page = pages[piece.page - 1][r0 : int(row[mine].max()) + 20, c0 : int(column[mine].max()) + 20]
        page = cv2.GaussianBlur(page, (0, 0), max(0.3, 0.5 * footprint))
        shade = cv2.remap(page, (column - c0).astype(np.float32), (row - r0).astype(np.float32), cv2.INTER_LINEAR)
        paper = 30 + 0.75 * shade.astype(np.float32)
        part = picture[v0 : v1 + 1, u0 : u1 + 1]
        part[mine] = paper[mine]
    picture = cv2.GaussianBlur(picture, (0, 0), blur_px)
    us, vs = np.linspace(-1, 1, width, dtype=np.float32), np.linspace(-1, 1, height, dtype=np.float32)[:, None]
    side = float(rng.uniform(0, 2 * math.pi))
    light = (0.18 * math.cos(side) * us - 0.12 * us**2) + (0.8 + 0.18 * math.sin(side) * vs - 0.12 * vs**2)
    picture = picture * light
    picture += 3.0 * rng.standard_normal(picture.shape, dtype=np.float32)
    return np.clip(picture, 0, 255).astype(np.uint8)


def backdrop(rng: np.random.Generator, width: int, height: int) -> NDArray[np.float32]:
    """Something dark and blotchy, as an engine is."""
    small = rng.uniform(30, 120, (height // 40 + 1, width // 40 + 1)).astype(np.float32)
    return cv2.resize(small, (width, height), interpolation=cv2.INTER_LINEAR)


def as_jpeg(picture: NDArray[np.uint8], quality: int = 88, exif: bytes = b"") -> bytes:
    """The picture as a camera saves it."""
    out = io.BytesIO()
    Image.fromarray(picture).save(out, "JPEG", quality=quality, exif=exif)
    return out.getvalue()
