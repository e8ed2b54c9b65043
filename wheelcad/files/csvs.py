"""Tables as comma-separated values after RFC 4180: a header, CRLF line ends, decimal points, no dates.

Lengths mm, angles degrees, whatever the job's units; an empty field means that there is no such value.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from wheelcad.errors import UnreadableError

DECIMALS = 9  # of mm and degrees: below anything that can be set, above the noise of arithmetic

Value = str | int | float | None


def field(value: Value) -> str:
    """A value as the file holds it: floats plain, without exponent or trailing noughts; None empty."""
    if value is None:
        return ""
    if isinstance(value, float):
        text = f"{round(value, DECIMALS) + 0.0:.{DECIMALS}f}".rstrip("0").rstrip(".")
        return "0" if text == "-0" else text
    return str(value)


def write_csv(path: Path, header: Sequence[str], rows: Iterable[Mapping[str, Value]]) -> None:
    """Write rows under `header`; a key a row lacks is an empty field, one the header lacks a ValueError."""
    with path.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, header, restval="", extrasaction="raise", lineterminator="\r\n")
        writer.writeheader()
        writer.writerows({key: field(value) for key, value in row.items()} for row in rows)


def read_csv(path: Path) -> list[dict[str, str]]:
    """The rows of a file with a header, as text. ValueError when a row is longer or shorter than the header."""
    with path.open(encoding="utf-8", newline="") as handle:
        reader = csv.DictReader(handle, restkey="", strict=True)
        try:
            rows = list(reader)
        except csv.Error as error:
            raise UnreadableError(f"{path.name} is no table: {error}") from None
    for number, row in enumerate(rows, start=2):
        if "" in row or None in row.values():
            raise UnreadableError(f"{path.name}: row {number} does not fit its header")
    return rows
