"""A value told again in the other unit, as the design page writes it beside the field."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from pydantic import ValidationInfo
from pydantic_core import PydanticCustomError

from wheelcad.errors import Key
from wheelcad.job import describe
from wheelcad.job.kinds import Plain, Quantity
from wheelcad.words import Words, fine, mass, quantity

_INCHES = ("in", '"', "″", "”", "thou", "ft")


def value_in_base(key: Key, text: str, units: str) -> float | None:
    """The number a text means at a key, in base units; None where it is no quantity or cannot be read."""
    field = describe.field_at(key)
    kind = describe.kind_of(field) if field is not None else None
    if not isinstance(kind, Quantity):
        return None

    class _Info:
        context: Mapping[str, str] = {"units": units}

    try:
        read = kind.read(Plain(text), cast(ValidationInfo, _Info()))
    except PydanticCustomError:
        return None
    return float(read)


def echo_of(key: Key, text: str, units: str) -> str:
    """The value in the other unit, "" where there is none to tell."""
    field = describe.field_at(key)
    kind = describe.kind_of(field) if field is not None else None
    if not isinstance(kind, Quantity) or text[:1] in "[{":
        return ""
    value = value_in_base(key, text, units)
    if value is None:
        return ""
    if kind.kind == "length":
        in_inches = any(sign in text for sign in _INCHES) or (units == "in" and "m" not in text)
        return "= " + Words("mm" if in_inches else "in").text(fine(value))
    if kind.kind == "mass":
        return "= " + Words(units).text(mass(value * 1000)) if "g" not in text.replace("kg", "") else ""
    if kind.kind == "angle" and any(sign in text for sign in "'′’\"″”:"):
        return "= " + Words(units).text(quantity(value, "angle"))
    return ""
