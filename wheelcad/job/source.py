"""Where each key and value of a job file stands, so that every message can point at its line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from wheelcad.errors import Fault, Key, relocated

Place = tuple[int, int]  # line and column, from 1

WIDEST = 160  # characters of a line that a message shows


@dataclass(frozen=True)
class JobSource:
    """A job file's name and text, the place of every key and of every value that is not a section or a list.

    places, values: path of keys and list indexes -> line and column. A list entry's place is where the entry begins.
    units: of bare lengths, in which messages tell them.
    """

    file: str = ""
    text: str = ""
    places: Mapping[Key, Place] = field(default_factory=dict)
    values: Mapping[Key, Place] = field(default_factory=dict)
    units: str = "mm"

    @cached_property
    def sha256(self) -> str:
        """The hash of the text: what manifests, bench pages and packets tell jobs apart by."""
        import hashlib  # the chart needs none

        return hashlib.sha256(self.text.encode("utf-8")).hexdigest()

    @cached_property
    def lines(self) -> list[str]:
        """The file's lines, without their ends."""
        return self.text.split("\n")

    def place(self, key: Key) -> Place:
        """The place of a key, or of its nearest parent that is in the file; (0, 0) when there is none."""
        while key:
            if key in self.places:
                return self.places[key]
            key = key[:-1]
        return self.places.get((), (0, 0))

    def value_place(self, key: Key) -> Place:
        """The place of a key's value; where it is a section or a list, or is not in the file, that of the key."""
        return self.values.get(key) or self.place(key)

    def located(self, fault: Fault) -> Fault:
        """The fault with file, line and column of the value its key names, and that line's text."""
        return self.at(fault, self.value_place(fault.key))

    def located_at_key(self, fault: Fault) -> Fault:
        """The fault with file, line and column of the key itself, and that line's text."""
        return self.at(fault, self.place(fault.key))

    def at(self, fault: Fault, place: Place) -> Fault:
        """The fault at this place of the file."""
        from wheelcad.job.wording import with_example  # the words of faults: only where there is one

        line, column = place
        fault = with_example(fault, self.units)
        text = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        return relocated(fault, self.file, line, column, excerpt(text, column), self.units)


def printable(text: str) -> str:
    """The text with � for every character that cannot be printed; tabs stay."""
    return "".join(c if c.isprintable() or c == "\t" else "�" for c in text)


def excerpt(line: str, column: int) -> str:
    """The line as a message shows it: whole when it is not too long, else the stretch around the column.

    What cannot be printed is shown as �, so that no file can steer the terminal its faults are shown on.
    """
    line = printable(line)
    if len(line) <= WIDEST:
        return line
    start = max(0, min(column - WIDEST // 2, len(line) - WIDEST))
    return ("…" if start else "") + line[start : start + WIDEST] + ("…" if start + WIDEST < len(line) else "")
