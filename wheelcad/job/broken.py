"""What is wrong with text that is not YAML, in words that say what to do about it."""

from __future__ import annotations

import re
from typing import Any

from wheelcad.errors import Fault
from wheelcad.job.source import JobSource, Place

IN_QUOTES = "put text that begins so in quotes"
LONGEST_KEY = 1024  # characters before a colon: YAML 1.2.2, 7.4.3
_TABBED = re.compile(r"^ *\t")
_TWO_COLONS = re.compile(r"^\s*(?:- )?\s*[\w-]+:\s+[^\"'{\[#][^#]*?:\s")
_QUOTED = re.compile(r"^\s*(?:- )?[\w-]+:\s+(?P<mark>[\"'])(?:(?!(?P=mark)).)*(?P=mark)(?P<rest>[^\s#,}\]'\"].*)$")
_LISTED = re.compile(r"^\s*(?:- )?[\w-]+:\s+(?:\[[^\]]*\]|\{[^}]*\})\s*(?P<rest>[^\s#].*)$")
OTHER_MARK = {"'": '"', '"': "'"}
_NO_SPACE = re.compile(r"^\s*(?:- )?\s*[A-Za-z_][\w-]*:[^\s:]")


def syntax_fault(error: Any, source: JobSource) -> Fault:
    """The fault behind a YAML error (anything with problem, problem_mark and context_mark) at the place to mend.

    A reader notices a missing colon or bracket only further down; where the text shows the likelier place,
    that is named.
    """
    problem = str(error.problem or error.context or "is wrong")
    at, context = _mark(error.problem_mark), _mark(error.context_mark)
    place = at or context or (1, 1)
    line = source.lines[place[0] - 1] if place[0] <= len(source.lines) else ""
    tabs = [i for i in range(place[0], 0, -1) if _TABBED.match(source.lines[i - 1] if i <= len(source.lines) else "")]
    if tabs and (tabs[0] == place[0] or "\\t" in problem):
        message = "is indented with a tab, which YAML does not take"
        return source.at(Fault(message, hint="indent with spaces, two for each level"), (tabs[0], 1))
    if "found unexpected end of stream" in problem and "quoted" in str(error.context):
        hint = "put text that holds \" or ' whole into the other kind of quotation mark"
        return source.at(Fault("opens a quotation that is not closed", hint=hint), context or place)
    torn = _torn_quotation(line)
    if torn:
        return source.at(torn[0], (place[0], torn[1]))
    if "flow" in str(error.context):
        hint = "values are parted by commas, and each { or [ needs its } or ]"
        if context and context[0] < place[0] and _open(source.lines[context[0] - 1]):
            return source.at(Fault(f"opens a bracket that is not closed by line {place[0]}", hint=hint), context)
        opened = f"line {context[0]}" if context else "before"
        return source.at(Fault(f"does not go on as the bracket opened in {opened} needs", hint=hint), place)
    lacking = _line_without_colon(source, place[0], context)
    if lacking:
        message = "has no colon and space after its key"
        return source.at(Fault(message, hint="write for example `teeth: 36`"), lacking)
    if "mapping values are not allowed" in problem and place[1] > LONGEST_KEY:
        return source.at(Fault("has a key longer than YAML takes", allowed=f"{LONGEST_KEY} characters"), place)
    if "mapping values are not allowed" in problem and _TWO_COLONS.match(line):
        hint = "put text that holds a colon in quotes, and the keys of a section that stands in one line in { }"
        return source.at(Fault("holds two colons in one line", hint=hint), place)
    if "mapping keys are not allowed" in problem:
        return source.at(Fault("begins with ?, which YAML keeps for itself", hint=IN_QUOTES), place)
    if "sequence entries are not allowed" in problem:
        hint = "a list's first dash stands in the line below its key, two spaces further in"
        return source.at(Fault("has a dash in the line of its key", hint=hint), place)
    if "<block" in problem or "mapping values are not allowed" in problem:
        hint = "keys of one section begin in the same column; those inside another are two spaces further in"
        first = len(line) - len(line.lstrip()) + 1
        return source.at(Fault("is indented differently from the keys around it", hint=hint), (place[0], first))
    if "cannot start any token" in problem:
        return source.at(Fault(f"cannot be read: {_tidy(problem)}", hint=IN_QUOTES), place)
    return source.at(Fault(f"is not YAML: {_tidy(problem)}"), place)


def _torn_quotation(line: str) -> tuple[Fault, int] | None:
    """A value that ends its quotation or its bracket too early, and the column of what is left over."""
    quoted = _QUOTED.match(line)
    if quoted:
        mark, rest = quoted["mark"], quoted["rest"]
        other = OTHER_MARK[mark]
        hint = f"write the text between {other} and {other}, or that mark twice inside it"
        sign = "apostrophe" if mark == "'" else mark
        said = f"ends its quotation at the {sign}, and goes on with {rest.split()[0][:20]}"
        return Fault(said, hint=hint), quoted.start("rest") + 1
    listed = _LISTED.match(line)
    if listed:
        return Fault("goes on after its bracket is closed", hint=IN_QUOTES), listed.start("rest") + 1
    return None


def _line_without_colon(source: JobSource, number: int, context: Place | None) -> Place | None:
    """The line at or shortly above `number` that should be `key: value` but is not."""
    first = max(1, min(number, context[0] if context else number) - 1)
    for i in range(min(number, len(source.lines)), first - 1, -1):
        line = source.lines[i - 1]
        bare = line.split("#")[0].strip()
        if not bare or bare in ("---", "...") or bare.startswith("%"):
            continue
        if _NO_SPACE.match(line):
            return i, line.index(":") + 1
        if ":" not in bare and not bare.startswith(("-", "[", "{", "]", "}", "'", '"')):
            return i, len(line) - len(line.lstrip()) + 1
    return None


def _open(line: str) -> bool:
    """Whether a line opens more brackets than it closes; quoted text and comments aside."""
    bare = re.sub(r"\"[^\"]*\"|'[^']*'|\s#.*$", "", line)
    return sum(bare.count(c) for c in "{[") > sum(bare.count(c) for c in "}]")


def _tidy(problem: str) -> str:
    return " ".join(problem.split())[:120]


def _mark(mark: Any) -> Place | None:
    return None if mark is None else (mark.line + 1, mark.column + 1)
