"""Angles read off the rotary table, and times of teeth: CSV with a header, or bare numbers as a person types them.

Columns: slot_deg (slot centres) or edge_deg (edges, tooth and slot in turn), in the order of cutting, rising the way
the crank turns; time_s (the moments at which teeth passed a sensor). Fields may be parted by commas, semicolons or
tabs; where they are not parted by commas, a comma may be the decimal mark. Bare numbers are slot centres.
"""

from __future__ import annotations

import csv
import io
import math
import re
import sys
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.measure.reading import WheelReading, refused
from wheelcad.trade.frames import wrap_360

COLUMNS = ("slot_deg", "edge_deg", "time_s")
COARSEST = 0.1  # degrees: whole numbers are taken to have been read to this
MOST_BYTES = 200_000_000
SAME_DEG = 1e-6  # the closing reading of the first slot, taken again after a turn


def read_column(path: Path | str) -> tuple[str, Floats, float]:
    """(column, values, the step they were read to) of a file, or of what is typed where the path is "-".

    JobFileError when there is no such column, a field is no number, or there are none.
    """
    text = sys.stdin.read() if str(path) == "-" else _text(Path(path))
    lines = [line for line in text.lstrip("﻿").splitlines() if line.strip() and not line.lstrip().startswith("#")]
    if not lines:
        raise refused(path, "holds no numbers", hint="a header slot_deg, edge_deg or time_s, then one number a line")
    if not re.search("[a-df-zA-DF-Z_]", lines[0]):
        fields = re.split(r"[\s,;]+", " ".join(lines).strip(" ,;"))
        return "slot_deg", _numbers(path, fields), _step(fields)
    delimiter = next((mark for mark in ";\t," if mark in lines[0]), ",")
    rows = list(csv.reader(io.StringIO("\n".join(lines)), delimiter=delimiter))
    header = [name.strip().lower() for name in rows[0]]
    column = next((name for name in COLUMNS if name in header), None)
    if column is None:
        said = ", ".join(header)[:80]
        raise refused(path, "has none of the columns that can be measured", found=said, allowed=", ".join(COLUMNS))
    at = header.index(column)
    fields = [row[at].strip() if at < len(row) else "" for row in rows[1:]]
    fields = [field for field in fields if field]
    if delimiter != ",":
        fields = [field.replace(",", ".") for field in fields]
    return column, _numbers(path, fields), _step(fields)


def _text(path: Path) -> str:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise refused(path, "is far too long for a list of angles or times")
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else "it is no text"
        raise refused(path, f"cannot be read: {why}") from None


def _numbers(path: Path | str, fields: list[str]) -> Floats:
    values = []
    for number, field in enumerate(fields, start=1):
        try:
            value = float(field)
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise refused(path, f"holds something that is no number as its value {number}", found=field[:40])
        values.append(value)
    return np.array(values)


def _step(fields: list[str]) -> float:
    """The step that values were read to: the last decimal of the longest, at most COARSEST."""
    decimals = max((len(f.partition(".")[2]) for f in fields if "e" not in f.lower()), default=0)
    return float(min(COARSEST, 10.0 ** -min(decimals, 6)))


def angles_reading(path: Path | str, column: str, values: Floats, step_deg: float) -> WheelReading:
    """What a list of angles (degrees, in the order of cutting) says. JobFileError when it cannot be a wheel's."""
    if len(values) > 1 and abs(values[-1] - values[0] - 360.0) < SAME_DEG:
        values = values[:-1]  # the first one again, to close the turn
    if len(values) < 4:
        raise refused(path, f"lists {len(values)} angles: a wheel has at least four slots")
    sd = step_deg / math.sqrt(12)  # rectangular: anywhere within a step
    note = f"angles are taken to have been read to {step_deg:g} deg"
    if column == "slot_deg" and float(np.median(np.diff(values))) < 0:
        values = -values
        note += "; they fall from cut to cut, so the table's numbers are taken to run against the crank"
    if column == "slot_deg":
        return WheelReading("angles", None, sd, slots_deg=values, notes=(note,))
    if len(values) % 2:
        raise refused(path, f"lists {len(values)} edges: they come in pairs, so one is missing or listed twice")
    rising = np.sort(wrap_360(values))
    between = np.mod(np.roll(rising, -1) - rising, 360.0)
    if float(between[0::2].max()) > float(between[1::2].max()):  # the widest is a void: a slot, or the gap
        rising = np.roll(rising, -1)
    edges = rising.reshape(-1, 2)
    return WheelReading("angles", None, sd / math.sqrt(2), edges_deg=edges, notes=(note,))
