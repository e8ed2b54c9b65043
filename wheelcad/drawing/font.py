"""Widths of drawing text, from the font itself, without any PDF or font library.

Two faces are carried along (a condensed sans serif and its bold, reduced to Latin, Greek, Cyrillic and drawing signs),
so that what is measured here is what every back end shows. Reads the tables head, hhea, hmtx and cmap (format 4) of a
TrueType file: ISO/IEC 14496-22.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

FOLDER = Path(__file__).parent / "fonts"
REGULAR = "DejaVuSansCondensed"
BOLD = "DejaVuSansCondensed-Bold"
CAPITAL = 0.729  # height of a capital letter, in em; drawing text is sized by its capitals (ISO 3098)


@dataclass(frozen=True)
class FontFace:
    """Advance widths of one font: character code -> em."""

    advances: dict[int, float]
    missing: float

    def width(self, text: str) -> float:
        """Width of a text in em."""
        return sum(self.advances.get(ord(ch), self.missing) for ch in text)


def path_of(name: str) -> Path:
    """The font's file."""
    return FOLDER / f"{name}.ttf"


@cache
def face(name: str) -> FontFace:
    """The widths of a face carried along (REGULAR or BOLD)."""
    data = path_of(name).read_bytes()
    count = struct.unpack_from(">H", data, 4)[0]
    tables = {}
    for i in range(count):
        tag, _, offset, _ = struct.unpack_from(">4sIII", data, 12 + 16 * i)
        tables[tag.decode("ascii")] = offset
    per_em = struct.unpack_from(">H", data, tables["head"] + 18)[0]
    metrics = struct.unpack_from(">H", data, tables["hhea"] + 34)[0]
    pairs = struct.unpack_from(f">{2 * metrics}H", data, tables["hmtx"])
    advances = pairs[::2]
    glyphs = _characters(data, tables["cmap"])
    return FontFace({code: advances[min(g, metrics - 1)] / per_em for code, g in glyphs.items()}, advances[0] / per_em)


def _characters(data: bytes, cmap: int) -> dict[int, int]:
    """Character code -> glyph, from the first format 4 subtable."""
    for i in range(struct.unpack_from(">H", data, cmap + 2)[0]):
        at = cmap + struct.unpack_from(">I", data, cmap + 4 + 8 * i + 4)[0]
        if struct.unpack_from(">H", data, at)[0] == 4:
            return _format_4(data, at)
    raise ValueError("the font has no format 4 character table")


def _format_4(data: bytes, at: int) -> dict[int, int]:
    n = struct.unpack_from(">H", data, at + 6)[0] // 2
    ends = struct.unpack_from(f">{n}H", data, at + 14)
    starts = struct.unpack_from(f">{n}H", data, at + 16 + 2 * n)
    deltas = struct.unpack_from(f">{n}H", data, at + 16 + 4 * n)
    ranges_at = at + 16 + 6 * n
    ranges = struct.unpack_from(f">{n}H", data, ranges_at)
    out = {}
    for i in range(n):
        for code in range(starts[i], min(ends[i], 0xFFFE) + 1):
            if ranges[i] == 0:
                glyph = (code + deltas[i]) & 0xFFFF
            else:
                glyph = struct.unpack_from(">H", data, ranges_at + 2 * i + ranges[i] + 2 * (code - starts[i]))[0]
                glyph = (glyph + deltas[i]) & 0xFFFF if glyph else 0
            if glyph:
                out[code] = glyph
    return out


def size_for(height: float) -> float:
    """Font size (em, mm) whose capitals are `height` mm high."""
    return height / CAPITAL


@lru_cache(maxsize=4096)
def text_width(text: str, height: float, bold: bool = False) -> float:
    """Width in mm of one line of text with capitals `height` mm high."""
    return face(BOLD if bold else REGULAR).width(text) * size_for(height)


def wrap(text: str, height: float, width: float, bold: bool = False) -> list[str]:
    """The text broken at spaces into lines at most `width` mm wide (a longer word is broken anywhere)."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        while text_width(word, height, bold) > width and len(word) > 1:
            cut = next(n for n in range(len(word) - 1, 0, -1) if n == 1 or text_width(word[:n], height, bold) <= width)
            if line:
                lines.append(line)
                line = ""
            lines.append(word[:cut])
            word = word[cut:]
        if line and text_width(f"{line} {word}", height, bold) > width:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, line] if line else lines
