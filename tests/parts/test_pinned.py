"""No number of a design changes unnoticed: each section of many jobs against its pin (`python -m tests.pins --pin`)."""

from __future__ import annotations

import json

import pytest

from tests.pins import PINS, TEXTS, sections

PINNED: dict[str, str] = json.loads(PINS.read_text(encoding="utf-8"))
NAMES = sorted({key.split(":")[0] for key in PINNED})


def test_there_are_pins_of_many_jobs() -> None:
    assert {*TEXTS} <= {*NAMES}
    assert len(NAMES) >= 12


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_a_design_is_as_approved(name: str) -> None:
    held = {key: value for key, value in PINNED.items() if key.startswith(f"{name}: ") and ": files" not in key}
    assert {f"{name}: {section}": found for section, found in sections(name).items()} == held
