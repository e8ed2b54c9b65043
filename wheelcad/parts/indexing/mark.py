"""The plan mark: six characters that two lists of stops share only when they are the same list."""

from __future__ import annotations

import json
from collections.abc import Iterable
from fractions import Fraction
from hashlib import sha256

LENGTH = 6
PLACES = 6  # decimals of a length in mm: what is nearer is the same place


def mark_of(rows: Iterable[tuple[object, ...]]) -> str:
    """The first characters of the SHA-256 of the rows: angles as exact fractions, lengths to 1e-6 mm."""
    lines = (json.dumps(_plain(row), separators=(",", ":")) for row in rows)
    return sha256("\n".join(lines).encode()).hexdigest()[:LENGTH]


def _plain(value: object) -> object:
    """A fraction as n/d, a float rounded, a tuple as a list; whole numbers, words and None as they are."""
    if isinstance(value, Fraction):
        return f"{value.numerator}/{value.denominator}"
    if isinstance(value, float):
        return f"{round(value, PLACES) + 0.0:.{PLACES}f}"
    return [_plain(one) for one in value] if isinstance(value, tuple) else value
