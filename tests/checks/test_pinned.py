"""No finding on a file changes unnoticed, its limit least of all: many jobs' files against their pins."""

from __future__ import annotations

import json

import pytest

from tests.pins import PINS, measured

PINNED: dict[str, str] = json.loads(PINS.read_text(encoding="utf-8"))
FILES = sorted(key for key in PINNED if ": files of " in key)


def test_there_are_pins_of_every_kind_of_file() -> None:
    assert len({key.split(": files of ")[1] for key in FILES}) >= 9


@pytest.mark.slow
@pytest.mark.parametrize("key", FILES)
def test_what_is_found_is_as_approved(key: str) -> None:
    name, group = key.split(": files of ")
    assert measured(name, group) == PINNED[key]
