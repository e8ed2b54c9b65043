"""Reads photographs: turned the right way up, not too large, and told from what is none.

What a camera wrote beside the picture (EXIF) is used for three things: which way up it was held, which pictures are of
one camera, and roughly how long its lens is. None of it is needed.
"""

from __future__ import annotations

import math
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from wheelcad.arrays import Bytes
from wheelcad.errors import Fault, Faults, JobFileError

LARGEST_FILE = 200 << 20  # bytes
LARGEST_PIXELS = 250_000_000  # what a picture may unpack to
KEPT_PIXELS = 26_000_000  # larger ones are halved (each pixel the mean of four) until they are no larger
LEAST_SIDE = 600  # px: on a smaller picture no tag is found well
FILM_DIAGONAL = 43.2666  # mm of the 24 × 36 frame that "35 mm equivalent" means, √(24² + 36²)
HEIF_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif")
AS_JPEG = (
    "on the phone: camera settings, formats, the one called most compatible or JPEG, and photograph again; or open it "
    "there and share or export it as JPEG; or on a computer open it and save it as JPEG in full size"
)
ORIENTATION, FOCAL_35, FOCAL_MM, MAKER, MODEL, EXIF = 0x0112, 0xA405, 0x920A, 0x010F, 0x0110, 0x8769


@dataclass(frozen=True)
class Picture:
    """grey: (height, width) brightness, the right way up. camera: what the pictures of one have in common, whichever
    way it was held. focal_share: focal length over the longer side, or 0."""

    file: Path
    grey: Bytes
    camera: tuple[object, ...]
    focal_share: float

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height."""
        return self.grey.shape[1], self.grey.shape[0]


def read_pictures(files: list[Path]) -> list[Picture]:
    """The pictures. JobFileError with a fault for each file that is none."""
    faults, out = Faults(), []
    for file in files:
        try:
            out.append(read_picture(file))
        except JobFileError as error:
            faults.extend(error.faults)
    faults.raise_if_any(JobFileError)
    return out


def read_picture(file: Path) -> Picture:
    """One picture. JobFileError that says what to do where it cannot be read."""
    image = _opened(file)
    with image:
        width, height = image.size
        told = _told(image)
        shrink = 1
        while width * height / shrink**2 > KEPT_PIXELS:
            shrink *= 2
        if min(width, height) / shrink < LEAST_SIDE:
            found = f"{width} × {height} pixels"
            hint = "take the picture as the camera made it, not a preview or one sent by a messenger"
            raise JobFileError(Fault("is too small to find tags well in", file=str(file), found=found, hint=hint))
        try:
            grey = image.convert("L")
            grey = grey.reduce(shrink) if shrink > 1 else grey
            pixels = np.asarray(_turned(grey, told.get(ORIENTATION)), dtype=np.uint8)
        except (OSError, ValueError, MemoryError) as error:
            raise JobFileError(Fault(f"cannot be read as a picture: {error}", file=str(file))) from None
    sides = tuple(sorted((width, height)))
    camera = (sides, str(told.get(MAKER, "")), str(told.get(MODEL, "")), _number(told.get(FOCAL_MM)))
    film = _number(told.get(FOCAL_35))
    share = film / FILM_DIAGONAL * math.hypot(width, height) / max(width, height) if film > 8.0 else 0.0
    return Picture(file, pixels, camera, share)


def _turned(grey: Any, orientation: object) -> Any:
    """The picture as it was held, after the EXIF standard's table of orientations."""
    from PIL.Image import Transpose

    turns: dict[object, Transpose] = {
        2: Transpose.FLIP_LEFT_RIGHT,
        3: Transpose.ROTATE_180,
        4: Transpose.FLIP_TOP_BOTTOM,
        5: Transpose.TRANSPOSE,
        6: Transpose.ROTATE_270,
        7: Transpose.TRANSVERSE,
        8: Transpose.ROTATE_90,
    }
    return grey.transpose(turns[orientation]) if orientation in turns else grey


def _opened(file: Path) -> Any:
    """The file as a picture that is not yet unpacked."""
    from PIL import Image, UnidentifiedImageError

    try:
        with file.open("rb") as stream:
            head = stream.read(32)
        size = file.stat().st_size
    except OSError as error:
        raise JobFileError(Fault(f"cannot be read: {error.strerror}", file=str(file))) from None
    if size > LARGEST_FILE:
        found, allowed = f"{size >> 20} MiB", f"{LARGEST_FILE >> 20} MiB"
        raise JobFileError(Fault("is larger than any photograph", file=str(file), found=found, allowed=allowed))
    if head[4:8] == b"ftyp" and head[8:12] in HEIF_BRANDS:
        raise JobFileError(Fault("is a HEIC picture, which is not read here", file=str(file), hint=AS_JPEG))
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of large pictures: their size is judged here
            previous, Image.MAX_IMAGE_PIXELS = Image.MAX_IMAGE_PIXELS, None
            try:
                image = Image.open(file)
            finally:
                Image.MAX_IMAGE_PIXELS = previous
    except (UnidentifiedImageError, OSError, ValueError) as error:
        why = "is no picture" if isinstance(error, UnidentifiedImageError) else f"cannot be read as a picture: {error}"
        raise JobFileError(Fault(why, file=str(file), hint="JPEG or PNG, as the camera made it")) from None
    if image.size[0] * image.size[1] > LARGEST_PIXELS:
        found = f"{image.size[0]} × {image.size[1]} pixels"
        raise JobFileError(Fault("is larger than can be read", file=str(file), found=found, allowed="250 megapixels"))
    return image


def _told(image: Any) -> dict[int, Any]:
    """What the camera wrote beside the picture; nothing where that cannot be read."""
    try:
        exif = image.getexif()
        return {**dict(exif), **dict(exif.get_ifd(EXIF))}
    except Exception:  # a damaged block beside a sound picture: every kind of error has been seen
        return {}


def _number(value: Any) -> float:
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError):
        return 0.0
    return number if math.isfinite(number) else 0.0
