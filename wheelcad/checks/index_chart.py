"""Measures index-chart.csv: every angle again from its turns and dial, and from its holes, against the wheel.

Nothing is taken from the plan but the wheel's slot angles, the table's ratio and the dial's step.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import numpy as np

from wheelcad.codes import Check
from wheelcad.files.csvs import read_csv
from wheelcad.findings import About, Finding, at_most, holds
from wheelcad.parts.indexing.chart import CHART_FILE, POINTS_FILE
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.indexing.settings import Table
from wheelcad.trade.frames import point_at
from wheelcad.words import angle

ROUNDING_DEG = 2e-9  # what nine decimals in the file may add
SOURCE = "arithmetic: angle = (turns + part) x 360/ratio"
ABOUT = About(CHART_FILE, SOURCE)

GEOMETRY = "geometry of slot and cutter"

Row = dict[str, str]


def check_index_chart(folder: Path, plan: IndexPlan) -> Iterator[Finding]:
    """Findings on the chart in `folder`. OSError or ValueError when it cannot be read."""
    rows = read_csv(folder / CHART_FILE)
    yield _slots_match(rows, plan)
    yield _marks(rows, plan)
    if plan.table is not None:
        yield _dial(rows, plan.table)
        yield from _holes(rows, plan.table)
        yield _moves(rows, plan.table)
        if any(stop.closing for stop in plan.stops):
            yield _closing(rows, plan.table)
    if plan.job.shop.readout and plan.cutter_mm is not None:
        yield _points(read_csv(folder / POINTS_FILE), plan, plan.cutter_mm / 2)


def _marks(rows: list[Row], plan: IndexPlan) -> Finding:
    """Every row says of which plan it is; the job's own mark changes with every comment and is no fault here."""
    found = sorted({row["marks"] for row in rows})
    same = len(found) == 1 and found[0].split()[-1:] == [plan.mark]
    why = f"the chart must be of this plan: {plan.mark}"
    return holds(Check.CHART_MARK, CHART_FILE, same, " and ".join(found), why, "the hash of the list of stops")


def _points(rows: list[Row], plan: IndexPlan, radius: float) -> Finding:
    """Readout points of the slots: along the slot's own line down to the floor, and across it within its width."""
    worst = 0.0
    wheel = plan.wheel
    lean = math.radians(wheel.slot.rim_half_deg) if wheel.slot.radial else 0.0
    half_width = 0.0 if lean else wheel.slot.width / 2  # radial sides pass through the axis
    for slot in plan.of_kind("slot"):
        at = float(slot.at) + wheel.gap_at_deg
        out, across = point_at(1.0, [at, at + 90.0], wheel.sense)
        mine = np.array([[float(row["x_mm"]), float(row["y_mm"])] for row in rows if row["cut"] == str(slot.cut)])
        if not len(mine):
            why = "each slot needs its points"
            return holds(Check.READOUT_POINTS, POINTS_FILE, False, f"none for cut {slot.cut}", why, GEOMETRY)
        heights, offsets = mine @ out, np.abs(mine @ across)
        deepest = float(heights.min()) - radius
        wide = float((offsets * math.cos(lean) - heights * math.sin(lean)).max()) + radius - half_width
        worst = max(worst, abs(deepest - wheel.floor_radius_mm), wide)
    why = "the cutter goes down to each slot's floor on the slot's own line, and not beyond its sides"
    return at_most(Check.READOUT_POINTS, POINTS_FILE, worst, "mm", 1e-6, why, GEOMETRY)


def _exact(row: Row, key: str) -> Fraction:
    """The field's decimal digits, exactly. ValueError when it is no number."""
    return Fraction(row[key])


def _slots_match(rows: list[Row], plan: IndexPlan) -> Finding:
    """Each slot's angle against the wheel's, one for one, at every stop; stops and slots numbered without a gap."""
    wanted = sorted((centre - plan.wheel.gap_at_deg) % 360.0 for centre in plan.wheel.slot_centres_deg.tolist())
    wanted = sorted(0.0 if angle > 360.0 - 1e-7 else angle for angle in wanted)
    slots = [row for row in rows if row["work"] == "slot"]
    found = sorted({row["cut"] for row in slots}, key=int)
    numbered = found == [str(k) for k in range(1, len(wanted) + 1)]
    in_order = [row["stop"] for row in rows] == [str(k) for k in range(1, len(rows) + 1)]
    why = "every slot of the wheel is cut, numbered in rising angle from zero, and no stop is left out"
    source = "the wheel's own angles"
    if not numbered or not in_order:
        said = f"{len(found)} slots for {len(wanted)}, {len(rows)} stops"
        return holds(Check.CHART_SLOTS, CHART_FILE, False, said, why, source)
    off = max((abs(float(row["at_deg"]) - wanted[int(row["cut"]) - 1]) for row in slots), default=0.0)
    return at_most(Check.CHART_SLOTS, CHART_FILE, off, "deg", 1e-6, why, source)


def _dial(cuts: list[Row], table: Table) -> Finding:
    off, said = Fraction(0), Fraction(0)
    for row in cuts:
        away = _stands(row, table) - _exact(row, "at_deg")
        off, said = max(off, abs(away)), max(said, abs(away - _exact(row, "error_deg")))
    limit = float(table.dial_step) / 2 + ROUNDING_DEG
    why = "turns from zero and the dial give each angle again, within half a mark of the dial; nothing is added up"
    if said > 2 * ROUNDING_DEG:
        off, why = said + Fraction(limit), f"{why}; the error that the chart gives is off by {angle(float(said), 5)}"
    return ABOUT.at_most(Check.CHART_DIAL, float(off), "deg", limit, why)


def _holes(cuts: list[Row], table: Table) -> list[Finding]:
    """Where a circle is given, turns and holes have to be exact; the pin must stand in a circle the table has."""
    with_pin = [row for row in cuts if row["circle"]]
    if not with_pin:
        return []
    off = Fraction(0)
    for row in with_pin:
        circle, pin = int(row["circle"]), int(row["holes"])
        if circle not in table.circles or not 0 <= pin < circle:
            why = "the plates have no such hole"
            return [ABOUT.holds(Check.CHART_HOLES, False, f"{pin} holes of {circle}", why)]
        off = max(off, abs((int(row["turns"]) + Fraction(pin, circle)) * table.per_turn - _exact(row, "at_deg")))
    why = "turns and holes give each angle again, exactly"
    return [ABOUT.at_most(Check.CHART_HOLES, float(off), "deg", ROUNDING_DEG, why)]


def _stands(row: Row, table: Table) -> Fraction:
    """Degrees from zero that turns and dial give."""
    return int(row["turns"]) * table.per_turn + _exact(row, "dial_deg")


def _advance(row: Row, table: Table) -> Fraction:
    """Degrees that the row's move gives."""
    return int(row["advance_turns"]) * table.per_turn + _exact(row, "advance_dial_deg")


def _moves(rows: list[Row], table: Table) -> Finding:
    """What is turned from each stop to the next, by dial and by holes, against the settings of the two."""
    off, before, pin = Fraction(0), Fraction(0), str(table.one_circle or "")
    hole = Fraction(0)
    for row in rows:
        stands = _stands(row, table)
        away = (_advance(row, table) - (stands - before)) % 360
        off = max(off, min(away, 360 - away))
        now = int(row["turns"]) + Fraction(int(row["holes"]), int(row["circle"])) if row["circle"] else Fraction(0)
        if row["advance_holes"]:
            turned = int(row["advance_turns"]) + Fraction(int(row["advance_holes"]), int(row["circle"]))
            wrong = (turned - (now - hole)) % table.ratio if pin == row["circle"] else Fraction(table.ratio, 2)
            off = max(off, min(wrong, table.ratio - wrong) * table.per_turn)
        before, hole, pin = stands, now, row["circle"]
    why = "each move leads from the setting before it to its own: no rounding has been added up"
    return ABOUT.at_most(Check.CHART_MOVES, float(off), "deg", 2 * ROUNDING_DEG, why)


def _closing(rows: list[Row], table: Table) -> Finding:
    """All moves of a lap from its first cut to its closing make exactly one revolution."""
    why = f"all the moves of a lap and the closing one make {table.ratio} turns: one revolution"
    closing = [row for row in rows if row["work"] == "closing"]
    if len(closing) != 1:
        return ABOUT.holds(Check.CHART_CLOSING, False, f"{len(closing)} closing rows", why)
    lap = [row for row in rows if row["lap"] == closing[0]["lap"]]
    total = sum((_advance(row, table) for row in lap[1:]), Fraction(0))
    off = abs(total - 360) + abs(_stands(closing[0], table) - _stands(lap[0], table))
    return ABOUT.at_most(Check.CHART_CLOSING, float(off), "deg", len(lap) * ROUNDING_DEG, why)
