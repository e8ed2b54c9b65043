"""YAML's events of a job file, section by section, so that a change in one section does not read the others again.

A job file is a block mapping whose sections begin at the left edge. Each stretch from one such line to the next is YAML
by itself, with the same events at the same lines as in the whole; so they are kept, the last few hundred of them. What
does not fall apart so (a quoted text over a section's line, a directive, a fault of syntax) is read whole.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import islice
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.composer import ComposerError
from ruamel.yaml.error import YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentEndEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

SECTION_LINE = re.compile(r"^[A-Za-z_][\w-]*[ \t]*:(?=\s|$)", re.MULTILINE)
LARGEST = 1 << 16  # characters of a text that is read by sections; a job file has some three thousand
MOST_EVENTS = 6000  # of a section, kept
DEEPEST_NODE = 60  # of a text that is edited; a job file may have twelve
_ODD = re.compile("[\r\x85\u2028\u2029\ufeff]")  # other ends of lines: YAML counts them, str.split("\n") does not
_NOTHING = re.compile(r"(?:[ \t]*(?:#[^\n]*)?(?:\n|$))*")


def events_of(text: str) -> Iterator[Event]:
    """The events of a text, as ruamel.yaml tells them of the whole. Its own errors pass."""
    parts = _by_sections(text)
    return YAML(typ="safe", pure=True).parse(text) if parts is None else iter(parts)


def _by_sections(text: str) -> list[Event] | None:
    """The same from its sections; None where the text cannot be taken apart."""
    if len(text) > LARGEST or _ODD.search(text):
        return None
    starts = [found.start() for found in SECTION_LINE.finditer(text)]
    if not starts or not _NOTHING.fullmatch(text, 0, starts[0]):
        return None
    out: list[Event] = []
    line = text.count("\n", 0, starts[0])
    for start, end in zip(starts, [*starts[1:], len(text)], strict=True):
        part = _section(line, text[start:end])
        if part is None:
            return None
        before, inner, after = part
        out += inner if out else [*before, *inner]
        line += text.count("\n", start, end)
    return [*out, *after]


Part = tuple[tuple[Event, ...], tuple[Event, ...], tuple[Event, ...]]


@lru_cache(maxsize=400)
def _section(line: int, text: str) -> Part | None:
    """The events of one section that begins in a line (from 0): up to its mapping's start, its keys and values, and
    from the mapping's end. None where it is no block mapping of one document."""
    try:
        events = _few(YAML(typ="safe", pure=True).parse("\n" * line + text))
    except (YAMLError, ValueError, OverflowError):
        return None
    if len(events) < 6 or len(events) == MOST_EVENTS:
        return None
    starts, mapping, ends, closing = events[1], events[2], events[-2], events[-3]
    whole = (
        isinstance(starts, DocumentStartEvent)
        and not starts.explicit
        and isinstance(mapping, MappingStartEvent)
        and not mapping.flow_style
        and mapping.anchor is None
        and mapping.start_mark.column == 0
        and isinstance(closing, MappingEndEvent)
        and isinstance(ends, DocumentEndEvent)
        and not ends.explicit
        and not any(isinstance(event, DocumentStartEvent) for event in events[2:])
    )
    return (events[:3], events[3:-3], events[-3:]) if whole else None


def _few(found: Iterator[Event]) -> tuple[Event, ...]:
    """The first events of a section; broken off where it is nested deeper than a job can be, for each level costs."""
    out: list[Event] = []
    depth = 0
    for event in islice(found, MOST_EVENTS):
        out.append(event)
        if isinstance(event, MappingStartEvent | SequenceStartEvent):
            depth += 1
        elif isinstance(event, MappingEndEvent | SequenceEndEvent):
            depth -= 1
        if depth > DEEPEST_NODE:
            return ()
    return tuple(out)


@dataclass(frozen=True)
class Spot:
    """A place in a text: index of the character, line and column, all from 0."""

    index: int
    line: int
    column: int


def composed(text: str) -> Node | None:
    """The text as nodes, each with the `Spot`s where it begins and ends; None for a text that says nothing. YAMLError
    where it is not YAML."""
    parts = _by_sections(text)
    lines = None
    if parts is not None:  # the marks of a section count from before it: lines and columns hold, characters do not
        lines = [0, *(found.end() for found in re.finditer("\n", text))]
    composer = _Composer(YAML(typ="safe", pure=True).parse(text) if parts is None else iter(parts), lines)
    return composer.whole()


class _Composer:
    """Turns events into nodes. lines: where each line of the text begins; None to take the marks' own characters."""

    def __init__(self, events: Iterator[Event], lines: list[int] | None) -> None:
        self.events, self.lines = events, lines
        self.anchors: dict[str, Node] = {}

    def whole(self) -> Node | None:
        """The one document's node."""
        node: Node | None = None
        for event in self.events:
            if isinstance(event, AliasEvent | ScalarEvent | MappingStartEvent | SequenceStartEvent):
                if node is not None:
                    raise ComposerError(None, None, "expected a single document", event.start_mark)
                node = self._node(event, 0)
        return node

    def _spot(self, mark: Any) -> Spot:
        index = mark.index if self.lines is None else self.lines[mark.line] + mark.column
        return Spot(index, mark.line, mark.column)

    def _node(self, event: Any, depth: int) -> Node:
        """The node that begins with `event`; takes its further events."""
        if depth > DEEPEST_NODE:
            raise ComposerError(None, None, "is nested too deeply", event.start_mark)
        if isinstance(event, AliasEvent):
            if event.anchor not in self.anchors:
                raise ComposerError(None, None, f"found undefined alias {event.anchor!r}", event.start_mark)
            return self.anchors[event.anchor]
        start = self._spot(event.start_mark)
        node: Node
        if isinstance(event, ScalarEvent):
            node = ScalarNode(None, event.value, start, self._spot(event.end_mark), style=event.style)
        elif isinstance(event, SequenceStartEvent):
            node = SequenceNode(None, [], start, None, flow_style=event.flow_style)
            for inner in self.events:
                if isinstance(inner, SequenceEndEvent):
                    node.end_mark = self._spot(inner.end_mark)
                    break
                node.value.append(self._node(inner, depth + 1))
        else:
            node = MappingNode(None, [], start, None, flow_style=event.flow_style)
            for inner in self.events:
                if isinstance(inner, MappingEndEvent):
                    node.end_mark = self._spot(inner.end_mark)
                    break
                key = self._node(inner, depth + 1)
                node.value.append((key, self._node(next(self.events), depth + 1)))
        if event.anchor is not None:
            self.anchors[event.anchor] = node
        return node
