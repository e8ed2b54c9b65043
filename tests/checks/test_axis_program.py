"""rotary-axis.nc read back: a sound one passes, and each single thing that is wrong in it fails the check."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from tests.conftest import plate_job
from wheelcad.checks.axis_program import check_axis_program
from wheelcad.parts.indexing.chart import PROGRAM_FILE
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.indexing.program import rotary_program
from wheelcad.parts.wheel.design import design_wheel

SHOP = "shop: {rotary_table: {ratio: 40, dial_step: 0.05}, rotary_axis: yes, cutter: {diameter: 6}}\n"


@pytest.fixture(scope="module")
def plan() -> IndexPlan:
    job = plate_job(extra=SHOP)
    made = design_indexing(job, design_wheel(job))
    assert made is not None
    return made


def verdict(plan: IndexPlan, text: str, folder: Path) -> str:
    (folder / PROGRAM_FILE).write_text(text, encoding="ascii")
    (found,) = check_axis_program(folder, plan)
    return found.verdict


def _more(text: str, nth: int, degrees: float) -> str:
    at = list(re.finditer(r"A(\d+\.\d+)", text))[nth]
    return f"{text[: at.start(1)]}{float(at[1]) + degrees:.4f}{text[at.end(1) :]}"


@pytest.mark.parametrize(
    ("change", "passes"),
    [
        (lambda text: text, True),
        (lambda text: _more(text, 3, 0.0001), False),  # the last decimal that is written
        (lambda text: _more(text, 3, -0.0001), False),
        (lambda text: _more(text, 3, 0.00004), True),  # what is not written is not seen
        (lambda text: _more(text, 3, 360.0), False),  # the same place, but a turn and a pitch from the stop before
        (lambda text: _more(text, 3, -360.0), False),  # and backwards
        (lambda text: text.replace("G90", "G91"), False),
        (lambda text: text.replace("M30", "M00 (END)"), False),
        (lambda text: text.replace("N20 ", "N25 ", 1), False),
        (lambda text: text.replace("CUT 2:", "CUT 3:", 1), False),
        (lambda text: text.replace("\nN20 ", "\nG01 X5\nN20 ", 1), False),  # another axis
        (lambda text: text.replace("A PLUS TURNS", "A MINUS TURNS"), False),
        (lambda text: re.sub(r"N\d+ G00 A\S+\n", "", text, count=1), False),
    ],
)
def test_a_program_as_a_control_reads_it(
    plan: IndexPlan, tmp_path: Path, change: Callable[[str], str], passes: bool
) -> None:
    changed = change(rotary_program(plan))
    assert (verdict(plan, changed, tmp_path) == "pass") == passes


@pytest.mark.parametrize("at", [0.0, 0.5])
def test_the_axis_may_begin_at_nothing(plan: IndexPlan, tmp_path: Path, at: float) -> None:
    first = replace(plan.stops[0], at=Fraction(at))
    moved = replace(plan, stops=(first, *plan.stops[1:]))
    assert verdict(moved, rotary_program(moved), tmp_path) == "pass"
