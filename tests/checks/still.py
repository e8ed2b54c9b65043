"""Numbers kept in a table, and where what is found now differs from them: to a hundred thousandth."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np

from tests.parts.walked import NUMBER

CLOSE = 1e-5


def plain(value: Any) -> Any:
    """As JSON has it: numbers, words, lists and tables."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, np.ndarray | list | tuple):
        return [plain(inner) for inner in value]
    if value is None or isinstance(value, str | bool | np.bool_):
        return value if not isinstance(value, np.bool_) else bool(value)
    if isinstance(value, Fraction):
        return str(value)
    if isinstance(value, int | np.integer):
        return int(value)
    return float(f"{float(value):.9g}") if math.isfinite(float(value)) else str(float(value))


def differences(now: Any, then: Any, at: str = "") -> list[str]:
    """Where what is found is not what was, by place. Numbers in sentences are held as close as others."""
    if isinstance(now, dict) and isinstance(then, dict) and now.keys() == then.keys():
        return [line for key in now for line in differences(now[key], then[key], f"{at}.{key}")]
    if isinstance(now, list) and isinstance(then, list) and len(now) == len(then):
        scale = max((abs(v) for v in then if isinstance(v, float)), default=0.0)  # a sum's last bits beside the rest
        return [
            line
            for n, (a, b) in enumerate(zip(now, then, strict=True))
            if not (isinstance(a, float) and isinstance(b, float) and abs(a - b) <= 1e-9 * scale)
            for line in differences(a, b, f"{at}[{n}]")
        ]
    if isinstance(now, float | int) and isinstance(then, float | int) and not isinstance(now, bool):
        return [] if _close(now, then) else [f"{at}: {now} for {then}"]
    if isinstance(now, str) and isinstance(then, str) and NUMBER.split(now) == NUMBER.split(then):
        pairs = zip(NUMBER.findall(now), NUMBER.findall(then), strict=True)
        return [] if all(_close(float(a), float(b)) for a, b in pairs) else [f"{at}: {now} for {then}"]
    return [] if now == then else [f"{at}: {now} for {then}"]


def _close(now: float, then: float) -> bool:
    return abs(now - then) <= CLOSE * abs(then) + 1e-12


def sums(values: Any) -> Any:
    """An array by its shape, its sums and its ends."""
    a = np.asarray(values, dtype=float)
    if not a.size:
        return [*a.shape]
    way = np.cos(np.arange(a.size)).reshape(a.shape)
    return [*a.shape, a.sum(), (a * a).sum(), (a * way).sum(), a.min(), a.max()]


class Table:
    """What several functions find, by name, kept in a file of JSON with a line for each."""

    def __init__(self, file: Path, found: Mapping[str, Callable[[], Any]]) -> None:
        self.file, self.found = file, found

    @cached_property
    def kept(self) -> dict[str, Any]:
        """What the file holds."""
        return dict(json.loads(self.file.read_text(encoding="utf-8"))) if self.file.exists() else {}

    def changed(self, name: str) -> list[str]:
        """Where what a function finds now differs from what is kept."""
        return differences(plain(self.found[name]()), self.kept[name])

    def write(self, names: Sequence[str]) -> None:
        """Write these anew, the others as they are; without names all of them and no other."""
        made = dict(self.kept) if names else {}
        for name in names or self.found:
            made[name] = plain(self.found[name]())
            print(name, len(json.dumps(made[name])), flush=True)
        lines = ",\n".join(f"{json.dumps(n)}: {json.dumps(v, ensure_ascii=False)}" for n, v in sorted(made.items()))
        self.file.write_text("{" + lines + "}\n", encoding="utf-8")
