"""An answer to a question of the measuring sheet: read as a person writes it, held against what is allowed and usual.

"cw", "6 1/4", "1-3-4-2", "36-1" and any unit are understood; what comes back is the text a job file would hold.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import cast

from pydantic import ValidationInfo
from pydantic_core import PydanticCustomError

from wheelcad.errors import Key
from wheelcad.job import describe, meant
from wheelcad.job.kinds import Kind, Plain, Quantity, Whole
from wheelcad.job.measuring import plain
from wheelcad.job.plausibility import meant_instead, round_figure
from wheelcad.job.sizes import SIZES
from wheelcad.job.starter_text import MANY, usual_pattern

PATTERN_KEY = "wheel.teeth"  # asked with the missing ones: 36-1


class AnswerError(ValueError):
    """An answer that makes no value; says what was wrong and what would be right, quantities unwritten."""


@dataclass(frozen=True)
class Answer:
    """text: as a job file holds it. value: a number in base units where it is one. remark: what is odd about it."""

    text: str
    value: float | None = None
    remark: str = ""


def read_answer(key: str, said: str, units: str, cylinders: int = 0) -> Answer:
    """The answer to the question of `key`. AnswerError says why there is none. cylinders: 0 where not known yet."""
    said = " ".join(said.split())
    path = key_path(key)
    field = describe.field_at(path)
    if field is None or not said:
        raise AnswerError("is no answer")
    if any(sign in said for sign in "{}#\n") or ": " in said:
        raise AnswerError("holds a sign that a job file keeps for itself")
    if key == PATTERN_KEY:
        return _pattern(said, cylinders)
    words, kind = describe.words_of(field), describe.kind_of(field)
    if words:
        return _word(said, words)
    if isinstance(kind, Whole):
        said = meant.whole_meant(said)
    if kind is None:
        raise AnswerError("cannot be asked for")
    if describe.list_depth(field) and not isinstance(path[-1], int):
        return _list(path, said, kind, units, cylinders)
    return _value(key, path, said, kind, units)


def key_path(key: str) -> Key:
    """pulley.as_found[0].length as the path of keys and places."""
    out: list[str | int] = []
    for part in key.replace("[", ".[").split("."):
        out.append(int(part[1:-1]) if part.startswith("[") else part)
    return tuple(out)


def _pattern(said: str, cylinders: int) -> Answer:
    found = meant.PATTERN.match(said)
    if found is None:
        raise AnswerError("should be teeth and missing ones, such as 36-1 or 60-2")
    teeth, missing = int(found[1]), int(found[2])
    if not 3 <= teeth <= 720 or missing > teeth - 2:
        raise AnswerError("leaves fewer than two teeth, or has too many; such as 36-1 or 60-2")
    if missing == 0:
        raise AnswerError(
            "has no gap, and without one the controller cannot tell which tooth is which; leave one or two out: "
            f"{teeth}-1, {teeth}-2. For a wheel that a sensor on the cam helps out, write `missing: 0` by hand"
        )
    return Answer(f"{teeth}-{missing}", None, hard_to_tell(missing, cylinders))


def hard_to_tell(missing: int, cylinders: int) -> str:
    """What is odd about so few missing teeth with so many cylinders, "" for nothing. Read off the gap maps of `wheelcad
    signal`, which a test holds it against."""
    if missing != 1 or usual_pattern(cylinders) != MANY:
        return ""
    return (
        f"{cylinders} cylinders slow the starter so often that a gap of one tooth is hard to tell from a slow tooth: "
        f"{MANY} is read more surely, and `wheelcad options` weighs others"
    )


def _word(said: str, words: tuple[str, ...]) -> Answer:
    if said in words:
        return Answer(said)
    letters = [word for word in words if word.startswith(said.lower())]
    likely = letters[0] if len(letters) == 1 else meant.word_meant(said, words)
    if not likely:
        raise AnswerError(f"is none of {', '.join(words)}")
    return Answer(likely)


def _list(path: Key, said: str, kind: Kind, units: str, cylinders: int) -> Answer:
    entries = meant.list_meant(path, said) or [part for part in said.strip("[]() ").replace(",", " ").split() if part]
    values = [_read(kind, entry, units, path) for entry in entries]
    if len(set(map(str, values))) != len(values):
        raise AnswerError("names the same one twice")
    if cylinders and len(values) != cylinders:
        raise AnswerError(f"holds {len(values)} of {cylinders}, one for each cylinder")
    return Answer(f"[{', '.join(entries)}]")


def _value(key: str, path: Key, said: str, kind: Kind, units: str) -> Answer:
    value = _read(kind, said, units, path)
    if isinstance(value, bool):
        return Answer("yes" if value else "no")
    if not isinstance(value, float) or not isinstance(kind, Quantity):
        return Answer(str(value) if not isinstance(value, int) else said.lstrip("+"))
    name = plain(key)
    usual = SIZES.get(name)
    remark = ""
    if usual is not None and not usual.low <= value <= usual.high:
        low, high = (round_figure(end, usual.kind) for end in (usual.low, usual.high))
        remark = f"{usual.of} is usually {low} to {high}"
        likely = meant_instead(units, value, usual)
        if not usual.least <= value <= usual.most:
            raise AnswerError(remark + (f": {likely}" if likely else ""))
        remark += f": {likely}" if likely else ""
    return Answer(said, value, remark)


def _read(kind: Kind, said: str, units: str, path: Key) -> object:
    class _Info:
        context: Mapping[str, str] = {"units": units}

    try:
        return kind.read(Plain(said), cast(ValidationInfo, _Info()))
    except PydanticCustomError as error:
        why = error.context or {}
        parts = [str(why.get("why", "")), str(why.get("allowed", ""))]
        hint = meant.hint_for(path, said) or str(why.get("hint", ""))
        raise AnswerError("; ".join(part for part in [*parts, hint] if part)) from None
