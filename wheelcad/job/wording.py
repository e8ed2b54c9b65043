"""The faults of a job file's values in the words of a shop: one fault for one thing wrong, with what would be right."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from pydantic import ValidationError

from wheelcad.errors import Fault, Key, nearest
from wheelcad.job import describe
from wheelcad.job.kinds import FAULT
from wheelcad.job.source import JobSource, printable

_TAGS = frozenset(["step", "wheel"])  # how the models tell a turned step from the word wheel; no keys of the file
# Keys that had another name once: sections and old name -> the name they have now.
RENAMED: Mapping[Key, str] = {("gauge", "elephant_foot"): "first_layer_setback"}
_LONGEST_SHOWN = 60
_IN_A_ROW = re.compile(r"^[0-9]+([\s,-]+[0-9]+)+$")  # 1-5-3-6-2-4, as firing orders are printed
COMMA = "inside { } and [ ] a comma ends a value: decimals take a point"

# What people write for what is meant, where the spelling alone would not lead there.
_OTHER_WORDS: Mapping[str, str] = {
    "cw": "clockwise",
    "ccw": "anticlockwise",
    "acw": "anticlockwise",
    "counterclockwise": "anticlockwise",
    "counter-clockwise": "anticlockwise",
    "steel": "mild-steel",
    "cast-iron": "grey-iron",
    "iron": "grey-iron",
    "aluminum": "aluminium-6061",
    "aluminium": "aluminium-6061",
    "stainless": "stainless-430",
    "vr": "reluctance",
    "variable-reluctance": "reluctance",
    "magnetic": "reluctance",
    "inductive": "reluctance",
    "imperial": "in",
    "inch": "in",
    "inches": "in",
    "metric": "mm",
    "millimetres": "mm",
    "high-speed-steel": "hss",
    "center": "centre",
    "od": "outside_diameter",
    "diameter": "outside_diameter",
    "name": "job",
    "rpm": "max_speed",
    "gap": "gap_at",
}


def faults_of(error: ValidationError, source: JobSource, job_units: str) -> list[Fault]:
    """Each of pydantic's errors as a fault with its place."""
    items = error.errors(include_url=False)
    # a key that is only misspelt is one fault, not an unknown key and a missing one
    misspelt = {
        (*key[:-1], _likely_key(str(key[-1]), list(describe.keys_of(section))))
        for key in (_key(item["loc"]) for item in items if item["type"] == "extra_forbidden")
        if (section := describe.section_at(key[:-1])) is not None
    }
    meant = [item for item in items if not (item["type"] == "missing" and _key(item["loc"]) in misspelt)]
    return [_fault(item, source, job_units) for item in meant]


def _fault(item: Any, source: JobSource, job_units: str) -> Fault:
    key = _key(item["loc"])
    kind, context, found = item["type"], item.get("ctx", {}), item["input"]
    if kind == "extra_forbidden":
        return source.located_at_key(_unknown(key))
    if kind == "missing":
        return source.located_at_key(_missing(key, job_units))
    if kind == FAULT:
        made = Fault(context["why"], key, shown(found), context["allowed"], context["hint"])
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
    tidy = _tidy_key(word)
    return _OTHER_WORDS[tidy] if _OTHER_WORDS.get(tidy) in known else nearest(tidy, known)


def _tidy_key(word: str) -> str:
    return word.strip().lower().replace("-", "_").replace(" ", "_")


def _key_hint(word: str, known: list[str]) -> str:
    tidy, likely = _tidy_key(word), _likely_key(word, known)
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


def _missing(key: Key, job_units: str) -> Fault:
    field = describe.field_at(key)
    if isinstance(key[-1], int):
        length = describe.list_length(field) if field is not None else None
        return Fault("holds too few values", key[:-1], allowed=f"{length} values" if length else "")
    where = f"the section `{Fault('', key[:-1]).dotted}` needs it" if len(key) > 1 else "every job needs it"
    what = f" ({field.description})" if field is not None and field.description else ""
    example = describe.example_of(field) if field is not None else None
    hint = f"write for example `{key[-1]}: {describe.flow(example)}`" if example is not None else ""
    if key == ("wheel",):
        hint = "write for example `wheel:` and below it, two spaces in, its keys"
    return Fault(f"is missing: {where}{what}", key, allowed=describe.allowed_at(key, job_units), hint=hint)


def _word(key: Key, found: object, words: tuple[str, ...]) -> Fault:
    if key[:2] == ("pulley", "turned"):
        words, also = ("wheel",), ", or a step such as {length: 8, diameter: 118}"
    else:
        also = ""
    tidy = str(found).strip().lower().replace("_", "-").replace(" ", "-")
    likely = _OTHER_WORDS.get(tidy, "") if _OTHER_WORDS.get(tidy) in words else nearest(tidy, words)
    allowed = ", ".join(words) + also
    if isinstance(found, dict | list | tuple):
        return Fault("should be one word", key, found=shown(found), allowed=allowed)
    hint = f"did you mean `{likely}`?" if likely else ""
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
        return Fault("should be a section", key, found=shown(found), allowed=f"the keys {known}", hint=dash)
    if kind == "dict_type":
        allowed = f"names, each with {describe.allowed_at(key, job_units)}"
        return Fault("should be a section of names", key, found=shown(found), allowed=allowed)
    if kind == "tuple_type":
        field = describe.field_at(key)
        numbers = re.findall(r"[0-9]+", found) if isinstance(found, str) and _IN_A_ROW.match(found) else None
        example = describe.flow(numbers or describe.example_of(field)) if field is not None else ""
        what = "" if numbers else "for example "
        return Fault(
            "should be a list",
            key,
            found=shown(found),
            allowed=describe.allowed_at(key, job_units),
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
