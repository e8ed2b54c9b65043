"""bench.html: the page that is followed at the mill. One file, no network, one cut at a time in large letters.

The page itself is bench.html, .css and .js beside this module; here its numbers and words are filled in.
"""

from __future__ import annotations

import html
import json
import re
from pathlib import Path

from wheelcad.packet import bench_rules
from wheelcad.packet.bench_list import checkpoint_items, lap_tables, ticks
from wheelcad.packet.bench_picture import wheel_picture
from wheelcad.parts.indexing import words
from wheelcad.parts.indexing.model import Checkpoint, IndexPlan, Stop
from wheelcad.parts.indexing.settings import TurnTable
from wheelcad.parts.indexing.setup import back_words
from wheelcad.parts.indexing.work import CAUTIONS
from wheelcad.words import Words

HERE = Path(__file__).parent
PAUSE_MS = 250  # a second press sooner than this is the same thumb bouncing
DEPTH_ONCE_ROUND = ("depth-1", "depth-2", "depth")  # laps once round in which a wrong count costs metal


def bench_html(plan: IndexPlan) -> str:
    """The whole page as text, in the job's unit. Its count is kept under the plan mark, apart from every other plan's.

    ValueError for a plan without a rotary table: there is nothing to count.
    """
    if plan.table is None:
        raise ValueError("the bench page follows a rotary table, and the shop has none")
    table, job, plan = plan.table, plan.job, Words(plan.job.units).through(plan)
    fills = {
        "title": html.escape(f"{job.job}: at the mill"),
        "job": html.escape(job.job),
        "pattern": html.escape(f"{plan.pattern}, plan {plan.mark}"),
        "marks": html.escape(f"Of {plan.marks}."),
        "subtitle": html.escape(f"{job.title or job.job} ({plan.marks})"),
        "cautions": "".join(f"<li>{html.escape(line)}</li>" for line in CAUTIONS),
        "setup_ticks": ticks(plan.setup),
        "sheets": _sheets(plan),
        "setup_boxes": "".join(f'<li><span class="box"></span>{html.escape(line)}</li>' for line in plan.setup),
        "laps": lap_tables(plan),
        "checkpoints": checkpoint_items(plan),
        "picture": wheel_picture(plan),
        "dial_hint": html.escape(_hint(table)),
        "plan": _embedded(page_data(plan)),
        "css": _part("bench.css"),
        "js": _part("bench-reckon.js") + "\n" + _part("bench.js"),
    }
    # in one pass: what a title holds is never filled in itself
    return re.sub(r"%%(\w+)%%", lambda found: fills[found[1]], _part("bench.html")) + "\n"


def _sheets(plan: IndexPlan) -> str:
    """The head of every set-up's operation sheet."""
    out = []
    for setup in plan.setups:
        rows = "".join(f"<dt>{html.escape(head)}</dt><dd>{html.escape(text)}</dd>" for head, text in setup.heads)
        out.append(f'<h3>{html.escape(setup.title)}</h3><dl class="sheet">{rows}</dl>')
    return Words(plan.job.units).text("".join(out))


def write_bench(path: Path, plan: IndexPlan) -> None:
    """Write the page; the same job gives the same bytes."""
    path.write_text(bench_html(plan), encoding="utf-8", newline="\n")


def _part(name: str) -> str:
    return (HERE / name).read_text(encoding="utf-8").strip()


def _embedded(data: dict[str, object]) -> str:
    """JSON that cannot end the script element it stands in."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def _hint(table: TurnTable) -> str:
    if words.in_minutes(table.dial_step):
        return "Degrees and minutes, such as 3 30 for 3°30′, or degrees alone, such as 3.5"
    return "Such as 3.5"


def page_data(plan: IndexPlan) -> dict[str, object]:
    """Everything the page's script knows: stops as numbers and as words, limits and words of the diagnosis."""
    table, spec = plan.table, plan.job.shop.rotary_table
    assert table is not None
    assert spec is not None
    data = {
        "job": plan.job.job,
        "mark": plan.mark,
        "pause_ms": PAUSE_MS,
        "ratio": table.ratio,
        "per_turn": 360.0 / table.ratio,
        "per_turn_text": words.dial(table.per_turn, table.dial_step),
        "in_minutes": words.in_minutes(table.dial_step),
        "places": words.decimals_of(table.dial_step) or 4,
        "back": back_words(table, spec.backlash),
        "tolerance": float(table.dial_step) * bench_rules.READING,
        "backlash": spec.backlash,
        "hole_step": float(table.hole_step or 0),
        "has_scale": plan.scale is not None,
        "scale_rises": plan.scale_rises,
        "picture_sense": plan.wheel.sense,
        "gap_at": plan.wheel.gap_at_deg,
        "limits": bench_rules.LIMITS,
        "slips": bench_rules.SLIPS,
        "says": bench_rules.SAYS,
        "do": bench_rules.DO,
        "laps": [{"title": lap.title, "count": len(lap.cuts)} for lap in plan.laps],
        "steps": [_step(plan, table, stop) for stop in plan.stops],
    }
    return Words(plan.job.units).through(data)


def _step(plan: IndexPlan, table: TurnTable, stop: Stop) -> dict[str, object]:
    (setting, move), per, step = stop.on_table, table.per_turn, table.dial_step
    met = f"Look: {stop.check.says}." if stop.check else ""
    opened = plan.opening(stop.lap) if stop.place == 1 else None
    return {
        "setup": list(opened.lines) if opened is not None and opened.key == "mill" else [],
        "lap": [lap.key for lap in plan.laps].index(stop.lap.key),
        "kind": "scratch" if stop.lap.key == "scratch" else stop.work,
        "place": stop.place,
        "cut": stop.cut,
        "name": stop.name,
        "closing": stop.closing,
        "at": float(table.reached(setting)),
        "exact": float(stop.at),
        "part": float(move.dial),
        "turns": setting.turns,
        "dial": words.dial(setting.dial, step),
        "dial_falls": words.dial((per - setting.dial) % per, step),
        "pin": f"or {words.holes(setting.holes, setting.circle)}" if setting.circle else "",
        "move": words.setting(move.turns, move.dial, step, None, move.holes),
        "past_zero": stop.past_zero,
        "edge": words.edge(stop.scale_deg) if stop.scale_deg is not None else "",
        "do": _do(plan, stop),
        "ask": _ask(plan, table, stop),
        "meet": " ".join(said for said in (_first(plan, table, stop), met) if said),
        "ahead": _ahead(plan, table, stop),
    }


def _do(plan: IndexPlan, stop: Stop) -> str:
    """What is done at a stop: the lap's order, and what is drilled; at a closing nothing is cut."""
    if stop.closing:
        return f"Cut nothing: the cutter has to stand exactly on the first line. {stop.lap.then}".rstrip()
    return f"{stop.lap.do} {stop.orders(plan.job.units)}".rstrip()


def _ask(plan: IndexPlan, table: TurnTable, stop: Stop) -> str:
    """The question at a closing, and where a lap has come past a quarter of a revolution; "" elsewhere."""
    setting, _ = stop.on_table
    dial = words.dial(setting.dial, table.dial_step)
    if stop.closing:
        return (
            f"Once round is {words.turns(table.ratio)}; past zero the count has begun again, and "
            f"{words.turns(setting.turns)} + {dial} is the first line. Does the cutter stand exactly on it?"
        )
    if stop.lap.key != "scratch":
        return ""
    return _quarter(plan, table, stop)


def _first(plan: IndexPlan, table: TurnTable, stop: Stop) -> str:
    """Where metal goes for good the count stands to be looked at, at each quarter, before the cut and not after it."""
    quarter = _quarter(plan, table, stop) if stop.lap.key in DEPTH_ONCE_ROUND and not stop.closing else ""
    return f"Before you cut: {quarter[:1].lower()}{quarter[1:]}" if quarter else ""


def _quarter(plan: IndexPlan, table: TurnTable, stop: Stop) -> str:
    """The question where a lap has come past a quarter of a revolution; "" elsewhere."""
    setting, _ = stop.on_table
    dial = words.dial(setting.dial, table.dial_step)
    if stop.place == 1:
        return ""
    before = plan.stops[stop.number - 2].at
    if int(before // 90) == int(stop.at // 90) or stop.past_zero:
        return ""
    edge = f" The table's edge reads {words.edge(stop.scale_deg)}." if stop.scale_deg is not None else ""
    return f"{words.turns(setting.turns).capitalize()} counted since zero, and {dial} on the dial.{edge}"


def _ahead(plan: IndexPlan, table: TurnTable, stop: Stop) -> str:
    """The next checkpoint after this stop in its lap, with its setting; "" when there is none."""
    if stop.closing or stop.work not in ("slot", "side"):
        return ""
    following = [point for point in plan.checkpoints if point.at > stop.at]
    return _checkpoint(following[0], table) if following else "back at zero, once round"


def _checkpoint(point: Checkpoint, table: TurnTable) -> str:
    setting = ""
    if point.setting is not None and point.kind != "quarter":
        setting = f", at {words.setting(point.setting.turns, point.setting.dial, table.dial_step)}"
    return f"{point.says}{setting}"
