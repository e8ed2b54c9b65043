"""From the bytes of a job file to text that YAML can be read from, and what in that text could only be misread."""

from __future__ import annotations

import re
from pathlib import Path

from wheelcad.errors import Fault, JobFileError, JobSyntaxError
from wheelcad.job.source import JobSource

LARGEST_FILE = 1 << 20  # bytes
LONGEST_LINE = 4000  # characters: far beyond what a person writes; some YAML readers take minutes over longer words
_SPACES = str.maketrans(dict.fromkeys("\u00a0\u2007\u2009\u202f\u3000", " "))
_BREAKS = re.compile(r"\r\n?")
_TABBED = re.compile(r"(?<=\S)[ \t]+")
_UNSEEN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ufeff\ud800-\udfff\ufffe\uffff]")


def read_text(path: Path) -> str:
    """The text of the file at `path`, in UTF-8 (or UTF-16 with its mark). A JobError when it is none or too large."""
    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise JobFileError(Fault(f"cannot be read: {reason}", file=str(path))) from None
    if len(data) > LARGEST_FILE:
        found = "more than 1 MiB"
        raise JobFileError(
            Fault("is larger than a job file can be", file=str(path), line=1, column=1, found=found, allowed="1 MiB")
        )
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8"
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise JobSyntaxError(_undecodable(str(path), data, error)) from None


def _undecodable(file: str, data: bytes, error: UnicodeDecodeError) -> Fault:
    before = data[: error.start].decode(error.encoding, errors="replace")
    shown = normal(data.decode(error.encoding, errors="replace")).split("\n")
    line = len(_BREAKS.sub("\n", before).split("\n"))
    column = len(before) - max(before.rfind("\n"), before.rfind("\r"))
    allowed = "text saved as UTF-8, which every editor offers"
    fault = Fault("is not text in UTF-8", found=f"the byte {data[error.start]:#04x}", allowed=allowed)
    return JobSource(file, "\n".join(shown)).at(fault, (line, column))


def normal(text: str) -> str:
    """The text with one kind of line end and one kind of space, and no byte-order mark; lines and columns stay.

    Tabs stay where they indent, for there they have no width that everybody agrees on.
    """
    plain = _BREAKS.sub("\n", text.removeprefix("\ufeff")).translate(_SPACES)
    return _TABBED.sub(lambda run: " " * len(run[0]), plain) if "\t" in plain else plain


def unreadable(source: JobSource) -> list[Fault]:
    """What no YAML reader should be given: unseen characters and endless lines."""
    faults = []
    for number, line in enumerate(source.lines, 1):
        unseen = _UNSEEN.search(line)
        if unseen:
            why = "holds a character that cannot be seen"
            fault = Fault(why, found=f"U+{ord(unseen[0]):04X}", hint="delete it and type that place again")
            faults.append(source.at(fault, (number, unseen.start() + 1)))
        elif len(line) > LONGEST_LINE:
            why = "is a line longer than a job file's can be"
            fault = Fault(why, found=f"{len(line)} characters", allowed=f"at most {LONGEST_LINE}")
            faults.append(source.at(fault, (number, LONGEST_LINE + 1)))
    return faults
