"""bench.html: the page that is followed at the mill. One file, no network, one cut at a time in large letters.

The page itself is bench.html, .css and .js beside this module; here its numbers and words are filled in.
"""

from __future__ import annotations

import html
import json
from pathlib import Path

from wheelcad.job.models import Job
from wheelcad.measure import lost_count
from wheelcad.packet.bench_list import checkpoint_items, drill_words, lap_tables, ticks
from wheelcad.packet.bench_picture import wheel_picture
from wheelcad.parts.indexing import words
from wheelcad.parts.indexing.model import Checkpoint, IndexPlan
from wheelcad.parts.indexing.settings import Table
from wheelcad.parts.indexing.steps import Step, plan_steps
from wheelcad.parts.wheel.design import WheelDesign

HERE = Path(__file__).parent
PAUSE_MS = 250  # a second press sooner than this is the same thumb bouncing
ONCE_ROUND = ("scratch", "depth-1", "depth-2", "depth")  # laps long enough for the count to be asked at each quarter


def bench_html(job: Job, plan: IndexPlan, wheel: WheelDesign, job_hash: str) -> str:
    """The whole page as text. job_hash keeps one job's progress in the browser apart from another's.

    ValueError for a plan without a rotary table: there is nothing to count.
    """
    if plan.table is None:
        raise ValueError("the bench page follows a rotary table, and the shop has none")
    fills = {
        "title": html.escape(f"{plan.job}: at the mill"),
        "job": html.escape(plan.job),
        "pattern": html.escape(f"{plan.pattern}, {plan.table.ratio}:1"),
        "subtitle": html.escape(job.title or plan.job),
        "cautions": "".join(f"<li>{html.escape(line)}</li>" for line in plan.cautions),
        "setup_ticks": ticks(plan.setup),
        "setup_boxes": "".join(f'<li><span class="box"></span>{html.escape(line)}</li>' for line in plan.setup),
        "laps": lap_tables(plan),
        "checkpoints": checkpoint_items(plan),
        "picture": wheel_picture(plan, wheel),
        "dial_hint": html.escape(_hint(plan.table)),
        "plan": _embedded(page_data(plan, job_hash)),
        "css": _part("bench.css"),
        "js": _part("bench-reckon.js") + "\n" + _part("bench.js"),
    }
    page = _part("bench.html")
    for name, text in fills.items():
        page = page.replace(f"%%{name}%%", text)
    return page + "\n"


def write_bench(path: Path, job: Job, plan: IndexPlan, wheel: WheelDesign, job_hash: str) -> None:
    """Write the page; the same job gives the same bytes."""
    path.write_text(bench_html(job, plan, wheel, job_hash), encoding="utf-8", newline="\n")


def _part(name: str) -> str:
    return (HERE / name).read_text(encoding="utf-8").strip()


def _embedded(data: dict[str, object]) -> str:
    """JSON that cannot end the script element it stands in."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")


def _hint(table: Table) -> str:
    if words.in_minutes(table.dial_step):
        return "Degrees and minutes, such as 3 30 for 3°30′, or degrees alone, such as 3.5"
    return "Such as 3.5"


def page_data(plan: IndexPlan, job_hash: str) -> dict[str, object]:
    """Everything the page's script knows: settings as numbers and as words, limits and words of the diagnosis."""
    assert plan.table is not None
    steps = plan_steps(plan)
    per = plan.table.per_turn
    return {
        "hash": job_hash,
        "pause_ms": PAUSE_MS,
        "ratio": plan.table.ratio,
        "per_turn": 360.0 / plan.table.ratio,
        "per_turn_text": words.dial(per, plan.table.dial_step),
        "tolerance": lost_count.reading_tolerance(plan),
        "backlash": plan.backlash_deg,
        "hole_step": float(plan.table.hole_step or 0),
        "has_scale": plan.scale is not None,
        "scale_rises": plan.scale_rises,
        "picture_sense": plan.sense,
        "gap_at": plan.gap_at_deg,
        "limits": {
            "forgotten": lost_count.MOST_FORGOTTEN,
            "twice": lost_count.MOST_TWICE,
            "turns": lost_count.MOST_TURNS,
            "holes": lost_count.MOST_HOLES,
            "shown": lost_count.CAUSES_SHOWN,
        },
        "slips": lost_count.SLIPS,
        "says": lost_count.SAYS,
        "do": lost_count.DO,
        "laps": [{"title": lap.title, "do": lap.do, "count": len(lap.cuts)} for lap in plan.laps],
        "steps": [_step(plan, plan.table, steps, step) for step in steps],
    }


def _step(plan: IndexPlan, table: Table, steps: tuple[Step, ...], step: Step) -> dict[str, object]:
    setting, per = step.setting, table.per_turn
    hole = next((hole for hole in plan.holes if hole.cut == step.cut.cut), None)
    return {
        "lap": plan.laps.index(step.lap),
        "kind": "scratch" if step.lap.key == "scratch" else step.cut.work,
        "place": step.place,
        "cut": step.cut.cut,
        "name": step.cut.name,
        "closing": step.closing,
        "at": float(table.reached(setting)),
        "exact": float(step.cut.at),
        "part": float(step.move.dial),
        "turns": setting.turns,
        "dial": words.dial(setting.dial, table.dial_step),
        "dial_falls": words.dial((per - setting.dial) % per, table.dial_step),
        "pin": f"or {setting.holes} holes of {setting.circle}" if setting.circle else "",
        "move": _move(table, step),
        "past_zero": step.past_zero,
        "edge": words.edge(step.cut.scale_deg) if step.cut.scale_deg is not None else "",
        "do": _closing_do(step) if step.closing else drill_words(hole, plan.units) if hole else "",
        "ask": _ask(plan, table, steps, step),
        "meet": f"Look: {step.check.says}." if step.check else "",
        "ahead": _ahead(plan, table, step),
    }


def _move(table: Table, step: Step) -> str:
    """What to turn from the last cut: by the dial, and by the pin where it stays in one circle."""
    by_dial = f"{words.turns(step.move.turns)} + {words.dial(step.move.dial, table.dial_step)}"
    return by_dial if step.move.holes is None else f"{by_dial} or {step.move.holes} holes"


def _closing_do(step: Step) -> str:
    return f"Cut nothing: the cutter has to stand exactly on the first line. {step.lap.then}".rstrip()


def _ask(plan: IndexPlan, table: Table, steps: tuple[Step, ...], step: Step) -> str:
    """The question at a closing, and where a lap has come past a quarter of a revolution; "" elsewhere."""
    dial = words.dial(step.setting.dial, table.dial_step)
    if step.closing:
        return (
            f"Once round is {words.turns(table.ratio)}; past zero the count has begun again, and "
            f"{words.turns(step.setting.turns)} + {dial} is the first line. Does the cutter stand exactly on it?"
        )
    if step.lap.key not in ONCE_ROUND or step.place == 1:
        return ""
    before = steps[step.index - 1].cut.at
    if int(before // 90) == int(step.cut.at // 90) or step.past_zero:
        return ""
    edge = f" The table's edge reads {words.edge(step.cut.scale_deg)}." if step.cut.scale_deg is not None else ""
    return f"{words.turns(step.setting.turns).capitalize()} counted since zero, and {dial} on the dial.{edge}"


def _ahead(plan: IndexPlan, table: Table, step: Step) -> str:
    """The next checkpoint after this step in its lap, with its setting; "" when there is none."""
    if step.closing or step.cut.work not in ("slot", "side"):
        return ""
    following = [point for point in plan.checkpoints if point.at > step.cut.at]
    return _checkpoint(following[0], table) if following else "back at zero, once round"


def _checkpoint(point: Checkpoint, table: Table) -> str:
    setting = ""
    if point.setting is not None and point.kind != "quarter":
        setting = f", at {words.turns(point.setting.turns)} + {words.dial(point.setting.dial, table.dial_step)}"
    return f"{point.says}{setting}"
