"""What the models say about a key: its section, its field, its kind, what is allowed, and an example to write."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from functools import cache
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from wheelcad.errors import Key
from wheelcad.job.kinds import Kind, Quantity
from wheelcad.job.models import Job
from wheelcad.units import INCH_MM, decimal_text, fraction_text

Model = type[BaseModel]
LEAST_FRACTION = 0.12  # in: below it an example is in thousandths


def keys_of(section: Model) -> dict[str, FieldInfo]:
    """The keys of a section as a job file writes them, in order."""
    return {field.alias or name: field for name, field in section.model_fields.items()}


def section_of(annotation: Any) -> Model | None:
    """The section inside an annotation such as `Wheel | None` or `tuple[Mount, ...]`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    inside = (section_of(inner) for inner in get_args(annotation))
    return next((section for section in inside if section is not None), None)


def section_at(key: Key) -> Model | None:
    """The section that a key path names; the job itself for the empty path."""
    section: Model | None = Job
    for part in key:
        if isinstance(part, int):
            continue
        field = keys_of(section).get(part) if section is not None else None
        section = section_of(field.annotation) if field is not None else None
    return section


def field_at(key: Key) -> FieldInfo | None:
    """The field that a key path names, for a list entry that of its list."""
    names = [part for part in key if not isinstance(part, int)]
    section = section_at(tuple(names[:-1])) if names else None
    return keys_of(section).get(names[-1]) if section is not None else None


def every_key() -> list[str]:
    """Every dotted key of the job file, sections too, in the order of the file."""
    return [".".join((*path, name)) for path, section in sections() for name in keys_of(section)]


def kind_of(field: FieldInfo) -> Kind | None:
    """The kind of a field's value, for a list that of its entries; None for words and sections."""
    found = next((item for item in field.metadata if isinstance(item, Kind)), None)
    return found or _kind_in(field.annotation)


def _kind_in(annotation: Any) -> Kind | None:
    if get_origin(annotation) is Annotated:
        found = next((item for item in annotation.__metadata__ if isinstance(item, Kind)), None)
        if found is not None:
            return found
    inside = (_kind_in(inner) for inner in get_args(annotation) if inner is not Ellipsis)
    return next((kind for kind in inside if kind is not None), None)


def words_of(field: FieldInfo) -> tuple[str, ...]:
    """The words a field may hold, or none when it holds something else."""
    return _words_in(field.annotation)


def _words_in(annotation: Any) -> tuple[str, ...]:
    if get_origin(annotation) is Literal:
        return tuple(str(word) for word in get_args(annotation))
    return tuple(word for inner in get_args(annotation) for word in _words_in(inner))


def list_depth(field: FieldInfo) -> int:
    """0 for a single value, 1 for a list, 2 for a list of lists."""
    return _depth_in(field.annotation)


def _depth_in(annotation: Any) -> int:
    deepest = max((_depth_in(inner) for inner in get_args(annotation)), default=0)
    return deepest + (get_origin(annotation) is tuple)


def is_by_name(field: FieldInfo) -> bool:
    """Whether a field is a section whose keys are names of the job's own, such as survey.clock."""
    return get_origin(field.annotation) is dict


def list_length(field: FieldInfo) -> int | None:
    """How many values a list of fixed length holds (2 for a pair); None for any number."""
    for annotation in (field.annotation, *get_args(field.annotation)):
        if get_origin(annotation) is tuple and Ellipsis not in get_args(annotation):
            return len(get_args(annotation))
    return None


def allowed_at(key: Key, job_units: str) -> str:
    """What may be written at a key, in words; "" when the models say nothing."""
    field = field_at(key)
    if field is None:
        return ""
    words = words_of(field)
    kind = kind_of(field)
    return ", ".join(words) if words else kind.allowed(job_units) if kind is not None else ""


def example_of(field: FieldInfo, job_units: str = "mm") -> Any:
    """The first example of a field, its bare lengths as a job in `job_units` would write them."""
    return in_units(field.examples[0], field, job_units, handy) if field.examples else None


def default_of(field: FieldInfo, job_units: str) -> str:
    """What is taken where a field is left out, as a job in `job_units` would write it; "" where that is nothing."""
    default = field.default
    if default is None or default == () or default is PydanticUndefined:
        return ""
    return flow(in_units(list(default) if isinstance(default, tuple) else default, field, job_units, decimal_text))


def in_units(value: Any, field: FieldInfo, job_units: str, write: Callable[[float], str]) -> Any:
    """A value of the models (bare lengths in mm) as a job in `job_units` would write it; write: a length in inches."""
    if job_units != "in":
        return value
    section = section_of(field.annotation)
    if isinstance(value, list):
        return [in_units(entry, field, job_units, write) for entry in value]
    if isinstance(value, Mapping):
        fields = keys_of(section) if section is not None else {}
        return {k: in_units(held, fields[k], job_units, write) if k in fields else held for k, held in value.items()}
    kind = kind_of(field)
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return write(value / INCH_MM) if number and isinstance(kind, Quantity) and kind.kind == "length" else value


def handy(inches: float) -> str:
    """A length as an example says it: to the nearest 1/16 in, below 1/8 in thousandths."""
    if abs(inches) < LEAST_FRACTION:
        return decimal_text(round(inches, 3))
    return fraction_text(Fraction(round(inches * 16), 16))


@cache
def homes() -> Mapping[str, tuple[str, ...]]:
    """For every key, the sections it belongs to: bore -> (wheel, pulley); "" is the top of the file."""
    found: dict[str, list[str]] = {}
    for path, section in sections():
        for name in keys_of(section):
            found.setdefault(name, []).append(".".join(path))
    return {name: tuple(paths) for name, paths in found.items()}


def sections(section: Model = Job, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], Model]]:
    """Every section with its path, the job itself first, in the order of the file."""
    yield path, section
    for name, field in keys_of(section).items():
        inner = section_of(field.annotation)
        if inner is not None:
            yield from sections(inner, (*path, name))


def flow(value: Any) -> str:
    """A value as one line of YAML: {width: 6, depth: 6.35} or [1, 3, 4, 2]."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {flow(item)}" for key, item in value.items()) + "}"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(flow(item) for item in value) + "]"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)
