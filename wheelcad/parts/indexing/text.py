"""The chart as lines for a terminal or a sheet of paper, in the job's unit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from textwrap import wrap

from wheelcad.parts.indexing.model import IndexPlan, Lap, Stop
from wheelcad.parts.indexing.words import angle, dial, edge, holes
from wheelcad.parts.indexing.work import Setup
from wheelcad.words import Words, diameter, fine

WIDTH = 100
MET = {"bolt": "bolt line", "quarter": "whole quarter"}


def chart_text(plan: IndexPlan) -> str:
    """Set-up, every stop in working order, checkpoints and cautions, as lines; ends in a newline."""
    words = Words(plan.job.units)
    head = f"{plan.job.job}: {plan.pattern}, {len(plan.of_kind('slot'))} slots"
    if plan.table is not None:
        step = plan.table.dial_step
        head += f", table {plan.table.ratio}:1 ({angle(plan.table.per_turn)} a turn, dial to {dial(step, step)})"
    parts = [[head, *([plan.job.title] if plan.job.title else []), plan.marks]]
    parts.append(["Before the first cut", *_numbered(words, plan.setup)])
    parts += [[f"Set-up: {setup.title}", *_heads(words, setup)] for setup in plan.setups]
    parts.append([f"The work, stop by stop: {_counted_from(plan)}"])
    parts += [_lap(plan, words, number, lap) for number, lap in enumerate(plan.laps, start=1)]
    placed = [stop for stop in plan.cuts if stop.points_mm]
    if placed and plan.table is not None:
        first = [["cut", *(str(stop.cut) for stop in placed)], ["angle", *(angle(stop.at) for stop in placed)]]
        parts.append(["The same cuts by readout, from the wheel's centre", *_set([*first, *places(plan, placed)])])
    if plan.checkpoints:
        parts.append(
            [
                "Checkpoints",
                *_numbered(words, [point.says[0].upper() + point.says[1:] + "." for point in plan.checkpoints]),
            ]
        )
    if plan.reach is not None:
        parts.append(["Plates", *_plates(plan, words)])
    parts.append(["Take care", *_numbered(words, plan.cautions)])
    return "\n\n".join("\n".join(part) for part in parts) + "\n"


def _counted_from(plan: IndexPlan) -> str:
    """From where the rows count."""
    if plan.table is not None:
        return f"settings from zero at {plan.zero_name}, moves from the stop before"
    if plan.job.shop.rotary_axis:
        return f"angles of the axis from zero at {plan.zero_name}"
    return f"X and Y from the bore's centre, the TDC line along +Y; angles from {plan.zero_name}"


def _numbered(words: Words, lines: Sequence[str], start: int = 1) -> Iterator[str]:
    for number, line in enumerate(lines, start=start):
        lead = f"{number:>3}. "
        yield from wrap(words.text(line), WIDTH, initial_indent=lead, subsequent_indent=" " * len(lead))


def _heads(words: Words, setup: Setup) -> Iterator[str]:
    for head, text in setup.heads:
        yield from wrap(words.text(f"{head}: {text}"), WIDTH, initial_indent="  ", subsequent_indent="    ")


def _lap(plan: IndexPlan, words: Words, number: int, lap: Lap) -> list[str]:
    """A lap: what is done, its stops, and what is looked at."""
    stops = plan.in_lap(lap)
    head, rows = columns(plan, stops)
    cells = [list(column) for column in zip(head, *rows, strict=True)]
    remarks = ["", *(_remark(stop) for stop in stops)]
    out = [*_numbered(words, [f"{lap.title}. {lap.do}"], number), *_set([*cells, remarks])]
    opened = plan.opening(lap)
    if opened is not None and opened.key == "mill":  # laying the work flat is in the lap's own order
        out = [f"Before the next lap: {opened.title}", *_numbered(words, opened.lines), "", *out]
    for line in order_lines(stops, words.units):
        out += wrap(words.text(line), WIDTH, initial_indent="  ", subsequent_indent="    ")
    if lap.key == "gap" and plan.gap_ridge_mm is not None:
        out.append(f"  Between passes at most {fine(plan.gap_ridge_mm)} stays standing.")
    out += wrap(words.text(lap.then), WIDTH, initial_indent="  ", subsequent_indent="  ")
    return [words.text(line) for line in out]


def order_lines(stops: Sequence[Stop], units: str) -> list[str]:
    """What is drilled or marked at these stops, equal orders once: "46, 47: …"."""
    held: dict[str, list[int]] = {}
    for stop in stops:
        if not stop.closing and stop.orders(units):
            held.setdefault(stop.orders(units), []).append(stop.cut)
    return [f"{', '.join(map(str, cuts))}: {orders}" for orders, cuts in held.items()]


def _remark(stop: Stop) -> str:
    return ", ".join([*(["past zero"] if stop.past_zero else []), *([MET[stop.check.kind]] if stop.check else [])])


def columns(plan: IndexPlan, stops: Sequence[Stop], angles: bool = True) -> tuple[list[str], list[list[str]]]:
    """Head and rows of these stops, for every table of them; columns that hold nothing are left out.

    Without angles, for two tables beside each other, each setting's error has no room either.
    """
    table = plan.table
    heads = {"stop": [str(stop.number) for stop in stops]}
    heads["cut"] = [f"{stop.cut} again" if stop.closing else str(stop.cut) for stop in stops]
    if angles:
        heads["angle"] = [angle(stop.at) for stop in stops]
    if table is not None:
        step = table.dial_step
        settings = [stop.setting for stop in stops if stop.setting is not None]
        moves = [stop.move for stop in stops if stop.move is not None]
        heads["turns"] = [str(s.turns) for s in settings]
        heads["dial"] = [dial(s.dial, step) for s in settings]
        if any(s.circle for s in settings):
            heads["hole"] = [f"{s.holes} of {s.circle}" if s.circle else "-" for s in settings]
        heads["turn on"] = [f"{m.turns} + {dial(m.dial, step)}" for m in moves]
        if any(m.holes is not None for m in moves):
            heads["or"] = ["-" if m.holes is None else f"{m.turns} and {holes(m.holes)}" for m in moves]
        if any(stop.scale_deg is not None for stop in stops):
            heads["edge"] = ["" if stop.scale_deg is None else edge(stop.scale_deg) for stop in stops]
        if angles and any(s.error for s in settings):
            heads["error"] = [angle(s.error) if s.error else "0" for s in settings]
    elif any(stop.points_mm for stop in stops):
        heads |= {column[0]: column[1:] for column in places(plan, stops)}
    if any(stop.drill is not None for stop in stops):
        heads |= drill_columns(plan, stops)
    return list(heads), [list(row) for row in zip(*heads.values(), strict=True)]


def drill_columns(plan: IndexPlan, stops: Sequence[Stop]) -> dict[str, list[str]]:
    """Radius, drill and depth of holes, in the row of their setting."""
    words, drills = Words(plan.job.units), [stop.drill for stop in stops]
    unit = plan.job.units
    return {
        f"radius {unit}": [words.bare(d.radius_mm) if d else "" for d in drills],
        "drill": [words.text(d.drill or diameter(d.diameter_mm)) if d else "" for d in drills],
        f"depth {unit}": [
            "" if d is None else "through" if d.depth_mm is None else words.bare(d.depth_mm) for d in drills
        ],
    }


def places(plan: IndexPlan, stops: Sequence[Stop]) -> list[list[str]]:
    """Columns of X and Y in the job's unit, each cut's deepest point."""
    words = Words(plan.job.units)
    return [
        [f"{name} {plan.job.units}", *(words.bare(s.points_mm[0][axis], 3) if s.points_mm else "" for s in stops)]
        for axis, name in ((0, "X"), (1, "Y"))
    ]


def _set(cells: list[list[str]]) -> list[str]:
    """Columns side by side, right-aligned; the last, remarks without a heading, stands left."""
    widths = [max(map(len, column)) for column in cells[:-1]]
    rows = zip(*cells, strict=True)
    return [
        (
            "  " + "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=False)) + f"  {row[-1]}"
        ).rstrip()
        for row in rows
    ]


def _plates(plan: IndexPlan, words: Words) -> list[str]:
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
        lines.append(f"No circle of these plates divides {plan.job.wheel.teeth} exactly: go by the dial.")
    if found.compound:
        lines.append(f"Compound indexing, {found.compound}.")
    if found.differential:
        lines.append(f"Differential indexing: {found.differential}.")
    return list(_numbered(words, lines))
