"""A short ISO 6983 program for a driven rotary axis: it turns that axis, stops at every cut, and does nothing else."""

from __future__ import annotations

from fractions import Fraction

from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.indexing.words import way_round

LONGEST_COMMENT = 60  # characters; old controls show no more


def rotary_program(plan: IndexPlan) -> str:
    """The program's text, lines ended by a line feed. Angles are absolute, in degrees, and only ever rise.

    Lap after lap goes on counting past 360, so that the axis never runs back and backlash stays on one side.
    """
    lines = [
        "%",
        _comment(f"{plan.job.job}: {plan.pattern}, rotary axis only"),
        _comment(plan.marks),
        _comment("No other axis moves. Spindle and feeds are yours."),
        _comment(f"Zero: {plan.zero_name} under the cutter"),
        _comment(f"A plus turns the work {way_round(plan.wheel.sense)}, seen on its front"),
        _comment("Stop at each cut; press cycle start to turn on"),
        "N10 G90",
    ]
    block, base, last = 20, Fraction(0), Fraction(0)
    for stop in plan.stops:
        if stop.place == 1:
            lines.append(_comment(stop.lap.title))
        if base + stop.at < last:
            base += 360
        last = base + stop.at
        says = "closing: must meet the first line" if stop.closing else f"cut {stop.cut}: {stop.name}"
        lines += [f"N{block} G00 A{float(last):.4f}", f"N{block + 10} M00 {_comment(says)}"]
        block += 20
    return "\n".join([*lines, f"N{block} M30", "%"]) + "\n"


def _comment(text: str) -> str:
    """A comment in plain capitals without brackets inside."""
    plain = text.upper().replace("(", "").replace(")", "").encode("ascii", "ignore").decode()
    return f"({plain[:LONGEST_COMMENT]})"
