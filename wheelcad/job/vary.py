"""One value of a job changed in a script, read like one in a job file: nothing gets in that a file could not hold."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Annotated, Any

from pydantic import TypeAdapter, ValidationError

from wheelcad.errors import Fault, JobValueError, Key, nearest
from wheelcad.job.models import Job
from wheelcad.job.section import Section
from wheelcad.job.source import JobSource

_PART = re.compile(r"([a-z_]+)|\[(\d+)\]")


def with_value(job: Job, key: str, value: Any) -> Job:
    """The job with the value at `key` ("wheel.slot.width", "bracket.mounts[0].x") replaced.

    value: what a job file may say ("3/16 in"); a bare number is mm, degrees, rpm, Hz or kg whatever the job's units.
    JobValueError for a key that is not there and a value that may not stand there. Keys that must agree with it are
    held to it by `design_job`.
    """
    changed: Job = _replaced(job, names_of(job, key), value, words_of(key))
    return changed


def words_of(key: str) -> Key:
    """A key in its parts: words, and numbers of entries of a list. JobValueError for what is none."""
    parts: Key = tuple(word or int(number) for word, number in _PART.findall(key))
    if not parts or Fault("", key=parts).dotted != key:
        raise JobValueError(Fault("is no key of a job file", file=key, allowed="such as wheel.slot.width"))
    return parts


def names_of(job: Job, key: str) -> Key:
    """The key's parts as the models call them. JobValueError where the job holds nothing there."""
    held: Any = job
    out: list[str | int] = []
    for part in words_of(key):
        if isinstance(held, tuple) and isinstance(part, int) and part < len(held):
            out.append(part)
            held = held[part]
            continue
        fields = type(held).model_fields.items() if isinstance(held, Section) else ()
        names = {field.alias or name: name for name, field in fields}
        if part not in names:
            near = nearest(str(part), names)
            hint = f"the nearest is {near}" if near else ""
            raise JobValueError(Fault("is not in this job", key=words_of(key), hint=hint))
        out.append(names[str(part)])
        held = getattr(held, names[str(part)])
    return tuple(out)


def _replaced(held: Any, names: Key, value: Any, key: Key) -> Any:
    """`held` with what lies at `names` below it replaced; key: the whole key, for messages."""
    first, rest = names[0], names[1:]
    if isinstance(first, int):
        inner = _replaced(held[first], rest, value, key) if rest else value
        return (*held[:first], inner, *held[first + 1 :])
    new = _replaced(getattr(held, first), rest, value, key) if rest else _read(type(held), first, value, key)
    return held.model_copy(update={first: new})


@lru_cache(maxsize=64)
def _reader(section: type[Section], name: str) -> TypeAdapter[Any]:
    """What reads this one field, as its model would."""
    field = section.model_fields[name]
    kind: Any = field.annotation
    return TypeAdapter(Annotated[kind, *field.metadata] if field.metadata else kind)


def _read(section: type[Section], name: str, value: Any, key: Key) -> Any:
    try:
        return _reader(section, name).validate_python(value, context={"units": "mm"})
    except ValidationError as error:
        from wheelcad.job.wording import faults_of

        raise JobValueError(faults_of(error, JobSource(), "mm", key)) from None
