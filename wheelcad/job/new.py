"""Writes a starter job and the schema beside it, never over something that stands there unless told to."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from wheelcad.errors import Fault, JobFileError
from wheelcad.job.answers import hard_to_tell
from wheelcad.job.dialogue import Ask, Tell, converse, go_on
from wheelcad.job.invented import invented_keys, value_text
from wheelcad.job.measuring import MARK
from wheelcad.job.reader import source_of
from wheelcad.job.schema import SCHEMA_FILE
from wheelcad.job.starter import NAMED, schema_text, starter
from wheelcad.job.text import read_text
from wheelcad.save import save
from wheelcad.words import count


def starter_path(name: str) -> Path:
    """Where the starter called `name` goes: a name gets .yaml added, a path that ends so is taken as it is."""
    path = Path(name)
    return path if path.suffix in (".yaml", ".yml") else path.with_name(path.name + ".yaml")


def write_starter(name: str, answers: Mapping[str, str | None], replace: bool = False) -> tuple[Path, Path]:
    """Write the starter for `answers` (see starter_text's arguments; None is no answer) and the schema; both paths.

    JobFileError when the job stands there already and `replace` is not given, or a file cannot be written;
    JobValueError for answers that make no job. Nothing is written then.
    """
    path = starter_path(name)
    text = starter(path.stem, {NAMED[key]: value for key, value in answers.items() if value is not None}).text()
    if path.exists() and not replace:
        raise JobFileError(Fault("is there already; give --replace to write over it", file=str(path)))
    schema = path.with_name(SCHEMA_FILE)
    for target, content in ((schema, schema_text()), (path, text)):
        _save(target, content)
    return path, schema


def _save(target: Path, content: str) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        save(target, content.encode("utf-8"))
    except OSError as error:
        raise JobFileError(Fault(f"cannot be written: {error.strerror}", file=str(target))) from None


def ask_for_job(name: str, answers: Mapping[str, str | None], replace: bool, ask: Ask, tell: Tell) -> tuple[Path, bool]:
    """Write a starter, or go on with one that stands there, asking a person; its path, and whether all was asked.

    Errors as `write_starter`. Every answer is on disk before the next is asked for.
    """
    path = starter_path(name)
    if path.exists() and not replace:
        if not invented_keys(source_of(read_text(path), str(path))):
            raise JobFileError(Fault("is there already; give --replace to write over it", file=str(path)))
        return path, go_on(path, ask, tell, lambda text: _save(path, text))
    given = {NAMED[key]: value for key, value in answers.items() if value is not None}
    starter(path.stem, given)  # refused before anything is written
    _save(path.with_name(SCHEMA_FILE), schema_text())
    return path, converse(path.stem, given, ask, tell, lambda text: _save(path, text))


def closing_lines(path: Path, whole: bool) -> list[str]:
    """What to do next with the job at `path`. whole: every question was asked."""
    source = source_of(read_text(path), str(path))
    left = len(invented_keys(source))
    out = [] if whole else [f"what you gave is in {path}; go on any time with: wheelcad new {path.stem}"]
    cylinders, missing = value_text(source, "engine.cylinders"), value_text(source, "wheel.missing")
    if whole and cylinders.isdigit() and missing.isdigit() and (odd := hard_to_tell(int(missing), int(cylinders))):
        out.append(odd)
    if left:
        out.append(f"{count(left, 'value')} in it nobody measured yet, marked `{MARK}`")
        out.append(f"print a page to measure them by with: wheelcad sheet {path}")
    return [*out, f"build it with: wheelcad build {path}"]
