"""Every change of a job's text with its date, in a file beside the job: what undo goes back by.

One line of JSON a change, only ever added to: the text before any (`text`), or what was taken out and put in at a place
(`at`, `out`, `in`), or a step back (`undo`) or forward again (`redo`). So the file also holds what was typed and could
not be saved yet: whoever opens the job again after a crash finds it.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

ENDING = ".history"
LARGEST = 2 << 20  # bytes; a longer history begins anew when the job is opened
JOINED_S = 4.0  # changes of one key that follow each other sooner are undone as one: somebody is typing


@dataclass(frozen=True)
class Entry:
    """One change. when: date and time, ISO 8601. said: in words. at: where in the text. joins: undone with the last."""

    when: str
    said: str
    key: str
    at: int
    out: str
    put: str
    joins: bool = False

    def applied(self, text: str) -> str:
        """The text after the change."""
        return text[: self.at] + self.put + text[self.at + len(self.out) :]

    def undone(self, text: str) -> str:
        """The text before it."""
        return text[: self.at] + self.out + text[self.at + len(self.put) :]


def history_path(job_file: Path) -> Path:
    """Where the history of a job file is kept."""
    return job_file.with_name(job_file.name + ENDING)


def digest(text: str) -> str:
    """What a text is known by."""
    return hashlib.sha256(text.encode("utf-8", errors="surrogatepass")).hexdigest()[:16]


def difference(before: str, after: str) -> tuple[int, str, str]:
    """Where two texts part, what stands there in the first and what in the second."""
    start = 0
    shortest = min(len(before), len(after))
    while start < shortest and before[start] == after[start]:
        start += 1
    end = 0
    while end < shortest - start and before[-1 - end] == after[-1 - end]:
        end += 1
    return start, before[start : len(before) - end], after[start : len(after) - end]


class History:
    """The changes of one job. entries: all, oldest first; position: how many of them stand (undo steps back).

    text: what the last one led to; saved: the digest of the text that was last written to the job file.
    """

    def __init__(self, job_file: Path, now: Callable[[], datetime] = datetime.now) -> None:
        self.path = history_path(job_file)
        self.entries: list[Entry] = []
        self.position = 0
        self.text = ""
        self.saved = ""
        self.trouble = ""  # why the file could not be written, "" where it could
        self._now = now

    def load(self) -> bool:
        """Read the file; whether there was one that could be read to its end. One that cannot is begun anew."""
        try:
            if self.path.stat().st_size > LARGEST:
                return False
            lines = self.path.read_text(encoding="utf-8").splitlines()
        except (OSError, UnicodeDecodeError):
            return False
        for line in lines:
            with contextlib.suppress(ValueError, KeyError, TypeError, IndexError):  # torn when the power went
                self._replay(json.loads(line))
        return bool(lines) and bool(self.text)

    def begin(self, text: str) -> None:
        """Start anew from a text that is on disk."""
        self.entries, self.position, self.text, self.saved = [], 0, text, digest(text)
        line = {"when": self._date(), "text": text, "saved": self.saved}
        try:
            self.path.write_text(json.dumps(line, ensure_ascii=False) + "\n", encoding="utf-8")
            self.trouble = ""
        except (OSError, UnicodeEncodeError) as error:
            self.trouble = str(error)

    def add(self, after: str, said: str, key: str = "", join: bool = False) -> None:
        """Note that the text is now `after`. join: one with the change before, if that was of this key and just now."""
        at, out, put = difference(self.text, after)
        last = self.entries[self.position - 1] if self.position else None
        joins = (
            join and last is not None and last.key == key and bool(key) and self._seconds_since(last.when) < JOINED_S
        )
        entry = Entry(self._date(), said, key, at, out, put, joins)
        self._do(entry)
        self._write({"when": entry.when, "said": said, "key": key, "at": at, "out": out, "in": put, "joins": joins})

    def note_saved(self) -> None:
        """The text is in the job file."""
        self.saved = digest(self.text)
        self._write({"saved": self.saved})

    @property
    def can_undo(self) -> bool:
        """Whether there is anything to take back."""
        return self.position > 0

    @property
    def can_redo(self) -> bool:
        """Whether anything was taken back."""
        return self.position < len(self.entries)

    def undo(self) -> str:
        """Take back the last change and all it joined; the text then. Nothing where there is none."""
        if self.can_undo:
            self._step_back()
            self._write({"undo": 1})
        return self.text

    def redo(self) -> str:
        """Do again what was last taken back."""
        if self.can_redo:
            self._step_forward()
            self._write({"redo": 1})
        return self.text

    def _step_back(self) -> None:
        joined = True
        while joined and self.position:
            self.position -= 1
            entry = self.entries[self.position]
            self.text, joined = entry.undone(self.text), entry.joins

    def _step_forward(self) -> None:
        joined = True
        while joined and self.can_redo:
            self.text = self.entries[self.position].applied(self.text)
            self.position += 1
            joined = self.can_redo and self.entries[self.position].joins

    def _do(self, entry: Entry) -> None:
        self.entries = [*self.entries[: self.position], entry]
        self.position += 1
        self.text = entry.applied(self.text)

    def _replay(self, line: dict[str, object]) -> None:
        if "text" in line:
            self.entries, self.position, self.text = [], 0, str(line["text"])
        if "in" in line:
            place = line["at"]
            assert isinstance(place, int)
            when, said, key, out, put = (str(line[name]) for name in ("when", "said", "key", "out", "in"))
            self._do(Entry(when, said, key, place, out, put, bool(line["joins"])))
        if "undo" in line:
            self._step_back()
        if "redo" in line:
            self._step_forward()
        if "saved" in line:
            self.saved = str(line["saved"])

    def _write(self, line: dict[str, object]) -> None:
        try:
            with self.path.open("ab+") as out:
                if out.tell():
                    out.seek(-1, 2)
                    torn = out.read(1) != b"\n"
                    out.write(b"\n" if torn else b"")
                out.write((json.dumps(line, ensure_ascii=False) + "\n").encode("utf-8"))
            self.trouble = ""
        except (OSError, UnicodeEncodeError) as error:
            self.trouble = str(error)

    def _date(self) -> str:
        return self._now().isoformat(timespec="milliseconds")

    def _seconds_since(self, when: str) -> float:
        return (self._now() - datetime.fromisoformat(when)).total_seconds()
