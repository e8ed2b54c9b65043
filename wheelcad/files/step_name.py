"""The name of the product in a STEP file: the one thing there that says whose part it is."""

from __future__ import annotations

import re

# As the writer leaves them: the name, a number that it counts on over all files of one process, and of a piece its own.
_WRITTEN = re.compile(rb"PRODUCT\('part \d+(?:\.(\d+))?','part \d+(?:\.\d+)?'")
_NAMED = rb"PRODUCT\('%b((?: \d+)?)','%b(?: \d+)?'"
WRITTEN_AS = "part"  # short, so that the writer folds no line for its sake: then nothing else depends on the name


def named(data: bytes, name: str) -> bytes:
    """A file that was written under the name WRITTEN_AS, under its own: pieces numbered after it."""
    return _WRITTEN.sub(lambda found: _product(name, b" " + found[1] if found[1] else b""), data)


def renamed(data: bytes, old: str, new: str) -> bytes:
    """A file that was `named` one name, under another."""
    was = re.escape(_quoted(old))
    return re.sub(_NAMED % (was, was), lambda found: _product(new, found[1]), data)


def _product(name: str, piece: bytes) -> bytes:
    return b"PRODUCT('%b%b','%b%b'" % (_quoted(name), piece, _quoted(name), piece)


def _quoted(name: str) -> bytes:
    """A text as STEP writes it between quotes (ISO 10303-21)."""
    return name.replace("\\", "\\\\").replace("'", "''").encode("latin-1")
