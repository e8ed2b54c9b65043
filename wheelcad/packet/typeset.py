"""Sets a template with its data: what packet and measuring sheet share."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

FONTS = Path(__file__).parents[1] / "drawing" / "fonts"
FIXED_TIME = 0  # seconds since 1970: a date in the file would make every run differ


def typeset(template: Path, data: dict[str, Any], folder: Path) -> bytes:
    """The PDF of a template with `data`, in a folder that holds the pictures it names: same data, same bytes."""
    import typst

    (folder / "data.json").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
    (folder / template.name).write_text(template.read_text(encoding="utf-8"), encoding="utf-8")
    made: bytes = typst.compile(
        str(folder / template.name),
        root=str(folder),
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        timestamp=FIXED_TIME,
    )
    return made
