"""The index chart as a table, one row a stop: what index-chart.csv holds."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from wheelcad.files.csvs import Value, write_csv
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.indexing.program import rotary_program

CHART_FILE = "index-chart.csv"
PROGRAM_FILE = "rotary-axis.nc"
POINTS_FILE = "readout-points.csv"
POINTS_HEADER = ("cut", "work", "at_deg", "point", "x_mm", "y_mm")
HEADER = (
    "stop",
    "lap",
    "setup",
    "cut",
    "work",
    "feature",
    "at_deg",
    "turns",
    "dial_deg",
    "circle",
    "holes",
    "advance_turns",
    "advance_dial_deg",
    "advance_holes",
    "error_deg",
    "scale_deg",
    "radius_mm",
    "inner_mm",
    "diameter_mm",
    "depth_mm",
    "x_mm",
    "y_mm",
    "note",
    "marks",
)


def chart_rows(plan: IndexPlan) -> Iterator[dict[str, Value]]:
    """A row a stop, in working order. Where a lap closes, work is `closing`: nothing is cut, the line must be met."""
    for stop in plan.stops:
        note = "the first line again" if stop.closing else stop.check.says if stop.check is not None else ""
        row: dict[str, Value] = {
            "stop": stop.number,
            "lap": stop.lap.key,
            "setup": stop.setup,
            "cut": stop.cut,
            "work": "closing" if stop.closing else stop.work,
            "feature": stop.feature,
            "at_deg": float(stop.at),
            "note": note,
            "marks": plan.marks,
        }
        if stop.setting is not None and stop.move is not None:
            row |= {
                "turns": stop.setting.turns,
                "dial_deg": float(stop.setting.dial),
                "circle": stop.setting.circle,
                "holes": stop.setting.holes,
                "advance_turns": stop.move.turns,
                "advance_dial_deg": float(stop.move.dial),
                "advance_holes": stop.move.holes,
                "error_deg": float(stop.setting.error),
                "scale_deg": stop.scale_deg,
            }
        if stop.points_mm:
            row["x_mm"], row["y_mm"] = stop.points_mm[0]
        if stop.drill is not None:
            depth = {"depth_mm": stop.drill.depth_mm}
            row |= {"radius_mm": stop.drill.radius_mm, "diameter_mm": stop.drill.diameter_mm, **depth}
        if stop.scribe is not None:
            row |= {"radius_mm": stop.scribe.outer_mm, "inner_mm": stop.scribe.inner_mm}
            row["depth_mm"] = stop.scribe.depth_mm
        yield row


def write_index_chart(plan: IndexPlan, path: Path) -> None:
    """Write the chart; the same plan gives the same bytes."""
    write_csv(path, HEADER, chart_rows(plan))


def write_readout_points(plan: IndexPlan, path: Path) -> None:
    """Write every point of every cut for a mill with a readout, in the order they are plunged."""
    rows: Iterator[dict[str, Value]] = (
        {"cut": stop.cut, "work": stop.work, "at_deg": float(stop.at), "point": number, "x_mm": x, "y_mm": y}
        for stop in plan.cuts
        for number, (x, y) in enumerate(stop.points_mm, start=1)
    )
    write_csv(path, POINTS_HEADER, rows)


def write_rotary_program(plan: IndexPlan, path: Path) -> None:
    """Write the program for a driven rotary axis."""
    path.write_text(rotary_program(plan), encoding="ascii", newline="\n")
