"""The table of what is held against what names tests that there are."""

from __future__ import annotations

import re
from pathlib import Path

import tests.signal

TESTS = Path(__file__).resolve().parents[1]


def test_every_test_that_the_table_names_is_there() -> None:
    named = re.findall(r"^   (\S+\.py)::(\w+)$", tests.signal.__doc__ or "", re.MULTILINE)
    assert len(named) > 20
    missing = [f"{file}::{name}" for file, name in named if f"def {name}(" not in (TESTS / file).read_text("utf-8")]
    assert missing == []


def test_the_table_has_every_item_once() -> None:
    items = re.findall(r"^(\d+)\. ", tests.signal.__doc__ or "", re.MULTILINE)
    assert [int(item) for item in items] == list(range(1, 14))
