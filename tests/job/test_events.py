"""A job file read section by section is the same as read whole, mark for mark, also where it cannot be taken apart."""

from __future__ import annotations

import random
from typing import Any

import pytest
from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from tests.conftest import ROOT
from wheelcad.errors import JobError
from wheelcad.job import edit, events
from wheelcad.job.events import composed, events_of
from wheelcad.job.reader import parse_job

CONFIGS = sorted((ROOT / "configs").glob("*.yaml"))
# texts whose lines at the left edge are no sections, or that are no block mapping
HOSTILE = [
    "a: 'one\nb: two'\nc: 3\n",
    "a: [1,\nb: 2]\n",
    "a: {x: 1,\nb: 2}\nc: 1\n",
    "a: |\n  b: 1\nc: 2\n",
    "a: >-\nb: 1\n",
    "---\na: 1\nb: 2\n",
    "a: 1\n---\nb: 2\n",
    "a: 1\n...\nb: 2\n",
    "%YAML 1.1\n---\na: 1\nb: 2\n",
    "a: &x 1\nb: *x\n",
    "%TAG !e! tag:e,1:\n---\na: !e!x 1\nb: 2\n",
    "a: *x\nb: &x 1\n",
    "- a: 1\nb: 2\n",
    "a: 1\n- b\nc: 2\n",
    "a: 1\n b: 2\nc: 3\n",
    "a:\nb:\nc:\n",
    "a:\n- 1\n- 2\nb: 1\n",
    "? a\n: 1\nb: 2\n",
    "a: 1 # x: y\nb: 2 #\n",
    "# only\n\n  # this\na: 1\n",
    'a: "\\U99999999"\nb: 1\n',
    "a: {\nb: 1\n",
    "a: 1\nb: }\n",
    "{a: 1,\nb: 2}\n",
    'a: "x\n\ny"\nb: 2',
    "a: x\n  y\nb: z",
    "a: 1\n\tb: 2\nc: 3\n",
    "a: b: c\nd: 1\n",
    "a: 1\u2028b: 2\nc: 3\n",
    "a: 1\r\nb: 2\r\n",
    "word\na: 1\n",
    "a: 1\nb",
    "a : 1\nb\t: 2\n",
    "!!map\na: 1\nb: 2\n",
    "&r\na: 1\nb: 2\n",
    "a: !!str 1\nb: ~\n",
    "a: ''\nb: \"\"\n",
    "a: |2\n   x\nb: 1\n",
    "a: 1\n#c\nb: 2\n#d",
    "",
    "\n",
    "#\n",
    "a:",
    "a: [\n",
    "a: 1\na: 2\n",
]


PUT = ["", "\n", "x", ": ", "'", '"', "{", "[", "]", "# ", "\nb: 1\n", "- ", "|\n", "&a ", "*a", "\t", "---\n"]


def told(found: Any) -> list[tuple[Any, ...]] | str:
    """What can be seen of events; the kind of trouble where there is some."""
    out = []
    try:
        for event in found:
            marks = [(m.line, m.column) for m in (event.start_mark, event.end_mark)]
            more = [getattr(event, name, None) for name in ("value", "style", "anchor", "flow_style", "explicit")]
            out.append((type(event).__name__, *marks, *more, str(getattr(event, "tag", None))))
    except (YAMLError, ValueError, OverflowError) as error:
        return f"{type(error).__name__}: {error}"
    # a document ends where the text does, and so may a block: nobody asks for those places
    return [(e[0], *e[3:]) if e[0] in ("DocumentEndEvent", "StreamEndEvent", "MappingEndEvent", "SequenceEndEvent")
            and not e[6] else e for e in out]  # fmt: skip


def whole(text: str) -> Any:
    return YAML(typ="safe", pure=True).parse(text)


@pytest.mark.parametrize("text", HOSTILE)
def test_what_does_not_fall_apart_into_sections_is_read_whole(text: str) -> None:
    assert told(events_of(text)) == told(whole(text))


def test_sections_of_many_changed_job_files_are_as_in_the_whole() -> None:
    taken_apart = 0
    for path in CONFIGS:
        text = path.read_text(encoding="utf-8")
        dice = random.Random(path.name)
        for _ in range(40):
            at, cut = dice.randrange(len(text)), dice.choice([0, 0, 1, 3, 20])
            put = dice.choice(
                [
                    "",
                    "\n",
                    "x",
                    ": ",
                    "'",
                    '"',
                    "{",
                    "[",
                    "]",
                    "# ",
                    "\nb: 1\n",
                    "- ",
                    "|\n",
                    "&a ",
                    "*a",
                    "\t",
                    "---\n",
                ]
            )
            changed = text[:at] + put + text[at + cut :]
            assert told(events_of(changed)) == told(whole(changed)), changed
            taken_apart += events._by_sections(changed) is not None
    assert taken_apart > 40  # else nothing was compared


def spots(node: Any) -> Any:
    """A node's words and where each begins and ends."""
    value = node.value
    inner = (
        value if isinstance(value, str) else [[spots(n) for n in (e if isinstance(e, tuple) else [e])] for e in value]
    )
    ends = (node.start_mark.index, node.start_mark.column, node.end_mark.index if isinstance(value, str) else None)
    return type(node).__name__, ends, getattr(node, "flow_style", None), inner


@pytest.mark.parametrize("path", CONFIGS, ids=lambda path: path.stem)
def test_nodes_stand_where_the_library_says(path: Any) -> None:
    text = path.read_text(encoding="utf-8")
    ours = composed(text)
    assert spots(ours) == spots(YAML(typ="safe", pure=True).compose(text))


def test_a_change_reads_one_section_alone() -> None:
    text = CONFIGS[-1].read_text(encoding="utf-8")
    list(events_of(text))
    before = events._section.cache_info().misses
    after = edit.put_text(text, ("sensor", "air_gap"), "0.91")
    list(events_of(after))
    assert events._section.cache_info().misses == before + 1
    assert "air_gap: 0.91" in after


def test_an_escape_beyond_any_character_is_a_fault_of_the_file() -> None:
    with pytest.raises(JobError, match="escape that is no character"):
        parse_job('job: a\ntitle: "\\U99999999"\n')
