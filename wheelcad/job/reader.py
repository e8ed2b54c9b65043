"""Reads a job file: YAML to a frozen Job, every fault at once, each with its line.

The YAML is composed into nodes (ruamel.yaml, safe) and turned into plain values here, so that the place of every
key is known, doubled keys are seen, and nothing in the file can run code.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError
from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

from wheelcad.errors import Fault, Faults, JobError, JobFileError, JobSyntaxError, JobValueError, Key, nearest
from wheelcad.job.models import Job
from wheelcad.job.source import JobSource, Place

LARGEST_FILE = 1 << 20  # bytes


def load_job(path: str | Path) -> Job:
    """Read and validate the job file at `path`. Raises a JobError that holds every fault found."""
    path = Path(path)
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise JobFileError(Fault("is larger than a job file can be", file=str(path), allowed="at most 1 MiB"))
        data = path.read_bytes()
    except OSError as error:
        raise JobFileError(Fault(f"cannot be read: {error.strerror}", file=str(path))) from None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise JobSyntaxError(Fault("is not UTF-8 text", file=str(path), line=line, column=1)) from None
    return parse_job(text, str(path))


def parse_job(text: str, file: str = "job") -> Job:
    """A Job from the text of a job file; `file` is the name used in messages."""
    places: dict[Key, Place] = {}
    faults = Faults()
    node = _compose(text, file)
    data = _plain(node, (), places, faults)
    source = JobSource(file, text, places)
    try:
        if not isinstance(data, dict):
            faults.add((), "should be a mapping of sections such as `job:` and `wheel:`")
            faults.raise_if_any(JobValueError)
        return _validate(data, faults).with_source(source)
    except JobError as error:
        raise error.placed(source.located) from None


def _compose(text: str, file: str) -> Node | None:
    yaml = YAML(typ="safe", pure=True)
    try:
        node: Node | None = yaml.compose(text)
        return node
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        line, column = (mark.line + 1, mark.column + 1) if mark is not None else (0, 0)
        lines = text.splitlines()
        shown = lines[line - 1] if 0 < line <= len(lines) else ""
        message = f"is not YAML: {error.problem or error.context}"
        raise JobSyntaxError(Fault(message, file=file, line=line, column=column, text=shown)) from None
    except (YAMLError, RecursionError, ValueError) as error:
        raise JobSyntaxError(Fault(f"is not YAML: {str(error).splitlines()[0]}", file=file, line=1, column=1)) from None


def _plain(node: Node | None, key: Key, places: dict[Key, Place], faults: Faults) -> Any:
    """The node as plain Python values; notes the place of every key and the faults YAML itself lets pass."""
    if node is None:
        return None
    places.setdefault(key, (node.start_mark.line + 1, node.start_mark.column + 1))
    if node.anchor is not None:
        faults.add(key, "uses a YAML anchor; write the value out instead")
        return None
    if isinstance(node, MappingNode):
        return _mapping(node, key, places, faults)
    if isinstance(node, SequenceNode):
        return [_plain(child, (*key, i), places, faults) for i, child in enumerate(node.value)]
    return _scalar(node, key, faults)


def _mapping(node: MappingNode, key: Key, places: dict[Key, Place], faults: Faults) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for name_node, value_node in node.value:
        name = str(name_node.value) if isinstance(name_node, ScalarNode) else "?"
        place = (name_node.start_mark.line + 1, name_node.start_mark.column + 1)
        if name in out:
            faults.add((*key, name), f"is given twice, first in line {places[(*key, name)][0]}")
            continue
        places[(*key, name)] = place
        out[name] = _plain(value_node, (*key, name), places, faults)
    return out


def _scalar(node: ScalarNode, key: Key, faults: Faults) -> Any:
    text = str(node.value)
    kind = str(node.tag or "").rsplit(":", 1)[-1]
    if node.style is not None:
        return text
    try:
        if kind == "null":
            return None
        if kind == "bool":
            return text.lower() == "true"
        if kind == "int":
            return int(text.replace("_", ""), 0) if text.lstrip("+-")[:2].lower() in {"0x", "0o"} else int(text)
        if kind == "float":
            value = float(text.replace("_", ""))
            if not math.isfinite(value):
                faults.add(key, "should be a finite number", found=text)
                return None
            return value
    except ValueError:
        return text
    return text


def _validate(data: dict[str, Any], faults: Faults) -> Job:
    units = data.get("units", "mm")
    job = None
    try:
        job = Job.model_validate(data, context={"units": units if units in ("mm", "in") else "mm"})
    except ValidationError as error:
        faults.extend(_fault(item) for item in error.errors())
    faults.raise_if_any(JobValueError)
    assert job is not None
    return job


def _fault(item: Any) -> Fault:
    """One pydantic error as a fault in the words of a shop."""
    key: Key = tuple(part for part in item["loc"] if not _is_union_tag(part))
    kind, ctx, found = item["type"], item.get("ctx", {}), item.get("input")
    shown = "" if isinstance(found, dict | list | tuple) else _shown(found)
    if kind == "extra_forbidden":
        known = _known_keys(key[:-1])
        word = nearest(str(key[-1]), known)
        return Fault(
            "is not a key known here",
            key=key,
            allowed=", ".join(known),
            hint=f"did you mean `{word}`?" if word else "",
        )
    if kind == "missing":
        return Fault("is missing", key=key)
    if kind == "literal_error":
        allowed = str(ctx.get("expected", ""))
        word = nearest(str(found), [part.strip(" '") for part in allowed.replace(" or ", ",").split(",")])
        return Fault(
            "is not one of the words allowed here",
            key=key,
            found=shown,
            allowed=allowed.replace("'", ""),
            hint=f"did you mean `{word}`?" if word else "",
        )
    message = str(item["msg"])
    message = message[0].lower() + message[1:]
    return Fault(message, key=key, found=shown)


def _is_union_tag(part: object) -> bool:
    return isinstance(part, str) and (part in {"Step"} or part.startswith("literal["))


def _shown(value: object) -> str:
    return "nothing" if value is None else str(value)[:80]


def _known_keys(key: Key) -> list[str]:
    """The keys of the section at `key`."""
    model: Any = Job
    for part in key:
        if isinstance(part, int):
            continue
        model = _section_of(next((f.annotation for n, f in model.model_fields.items() if part in (n, f.alias)), None))
        if model is None:
            return []
    return [field.alias or name for name, field in model.model_fields.items()]


def _section_of(annotation: Any) -> Any:
    """The section model inside an annotation such as `Wheel | None` or `tuple[Mount, ...]`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for inner in getattr(annotation, "__args__", ()):
        found = _section_of(inner)
        if found is not None:
            return found
    return None
