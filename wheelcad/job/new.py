"""Writes a starter job and the schema beside it, never over something that stands there unless told to."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from wheelcad.errors import Fault, JobFileError
from wheelcad.job.schema import SCHEMA_FILE
from wheelcad.job.starter import schema_text, starter_text
from wheelcad.save import save


def starter_path(name: str) -> Path:
    """Where the starter called `name` goes: a name gets .yaml added, a path that ends so is taken as it is."""
    path = Path(name)
    return path if path.suffix in (".yaml", ".yml") else path.with_name(path.name + ".yaml")


def write_starter(name: str, answers: Mapping[str, str], replace: bool = False) -> tuple[Path, Path]:
    """Write the starter for `answers` (see starter_text's arguments) and the schema; gives both paths.

    JobFileError when the job stands there already and `replace` is not given, or a file cannot be written;
    JobValueError for answers that make no job. Nothing is written then.
    """
    path = starter_path(name)
    text = starter_text(**answers, name=path.stem)
    if path.exists() and not replace:
        raise JobFileError(Fault("is there already; give --replace to write over it", file=str(path)))
    schema = path.with_name(SCHEMA_FILE)
    for target, content in ((schema, schema_text()), (path, text)):
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            save(target, content.encode("utf-8"))
        except OSError as error:
            raise JobFileError(Fault(f"cannot be written: {error.strerror}", file=str(target))) from None
    return path, schema
