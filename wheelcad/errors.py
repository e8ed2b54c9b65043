"""Every error a user can meet.

    JobError                 anything wrong with a job file or the place it is built to; carries all faults at once
    ├── JobFileError         a file cannot be read or written
    ├── JobSyntaxError       the file is not YAML, or YAML that could be misread
    ├── JobValueError        unknown or missing keys, wrong kinds, values out of range
    ├── DesignError          every value is fine alone, but together they cannot exist or collide
    ├── BuildError           the parts of a sound design could not be made
    ├── CommandError         the words on the command line make no command
    └── LibraryError         a library that is wanted is not installed, or cannot be loaded

A `Fault` is one thing wrong. Code that finds it names the key; the reader, which alone knows the lines of the
file, adds file, line and column (`JobError.placed`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from wheelcad.words import Words

Key = tuple[str | int, ...]


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a job file.

    key: path of the key, e.g. ("bracket", "mounts", 0, "x"); empty for the file as a whole.
    message: what is wrong, one sentence. found / allowed: the value met and what would be right ("" says nothing).
    hint: the nearest right word or the likely slip. line, column: from 1; 0 when not known. text: that line.
    units: what the job is written in, which the quantities in all these sentences (`wheelcad.words`) are told in.
    """

    message: str
    key: Key = ()
    found: str = ""
    allowed: str = ""
    hint: str = ""
    file: str = ""
    line: int = 0
    column: int = 0
    text: str = ""
    units: str = "mm"

    @property
    def dotted(self) -> str:
        """The key as a person writes it: bracket.mounts[0].x."""
        out = ""
        for part in self.key:
            out += f"[{part}]" if isinstance(part, int) else (f".{part}" if out else part)
        return out

    def __str__(self) -> str:
        place = self.file or "job file"
        if self.line:
            place += f":{self.line}:{self.column}"
        head = f"{place}: {self.dotted + ': ' if self.key else ''}{self.message}"
        lines = [head]
        if self.text.strip():
            lines.append(f"    | {self.text.rstrip()}")
            if self.column and self.text[:1] != "…":
                # tabs keep their place, so that the mark stands under its character however wide they are shown
                lines.append("    | " + "".join("\t" if c == "\t" else " " for c in self.text[: self.column - 1]) + "^")
        if self.found:
            lines.append(f"    found:   {self.found}")
        if self.allowed:
            lines.append(f"    allowed: {self.allowed}")
        if self.hint:
            lines.append(f"    hint:    {self.hint}")
        return Words(self.units).text("\n".join(lines))


class JobError(Exception):
    """The base of all errors a user can meet; `faults` holds everything that was found wrong."""

    def __init__(self, faults: Iterable[Fault] | Fault | str) -> None:
        if isinstance(faults, str):
            faults = Fault(faults)
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def placed(self, place: Callable[[Fault], Fault]) -> JobError:
        """The same error with file, line and column filled in by `place`, which knows the file."""
        return type(self)([fault if fault.line else place(fault) for fault in self.faults])


class JobFileError(JobError):
    """A file cannot be read or written."""


class JobSyntaxError(JobError):
    """The job file is not YAML, or YAML that could be misread."""


class JobValueError(JobError):
    """Unknown or missing keys, wrong kinds, values out of range."""


class DesignError(JobError):
    """Values that are fine alone but together cannot exist or collide."""


class BuildError(JobError):
    """The parts of a sound design could not be made: the kernel refused."""


class LibraryError(JobError):
    """A library that is wanted is not installed, or cannot be loaded; the words say what brings it."""


class UnreadableError(ValueError):
    """A written file that cannot be read, or does not hold what a file of its kind holds; the words name the file."""


class CommandError(JobError):
    """The words on the command line make no command."""


class Faults:
    """Collects faults so that a user hears of all of them at once."""

    def __init__(self) -> None:
        self._faults: list[Fault] = []

    def add(self, key: Key, message: str, *, found: object = "", allowed: object = "", hint: str = "") -> None:
        """Note one fault at `key`; `found` and `allowed` are shown as given."""
        self._faults.append(Fault(message, key=key, found=str(found), allowed=str(allowed), hint=hint))

    def extend(self, faults: Iterable[Fault]) -> None:
        """Take over faults found elsewhere."""
        self._faults.extend(faults)

    def __bool__(self) -> bool:
        return bool(self._faults)

    def __iter__(self) -> Iterator[Fault]:
        return iter(self._faults)

    def raise_if_any(self, kind: type[JobError] = DesignError) -> None:
        """Raise `kind` with everything collected, or do nothing."""
        if self._faults:
            raise kind(self._faults)


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word most like `word`, or "" when none is close."""
    import difflib  # only where there is a fault

    close = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return close[0] if close else ""


def relocated(fault: Fault, file: str, line: int, column: int, text: str, units: str = "mm") -> Fault:
    """The fault with its place in a file filled in, and the file's unit; line and column count from 1."""
    return replace(fault, file=file, line=line, column=column, text=text, units=units)
