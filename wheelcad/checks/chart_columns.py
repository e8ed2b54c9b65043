"""Every column of index-chart.csv, row by row, against the work there is to do.

What a setting gives is worked out again in index_chart.py; here stand the columns that a person or a program reads
beside it: what is made, where, with what, how deep, and what the table's edge shows.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

from wheelcad.codes import Check
from wheelcad.files.csvs import read_csv
from wheelcad.findings import OWN, Finding, at_most, holds
from wheelcad.parts.indexing.chart import CHART_FILE, HEADER, POINTS_FILE, POINTS_HEADER
from wheelcad.parts.indexing.model import IndexPlan, Stop
from wheelcad.parts.indexing.settings import TurnTable
from wheelcad.trade.frames import apart_deg

COLUMN_LIMIT = 2e-9  # nine decimals are kept, of mm and degrees
EDGE_LIMIT = 1e-6  # degrees: the table's edge against what the handwheel gives
Row = dict[str, str]


def check_chart_columns(folder: Path, plan: IndexPlan) -> Iterator[Finding]:
    """The chart's columns, and the readout's points where there are any. ValueError when one cannot be read."""
    path = folder / CHART_FILE
    rows = read_csv(path)
    yield _head(path, HEADER, CHART_FILE)
    wrong = [said for row, stop in zip(rows, plan.stops, strict=False) for said in _wrong(row, stop)]
    yield _same(CHART_FILE, wrong, len(rows), len(plan.stops))
    if plan.table is not None and plan.scale is not None:
        yield _edges(rows, plan.table, plan.scale_rises)
    if plan.job.shop.readout:
        yield _head(folder / POINTS_FILE, POINTS_HEADER, POINTS_FILE)
        yield _points(read_csv(folder / POINTS_FILE), plan)


def _head(path: Path, wanted: tuple[str, ...], name: str) -> Finding:
    with path.open(encoding="utf-8") as handle:
        found = handle.readline().strip()
    why = "every column by its name, in its place: programs read them"
    return holds(Check.CHART_COLUMNS, f"{name}, head", found == ",".join(wanted), found, why, OWN)


def _same(name: str, wrong: list[str], rows: int, wanted: int) -> Finding:
    said = "; ".join(wrong[:3]) or f"{rows} rows"
    why = f"every field of {wanted} rows against the work to do: place, kind, angle, radius, drill, depth, note"
    return holds(Check.CHART_COLUMNS, name, not wrong and rows == wanted, said, why, OWN)


def _wrong(row: Row, stop: Stop) -> Iterator[str]:
    """What a row says that the stop is not, each in a few words."""
    drill, scribe = stop.drill, stop.scribe
    words = {
        "stop": str(stop.number),
        "lap": stop.lap.key,
        "setup": stop.setup,
        "cut": str(stop.cut),
        "work": "closing" if stop.closing else stop.work,
        "feature": str(stop.feature),
        "note": "the first line again" if stop.closing else stop.check.says if stop.check is not None else "",
    }
    for key, wanted in words.items():
        if row[key] != wanted:
            yield f"stop {stop.number}, {key}: {row[key] or 'nothing'} for {wanted or 'nothing'}"
    numbers: dict[str, float | None] = dict.fromkeys(
        ("radius_mm", "inner_mm", "diameter_mm", "depth_mm", "x_mm", "y_mm")
    )
    numbers["at_deg"] = float(stop.at)
    numbers["scale_deg"] = stop.scale_deg if stop.setting is not None else None
    if stop.points_mm:
        numbers["x_mm"], numbers["y_mm"] = stop.points_mm[0]
    if drill is not None:
        numbers |= {"radius_mm": drill.radius_mm, "diameter_mm": drill.diameter_mm, "depth_mm": drill.depth_mm}
    if scribe is not None:
        numbers |= {"radius_mm": scribe.outer_mm, "inner_mm": scribe.inner_mm, "depth_mm": scribe.depth_mm}
    for key, number in numbers.items():
        if not _near(row[key], number):
            yield f"stop {stop.number}, {key}: {row[key] or 'nothing'} for {number}"
    if stop.setting is not None and not (
        row["turns"] and row["dial_deg"] and row["advance_turns"] and row["error_deg"]
    ):
        yield f"stop {stop.number} has no setting"


def _near(text: str, wanted: float | None) -> bool:
    """Whether a field holds this number, or nothing where there is none. ValueError for no number."""
    if wanted is None or not text:
        return wanted is None and not text
    return abs(float(text) - wanted) <= COLUMN_LIMIT


def _edges(rows: list[Row], table: TurnTable, rises: bool) -> Finding:
    """The table's edge from turns and dial alone: it rises with the work or against it, from the same zero."""
    off = 0.0
    for row in rows:
        reached = int(row["turns"]) * float(table.per_turn) + float(row["dial_deg"])
        wanted = reached if rises else -reached
        away = apart_deg(float(row["scale_deg"]), wanted) if row["scale_deg"] else math.inf
        off = max(off, away - float(table.dial_step) / 2)
    why = "what the table's edge reads against turns and dial, within half a mark of the dial"
    return at_most(Check.CHART_COLUMNS, f"{CHART_FILE}, edge", max(off, 0.0), "deg", EDGE_LIMIT, why, OWN)


def _points(rows: list[Row], plan: IndexPlan) -> Finding:
    """Every point of every cut, in the order they are plunged."""
    wanted = [(stop, n, point) for stop in plan.cuts for n, point in enumerate(stop.points_mm, 1)]
    wrong = [
        f"cut {row['cut']}, point {row['point']}"
        for row, (stop, number, (x, y)) in zip(rows, wanted, strict=False)
        if (row["cut"], row["work"], row["point"]) != (str(stop.cut), stop.work, str(number))
        or not (_near(row["x_mm"], x) and _near(row["y_mm"], y) and _near(row["at_deg"], float(stop.at)))
    ]
    return _same(POINTS_FILE, wrong, len(rows), len(wanted))
