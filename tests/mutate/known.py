"""The faults that the tests once let pass, from known.toml: none of them may pass again."""

from __future__ import annotations

import tomllib
from typing import NamedTuple

from tests.mutate.faults import Fault
from tests.mutate.kept import HERE, ROOT


class Known(NamedTuple):
    """A fault, what it is in words, and the test (or test file, or start of a name) that must notice it."""

    name: str
    fault: Fault
    test: str


def known() -> list[Known]:
    """All of them. ValueError for a text that does not stand in its module once: the list must follow the code."""
    rows = tomllib.loads((HERE / "known.toml").read_text(encoding="utf-8"))["known"]
    return [Known(row["name"], _placed(row), row["test"]) for row in rows]


def _placed(row: dict[str, str]) -> Fault:
    text = (ROOT / row["file"]).read_text(encoding="utf-8")
    if text.count(row["was"]) != 1:
        raise ValueError(f"{row['file']} has {row['was']!r} {text.count(row['was'])} times")
    before = text[: text.index(row["was"])]
    line = before.count("\n") + 1
    column = len(before.rsplit("\n", 1)[-1].encode())
    return Fault(row["file"], line, column, row["was"], row["now"], text.split("\n")[line - 1].strip())
