"""The bench page's list for paper: the same work with boxes to tick, readable without any script."""

from __future__ import annotations

import html
from collections.abc import Sequence

from wheelcad.parts.indexing import words
from wheelcad.parts.indexing.model import HoleWork, IndexPlan
from wheelcad.parts.indexing.steps import Step, plan_steps

ROWS = 13  # of one column of a lap's table
BOX = '<span class="box"></span>'


def ticks(lines: Sequence[str]) -> str:
    """Set-up lines with check boxes."""
    return "".join(f'<li><label><input type="checkbox"> {html.escape(line)}</label></li>' for line in lines)


def lap_tables(plan: IndexPlan) -> str:
    """Every lap as a heading and its stops, in columns of at most ROWS."""
    steps = plan_steps(plan)
    out = []
    for number, lap in enumerate(plan.laps, start=1):
        mine = [step for step in steps if step.lap is lap]
        out.append(f'<h3>{number}. {html.escape(lap.title)}</h3>\n<p>{html.escape(lap.do)}</p>\n<div class="runs">')
        columns = -(-len(mine) // ROWS)
        size = -(-len(mine) // columns) if columns else 0
        out += [_table(plan, mine[i : i + size], lap.title) for i in range(0, len(mine), size or 1)]
        out.append("</div>")
        if lap.then:
            out.append(f"<p>{BOX}{html.escape(lap.then)}</p>")
        holes = [hole for hole in plan.holes if hole.cut in lap.cuts]
        out += [f"<p>{hole.cut}: {html.escape(drill_words(hole, plan.units))}</p>" for hole in holes]
    return "\n".join(out)


def _table(plan: IndexPlan, steps: Sequence[Step], title: str) -> str:
    assert plan.table is not None
    step_size = plan.table.dial_step
    pins = any(step.setting.circle for step in steps)
    edge = plan.scale is not None
    heads = ["cut", "turns", "dial", *(["hole"] if pins else []), "turn on", *(["edge"] if edge else [])]
    rows = ["<tr>" + "".join(f'<th scope="col">{head}</th>' for head in heads) + "</tr>"]
    for step in steps:
        setting = step.setting
        label = f"{step.cut.cut} again" if step.closing else str(step.cut.cut)
        cells = [BOX + label, str(setting.turns), words.dial(setting.dial, step_size)]
        if pins:
            cells.append(f"{setting.holes}/{setting.circle}" if setting.circle else "")
        cells.append(f"{step.move.turns} + {words.dial(step.move.dial, step_size)}")
        if edge:
            cells.append(words.edge(step.cut.scale_deg) if step.cut.scale_deg is not None else "")
        rows.append("<tr>" + "".join(f"<td>{cell}</td>" for cell in cells) + "</tr>")
    return f'<table aria-label="{html.escape(title)}">\n' + "\n".join(rows) + "\n</table>"


def drill_words(hole: HoleWork, units: str) -> str:
    """What to drill at this stop."""
    deep = "right through" if hole.depth_mm is None else f"{words.length(hole.depth_mm, units)} deep at full diameter"
    drill = hole.drill or words.length(hole.diameter_mm, units)
    back = " From the back: mark its place from here, drill when the work is turned over." if hole.from_back else ""
    speed = f"about {words.round_rpm(hole.rpm)} rpm"
    return f"{drill} drill, {words.length(hole.radius_mm, units)} from the centre, {deep}, {speed}.{back}"


def checkpoint_items(plan: IndexPlan) -> str:
    """Checkpoints with boxes."""
    said = [point.says[0].upper() + point.says[1:] + "." for point in plan.checkpoints]
    said.append("After a whole lap the cutter stands on the first line again.")
    return "".join(f"<li>{BOX}{html.escape(text)}</li>" for text in said)
