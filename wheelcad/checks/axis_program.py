"""rotary-axis.nc read as a control reads it: where the axis stops, and what it says there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

from wheelcad.codes import Check
from wheelcad.findings import Finding, holds
from wheelcad.parts.indexing.chart import PROGRAM_FILE
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.indexing.words import way_round

AXIS_LIMIT = Fraction(6, 100000)  # degrees: four decimals are written
PLAIN = re.compile(r"%|\([^()]*\)|N\d+ (G90|G00 A\d+\.\d+|M00 \([^()]*\)|M30)")
ISO = "ISO 6983 words"


def check_axis_program(folder: Path, plan: IndexPlan) -> list[Finding]:
    """Every stop's angle, in order, ever rising; its cut in the comment; no word but these. OSError when not there."""
    lines = (folder / PROGRAM_FILE).read_text(encoding="ascii").splitlines()
    wrong = list(_wrong(lines, plan))
    why = f"{len(plan.stops)} stops at their angles, ever rising, each with its cut; no other axis is moved"
    said = "; ".join(wrong[:3]) or f"{len(plan.stops)} stops"
    return [holds(Check.CHART_COLUMNS, PROGRAM_FILE, not wrong, said, why, ISO)]


def _wrong(lines: list[str], plan: IndexPlan) -> Iterator[str]:
    yield from (f"{line!r} is none of its words" for line in lines if not PLAIN.fullmatch(line))
    numbers = [int(found[1]) for line in lines if (found := re.match(r"N(\d+) ", line))]
    if numbers != [10 * k for k in range(1, len(numbers) + 1)]:
        yield "blocks are not numbered in tens"
    if lines[:1] != ["%"] or lines[-1:] != ["%"] or not lines[-2].endswith("M30") or "N10 G90" not in lines:
        yield "begins or ends otherwise than a program does"
    if (
        f"({plan.marks.upper()})" not in lines
        or f"A PLUS TURNS THE WORK {way_round(plan.wheel.sense).upper()}" not in "".join(lines)
    ):
        yield "is of another plan, or turns the other way"
    angles = [Fraction(found[1]) for line in lines if (found := re.fullmatch(r"N\d+ G00 A(\d+\.\d+)", line))]
    says = [found[1] for line in lines if (found := re.fullmatch(r"N\d+ M00 \(([^()]*)\)", line))]
    if len(angles) != len(plan.stops) or len(says) != len(angles):
        yield f"{len(angles)} stops for {len(plan.stops)}"
        return
    last = Fraction(0)
    for angle, said, stop in zip(angles, says, plan.stops, strict=True):
        off = (angle - stop.at + 180) % 360 - 180
        if abs(off) > AXIS_LIMIT or not -AXIS_LIMIT <= angle - last <= 360 + AXIS_LIMIT:
            yield f"A{float(angle):.4f} for {float(stop.at):.4f}"
        if said.split(":")[0] != ("CLOSING" if stop.closing else f"CUT {stop.cut}"):
            yield f"{said} for cut {stop.cut}"
        last = angle
