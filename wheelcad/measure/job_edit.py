"""A job file with a few values changed, everything else, comments too, as it stood.

The reader knows the place of every value; a value is replaced where it stands, a key that is not there yet is put
after one that is. The result is read again before it is handed on, so that it is a job and says what was meant.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from wheelcad.errors import Fault, JobValueError, Key
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job

_VALUE = re.compile(r"\"(?:[^\"\\]|\\.)*\"|'(?:[^']|'')*'|[^,}\]#\n]+?(?=\s*(?:[,}\]]|\s#|$))", re.MULTILINE)


def edited_job(job: Job, changes: Mapping[Key, str], after: Mapping[Key, str]) -> str:
    """The job file's text with `changes` (key: text of the value). after: for a key that may be missing, the name of
    the sibling it goes behind. JobValueError where a value cannot be placed, and whatever reading the result raises."""
    text = job.source.text
    known = {key: job.source.values[key] for key in changes if key in job.source.values}
    offsets = _line_starts(text)
    edits: list[tuple[int, int, str]] = []
    for key, value in changes.items():
        if key in known:
            start = offsets[known[key][0] - 1] + known[key][1] - 1
            edits.append((start, start + _length(text, start), value))
            continue
        sibling = (*key[:-1], after.get(key, ""))
        place = job.source.values.get(sibling)
        if place is None:
            raise JobValueError(Fault("cannot be written into this job file: there is no place for it", key=key))
        start = offsets[place[0] - 1] + place[1] - 1
        end = start + _length(text, start)
        edits.append((end, end, _beside(job, text, offsets, sibling, str(key[-1]), value)))
    for start, end, value in sorted(edits, reverse=True):
        text = text[:start] + value + text[end:]
    parse_job(text, job.source.file)
    return text


def _line_starts(text: str) -> list[int]:
    out = [0]
    for line in text.split("\n"):
        out.append(out[-1] + len(line) + 1)
    return out


def _length(text: str, start: int) -> int:
    found = _VALUE.match(text, start)
    return len(found[0]) if found else 0


def _beside(job: Job, text: str, offsets: list[int], sibling: Key, name: str, value: str) -> str:
    """What is put behind the sibling's value: on a line of its own, or after a comma within braces."""
    line, column = job.source.places[sibling]
    own = text[offsets[line - 1] : offsets[line - 1] + column - 1]
    if own.strip():  # something stands before the key on its line: braces
        return f", {name}: {value}"
    return f"\n{own}{name}: {value}"
