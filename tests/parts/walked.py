"""Every number and word in a value of any kind, in order, each under the name of the field that holds it.

Words are told as a number too (a checksum of the sentence without its numbers), and the numbers in them as numbers, so
that a machine that rounds differently in the ninth digit finds the same. Marks, which are hashes, are left out.
"""

from __future__ import annotations

import dataclasses
import math
import numbers
import re
import zlib
from collections.abc import Callable, Iterator, Mapping, Set
from enum import Enum
from fractions import Fraction
from typing import Any

import numpy as np
from shapely.geometry.base import BaseGeometry

from wheelcad.findings import Finding
from wheelcad.job.models import Job

Told = Iterator[tuple[str, float]]
ENDLESS = 12345.678  # stands for infinity and for what is no number
MARK = re.compile(r"(?:\b(?:job|plan|mark) |^)[0-9a-f]{6,8}\b")
NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-\d+)?")
DEEPEST = 14


def walked(value: Any, path: str, deep: int = 0) -> Told:
    """The numbers of a value and, under `path words`, the checksums (0 to 1) of its sentences."""
    if value is None or isinstance(value, Job | type) or deep > DEEPEST:
        return
    if isinstance(value, str):
        yield from _said(str(value.value) if isinstance(value, Enum) else value, path)
    elif isinstance(value, bool | np.bool_ | numbers.Real):
        yield path, float(value) if math.isfinite(value) else ENDLESS
    elif isinstance(value, np.ndarray):
        if value.dtype.kind in "fiub":
            told = np.where(np.isfinite(value), value, ENDLESS)
            yield from ((path, float(number)) for number in told.ravel().tolist())
    elif isinstance(value, BaseGeometry):
        yield from walked((value.area, value.length, *value.bounds, *value.centroid.coords), path, deep + 1)
    elif isinstance(value, Finding):
        for field in dataclasses.fields(value):
            yield from walked(getattr(value, field.name), f"{path} {value.check}", deep + 1)
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from walked(inner, f"{path}.{key}" if isinstance(key, str) else path, deep + 1)
    elif isinstance(value, Set):
        yield from walked(sorted(value, key=repr), path, deep + 1)
    elif isinstance(value, tuple | list) and not hasattr(value, "_fields"):
        for inner in value:
            yield from walked(inner, path, deep + 1)
    elif not isinstance(value, Callable):  # type: ignore[arg-type]
        yield from _members(value, path, deep)


def _said(text: str, path: str) -> Told:
    plain = MARK.sub("", text)
    yield f"{path} words", zlib.crc32(NUMBER.sub("#", plain).encode()) / 2**32
    for found in NUMBER.findall(plain):
        yield path, float(found)


def _members(value: Any, path: str, deep: int) -> Told:
    fields = dataclasses.fields(value) if dataclasses.is_dataclass(value) else ()
    names = [field.name for field in fields] or list(getattr(value, "_fields", ()))
    names = names or (["_vertices"] if hasattr(value, "_vertices") else [])
    for name in names:
        yield from walked(getattr(value, name), f"{path}.{name}", deep + 1)
    for name in sorted(
        n for n in dir(type(value)) if not n.startswith("__") and isinstance(getattr(type(value), n), property)
    ):
        try:
            told = getattr(value, name)
        except ValueError:  # a stop without a table has no setting
            continue
        if isinstance(told, bool | int | float | Fraction | np.number | np.ndarray):
            yield from walked(told, f"{path}.{name}", deep + 1)


Row = tuple[int, float]
GOLDEN = (math.sqrt(5) - 1) / 2


def rows(told: Told, deep: int) -> dict[str, tuple[Row, float]]:
    """By path, as deep as asked: how many, and the sum with a weight of its own for each place; beside it the same sum
    of sizes, which is what rounding is measured by."""
    found: dict[str, list[float]] = {}
    for path, value in told:
        words = " words" if path.endswith(" words") else ""
        short = ".".join(path.removesuffix(words).split(".")[: 1 if words else deep])
        found.setdefault(short + words, []).append(value)
    out = {}
    for path, values in sorted(found.items()):
        array = np.array(values)
        weights = 1 + np.arange(1, len(array) + 1) * GOLDEN % 1
        out[path] = (len(values), float(weights @ array)), float(weights @ abs(array))
    return out
