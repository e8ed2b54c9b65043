"""The bench page's list for paper: the same work with boxes to tick, readable without any script."""

from __future__ import annotations

import html
from collections.abc import Sequence

from wheelcad.parts.indexing import words
from wheelcad.parts.indexing.model import IndexPlan, Stop
from wheelcad.parts.indexing.text import order_lines
from wheelcad.words import Words

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
    heads = ["cut", "turns", "dial", *(["hole"] if pins else []), "turn on", *(["edge"] if edge else [])]
    rows = ["<tr>" + "".join(f'<th scope="col">{head}</th>' for head in heads) + "</tr>"]
    for stop in stops:
        setting, move = stop.setting, stop.move
        assert setting is not None
        assert move is not None
        label = f"{stop.cut} again" if stop.closing else str(stop.cut)
        cells = [BOX + label, str(setting.turns), words.dial(setting.dial, step)]
        if pins:
            cells.append(f"{setting.holes}/{setting.circle}" if setting.circle else "")
        cells.append(f"{move.turns} + {words.dial(move.dial, step)}")
        if edge:
            cells.append(words.edge(stop.scale_deg) if stop.scale_deg is not None else "")
        rows.append("<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>")
    return f'<table aria-label="{html.escape(title)}">\n' + "\n".join(rows) + "\n</table>"


def checkpoint_items(plan: IndexPlan) -> str:
    """Checkpoints with boxes."""
    said = [point.says[0].upper() + point.says[1:] + "." for point in plan.checkpoints]
    said.append("After a whole lap the cutter stands on the first line again.")
    return "".join(f"<li>{BOX}{html.escape(text)}</li>" for text in said)
