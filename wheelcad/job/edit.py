"""Changes values in a job file's text and nothing else: comments, order, spacing and unknown words stay as they are.

YAML is composed (ruamel.yaml) only to learn where each value begins and ends; the text between is never written anew.
What comes out is read again as a whole job before the file is touched, and must say the new values and no other change.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import lru_cache, reduce
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError
from ruamel.yaml.nodes import CollectionNode, MappingNode, Node, ScalarNode, SequenceNode

from wheelcad.errors import Fault, JobFileError, JobSyntaxError, Key
from wheelcad.job.events import composed
from wheelcad.job.reader import parse_job
from wheelcad.job.text import normal, read_text
from wheelcad.save import save

MARK = "\ufeff"  # some editors begin a file with it
_BREAKS = re.compile(r"\r\n?")
Change = tuple[int, int, str]  # from, to, what stands there then


def set_values(path: str | Path, values: Mapping[Key, str]) -> str:
    """Put `values` (path of keys -> YAML text of the value) into the job file at `path`; the new text.

    The file is replaced whole or not at all. JobError when it cannot be read, or what came out would not be this job.
    """
    path = Path(path)
    old = read_text(path)
    new = changed_text(old, values, str(path))
    if new == old:
        return new
    try:
        save(path.resolve(), new.encode("utf-8"))
    except OSError as error:
        raise JobFileError(Fault(f"cannot be written: {error.strerror}", file=str(path))) from error
    return new


def changed_text(text: str, values: Mapping[Key, str], file: str = "job") -> str:
    """The text of a job file with these values in it, read again and found to be the same job but for them."""
    parse_job(text, file)  # what cannot be read is not edited
    body = text.removeprefix(MARK)
    crlf = "\r\n" in body
    body = _BREAKS.sub("\n", body)  # now each character stands where it stands in the text that is read
    for key, value in values.items():  # one after another: each is looked for in the text as it then stands
        start, end, put = _change(_composed(normal(body), file), body, key, value)
        body = body[:start] + put + body[end:]
    _verify(body, values, file)
    body = body.replace("\n", "\r\n") if crlf else body
    return MARK + body if text.startswith(MARK) else body


@lru_cache(maxsize=8)
def _nodes(text: str) -> Node | None:
    """A text composed: the longest part of an edit, and asked for more than once of the same text."""
    return composed(text)


def _composed(text: str, file: str) -> Node:
    try:
        node = _nodes(text)
    except YAMLError as error:
        raise JobSyntaxError(Fault(f"cannot be edited: {str(error).splitlines()[0]}", file=file)) from error
    if not isinstance(node, MappingNode):
        raise JobSyntaxError(Fault("cannot be edited: it should be sections such as `job:`", file=file))
    return node


def _verify(text: str, values: Mapping[Key, str], file: str) -> None:
    """The new text must be a job that says every value as it was to be put."""
    parse_job(text, file)
    loaded = plain(_composed(normal(text), file))
    for key, value in values.items():
        there = reduce(lambda held, part: held[part], key, loaded)
        if there != plain(YAML(typ="safe", pure=True).compose(value)):
            raise JobFileError(Fault("could not be edited; put it in by hand", key, allowed=value, file=file))


def plain(node: Node | None) -> Any:
    """What a composed text says: mappings, lists and the words as written."""
    if isinstance(node, MappingNode):
        return {key.value: plain(value) for key, value in node.value}
    if isinstance(node, SequenceNode):
        return [plain(value) for value in node.value]
    return None if node is None else node.value


def _change(node: Node, text: str, key: Key, value: str) -> Change:
    """The one change that puts `value` at `key`."""
    for depth, part in enumerate(key):
        found = _child(node, part)
        if found is None:
            return _added(node, text, key[depth:], value)
        node = found
    end = _end(node)
    if isinstance(node, ScalarNode) and node.start_mark.index == end:  # nothing stands there yet
        value = " " + value
    return node.start_mark.index, end, value


def _child(node: Node | None, part: str | int) -> Node | None:
    if isinstance(part, int):
        return node.value[part] if isinstance(node, SequenceNode) and part < len(node.value) else None
    pairs = node.value if isinstance(node, MappingNode) else []
    return next((value for key, value in pairs if key.value == part), None)


def _under(node: Node | None, key: Key) -> Node | None:
    return reduce(_child, key, node)


def _end(node: Node) -> int:
    """Where the node's own text ends, without the comments and blank lines that follow a block."""
    if not isinstance(node, CollectionNode) or node.flow_style:
        return int(node.end_mark.index)
    if not node.value:
        return int(node.start_mark.index)
    last = node.value[-1]
    return _end(last[1] if isinstance(node, MappingNode) else last)


def _added(node: Node, text: str, key: Key, value: str) -> Change:
    """The change that adds a key the mapping does not hold; what is missing between is written in braces."""
    if not isinstance(node, MappingNode) or any(isinstance(part, int) for part in key):
        raise JobFileError(Fault("is not in the file, and cannot be added to a list", key))
    for part in reversed(key[1:]):
        value = f"{{{part}: {value}}}"
    entry = f"{key[0]}: {value}"
    if node.flow_style:
        # before the closing brace, after the last entry and its comma if it has one
        at = _end(node.value[-1][1]) if node.value else node.start_mark.index + 1
        return at, at, f", {entry}" if node.value else entry
    column = node.value[0][0].start_mark.column
    at = _end(node)
    line_end = text.find("\n", at)
    line_end = len(text) if line_end < 0 else line_end
    if re.match(r"[ \t]*(#|$)", text[at:line_end]):  # a comment beside the last value stays beside it
        at = line_end
    return at, at, f"\n{' ' * column}{entry}"


# --- a text that need not be a whole job yet: what the design page edits ----------------------------------------------
def put_text(text: str, key: Key, value: str, file: str = "job") -> str:
    """The text with the YAML `value` at `key`, added where it is not there; it need not be a job that can be built.

    Every other value stays, or JobFileError. JobSyntaxError where the text, or what would come out, is not YAML.
    """
    return _altered(text, file, lambda node, body: _change(node, body, key, value))


def without(text: str, key: Key, file: str = "job") -> str:
    """The text without `key` (a list's entry for a number at its end); a section that would be empty goes with it."""

    def change(node: Node, body: str) -> Change:
        kept = key
        while len(kept) > 1 and len(_entries(_at(node, kept[:-1]))) == 1:
            kept = kept[:-1]
        return _removal(_at(node, kept[:-1]), body, kept[-1])

    return _altered(text, file, change)


def with_entry(text: str, key: Key, value: str, file: str = "job") -> str:
    """The text with one more entry at the end of the list at `key`, which is made where there is none."""

    def change(node: Node, body: str) -> Change:
        found = _under(node, key)
        if not isinstance(found, SequenceNode):
            return _change(node, body, key, f"[{value}]")
        if found.flow_style or not found.value:
            at = _end(found.value[-1]) if found.value else found.start_mark.index + 1
            return at, at, f", {value}" if found.value else value
        at = _end(found.value[-1])
        line_end = body.find("\n", at)
        at = len(body) if line_end < 0 else line_end
        dash = body.rindex("-", 0, found.value[-1].start_mark.index)
        column = dash - (body.rfind("\n", 0, dash) + 1)
        return at, at, f"\n{' ' * column}- {value}"

    return _altered(text, file, change)


def scalar_text(said: str, listed: bool = False) -> str:
    """What a person typed, as YAML that says it and nothing else: quoted where it must be. listed: a list is meant."""
    said = " ".join(said.split())
    if listed and said[:1] in "[{" and said:
        return said
    try:
        node = YAML(typ="safe", pure=True).compose(f"{{k: {said}}}")
    except YAMLError:
        node = None
    read = plain(node)
    if said and read == {"k": said} and _child(node, "k").__class__ is ScalarNode and said[0] not in "'\"&*!":
        return said
    return '"' + said.replace("\\", "\\\\").replace('"', '\\"') + '"'


def text_at(text: str, key: Key) -> str | None:
    """The YAML text at `key` as it stands in the file, without quotes for a single value; None where there is none."""
    body = _BREAKS.sub("\n", text.removeprefix(MARK))
    try:
        found = _under(_nodes(normal(body)), key)
    except YAMLError:
        return None
    if found is None:
        return None
    return str(found.value) if isinstance(found, ScalarNode) else body[found.start_mark.index : _end(found)]


def data_of(text: str) -> Any:
    """What a text says, as mappings, lists and words as written; None where it is not YAML."""
    try:
        return plain(_nodes(normal(_BREAKS.sub("\n", text.removeprefix(MARK)))))
    except YAMLError:
        return None


def _altered(text: str, file: str, change: Callable[[Node, str], Change]) -> str:
    """The text after one change, whose outcome is YAML again."""
    body = text.removeprefix(MARK)
    crlf = "\r\n" in body
    body = _BREAKS.sub("\n", body)  # now each character stands where it stands in the text that is read
    start, end, put = change(_composed(normal(body), file), body)
    body = body[:start] + put + body[end:]
    _composed(normal(body), file)
    body = body.replace("\n", "\r\n") if crlf else body
    return MARK + body if text.startswith(MARK) else body


def _at(node: Node, key: Key) -> Node:
    found = _under(node, key)
    if found is None:
        raise JobFileError(Fault("is not in the file", key))
    return found


def _entries(node: Node) -> list[Any]:
    return list(node.value) if isinstance(node, CollectionNode) else []


def _removal(node: Node, text: str, part: str | int) -> Change:
    """The change that takes one entry out of a mapping or list: a whole line of a block, between commas in braces."""
    entries = _entries(node)
    keys = [entry[0].value for entry in entries] if isinstance(node, MappingNode) else list(range(len(entries)))
    if part not in keys:
        raise JobFileError(Fault("is not in the file", (part,)))
    number = keys.index(part)
    spans = [
        (entry[0].start_mark.index, _end(entry[1]))
        if isinstance(entry, tuple)
        else (entry.start_mark.index, _end(entry))
        for entry in entries
    ]
    start, end = spans[number]
    if isinstance(node, CollectionNode) and node.flow_style:
        if number + 1 < len(spans):
            return start, spans[number + 1][0], ""
        return (spans[number - 1][1] if number else start), end, ""
    start = text.rfind("\n", 0, start) + 1
    line_end = text.find("\n", end)
    return start, len(text) if line_end < 0 else line_end + 1, ""
