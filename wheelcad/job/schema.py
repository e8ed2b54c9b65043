"""JSON Schema of the job file (draft 2020-12), by which editors complete keys, explain them and underline slips."""

from __future__ import annotations

from typing import Any

from wheelcad import units
from wheelcad.job import describe
from wheelcad.job.kinds import Kind, Quantity, bare_unit
from wheelcad.job.models import Job

DIALECT = "https://json-schema.org/draft/2020-12/schema"
SCHEMA_FILE = "wheelcad-schema.json"


def job_schema() -> dict[str, Any]:
    """The schema of a job file, made from the models: descriptions with units, allowed values, examples and defaults.

    It accepts every job that is read without faults; what depends on several keys at once, and the range of bare
    lengths in a job in inches, only the reader knows.
    """
    schema = Job.model_json_schema(by_alias=True)
    definitions = schema.pop("$defs", {})
    for _, section in describe.sections():
        owner = schema if section is Job else definitions[section.__name__]
        owner.pop("title", None)
        for name, field in describe.keys_of(section).items():
            owner["properties"][name] = _property(owner["properties"][name], field)
    head = {"$schema": DIALECT, "title": "wheelcad job file", "description": schema.pop("description", "")}
    texts = {f"written-{kind}": text for kind, text in _written_kinds().items()}
    places = {text["pattern"]: f"#/$defs/{name}" for name, text in texts.items()}
    whole: dict[str, Any] = _shared({**head, **schema, "$defs": definitions}, places)
    whole["$defs"] = dict(sorted({**whole["$defs"], **texts}.items()))
    return whole


def _written_kinds() -> dict[str, dict[str, Any]]:
    """The texts of each kind of quantity, once: how a shop writes a length, an angle and so on."""
    return {
        kind: {
            "description": f"{_a(kind)} as text, such as {units.EXAMPLES[kind]}.",
            "type": "string",
            "pattern": units.pattern(kind),
        }
        for kind in units.KINDS
    }


def _a(kind: str) -> str:
    return f"An {kind}" if kind[0] in "aeiou" else f"A {kind}"


def _shared(schema: Any, places: dict[str, str]) -> Any:
    """The schema with every text of a quantity replaced by a reference to its one description."""
    if isinstance(schema, dict):
        if schema.get("pattern") in places:
            return {"$ref": places[schema["pattern"]]}
        return {key: _shared(value, places) for key, value in schema.items()}
    return [_shared(item, places) for item in schema] if isinstance(schema, list) else schema


def _property(made: dict[str, Any], field: Any) -> dict[str, Any]:
    """One key: what the models say, with its unit told and its default as one would write it."""
    out = {key: value for key, value in made.items() if key not in ("title", "default", "description", "examples")}
    out = _without_null(out)
    kind = describe.kind_of(field)
    told = {"description": _told(field.description or "", kind, describe.list_depth(field))}
    if not field.is_required() and field.default_factory is None and field.default not in (None, (), ""):
        told["default"] = written_default(field.default, kind)
    if field.examples:
        told["examples"] = field.examples
    return {**told, **out}


def _without_null(schema: dict[str, Any]) -> dict[str, Any]:
    """Without the null that stands for a key left out: a key that is there has a value."""
    branches = schema.get("anyOf")
    if not isinstance(branches, list):
        return schema
    kept = [branch for branch in branches if branch != {"type": "null"}]
    rest = {key: value for key, value in schema.items() if key != "anyOf"}
    return {**rest, **kept[0]} if len(kept) == 1 else {**rest, "anyOf": kept}


def _told(description: str, kind: Kind | None, depth: int) -> str:
    """The description as a sentence of its own, with the unit that bare numbers have."""
    text = description[:1].upper() + description[1:]
    text = text if text.endswith(".") else text + "."
    if isinstance(kind, Quantity):
        unit = "the job's `units`" if kind.kind == "length" else bare_unit(kind.kind, "mm")
        text += f" {'Bare numbers' if depth else 'A bare number'} in {unit}; or with {_units_of(kind)}."
    return text


def _units_of(kind: Quantity) -> str:
    return {
        "length": "mm, in, thou",
        "angle": "deg, '",
        "speed": "rpm",
        "frequency": "Hz, kHz",
        "mass": "kg, g, oz, lb",
        "time": "ms, us, s",
    }[kind.kind]


def written_default(default: Any, kind: Kind | None) -> Any:
    """A default, which is in base units, as a job file in any units would write it: 6 mm, 200 rpm, no, 36 deg."""
    if isinstance(default, bool):
        return "yes" if default else "no"
    if isinstance(kind, Quantity):
        return f"{default:g} {bare_unit(kind.kind, 'mm')}"
    return default
