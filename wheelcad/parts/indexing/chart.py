"""The index chart as a table, one row a cut: what index-chart.csv holds."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from wheelcad.files.csvs import Value, write_csv
from wheelcad.parts.indexing.model import Cut, IndexPlan
from wheelcad.parts.indexing.program import rotary_program

CHART_FILE = "index-chart.csv"
PROGRAM_FILE = "rotary-axis.nc"
POINTS_FILE = "readout-points.csv"
POINTS_HEADER = ("cut", "work", "at_deg", "point", "x_mm", "y_mm")
SETTING = (
    "turns",
    "dial_deg",
    "circle",
    "holes",
    "advance_turns",
    "advance_dial_deg",
    "advance_holes",
    "error_deg",
    "scale_deg",
)
HEADER = (
    "cut",
    "work",
    "at_deg",
    *SETTING,
    "slot",
    "place",
    "radius_mm",
    "diameter_mm",
    "depth_mm",
    "x_mm",
    "y_mm",
    "note",
)


def chart_rows(plan: IndexPlan) -> Iterator[dict[str, Value]]:
    """Rows in the order of cut numbers, then the closing. place: of a slot in the full-depth working order, from 1."""
    places: dict[int, int] = {}
    for lap in plan.laps:
        if lap.key.startswith("depth"):
            places |= {number: len(places) + k for k, number in enumerate(lap.cuts, start=1)}
    notes = {point.after: point.says for point in plan.checkpoints if point.what == "slot"}
    for cut in plan.cuts:
        yield _row(plan, cut) | {
            "place": places.get(cut.cut),
            "note": notes.get(cut.cut, "") if cut.work == "slot" else "",
        }
    if plan.table is not None and plan.closing is not None:
        pin = plan.table.one_circle
        yield {
            "work": "closing",
            "at_deg": 360.0,
            "turns": plan.table.ratio,
            "dial_deg": 0.0,
            "circle": pin,
            "holes": 0 if pin else None,
            "advance_turns": plan.closing.turns,
            "advance_dial_deg": float(plan.closing.dial),
            "advance_holes": plan.closing.holes,
            "error_deg": 0.0,
            "note": f"a whole revolution: {plan.zero_name} again, count from nought",
        }


def _row(plan: IndexPlan, cut: Cut) -> dict[str, Value]:
    row: dict[str, Value] = {"cut": cut.cut, "work": cut.work, "at_deg": float(cut.at)}
    if cut.setting is not None and cut.move is not None:
        row |= {
            "turns": cut.setting.turns,
            "dial_deg": float(cut.setting.dial),
            "circle": cut.setting.circle,
            "holes": cut.setting.holes,
            "advance_turns": cut.move.turns,
            "advance_dial_deg": float(cut.move.dial),
            "advance_holes": cut.move.holes,
            "error_deg": float(cut.setting.error),
            "scale_deg": cut.scale_deg,
        }
    if cut.slot:
        row["slot"] = cut.slot
    if cut.points_mm:
        row["x_mm"], row["y_mm"] = cut.points_mm[0]
    for hole in plan.holes:
        if hole.cut == cut.cut:
            row |= {"radius_mm": hole.radius_mm, "diameter_mm": hole.diameter_mm, "depth_mm": hole.depth_mm}
    return row


def write_index_chart(plan: IndexPlan, path: Path) -> None:
    """Write the chart; the same plan gives the same bytes."""
    write_csv(path, HEADER, chart_rows(plan))


def write_readout_points(plan: IndexPlan, path: Path) -> None:
    """Write every point of every cut for a mill with a readout, in the order they are plunged."""
    rows: Iterator[dict[str, Value]] = (
        {"cut": cut.cut, "work": cut.work, "at_deg": float(cut.at), "point": number, "x_mm": x, "y_mm": y}
        for cut in plan.cuts
        for number, (x, y) in enumerate(cut.points_mm, start=1)
    )
    write_csv(path, POINTS_HEADER, rows)


def write_rotary_program(plan: IndexPlan, path: Path) -> None:
    """Write the program for a driven rotary axis."""
    path.write_text(rotary_program(plan), encoding="ascii", newline="\n")
