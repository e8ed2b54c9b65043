"""The bench page's list for paper: the same work with boxes to tick, readable without any script."""

from __future__ import annotations

import html
from collections.abc import Sequence

from wheelcad.parts.indexing import words
from wheelcad.parts.indexing.model import IndexPlan, Stop
from wheelcad.parts.indexing.nearest import nearest_hole
from wheelcad.parts.indexing.text import drill_columns, order_lines
from wheelcad.words import Words, angle, unbalance

ROWS = 13  # of one column of a lap's table
BOX = '<span class="box"></span>'


def ticks(lines: Sequence[str]) -> str:
    """Set-up lines with check boxes."""
    return "".join(f'<li><label><input type="checkbox"> {html.escape(line)}</label></li>' for line in lines)


def lap_tables(plan: IndexPlan) -> str:
    """Every lap as a heading and its stops, in columns of at most ROWS."""
    out = []
    for number, lap in enumerate(plan.laps, start=1):
        mine = plan.in_lap(lap)
        opened = plan.opening(lap)
        if opened is not None and opened.key == "mill":
            out.append(f"<h3>{html.escape(opened.title)}</h3>")
            out.append('<ol class="boxes">' + "".join(f"<li>{BOX}{html.escape(line)}</li>" for line in opened.lines))
            out.append("</ol>")
        out.append(f'<h3>{number}. {html.escape(lap.title)}</h3>\n<p>{html.escape(lap.do)}</p>\n<div class="runs">')
        columns = -(-len(mine) // ROWS)
        size = -(-len(mine) // columns) if columns else 0
        out += [_table(plan, mine[i : i + size], lap.title) for i in range(0, len(mine), size or 1)]
        out.append("</div>")
        if lap.then:
            out.append(f"<p>{BOX}{html.escape(lap.then)}</p>")
        out += [f"<p>{html.escape(line)}</p>" for line in order_lines(mine, plan.job.units)]
    return Words(plan.job.units).text("\n".join(out))


def _table(plan: IndexPlan, stops: Sequence[Stop], title: str) -> str:
    assert plan.table is not None
    step = plan.table.dial_step
    pins = any(stop.setting is not None and stop.setting.circle for stop in stops)
    edge = plan.scale is not None
    drilled = _drilled(plan, stops)
    heads = ["cut", "turns", "dial", *(["hole"] if pins else []), "turn on", *(["edge"] if edge else []), *drilled]
    rows = ["<tr>" + "".join(f'<th scope="col">{head}</th>' for head in heads) + "</tr>"]
    for place, stop in enumerate(stops):
        setting, move = stop.on_table
        label = f"{stop.cut} again" if stop.closing else str(stop.cut)
        cells = [BOX + label, str(setting.turns), words.dial(setting.dial, step)]
        if pins:
            cells.append(f"{setting.holes}/{setting.circle}" if setting.circle else "")
        cells.append(f"{move.turns} + {words.dial(move.dial, step)}")
        if edge:
            cells.append(words.edge(stop.scale_deg) if stop.scale_deg is not None else "")
        cells += [html.escape(column[place]) for column in drilled.values()]
        rows.append("<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>")
    return f'<table aria-label="{html.escape(title)}">\n' + "\n".join(rows) + "\n</table>"


def _drilled(plan: IndexPlan, stops: Sequence[Stop]) -> dict[str, list[str]]:
    """Columns for holes: radius, drill, depth, and where the circle on the table does not reach them, its nearest hole
    with what it costs in balance. Nothing for laps that drill nothing."""
    if not any(stop.drill is not None for stop in stops):
        return {}
    out = drill_columns(plan, stops)
    found = [nearest_hole(plan.table, stop.at, stop.drill) for stop in stops]
    if any(found):
        out["nearest hole"] = [f"{n.turns} and {words.holes(n.holes, n.circle)}" if n else "" for n in found]
        out["off"] = [angle(n.off_deg, 2) if n else "" for n in found]
        out["costs"] = [unbalance(n.cost_g_mm) if n else "" for n in found]
    return out


def checkpoint_items(plan: IndexPlan) -> str:
    """Checkpoints with boxes."""
    said = [point.says[0].upper() + point.says[1:] + "." for point in plan.checkpoints]
    said.append("After a whole lap the cutter stands on the first line again.")
    return "".join(f"<li>{BOX}{html.escape(text)}</li>" for text in said)
