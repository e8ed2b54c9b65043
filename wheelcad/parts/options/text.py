"""The table of options for a terminal: fits a hundred columns, lengths in the job's unit."""

from __future__ import annotations

import math
import textwrap

from wheelcad.parts.options.least import least_slot
from wheelcad.parts.options.table import OptionTable

WIDEST = 100  # columns
HEADS = (
    ("", "degrees", "tooth", "slot", "teeth/s", "pitches", "table", "", "unbal.", "least", ""),
    ("pattern", "a tooth", "rim/root", "rim/root", "kHz", "a firing", "set by", "cuts", "g·mm", "⌀", "verdict"),
)


def options_text(table: OptionTable, own: tuple[int, int] | None = None) -> str:
    """The table, the rule that decides each pattern, and what the columns mean. own: the job's pattern, marked *."""
    rows = [_cells(table, i, own) for i in range(len(table.teeth))]
    every = [*HEADS, *rows]
    widths = [max(len(row[k]) for row in every) for k in range(len(HEADS[0]))]
    last = len(widths) - 1
    between = "  " if sum(widths) + 2 * last <= WIDEST else " "
    lines = [
        between.join(
            cell.ljust(width) if k in (0, last) else cell.rjust(width)
            for k, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in every
    ]
    why = [
        _wrapped(f"{row[0]:<{widths[0]}}  {table.decision.verdicts[i]}: {table.decision.reasons[i]}", widths[0] + 2)
        for i, row in enumerate(rows)
    ]
    return "\n".join([*lines, "", *why, "", *_legend(table, own)])


def _wrapped(text: str, hang: int) -> str:
    return textwrap.fill(text, WIDEST, subsequent_indent=" " * hang, drop_whitespace=True)


def _cells(table: OptionTable, i: int, own: tuple[int, int] | None) -> tuple[str, ...]:
    teeth, missing = int(table.teeth[i]), int(table.missing[i])
    mark = "*" if (teeth, missing) == own else ""
    rate, least = float(table.rate_hz[i]), float(table.least_diameter[i])
    slot = table.ground.slot.width
    return (
        f"{teeth}-{missing}{mark}",
        f"{360 / teeth:.4g}",
        _pair(table, float(table.tooth_rim[i]), float(table.tooth_root[i])),
        _pair(table, slot, float(table.slot_root[i])),
        "-" if rate != rate else f"{rate / 1000:.2f}",
        _pitches(table.pitches[i].tolist()),
        _set_by(table, i),
        str(int(table.cuts[i])),
        f"{table.unbalance_g_mm[i]:.0f}" if table.tooth_rim[i] > 0 else "-",
        _least(table, least),
        table.decision.verdicts[i],
    )


def _pitches(values: list[float]) -> str:
    """Firing intervals in pitches, rising: 12, 18/30, or the least and the most of many."""
    few = values if len(values) <= 2 else [values[0], values[-1]]
    return ("/" if len(values) <= 2 else "..").join(f"{value:.3g}" for value in few) or "-"


def _length(table: OptionTable, value: float) -> str:
    return f"{value / 25.4:.3f}" if table.ground.units == "in" else f"{value:.2f}"


def _least(table: OptionTable, value: float) -> str:
    """Rounded up, so that what is printed still works."""
    if value == float("inf"):
        return "-"
    return f"{math.ceil(value / 2.54 - 1e-9) / 10:.1f}" if table.ground.units == "in" else f"{math.ceil(value - 1e-9)}"


def _pair(table: OptionTable, rim: float, root: float) -> str:
    return f"{_length(table, rim)}/{_length(table, root)}" if rim > 0 else "none"


def _set_by(table: OptionTable, i: int) -> str:
    """The dial and the plate's circle where they are exact, else how far off the dial is at most."""
    if table.reach is None:
        return "-"
    circle = int(table.reach.circle[i])
    exact = ["dial"] if table.reach.by_dial[i] else []
    return "/".join([*exact, *([f"{circle}h"] if circle else [])]) or f"±{table.reach.error_deg[i]:.3g}°"


def _legend(table: OptionTable, own: tuple[int, int] | None) -> list[str]:
    unit = "inches" if table.ground.units == "in" else "mm"
    slot = _length(table, least_slot(table.ground))
    said = [
        f"Lengths in {unit}, along the chord; root: at the slot floors, sides carried down to them. "
        f"least ⌀: the smallest wheel on which the pattern works for {table.ground.wants.whose}"
        + (" and this cutter" if table.ground.cutter_mm is not None else "")
        + f", with a slot of {slot}. unbal.: to be corrected, before any hole is drilled.",
        "table: what reaches every setting exactly: the dial's marks, a circle of so many holes (h); else how far off "
        "the dial is at most.",
    ]
    if own is not None:
        said.append("* the job's own pattern.")
    return [textwrap.fill(text, WIDEST) for text in said]
