"""The chart as lines for a terminal or a sheet of paper."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from textwrap import wrap

from wheelcad.parts.indexing.model import Cut, IndexPlan, Lap
from wheelcad.parts.indexing.settings import Move, Table
from wheelcad.parts.indexing.words import angle, dial, edge, length, round_rpm, turns

WIDTH = 100


def chart_text(plan: IndexPlan) -> str:
    """Set-up, every setting, working order, checkpoints and cautions, as lines; ends in a newline."""
    head = f"{plan.job}: {plan.pattern}, {plan.slots} slots"
    if plan.table is not None:
        head += (
            f", table {plan.table.ratio}:1 ({angle(plan.table.per_turn)} a turn, dial to "
            f"{dial(plan.table.dial_step, plan.table.dial_step)})"
        )
    parts = [[head]]
    if plan.title:
        parts[0].append(plan.title)
    parts.append(["Before the first cut", *_numbered(plan.setup)])
    parts.append([f"Settings, all from zero at {plan.zero_name}", *_table(plan, plan.of_kind("slot"))])
    if plan.table is not None and plan.closing is not None:
        parts[-1].append(
            f"Closing: {_move(plan.closing, plan.table)} more, and the table is at zero again after "
            f"{turns(plan.table.ratio)}."
        )
    for kind, title in (("side", "Sides of the slots"), ("gap", "Passes in the gap"), ("hole", "Balance holes")):
        if plan.of_kind(kind):
            parts.append([title, *_table(plan, plan.of_kind(kind)), *_about(plan, kind)])
    placed = [cut for cut in plan.cuts if cut.points_mm]
    if placed and plan.table is not None:
        first = [["cut", *(str(cut.cut) for cut in placed)], ["angle", *(angle(cut.at) for cut in placed)]]
        parts.append(["The same cuts by readout, from the wheel's centre", *_set([*first, *_places(plan, placed)])])
    parts.append(["Order of work", *_numbered([_lap(lap) for lap in plan.laps])])
    if plan.checkpoints:
        parts.append(
            ["Checkpoints", *_numbered([point.says[0].upper() + point.says[1:] + "." for point in plan.checkpoints])]
        )
    if plan.reach is not None:
        parts.append(["Plates", *_plates(plan)])
    parts.append(["Take care", *_numbered(plan.cautions)])
    return "\n\n".join("\n".join(part) for part in parts) + "\n"


def _numbered(lines: Sequence[str]) -> list[str]:
    out = []
    for number, line in enumerate(lines, start=1):
        lead = f"{number:>3}. "
        out += wrap(line, WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead))
    return out


def _lap(lap: Lap) -> str:
    return f"{lap.title}. {lap.do} Cuts {in_runs(lap.cuts)}. {lap.then}".rstrip()


def in_runs(numbers: Sequence[int]) -> str:
    """Cut numbers in short: 1 to 36; 1, 3, 5 … 35; or all of them."""
    if len(numbers) > 3:
        step = numbers[1] - numbers[0]
        if all(b - a == step for a, b in pairwise(numbers)):
            return (
                f"{numbers[0]} to {numbers[-1]}"
                if step == 1
                else f"{numbers[0]}, {numbers[1]}, {numbers[2]} … {numbers[-1]}"
            )
    return ", ".join(str(number) for number in numbers)


def _move(move: Move, table: Table) -> str:
    by_plate = f" ({move.holes} holes)" if move.holes is not None else ""
    return f"{turns(move.turns)} + {dial(move.dial, table.dial_step)}{by_plate}"


def _table(plan: IndexPlan, cuts: Sequence[Cut]) -> list[str]:
    """Columns as wide as they need to be; those that hold nothing are left out."""
    columns: list[list[str]] = [["cut", *(str(cut.cut) for cut in cuts)], ["angle", *(angle(cut.at) for cut in cuts)]]
    table = plan.table
    if table is not None:
        settings = [cut.setting for cut in cuts if cut.setting is not None]
        moves = [cut.move for cut in cuts if cut.move is not None]
        columns.append(["turns", *(str(s.turns) for s in settings)])
        columns.append(["dial", *(dial(s.dial, table.dial_step) for s in settings)])
        if any(s.circle for s in settings):
            columns.append(["holes", *(f"{s.holes} of {s.circle}" if s.circle else "-" for s in settings)])
        columns.append(["turn on", *(f"{m.turns} + {dial(m.dial, table.dial_step)}" for m in moves)])
        if any(m.holes is not None for m in moves):
            columns.append(["holes on", *("-" if m.holes is None else str(m.holes) for m in moves)])
        if any(cut.scale_deg is not None for cut in cuts):
            columns.append(["edge", *("" if cut.scale_deg is None else edge(cut.scale_deg) for cut in cuts)])
        columns.append(["error", *(angle(s.error) if s.error else "0" for s in settings)])
    if table is None and any(cut.points_mm for cut in cuts):
        columns += _places(plan, cuts)
    if cuts and cuts[0].work == "slot":
        columns.append(["", *(_mark(plan, cut) for cut in cuts)])
    return _set(columns)


def _places(plan: IndexPlan, cuts: Sequence[Cut]) -> list[list[str]]:
    """Columns of X and Y in the job's units, each cut's deepest point."""
    factor, places = (25.4, 4) if plan.units == "in" else (1.0, 3)
    columns = []
    for axis, name in ((0, "X"), (1, "Y")):
        values = (
            f"{round(cut.points_mm[0][axis] / factor, places) + 0.0:.{places}f}" if cut.points_mm else ""
            for cut in cuts
        )
        columns.append([f"{name} {plan.units}", *values])
    return columns


def _set(columns: list[list[str]]) -> list[str]:
    """Columns side by side, right-aligned; one without a heading is a remark and stands left."""
    widths = [max(map(len, column)) for column in columns]
    lines = []
    for row in range(len(columns[0])):
        cells = [column[row].rjust(width) for column, width in zip(columns, widths, strict=True)]
        lines.append(
            ("  " + "  ".join(cells[:-1]) + "  " + columns[-1][row]).rstrip()
            if columns[-1][0] == ""
            else ("  " + "  ".join(cells)).rstrip()
        )
    return lines


def _mark(plan: IndexPlan, cut: Cut) -> str:
    met = [point.kind for point in plan.checkpoints if point.after == cut.cut and point.what == "slot"]
    return ", ".join({"bolt": "bolt line", "quarter": "whole quarter"}[kind] for kind in met)


def _about(plan: IndexPlan, kind: str) -> list[str]:
    """What is done at these stops."""
    if kind == "gap" and plan.gap_ridge_mm is not None:
        return [f"  Between passes at most {plan.gap_ridge_mm:.3f} mm stays standing."]
    if kind == "hole":
        return [
            f"  {hole.cut}: {hole.drill or length(hole.diameter_mm, plan.units)} drill, "
            f"{length(hole.radius_mm, plan.units)} from the centre, "
            + (
                "right through"
                if hole.depth_mm is None
                else f"{length(hole.depth_mm, plan.units)} deep at full diameter"
            )
            + (", from the back" if hole.from_back else "")
            + f", about {round_rpm(hole.rpm)} rpm"
            for hole in plan.holes
        ]
    return []


def _plates(plan: IndexPlan) -> list[str]:
    assert plan.reach is not None
    found = plan.reach
    lines = []
    if found.simple:
        lines.append(f"One pitch by plate: {found.simple}.")
    if not found.chart and found.pitch:
        lines.append(
            "The first slot is no whole number of holes from zero: set it by the dial and count the holes from there."
        )
    if not found.pitch:
        lines.append(f"No circle of these plates divides {plan.teeth} exactly: go by the dial.")
    if found.compound:
        lines.append(f"Compound indexing, {found.compound}.")
    if found.differential:
        lines.append(f"Differential indexing: {found.differential}.")
    return _numbered(lines)
