"""One hash of plain values: equal for equal values of the same kind, whatever they were worked out from."""

from __future__ import annotations

import dataclasses
import enum
import hashlib
import struct
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

import numpy as np

Say = Callable[[bytes], None]


def hashed(*values: Any) -> str:
    """SHA-256 of values made of frozen dataclasses, the job's models, tuples, lists, sets, mappings, arrays, shapely
    shapes, numbers, texts and None. Floats count by their bits. TypeError for anything else: what is not understood
    must not be taken for the same."""
    told = hashlib.sha256()
    _tell(told.update, values)
    return told.hexdigest()


def _tell(say: Say, value: Any) -> None:
    if value is None or isinstance(value, bool | int):
        say(f"{type(value).__name__}:{value};".encode())
    elif isinstance(value, float):
        say(b"float" + struct.pack("<d", value))
    elif isinstance(value, enum.Enum):
        say(f"{type(value).__qualname__}.{value.name};".encode())
    elif isinstance(value, str | bytes):
        data = value.encode() if isinstance(value, str) else value
        say(f"{type(value).__name__}:{len(data)}:".encode() + data)
    elif isinstance(value, np.ndarray | np.generic):
        say(f"array:{value.dtype.str}:{value.shape};".encode() + np.ascontiguousarray(value).tobytes())
    elif hasattr(value, "wkb"):  # a shape of shapely's
        say(f"shape:{len(value.wkb)};".encode() + value.wkb)
    else:
        _tell_held(say, value)


def _tell_held(say: Say, value: Any) -> None:
    """A value that holds others."""
    names = _names(value.__class__)
    if names is not None:
        inside: list[Any] = [(name, getattr(value, name)) for name in names]
    elif isinstance(value, tuple | list):
        inside = list(value)
    elif isinstance(value, Mapping):
        inside = list(value.items())
    elif isinstance(value, set | frozenset):
        inside = sorted(value, key=repr)
    else:
        raise TypeError(f"{type(value).__qualname__} has no hash here")
    say(f"{type(value).__qualname__}:{len(inside)}(".encode())
    for one in inside:
        _tell(say, one)
    say(b")")


@cache
def _names(kind: type) -> tuple[str, ...] | None:
    """What a kind of record holds, by name; None for what is no record."""
    if dataclasses.is_dataclass(kind):
        return tuple(field.name for field in dataclasses.fields(kind))
    if hasattr(kind, "__slots__") and kind.__module__.startswith("wheelcad."):
        return tuple(kind.__slots__)
    return tuple(kind.model_fields) if hasattr(kind, "model_fields") else None  # one of the job's sections
