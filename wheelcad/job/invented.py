"""Values of a job file that nobody measured yet: those on lines that carry `# invented: measure`.

A starter writes the mark beside every value it made up; whoever measures takes it away. A mark that names keys is about
those of its line alone.
"""

from __future__ import annotations

import re

from wheelcad.errors import Fault, Key
from wheelcad.job.measuring import MARK
from wheelcad.job.source import JobSource

_MARK = re.compile(rf"#\s*{MARK}\b[ \t]*(?P<names>[a-z0-9_, \t]*?)[ \t]*(?:;|$)")


def invented_keys(source: JobSource) -> tuple[str, ...]:
    """Dotted keys, in the order of the file, of the values that are marked as invented."""
    if MARK not in source.text:
        return ()
    marked = {number: _names(line) for number, line in enumerate(source.lines, 1) if _MARK.search(line)}
    out: dict[str, None] = {}
    for key, (line, _) in source.values.items():
        names = marked.get(line)
        if names is not None and (not names or _name(key) in names):
            out.setdefault(dotted(key))
    return tuple(out)


def _names(line: str) -> frozenset[str]:
    found = _MARK.search(line)
    return frozenset(re.findall(r"[a-z0-9_]+", found["names"])) if found is not None else frozenset()


def _name(key: Key) -> str:
    return next((part for part in reversed(key) if isinstance(part, str)), "")


def dotted(key: Key) -> str:
    """A key with its places: bracket.mounts[0].x; the entries of a list of values are one key, that of the list."""
    while key and isinstance(key[-1], int):
        key = key[:-1]
    return Fault("", key).dotted


def invented_lines(keys: tuple[str, ...]) -> list[str]:
    """The keys for a page, those of a section together: pulley: bore, keyway.width."""
    sections: dict[str, list[str]] = {}
    for key in keys:
        section, _, rest = key.partition(".")
        sections.setdefault(section, []).append(rest or section)
    return [f"{section}: {', '.join(names)}" for section, names in sections.items()]


def settled_text(source: JobSource, key: str, value: str) -> str:
    """The file's text with `value` written at a dotted key that stands in it, and its mark taken away.

    Everything else stays, comments and order too. ValueError when the key is not in the file.
    """
    places = [(path, place) for path, place in source.values.items() if dotted(path) == key]
    if not places:
        raise ValueError(f"{key} is not in the file")
    path, (number, column) = places[0]
    lines = list(source.lines)
    line = lines[number - 1]
    if isinstance(path[-1], int):  # a list in [ ]: from its bracket on
        column = line.rfind("[", 0, column) + 1
        end = line.index("]", column) + 1
    else:
        found = re.compile(r"\s*(?:[,}\]].*|#.*)?$").search(line, column - 1 + len(_token(line, column)))
        end = found.start() if found is not None else len(line)
    lines[number - 1] = _unmarked(line[: column - 1] + value + line[end:], _name(path), source, number)
    return "\n".join(lines)


def value_text(source: JobSource, key: str) -> str:
    """The text of the value at a dotted key, "" where there is none."""
    place = next((place for path, place in source.values.items() if dotted(path) == key), None)
    if place is None:
        return ""
    line = source.lines[place[0] - 1]
    if line[: place[1] - 1].rstrip().endswith("["):  # the first entry of a list
        start = line.rindex("[", 0, place[1])
        return line[start : line.index("]", start) + 1] if "]" in line[start:] else ""
    return _token(line, place[1])


def _token(line: str, column: int) -> str:
    """The plain or quoted value that begins at a column."""
    rest = line[column - 1 :]
    flow = line[: column - 1].count("{") > line[: column - 1].count("}")
    found = re.match(r"'[^']*'|\"[^\"]*\"|" + (r"[^,}\]#]*[^,}\]#\s]" if flow else r"(?:(?!\s#).)*\S"), rest)
    return found[0] if found else rest


def _unmarked(line: str, name: str, source: JobSource, number: int) -> str:
    """The line's mark without `name`; without the mark where nothing is left of it."""
    found = _MARK.search(line)
    if found is None:
        return line
    on_line = [_name(path) for path, place in source.values.items() if place[0] == number]
    left = [n for n in dict.fromkeys(on_line) if n in (_names(line) or set(on_line)) and n != name]
    note = line[found.end() :].strip()
    said = "; ".join(part for part in (f"{MARK} {', '.join(left)}" if left else "", note) if part)
    return (line[: found.start()].rstrip() + (f"   # {said}" if said else "")).rstrip()
