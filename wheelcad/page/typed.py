"""What a person types in a field, as changes of the job's text: what YAML takes, and what `new` understands besides."""

from __future__ import annotations

from typing import NamedTuple

from wheelcad.errors import Key
from wheelcad.job import describe
from wheelcad.job.answers import AnswerError, read_answer
from wheelcad.job.edit import scalar_text, text_at
from wheelcad.job.invented import dotted
from wheelcad.job.meant import PATTERN
from wheelcad.job.reader import source_of

PATTERN_KEY = ("wheel", "teeth")


class Typed(NamedTuple):
    """YAML to put at a key; "" takes the key out."""

    key: Key
    value: str


def as_typed(text: str, key: Key, said: str, file: str = "job") -> list[Typed]:
    """The changes that `said` at `key` means. None where the text says so already."""
    said = " ".join(said.split())
    there = text_at(text, key)
    if not said:
        return [Typed(key, "")] if there is not None else []
    if said == there:
        return []
    pattern = PATTERN.match(said) if key == PATTERN_KEY else None
    if pattern is not None:  # 36-1 is teeth and missing ones
        return [*as_typed(text, key, pattern[1], file), *as_typed(text, ("wheel", "missing"), pattern[2], file)]
    field = describe.field_at(key)
    if field is None:
        return [Typed(key, scalar_text(said, listed=True))]
    words, depth = describe.words_of(field), describe.list_depth(field)
    listed = depth > 0 and not isinstance(key[-1], int)
    section = describe.section_of(field.annotation) is not None
    if (words and said not in words) or (listed and depth == 1 and said[0] not in "[{" and not section):
        try:  # cw for clockwise, 1-3-4-2 for [1, 3, 4, 2]
            answer = read_answer(dotted(key), said, source_of(text, file).units).text
        except AnswerError:
            pass
        else:
            return [Typed(key, answer)] if answer != there else []
    return [Typed(key, scalar_text(said, listed or section))]
