"""One hash of plain values: equal for equal values of the same kind, whatever they were worked out from."""

from __future__ import annotations

import dataclasses
import enum
import hashlib
import struct
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np


def hashed(*values: Any) -> str:
    """SHA-256 of values made of frozen dataclasses, the job's models, tuples, lists, sets, mappings, arrays, shapely
    shapes, numbers, texts and None. Floats count by their bits. TypeError for anything else: what is not understood
    must not be taken for the same."""
    told = hashlib.sha256()
    for part in _parts(values):
        told.update(part)
    return told.hexdigest()


def _parts(value: Any) -> Iterator[bytes]:
    if value is None or isinstance(value, bool | int):
        yield f"{type(value).__name__}:{value};".encode()
    elif isinstance(value, float):
        yield b"float" + struct.pack("<d", value)
    elif isinstance(value, enum.Enum):
        yield f"{type(value).__qualname__}.{value.name};".encode()
    elif isinstance(value, str | bytes):
        data = value.encode() if isinstance(value, str) else value
        yield f"{type(value).__name__}:{len(data)}:".encode() + data
    elif isinstance(value, np.ndarray | np.generic):
        yield f"array:{value.dtype.str}:{value.shape};".encode() + np.ascontiguousarray(value).tobytes()
    elif hasattr(value, "wkb"):  # a shape of shapely's
        yield f"shape:{len(value.wkb)};".encode() + value.wkb
    else:
        yield from _held(value)


def _held(value: Any) -> Iterator[bytes]:
    """A value that holds others."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        inside: list[Any] = [(field.name, getattr(value, field.name)) for field in dataclasses.fields(value)]
    elif hasattr(type(value), "__slots__") and type(value).__module__.startswith("wheelcad."):
        inside = [(name, getattr(value, name)) for name in type(value).__slots__]
    elif hasattr(type(value), "model_fields"):  # one of the job's sections
        inside = [(name, getattr(value, name)) for name in type(value).model_fields]
    elif isinstance(value, tuple | list):
        inside = list(value)
    elif isinstance(value, Mapping):
        inside = list(value.items())
    elif isinstance(value, set | frozenset):
        inside = sorted(value, key=repr)
    else:
        raise TypeError(f"{type(value).__qualname__} has no hash here")
    yield f"{type(value).__qualname__}:{len(inside)}(".encode()
    for one in inside:
        yield from _parts(one)
    yield b")"
