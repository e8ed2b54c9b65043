"""bench.html read as the phone reads it: its block of data and its tables, every setting and move worked out again.

Nothing is taken from the plan but the exact angles, what is made at each, the table's ratio and the dial's step.
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

from wheelcad.codes import Check
from wheelcad.errors import UnreadableError
from wheelcad.findings import OWN, Finding, holds
from wheelcad.parts.indexing.model import IndexPlan, Stop
from wheelcad.parts.indexing.settings import TurnTable
from wheelcad.words import Words

BENCH = "bench.html"
SAME_DEG = Fraction(1, 10**9)
MINUTE = 60


def degrees_of(text: str) -> Fraction:
    """6.05°, 5°21′ or 5°21′30″ in degrees. ValueError for anything else."""
    if not re.fullmatch(r"\d+(\.\d+)?°(\d+′(\d+″)?)?", text):
        raise UnreadableError(f"{text!r} is no angle")
    parts = [Fraction(part) for part in re.split("[°′″]", text) if part]
    return sum((part / MINUTE**k for k, part in enumerate(parts)), Fraction(0))


def check_bench(folder: Path, plan: IndexPlan, table: TurnTable) -> list[Finding]:
    """The page's data and its tables on paper; table: the plan's. OSError or ValueError when it cannot be read."""
    page = (folder / BENCH).read_text(encoding="utf-8")
    held = re.search(r'<script type="application/json" id="plan">(.*?)</script>', page, re.S)
    if held is None:
        return [holds(Check.BENCH_STEPS, BENCH, False, "no block of data", "the page's script works on it", OWN)]
    data: dict[str, Any] = json.loads(held[1])
    wrong = [*_general(data, plan, table, page), *_steps(data["steps"], plan, table)]
    tables = list(_tables(page, plan, table))
    why = f"{len(plan.stops)} stops: setting, dial from either end, pin, move, edge and order, worked out again"
    said = "; ".join(wrong[:3]) or f"{len(data['steps'])} stops"
    paper = "the same settings in the page's tables, for paper"
    return [
        holds(Check.BENCH_STEPS, BENCH, not wrong, said, why, "arithmetic: angle = (turns + part) x 360/ratio"),
        holds(Check.BENCH_STEPS, f"{BENCH}, tables", not tables, "; ".join(tables[:3]) or "the same", paper, OWN),
    ]


def _general(data: dict[str, Any], plan: IndexPlan, table: TurnTable, page: str) -> Iterator[str]:
    """What the whole page stands on."""
    spec = plan.job.shop.rotary_table
    wanted = {
        "job": plan.job.job,
        "mark": plan.mark,
        "ratio": table.ratio,
        "per_turn": 360.0 / table.ratio,
        "backlash": spec.backlash if spec is not None else None,
        "hole_step": float(table.hole_step or 0),
        "has_scale": plan.scale is not None,
        "scale_rises": plan.scale_rises,
        "picture_sense": plan.wheel.sense,
        "gap_at": plan.wheel.gap_at_deg,
        "laps": [{"title": lap.title, "count": len(lap.cuts)} for lap in plan.laps],
    }
    yield from (f"{key}: {data.get(key)} for {value}" for key, value in wanted.items() if data.get(key) != value)
    if not Fraction(0) < Fraction(str(data["tolerance"])) - table.dial_step < table.dial_step / 100:
        yield f"tolerance: {data['tolerance']}"  # a mark of the dial, and what rounding adds
    if abs(degrees_of(data["per_turn_text"]) - table.per_turn) > table.dial_step / 2:
        yield f"a turn: {data['per_turn_text']}"
    if f"Of {plan.marks}." not in html.unescape(page):
        yield f"the page is not of {plan.marks}"


def _steps(steps: Sequence[dict[str, Any]], plan: IndexPlan, table: TurnTable) -> Iterator[str]:
    if len(steps) != len(plan.stops):
        yield f"{len(steps)} stops for {len(plan.stops)}"
        return
    before, laps = Fraction(0), [lap.key for lap in plan.laps]
    for step, stop in zip(steps, plan.stops, strict=True):
        wanted = {
            "cut": stop.cut,
            "name": stop.name,
            "place": stop.place,
            "closing": stop.closing,
            "past_zero": stop.past_zero,
            "lap": laps.index(stop.lap.key),
            "kind": "scratch" if stop.lap.key == "scratch" else stop.work,
        }
        yield from (
            f"stop {stop.number}, {key}: {step[key]} for {value}" for key, value in wanted.items() if step[key] != value
        )
        yield from (f"stop {stop.number}, {said}" for said in _step(step, stop, before, plan, table))
        before = step["turns"] * table.per_turn + degrees_of(step["dial"])


def _step(step: dict[str, Any], stop: Stop, before: Fraction, plan: IndexPlan, table: TurnTable) -> Iterator[str]:
    """One stop's numbers. before: where the handwheel stood, degrees from zero."""
    per, half = table.per_turn, table.dial_step / 2
    dial = degrees_of(step["dial"])
    reached = step["turns"] * per + dial
    if abs(reached - stop.at) > half + SAME_DEG or abs(Fraction(str(step["exact"])) - stop.at) > Fraction(1, 10**6):
        yield f"{step['turns']} turns + {step['dial']} for {float(stop.at):g}°"
    if abs(Fraction(str(step["at"])) - reached) > Fraction(1, 10**6):
        yield f"at {step['at']}"
    if (degrees_of(step["dial_falls"]) + dial) % per:
        yield f"from the other end {step['dial_falls']}"
    move = re.fullmatch(r"(\d+) turns? \+ (\S+?)(?:, or (\d+) turns? and (\d+) holes?)?", step["move"])
    if move is None or (int(move[1]) * per + degrees_of(move[2]) - (reached - before)) % 360:
        yield f"move {step['move']}"
    elif abs(Fraction(str(step["part"])) - degrees_of(move[2])) > Fraction(1, 10**6):
        yield f"part {step['part']}"
    pin = re.fullmatch(r"or (\d+) holes? of (\d+)", step["pin"])
    if pin is not None and (step["turns"] + Fraction(int(pin[1]), int(pin[2]))) * per != stop.at:
        yield f"pin {step['pin']}"
    if (pin is None) != (stop.setting is None or stop.setting.circle is None):
        yield f"pin {step['pin'] or 'not there'}"
    if plan.scale is not None:
        edge = (reached if plan.scale_rises else -reached) % 360
        if not step["edge"] or _apart(degrees_of(step["edge"]), edge) > Fraction(1, 20) + half:
            yield f"edge {step['edge'] or 'not there'}"
    orders = stop.orders(plan.job.units)
    if orders and not step["do"].endswith(Words(plan.job.units).text(orders).rstrip()):
        yield "what is drilled or marked"


def _apart(one: Fraction, other: Fraction) -> Fraction:
    """How far two angles below a whole turn are from each other the shorter way round, degrees."""
    away = abs(one - other)
    return min(away, 360 - away)


def _tables(page: str, plan: IndexPlan, table: TurnTable) -> Iterator[str]:
    """The rows on paper, in order: cut, turns, dial, pin, move, edge."""
    rows = [row for found in re.findall(r"<table aria-label=.*?</table>", page, re.S) for row in _rows(found)]
    if len(rows) != len(plan.stops):
        yield f"{len(rows)} rows for {len(plan.stops)} stops"
        return
    before = Fraction(0)
    for row, stop in zip(rows, plan.stops, strict=True):
        at = int(row["turns"]) * table.per_turn + degrees_of(row["dial"])
        turns, _, part = row["turn on"].partition(" + ")
        good = row["cut"].split()[0] == str(stop.cut) and abs(at - stop.at) <= table.dial_step / 2 + SAME_DEG
        good = good and not (int(turns) * table.per_turn + degrees_of(part) - (at - before)) % 360
        if row.get("hole"):
            holes, circle = map(int, row["hole"].split("/"))
            good = good and (int(row["turns"]) + Fraction(holes, circle)) * table.per_turn == stop.at
        if plan.scale is not None:
            edge = (at if plan.scale_rises else -at) % 360
            good = good and _apart(degrees_of(row["edge"]), edge) <= Fraction(1, 20) + table.dial_step / 2
        if not good:
            yield f"row {stop.number}: {' '.join(row.values())}"
        before = at


def _rows(found: str) -> Iterator[dict[str, str]]:
    """A table's rows by the heads of its columns."""
    heads = re.findall(r'<th scope="col">(.*?)</th>', found)
    for row in re.findall(r"<tr>(<td>.*?)</tr>", found):
        cells = [re.sub(r"<[^>]*>", "", cell) for cell in re.findall(r"<td>(.*?)</td>", row)]
        yield dict(zip(heads, cells, strict=False))
