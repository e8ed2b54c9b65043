"""The job file's reference says what the models say."""

from __future__ import annotations

from wheelcad.job import describe
from wheelcad.job.reference import reference_markdown


def test_every_key_has_its_row() -> None:
    text = reference_markdown()
    for path, section in describe.sections():
        for name, field in describe.keys_of(section).items():
            row = f"| **`{name}`** |" if field.is_required() else f"| `{name}` |"
            assert row in text, (*path, name)
            assert str(field.description).replace("|", "\\|") in text


def test_every_table_is_whole() -> None:
    rows = [line for line in reference_markdown().split("\n") if line.startswith("|")]
    assert len(rows) > 150
    assert {line.replace("\\|", "").count("|") for line in rows} == {6}
