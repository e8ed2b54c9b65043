"""README.md holds the job file's reference as the models say it."""

from __future__ import annotations

from pathlib import Path

from tests.conftest import ROOT
from wheelcad.job import describe
from wheelcad.job.reference import END, START, reference_markdown, with_reference, write_into


def test_the_readme_says_what_the_models_say() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert readme.count(START) == readme.count(END) == 1
    kept = readme.split(START)[1].split(END)[0]
    assert kept.strip() == reference_markdown().strip(), "run: python -m wheelcad.job.reference README.md"


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


def test_writing_it_into_a_file(tmp_path: Path) -> None:
    path = tmp_path / "README.md"
    path.write_text("# A\n\nbefore\n", encoding="utf-8")
    assert write_into(path)
    assert not write_into(path)
    text = path.read_text(encoding="utf-8")
    assert text.startswith("# A\n\nbefore\n")
    old = text.replace("over the teeth", "over the teath") + "after\n"
    assert with_reference(old) == text + "after\n"
