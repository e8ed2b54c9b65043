"""The faults of a job file's values in the words of a shop: one fault for one thing wrong, with what would be right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from wheelcad.errors import Fault, Key, nearest
from wheelcad.job import describe, meant
from wheelcad.job.kinds import FAULT
from wheelcad.job.source import JobSource, printable

_TAGS = frozenset(["step", "wheel"])  # how the models tell a turned step from the word wheel; no keys of the file
# Keys that had another name once: sections and old name -> the name they have now.
RENAMED: Mapping[Key, str] = {("gauge", "elephant_foot"): "first_layer_setback"}
_LONGEST_SHOWN = 60
MISSING = "is missing"  # how every fault of something left out begins
COMMA = "inside { } and [ ] a comma ends a value: decimals take a point"


def faults_of(error: ValidationError, source: JobSource, job_units: str, below: Key = ()) -> list[Fault]:
    """Each of pydantic's errors as a fault with its place; below: key of what was validated, if no whole job."""
    items: list[Any] = [{**item, "loc": (*below, *item["loc"])} for item in error.errors(include_url=False)]
    # a key that is only misspelt is one fault, not an unknown key and a missing one
    misspelt = {
        (*key[:-1], _likely_key(str(key[-1]), list(describe.keys_of(section))))
        for key in (_key(item["loc"]) for item in items if item["type"] == "extra_forbidden")
        if (section := describe.section_at(key[:-1])) is not None
    }
    refused = {_key(item["loc"]): item["input"] for item in items}
    if meant.PATTERN.match(str(refused.get(("wheel", "teeth"), ""))):
        misspelt.add(("wheel", "missing"))  # teeth: 36-1 says both
    # a list whose entries were refused is not too short as well
    parents = {key[:place] for key in refused for place, part in enumerate(key) if isinstance(part, int)}
    kept = [
        item
        for item in items
        if not (item["type"] == "missing" and _key(item["loc"]) in misspelt)
        and not (item["type"] == "too_short" and _key(item["loc"]) in parents)
    ]
    return _alike([_fault(item, source, job_units) for item in kept])


def _alike(faults: list[Fault]) -> list[Fault]:
    """The faults, but of entries of one list that are all wrong in one way only the first."""
    first: dict[tuple[Key, str], Fault] = {}
    count: dict[tuple[Key, str], int] = {}
    out = []
    for fault in faults:
        same = (fault.key[:-1], fault.message)
        if fault.key and isinstance(fault.key[-1], int):
            count[same] = count.get(same, 0) + 1
            if count[same] > 1:
                continue
            first[same] = fault
        out.append(fault)
    more = {id(first[same]): n - 1 for same, n in count.items() if n > 1}
    return [
        replace(fault, message=f"{fault.message}, and so for {more[id(fault)]} more of its list")
        if id(fault) in more
        else fault
        for fault in out
    ]


def _fault(item: Any, source: JobSource, job_units: str) -> Fault:
    key = _key(item["loc"])
    kind, context, found = item["type"], item.get("ctx", {}), item["input"]
    if kind == "extra_forbidden":
        return source.located_at_key(_unknown(key))
    if kind == "missing":
        return source.located_at_key(_missing(key))
    if kind == FAULT:
        hint = meant.hint_for(key, found) or context["hint"]
        made = Fault(context["why"], key, shown(found), context["allowed"], hint)
        return source.located(made)
    if kind == "literal_error":
        words = describe.words_of(field) if (field := describe.field_at(key)) is not None else ()
        return source.located(_word(key, found, words))
    if kind in ("too_short", "too_long"):
        return source.located_at_key(_length(key, found, context))
    return source.located(_structure(kind, key, found, str(item["msg"]), job_units))


def _key(location: Iterable[str | int]) -> Key:
    """The path in the file: a tag of the models after a list index is none of its keys."""
    out: list[str | int] = []
    for part in location:
        if not (part in _TAGS and out and isinstance(out[-1], int)) and not str(part).startswith("\0"):
            out.append(part)
    return tuple(out)


def _unknown(key: Key) -> Fault:
    now = RENAMED.get(tuple(part for part in key if not isinstance(part, int)))
    if now is not None:
        return Fault(f"has another name now: `{now}`", key, allowed=now, hint=f"write `{now}` in its place")
    section = describe.section_at(key[:-1])
    known = list(describe.keys_of(section)) if section is not None else []
    word = str(key[-1])
    return Fault("is not a key known here", key, allowed=", ".join(known), hint=_key_hint(word, known))


def _likely_key(word: str, known: list[str]) -> str:
    tidy = meant.tidy_key(word)
    return meant.other_word(tidy, known) or nearest(tidy, known)


def _key_hint(word: str, known: list[str]) -> str:
    tidy, likely = meant.tidy_key(word), _likely_key(word, known)
    if likely:
        return f"did you mean `{likely}`?"
    if word.replace(".", "").isdigit():
        return COMMA
    if ":" in word:
        return "a colon is followed by a space"
    homes = describe.homes().get(tidy, ())
    if homes:
        return f"`{tidy}` belongs {' or '.join(f'to {home}' if home else 'at the top of the file' for home in homes)}"
    return ""


def with_example(fault: Fault, job_units: str) -> Fault:
    """A fault of something that is missing, with what to write, where nothing else is advised."""
    field = describe.field_at(fault.key) if fault.message.startswith(MISSING) and not fault.hint else None
    if field is None or isinstance(fault.key[-1], int):
        return fault
    if fault.key == ("wheel",):
        return replace(fault, hint="write for example `wheel:` and below it, two spaces in, its keys")
    hint = _to_write(fault.key, describe.example_of(field, job_units))
    allowed = fault.allowed or describe.allowed_at(fault.key, job_units)
    return replace(fault, hint=hint, allowed=allowed)


def _to_write(key: Key, example: object) -> str:
    return f"write for example `{key[-1]}: {describe.flow(example)}`" if example is not None else ""


def _missing(key: Key) -> Fault:
    field = describe.field_at(key)
    if isinstance(key[-1], int):
        length = describe.list_length(field) if field is not None else None
        return Fault("holds too few values", key[:-1], allowed=f"{length} values" if length else "")
    where = f"the section `{Fault('', key[:-1]).dotted}` needs it" if len(key) > 1 else "every job needs it"
    what = f" ({field.description})" if field is not None and field.description else ""
    return Fault(f"{MISSING}: {where}{what}", key)


def _word(key: Key, found: object, words: tuple[str, ...]) -> Fault:
    if key[:2] == ("pulley", "turned"):
        words, also = ("wheel",), ", or a step such as {length: 8, diameter: 118}"
    else:
        also = ""
    allowed = ", ".join(words) + also
    if isinstance(found, dict | list | tuple):
        return Fault("should be one word", key, found=shown(found), allowed=allowed)
    likely = meant.word_meant(found, words)
    field = describe.field_at(key)
    hint = f"did you mean `{likely}`?" if likely else field.description or "" if field is not None else ""
    return Fault("is not one of the words allowed here", key, found=shown(found), allowed=allowed, hint=hint)


def _length(key: Key, found: Any, context: Mapping[str, Any]) -> Fault:
    field = describe.field_at(key)
    fixed = describe.list_length(field) if field is not None else None
    least, most = context.get("min_length"), context.get("max_length")
    allowed = f"{fixed} values" if fixed else f"at least {least}" if least is not None else f"at most {most}"
    count = len(found) if isinstance(found, list | tuple) else context.get("actual_length", "")
    much = "few" if least is not None else "many"
    hint = COMMA if fixed and much == "many" else ""
    return Fault(f"holds too {much} values", key, found=str(count), allowed=allowed, hint=hint)


def _structure(kind: str, key: Key, found: object, message: str, job_units: str) -> Fault:
    """A section where a value belongs, a value where a list belongs, and the like."""
    if kind in ("model_type", "model_attributes_type"):
        section = describe.section_at(key)
        known = ", ".join(describe.keys_of(section)) if section is not None else ""
        dash = "take away the dash before its keys" if isinstance(found, list) and len(found) == 1 else ""
        field = describe.field_at(key)
        example = describe.example_of(field, job_units) if field is not None else None
        write = _to_write(key, example) if isinstance(example, Mapping) else ""
        return Fault("should be a section", key, found=shown(found), allowed=f"the keys {known}", hint=dash or write)
    if kind == "dict_type":
        allowed = f"names, each with {describe.allowed_at(key, job_units)}"
        return Fault("should be a section of names", key, found=shown(found), allowed=allowed)
    if kind == "tuple_type":
        field = describe.field_at(key)
        numbers = meant.list_meant(key, found)
        example = describe.flow(numbers or describe.example_of(field, job_units)) if field is not None else ""
        what = "" if numbers else "for example "
        return Fault(
            "should be a list",
            key,
            found=shown(found),
            allowed=f"a list in [ ], each entry {describe.allowed_at(key, job_units)}",
            hint=f"write {what}`{key[-1]}: {example}`" if example and isinstance(key[-1], str) else "",
        )
    message = message.removeprefix("Value error, ").removeprefix("Assertion failed, ")
    return Fault(message[:1].lower() + message[1:], key, found=shown(found))


def shown(value: object) -> str:
    """A value as a message shows it."""
    if isinstance(value, dict):
        return f"a section with {', '.join(map(str, list(value)[:4]))}" if value else "an empty section"
    if isinstance(value, list | tuple):
        return "a list" if value else "an empty list"
    if value is None:
        return "nothing"
    text = printable(" ".join(str(value).split()))
    return text if len(text) <= _LONGEST_SHOWN else text[:_LONGEST_SHOWN] + "…"
