"""What the slower parts of a design came to the last time: the design page makes many designs that differ in a key.

A part is worked out anew when anything it reads of the job is another; what that is stands in `READS`, and a test holds
it against what the parts really look at.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from wheelcad.errors import DesignError
from wheelcad.job.models import Job

T = TypeVar("T")
_TURNED = ("adapter", "engine", "pulley", "shop", "units", "wheel")
_BRACKET = (*_TURNED, "bracket", "sensor")
READS: Mapping[str, tuple[str, ...]] = {
    "bracket": _BRACKET,
    "bracket findings": (*_BRACKET, "survey", "tolerances"),
    "gauge": (*_TURNED, "gauge", "paper"),
    "balance": (*_TURNED, "balance", "sensor.looks", "sensor.radius", "sensor.face_diameter"),
}


class Memory:
    """The last outcome of each part, one job after another. Not for several threads at once."""

    def __init__(self) -> None:
        self._last: dict[str, tuple[bytes, Any, DesignError | None]] = {}

    def of(self, part: str, job: Job, make: Callable[[], T]) -> T:
        """make(), or what it came to for a job of which the part reads the same; a DesignError is kept as well."""
        read = pickle.dumps([_value(job, name) for name in READS[part]])
        last = self._last.get(part)
        if last is None or last[0] != read:
            try:
                last = (read, make(), None)
            except DesignError as error:
                last = (read, None, error)
            self._last[part] = last
        if last[2] is not None:
            raise last[2]
        made: T = last[1]
        return made


def _value(job: Job, dotted: str) -> Any:
    value: Any = job
    for name in dotted.split("."):
        value = getattr(value, name) if value is not None else None
    return value
