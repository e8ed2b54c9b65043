"""Writes a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def save(path: str | Path, data: bytes) -> None:
    """Write `data` beside `path`, then move it into place. OSError when the folder cannot be written."""
    target = Path(path)
    handle, aside = tempfile.mkstemp(prefix=f".{target.name}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
        os.chmod(aside, 0o644)
        os.replace(aside, target)
    except BaseException:
        Path(aside).unlink(missing_ok=True)
        raise
