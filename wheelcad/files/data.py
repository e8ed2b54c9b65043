"""JSON files: numbers rounded to what they can mean, keys in the order given, the same bytes every time."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np

DECIMALS = 9  # of mm, degrees, kg: far below anything that can be measured, and above the noise of arithmetic


def plain(value: Any) -> Any:
    """The value as JSON knows it: arrays and tuples to lists, floats rounded, what is not finite to null."""
    if isinstance(value, np.ndarray):
        return plain(value.tolist())
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, dict):
        return {str(key): plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    if isinstance(value, float):
        return round(value, DECIMALS) + 0.0 if math.isfinite(value) else None
    return value


def write_json(path: Path, value: Any) -> None:
    """Write `value` (see `plain`) as indented UTF-8 JSON."""
    path.write_text(as_json(value) + "\n", encoding="utf-8", newline="\n")


def as_json(value: Any) -> str:
    """`value` (see `plain`) as indented JSON text."""
    return json.dumps(plain(value), indent=1, ensure_ascii=False, allow_nan=False)
