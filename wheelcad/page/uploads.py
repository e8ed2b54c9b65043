"""Files that a person gives the page: only kinds that can be measured, by name and by content, and not too large."""

from __future__ import annotations

import re
import secrets
from pathlib import Path

LARGEST = 64 << 20  # bytes of one file: a flatbed scan at 600 dots an inch
MOST_FILES = 40
PHOTOS = (".jpg", ".jpeg", ".png", ".tif", ".tiff", ".bmp")
MESHES = (".stl", ".obj", ".ply", ".3mf")
LISTS = (".csv", ".txt", ".tsv")
RECORDINGS = (".wav",)
WHEELS = (*MESHES, *PHOTOS, *RECORDINGS, *LISTS)
# How a file of a kind begins; kinds that are plain text have no beginning of their own.
BEGINS: dict[str, tuple[bytes, ...]] = {
    ".jpg": (b"\xff\xd8\xff",),
    ".jpeg": (b"\xff\xd8\xff",),
    ".png": (b"\x89PNG\r\n\x1a\n",),
    ".tif": (b"II*\x00", b"MM\x00*"),
    ".tiff": (b"II*\x00", b"MM\x00*"),
    ".bmp": (b"BM",),
    ".wav": (b"RIFF",),
    ".3mf": (b"PK\x03\x04",),
    ".ply": (b"ply",),
}


class RefusedError(ValueError):
    """A file that is not taken; the words say why."""


def kept_name(name: str, kinds: tuple[str, ...]) -> str:
    """A plain name for a file that was given as `name`: letters, digits, - and _, and one of `kinds` at its end."""
    plain = name.replace("\\", "/").rsplit("/", 1)[-1]
    suffix = Path(plain).suffix.lower()
    if suffix not in kinds:
        raise RefusedError(f"{plain[:60]!r} is no kind of file that is looked at here; such are {', '.join(kinds)}")
    stem = re.sub(r"[^A-Za-z0-9_-]+", "-", Path(plain).stem).strip("-_")[:40] or "file"
    return f"{stem}{suffix}"


def keep(folder: Path, name: str, data: bytes, kinds: tuple[str, ...]) -> Path:
    """Write a file that was given into `folder`, under a name nothing else has. RefusedError for what is not taken."""
    plain = kept_name(name, kinds)
    if len(data) > LARGEST:
        raise RefusedError(f"{plain} is larger than {LARGEST >> 20} MB")
    begins = BEGINS.get(Path(plain).suffix)
    if begins is not None and not data.startswith(begins):
        raise RefusedError(f"{plain} is not what its name says")
    if begins is None and Path(plain).suffix in LISTS and b"\x00" in data:
        raise RefusedError(f"{plain} is no text")
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / plain
    if path.exists():
        path = path.with_name(f"{path.stem}-{secrets.token_hex(3)}{path.suffix}")
    path.write_bytes(data)
    return path
