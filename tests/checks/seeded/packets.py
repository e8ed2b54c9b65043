"""A packet whose pages say something else: set again from the design's pages with one word changed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any
from unittest import mock

Change = tuple[str, str]

# job, what is wrong, (text as it is set, text instead); the first place that holds it is changed
PACKET_FAULTS: list[tuple[str, str, Change]] = [
    ("turned", "a setting's dial 0.05° on", ("12 of 18", "13 of 18")),
    ("turned", "a hole's radius", ("66 mm from the centre", "67 mm from the centre")),
    ("turned", "degrees to TDC", ("42.85°", "42.95°")),
    ("turned", "a length at the lathe", ("14.8 mm", "14.9 mm")),
    ("turned", "the slot's depth stop", ("stop at 6.35 mm", "stop at 6.45 mm")),
    ("turned", "the feeler gauge", ("feeler of 0.8 mm", "feeler of 0.9 mm")),
    ("turned", "run-out on the blank", ("no more than 0.08 mm on", "no more than 0.18 mm on")),
    ("along", "degrees to TDC", ("°", "1°")),
    ("plate", "a setting's turns", ("stop", "shop")),
]


def altered(job: str, change: Change) -> Callable[[Path], None]:
    """Set the packet again with the change in its data."""

    def spoil(path: Path) -> None:
        from tests.checks.seeded.run import looked_at
        from wheelcad.packet import book

        held = looked_at(job, path.parent)
        real, done = book._data, []

        def data(*args: Any) -> dict[str, Any]:
            told = real(*args)
            told["pages"][3:-1] = [_in(page, change, done) for page in told["pages"][3:-1]]
            return told

        with mock.patch.object(book, "_data", data):
            book.write_packet(path, held.design, held.findings, held.report)
        assert done, change

    return spoil


def _in(value: Any, change: Change, done: list[int]) -> Any:
    """The value with the first text that holds the old words changed."""
    if done:
        return value
    if isinstance(value, dict):
        return {
            key: item if key in ("kind", "file", "name") else _in(item, change, done) for key, item in value.items()
        }
    if isinstance(value, list | tuple):
        return [_in(item, change, done) for item in value]
    if isinstance(value, str) and change[0] in value and not value.startswith("<"):
        done.append(1)
        return value.replace(*change, 1)
    return value
