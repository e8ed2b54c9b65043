"""Measures index-chart.csv: every angle again from its turns and dial, and from its holes, against the wheel.

Nothing is taken from the plan but the wheel's slot angles, the table's ratio and the dial's step.
"""

from __future__ import annotations

import math
from fractions import Fraction
from pathlib import Path

import numpy as np

from wheelcad.codes import Check
from wheelcad.files.csvs import read_csv
from wheelcad.findings import Finding, at_most, holds
from wheelcad.parts.indexing.chart import CHART_FILE, POINTS_FILE
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.indexing.settings import Table
from wheelcad.trade.frames import point_at

ROUNDING_DEG = 2e-9  # what nine decimals in the file may add
SOURCE = "arithmetic: angle = (turns + part) x 360/ratio"

GEOMETRY = "geometry of slot and cutter"

Row = dict[str, str]


def check_index_chart(folder: Path, plan: IndexPlan) -> list[Finding]:
    """Findings on the chart in `folder`. OSError or ValueError when it cannot be read."""
    rows = read_csv(folder / CHART_FILE)
    slots = [row for row in rows if row["work"] == "slot"]
    out = [_slots_match(slots, plan)]
    if plan.table is not None:
        cuts = [row for row in rows if row["work"] != "closing"]
        closing = [row for row in rows if row["work"] == "closing"]
        out += [
            _dial(cuts, plan.table),
            *_holes(cuts, plan.table),
            _moves(cuts, plan.table),
            _closing(slots, closing, plan.table),
        ]
    if plan.readout and plan.cutter_mm is not None:
        out.append(_points(read_csv(folder / POINTS_FILE), plan, plan.cutter_mm / 2))
    return out


def _points(rows: list[Row], plan: IndexPlan, radius: float) -> Finding:
    """Readout points of the slots: along the slot's own line down to the floor, and across it within its width."""
    worst = 0.0
    lean = math.radians(plan.side_lean_deg)
    half_width = 0.0 if lean else plan.slot_width_mm / 2  # radial sides pass through the axis
    for slot in plan.of_kind("slot"):
        at = float(slot.at) + plan.gap_at_deg
        out, across = point_at(1.0, [at, at + 90.0], plan.sense)
        mine = np.array([[float(row["x_mm"]), float(row["y_mm"])] for row in rows if row["cut"] == str(slot.cut)])
        if not len(mine):
            return holds(
                Check.READOUT_POINTS,
                POINTS_FILE,
                False,
                f"none for cut {slot.cut}",
                "each slot needs its points",
                GEOMETRY,
            )
        heights, offsets = mine @ out, np.abs(mine @ across)
        deepest = float(heights.min()) - radius
        wide = float((offsets * math.cos(lean) - heights * math.sin(lean)).max()) + radius - half_width
        worst = max(worst, abs(deepest - plan.floor_radius_mm), wide)
    why = "the cutter goes down to each slot's floor on the slot's own line, and not beyond its sides"
    return at_most(Check.READOUT_POINTS, POINTS_FILE, worst, "mm", 1e-6, why, GEOMETRY)


def _exact(row: Row, key: str) -> Fraction:
    """The field's decimal digits, exactly. ValueError when it is no number."""
    return Fraction(row[key])


def _slots_match(slots: list[Row], plan: IndexPlan) -> Finding:
    """Each slot's angle against the wheel's, one for one."""
    wanted = sorted((centre - plan.gap_at_deg) % 360.0 for centre in plan.slot_centres_deg)
    wanted = sorted(0.0 if angle > 360.0 - 1e-7 else angle for angle in wanted)
    found = [float(row["at_deg"]) for row in slots]
    numbered = [row["cut"] for row in slots] == [str(k) for k in range(1, len(slots) + 1)]
    why = "every slot of the wheel has its row, numbered in rising angle from zero"
    if len(found) != len(wanted) or not numbered:
        return holds(
            Check.CHART_SLOTS,
            CHART_FILE,
            False,
            f"{len(found)} rows for {len(wanted)} slots",
            why,
            "the wheel's own angles",
        )
    off = max((abs(a - b) for a, b in zip(found, wanted, strict=True)), default=0.0)
    return at_most(Check.CHART_SLOTS, CHART_FILE, off, "deg", 1e-6, why, "the wheel's own angles")


def _dial(cuts: list[Row], table: Table) -> Finding:
    off = Fraction(0)
    for row in cuts:
        reached = int(row["turns"]) * table.per_turn + _exact(row, "dial_deg")
        off = max(
            off, abs(reached - _exact(row, "at_deg")), abs(reached - _exact(row, "at_deg") - _exact(row, "error_deg"))
        )
    limit = float(table.dial_step) / 2 + ROUNDING_DEG
    why = "turns from zero and the dial give each angle again, within half a mark of the dial; nothing is added up"
    return at_most(Check.CHART_DIAL, CHART_FILE, float(off), "deg", limit, why, SOURCE)


def _holes(cuts: list[Row], table: Table) -> list[Finding]:
    """Where a circle is given, turns and holes have to be exact; the pin must stand in a circle the table has."""
    with_pin = [row for row in cuts if row["circle"]]
    if not with_pin:
        return []
    off = Fraction(0)
    for row in with_pin:
        circle, pin = int(row["circle"]), int(row["holes"])
        if circle not in table.circles or not 0 <= pin < circle:
            return [
                holds(
                    Check.CHART_HOLES,
                    CHART_FILE,
                    False,
                    f"{pin} holes of {circle}",
                    "the plates have no such hole",
                    SOURCE,
                )
            ]
        off = max(off, abs((int(row["turns"]) + Fraction(pin, circle)) * table.per_turn - _exact(row, "at_deg")))
    why = "turns and holes give each angle again, exactly"
    return [at_most(Check.CHART_HOLES, CHART_FILE, float(off), "deg", ROUNDING_DEG, why, SOURCE)]


def _moves(cuts: list[Row], table: Table) -> Finding:
    """What is turned from cut to cut, added up, must stay with the settings reckoned from zero."""
    off = 0.0
    for work in sorted({row["work"] for row in cuts}):
        added = Fraction(0)
        groups = [row for row in cuts if row["work"] == work]
        for row in groups:
            added += int(row["advance_turns"]) * table.per_turn + _exact(row, "advance_dial_deg")
            stands = int(row["turns"]) * table.per_turn + _exact(row, "dial_deg")
            away = (added - stands) % 360
            off = max(off, float(min(away, 360 - away)))
    why = "the moves from cut to cut lead to the settings from zero: no rounding has been added up"
    return at_most(Check.CHART_MOVES, CHART_FILE, off, "deg", len(cuts) * ROUNDING_DEG, why, SOURCE)


def _closing(slots: list[Row], closing: list[Row], table: Table) -> Finding:
    """All moves of one lap and the closing one make exactly one revolution."""
    why = f"all the moves of a lap and the closing one make {table.ratio} turns: one revolution"
    if len(closing) != 1:
        return holds(Check.CHART_CLOSING, CHART_FILE, False, f"{len(closing)} closing rows", why, SOURCE)
    total = sum(
        (int(row["advance_turns"]) * table.per_turn + _exact(row, "advance_dial_deg") for row in (*slots, closing[0])),
        Fraction(0),
    )
    off = abs(total - 360) + abs(int(closing[0]["turns"]) * table.per_turn + _exact(closing[0], "dial_deg") - 360)
    return at_most(Check.CHART_CLOSING, CHART_FILE, float(off), "deg", len(slots) * ROUNDING_DEG, why, SOURCE)
