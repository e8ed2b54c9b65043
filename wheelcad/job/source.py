"""Where each key of a job file stands, so that every message can point at its line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from wheelcad.errors import Fault, Key, relocated

Place = tuple[int, int]  # line and column, from 1


@dataclass(frozen=True)
class JobSource:
    """A job file's name, text and the place of every key (path of keys and list indexes -> line, column)."""

    file: str = ""
    text: str = ""
    places: Mapping[Key, Place] = field(default_factory=dict)

    def place(self, key: Key) -> Place:
        """The place of a key, or of its nearest parent that is in the file; (0, 0) when there is none."""
        while key:
            if key in self.places:
                return self.places[key]
            key = key[:-1]
        return self.places.get((), (0, 0))

    def located(self, fault: Fault) -> Fault:
        """The fault with file, line, column and that line's text."""
        line, column = self.place(fault.key)
        lines = self.text.splitlines()
        text = lines[line - 1] if 0 < line <= len(lines) else ""
        return relocated(fault, self.file, line, column, text)
