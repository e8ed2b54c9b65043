"""Reads a job file: YAML to a frozen Job, every fault at once, each with its line.

YAML's events (ruamel.yaml, in Python, safe) are turned into plain values here, one after another: so the place of every
key is known, doubled keys are seen, nothing in the file can run code, and a file made to swell or to nest without end
is refused before it does.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any, NoReturn

from pydantic import ValidationError
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    Event,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
)

from wheelcad.errors import DesignError, Fault, JobSyntaxError, JobValueError, Key
from wheelcad.job.consistency import contradictions
from wheelcad.job.events import SECTION_LINE, events_of
from wheelcad.job.impossible import impossible_sizes, unit_slip
from wheelcad.job.kinds import Plain, units_of
from wheelcad.job.models import Job
from wheelcad.job.plausibility import slip_faults
from wheelcad.job.source import JobSource, Place, printable
from wheelcad.job.text import normal, read_text, unreadable

DEEPEST = 12  # sections and lists inside each other; a job file needs five
MOST_VALUES = 5000  # keys and values; a job file has some two hundred
MOST_FAULTS = 40  # shown; a file with more has one cause
LONGEST_KEY = 40  # characters
NULLS = frozenset(["", "~", "null", "Null", "NULL"])
_ESCAPE = re.compile(r"\\U([0-9a-fA-F]{8})")


def load_job(path: str | Path) -> Job:
    """Read and validate the job file at `path`. Raises a JobError that holds every fault found."""
    path = Path(path)
    return parse_job(read_text(path), str(path))


def parse_job(text: str, file: str = "job") -> Job:
    """A Job from the text of a job file; `file` is the name used in messages. Raises a JobError with every fault."""
    source = JobSource(file, normal(text))
    unseen = unreadable(source)
    if unseen:
        raise JobSyntaxError(_first(unseen))
    reading = _Reading(source)
    data, broken = reading.whole()
    source = replace(source, places=reading.places, values=reading.values, units=units_of(data))
    if reading.faults and not isinstance(data, dict):
        raise JobSyntaxError(_first(reading.faults))
    if not isinstance(data, dict):
        said = "is empty" if data is None else "should be sections such as `job:` and `wheel:`, one below the other"
        raise JobValueError(source.at(Fault(said), (1, 1)))
    slip = unit_slip(data, units_of(data))
    if slip is not None:  # alone: nearly all else that could be said comes of it
        raise JobValueError(_first([*reading.faults, source.located(slip)]))
    job, wrong = _validated(data, source)
    wrong = [fault for fault in wrong if not _told(fault.key, reading.faults, broken)]
    faults = [*reading.faults, *wrong]
    if faults:
        faults.sort(key=lambda fault: (fault.line, fault.column))
        raise (JobSyntaxError if reading.faults and not wrong else JobValueError)(_first(faults))
    assert job is not None
    beyond = impossible_sizes(job)
    spoilt = {fault.key[0] for fault in beyond}  # what follows from a size that cannot be meant is not said as well
    against = beyond + [fault for fault in contradictions(job) if fault.key[0] not in spoilt]
    if against and not beyond:
        against = list(slip_faults(job)) + against
    if against:
        raise DesignError(_first([source.located(fault) for fault in against]))
    return job.with_source(source)


def written_values(text: str) -> dict[str, str]:
    """Every value of a job file's text as it is written there, by its dotted key; what cannot be read is left out."""
    data, _ = _Reading(JobSource("", normal(text))).whole()
    return dict(_flat(data, ""))


def _flat(value: Any, key: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from _flat(inner, f"{key}.{name}" if key else name)
    elif isinstance(value, list) and any(isinstance(inner, dict | list) for inner in value):
        for number, inner in enumerate(value):
            yield from _flat(inner, f"{key}[{number}]")
    elif value is not None:
        yield key, f"[{', '.join(map(str, value))}]" if isinstance(value, list) else str(value)


def source_of(text: str, file: str) -> JobSource:
    """Where everything stands in a job file that may not be whole yet: places and values of what can be read."""
    source = JobSource(file, normal(text))
    reading = _Reading(source)
    data, _ = reading.whole()
    return replace(source, places=reading.places, values=reading.values, units=units_of(data))


def _validated(data: dict[str, Any], source: JobSource) -> tuple[Job | None, list[Fault]]:
    try:
        return Job.from_data(data), []
    except ValidationError as error:
        from wheelcad.job.wording import faults_of

        return None, faults_of(error, source, units_of(data))


def _told(key: Key, faults: list[Fault], broken: set[str]) -> bool:
    """Whether a fault at this key only repeats what was said of it, or comes of a section that could not be read."""
    said = {fault.key for fault in faults if fault.key}
    # what a section should hold, and which sections there are, cannot be said where lines could not be read
    return (
        bool(key and key[0] in broken)
        or ("" in broken and len(key) == 1)
        or any(key[:n] in said for n in range(1, len(key) + 1))
    )


def _first(faults: list[Fault]) -> list[Fault]:
    """The faults, or the first of very many."""
    if len(faults) <= MOST_FAULTS:
        return faults
    rest = replace(faults[MOST_FAULTS], message=f"and {len(faults) - MOST_FAULTS} more, from here on", key=())
    return [*faults[:MOST_FAULTS], replace(rest, found="", allowed="", hint="")]


def _syntax_fault(error: MarkedYAMLError, source: JobSource) -> Fault:
    """Imported here, as the words for other faults are: a file without any need not wait for them."""
    from wheelcad.job.broken import syntax_fault

    return syntax_fault(error, source)


class _RefusedError(Exception):
    """The file cannot be read any further; the fault is noted already."""


class _Reading:
    """Turns events into plain values; notes places, and the faults that YAML itself lets pass.

    places: of keys and of list entries; values: of values that are not sections or lists.
    """

    def __init__(self, source: JobSource) -> None:
        self.source = source
        self.places: dict[Key, Place] = {}
        self.values: dict[Key, Place] = {}
        self.faults: list[Fault] = []
        self.count = 0

    def whole(self) -> tuple[Any, set[str]]:
        """The file's values, and the names of the sections that could not be read."""
        try:
            return self._document(self.source.text), set()
        except MarkedYAMLError as error:
            return self._by_sections(error)
        except YAMLError as error:
            self.faults.append(self.source.at(Fault(f"is not YAML: {str(error).splitlines()[0]}"), (1, 1)))
        except _RefusedError:
            pass
        return None, set()

    def _by_sections(self, error: MarkedYAMLError) -> tuple[dict[str, Any] | None, set[str]]:
        """After a fault of syntax, each section on its own: one broken section does not hide others' faults."""
        lines = self.source.lines
        starts = [i for i, line in enumerate(lines) if SECTION_LINE.match(line)]
        self.places, self.values, self.faults, self.count = {}, {}, [], 0
        data: dict[str, Any] = {}
        broken: set[str] = set()
        first: dict[str, int] = {}  # section -> line of its first mention
        for start, end in zip([0, *starts], [*starts, len(lines)], strict=True):
            if start == end:
                continue
            name = lines[start].split(":")[0].strip() if start in starts else ""
            try:
                part = self._document("\n" * start + "\n".join(lines[start:end]))
            except YAMLError as fault:
                known = fault if isinstance(fault, MarkedYAMLError) else error
                self.faults.append(_syntax_fault(known, self.source))
                broken.add(name)
                continue
            except _RefusedError:
                return None, broken
            for key, value in part.items() if isinstance(part, dict) else ():
                if key in data:
                    self._doubled((key,), self.places[(key,)], first[key])
                data.setdefault(key, value)
                first.setdefault(key, self.places[(key,)][0])
        if not broken:  # whole, it is wrong; in parts, it is not: say what was wrong with the whole
            self.faults.append(_syntax_fault(error, self.source))
            return None, broken
        return data, broken

    def _document(self, text: str) -> Any:
        """The values of a text that holds one document."""
        events = self._events(text)
        value: Any = None
        documents = 0
        for event in events:
            if isinstance(event, DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._refuse(
                        _place(event),
                        (),
                        "begins a second document; a job file holds one",
                        hint="delete the line --- or ... before it",
                    )
            elif isinstance(event, AliasEvent | ScalarEvent | MappingStartEvent | SequenceStartEvent):
                self.places.setdefault((), _place(event))
                value = self._value(event, events, (), 0)
        return value

    def _events(self, text: str) -> Iterator[Event]:
        """The library's events; what it cannot turn into a character is a fault of the file's."""
        try:
            yield from events_of(text)
        except (ValueError, OverflowError):
            escape = next((e for e in _ESCAPE.finditer(text) if int(e[1], 16) > sys.maxunicode), None)
            start = escape.start() if escape is not None else 0
            place = text.count("\n", 0, start) + 1, start - text.rfind("\n", 0, start)
            message = "holds an escape that is no character"
            self._refuse(place, (), message, allowed="up to \\U0010FFFF", hint="write the character itself")

    def _value(self, event: Event, events: Iterator[Event], key: Key, depth: int) -> Any:
        """The value that begins with `event`; takes its further events."""
        self.count += 1
        if self.count > MOST_VALUES:
            self._refuse(_place(event), (), "holds far more than a job file", allowed=f"{MOST_VALUES} values at most")
        if depth > DEEPEST:
            self._refuse(_place(event), key[:3], "is nested too deeply", allowed=f"{DEEPEST} levels at most")
        anchor, tag = getattr(event, "anchor", None), getattr(event, "tag", None)
        if isinstance(event, AliasEvent):
            self._note(_place(event), key, "stands for another value by a YAML alias", f"*{anchor}", "write it out")
            return None
        if anchor is not None:
            self._note(_place(event), key, "has a YAML anchor", f"&{anchor}", "take it away and write values out")
        elif tag is not None and str(tag) != "!":
            self._note(
                _place(event),
                key,
                "has a YAML tag",
                str(tag).replace("tag:yaml.org,2002:", "!!")[:60],
                "take it away and write the plain value",
            )
        if isinstance(event, MappingStartEvent):
            return self._mapping(events, key, depth)
        if isinstance(event, SequenceStartEvent):
            return self._sequence(events, key, depth)
        return self._scalar(event, key)

    def _mapping(self, events: Iterator[Event], key: Key, depth: int) -> dict[str, Any]:
        out: dict[str, Any] = {}
        for event in events:
            if isinstance(event, MappingEndEvent):
                break
            place = _place(event)
            if not isinstance(event, ScalarEvent):
                self._refuse(place, key, "has something else than a word for a key", hint="a key is a plain word")
            name = _name(str(event.value))
            own = (*key, name)
            value_event = next(events)
            if name in out:
                self._doubled(own, place, self.places[own][0])
                self._value(value_event, events, (*key, f"{name} (again)"), depth + 1)
                continue
            self.places[own] = place
            out[name] = self._value(value_event, events, own, depth + 1)
        return out

    def _doubled(self, key: Key, place: Place, first_line: int) -> None:
        self._note(place, key, "is given twice", hint=f"the first is in line {first_line}; keep one of them")

    def _sequence(self, events: Iterator[Event], key: Key, depth: int) -> list[Any]:
        out: list[Any] = []
        for event in events:
            if isinstance(event, SequenceEndEvent):
                break
            own = (*key, len(out))
            self.places[own] = _place(event)
            out.append(self._value(event, events, own, depth + 1))
        return out

    def _scalar(self, event: Any, key: Key) -> str | None:
        text = str(event.value)
        if event.style is not None:
            self.values[key] = _place(event)
            return text
        if text in NULLS:
            # an empty key may be a forgotten value or a section whose keys are all commented out: nobody can tell
            if key:
                from wheelcad.job.wording import COMMA

                name, colon, value = str(key[-1]).partition(":")
                number = not text and str(key[-1]).replace(".", "").isdigit()
                hint = COMMA if number else "write its value, or delete the line"
                if colon and value:
                    hint = f"a colon is followed by a space: write {name}: {value.strip()}"
                self._note(self.places.get(key, _place(event)), key, "has no value", text, hint)
            return None
        self.values[key] = _place(event)
        return Plain(text)

    def _note(self, place: Place, key: Key, message: str, found: str = "", hint: str = "") -> None:
        self.faults.append(self.source.at(Fault(message, key=key, found=found, hint=hint), place))

    def _refuse(self, place: Place, key: Key, message: str, allowed: str = "", hint: str = "") -> NoReturn:
        """Note the fault and stop reading."""
        self.faults.append(self.source.at(Fault(message, key=key, allowed=allowed, hint=hint), place))
        raise _RefusedError


def _name(text: str) -> str:
    """A key as messages show it: one of a job file is never cut."""
    return printable(text if len(text) <= LONGEST_KEY else text[:LONGEST_KEY] + "…")


def _place(event: Event) -> Place:
    return event.start_mark.line + 1, event.start_mark.column + 1
