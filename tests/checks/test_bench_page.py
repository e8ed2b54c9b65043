"""The page for the mill as it is written, and with one number of it changed: data block and tables on paper."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest

from tests.conftest import plate_job
from wheelcad.checks.bench import _step, check_bench
from wheelcad.packet.bench import bench_html
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.wheel.design import design_wheel

TABLE = "{ratio: 40, dial_step: 0.1, scale: SCALE, plates: [[15, 16, 17, 18, 19, 20]]}"
SHOP = f"shop: {{rotary_table: {TABLE}, cutter: {{diameter: 6}}}}\n"


@cache
def planned(scale: str = "clockwise") -> tuple[IndexPlan, str]:
    job = plate_job(extra=SHOP.replace("SCALE", scale))
    plan = design_indexing(job, design_wheel(job))
    assert plan is not None
    return plan, bench_html(plan)


def verdicts(plan: IndexPlan, page: str, folder: Path) -> list[str]:
    """Of the data block and of the tables."""
    (folder / "bench.html").write_text(page, encoding="utf-8")
    assert plan.table is not None
    return [found.verdict for found in check_bench(folder, plan, plan.table)]


@pytest.mark.parametrize("scale", ["clockwise", "anticlockwise"])
def test_pins_moves_and_edges_of_a_sound_page_are_right(scale: str, tmp_path: Path) -> None:
    plan, page = planned(scale)
    assert len(re.findall(r"or \d+ holes of 18", page)) > 30
    assert verdicts(plan, page, tmp_path) == ["pass", "pass"]


@pytest.mark.parametrize(
    ("cell", "now", "good"),
    [
        ("<td>15°</td>", "<td>15.1°</td>", True),  # a twentieth of a degree by eye and half a mark of the dial
        ("<td>15°</td>", "<td>15.11°</td>", False),
        ("<td>15°</td>", "<td>14.9°</td>", True),
        ("<td>15°</td>", "<td>14.89°</td>", False),
        ("<td>6.00°</td>", "<td>6.01°</td>", False),  # the move from it is then wrong
        ("<td>12/18</td>", "<td>13/18</td>", False),
        ("<td>1 + 1.00°</td>", "<td>2 + 1.00°</td>", False),
        ("<td>1 + 1.00°</td>", "<td>1 + 1.01°</td>", False),
        ("</span>2</td>", "</span>3</td>", False),
    ],
)
def test_a_cell_of_the_tables_on_paper(cell: str, now: str, good: bool, tmp_path: Path) -> None:
    plan, page = planned()
    assert verdicts(plan, page.replace(cell, now, 1), tmp_path) == ["pass", "pass" if good else "fail"]


@pytest.mark.parametrize(
    ("off", "good"),
    [(Fraction(1, 20), True), (Fraction(-1, 20), True), (Fraction(51, 1000), False), (Fraction(-51, 1000), False)],
)
def test_the_dial_stands_within_half_a_mark(off: Fraction, good: bool) -> None:
    """Where an angle lies half-way between two marks of a tenth of a degree, either will do."""
    plan, page = planned()
    held = re.search(r'id="plan">(.*?)</script>', page, re.S)
    assert held is not None
    assert plan.table is not None
    step, stop = json.loads(held[1])["steps"][0], plan.stops[0]
    moved = replace(stop, at=stop.at + off)
    wrong = list(_step({**step, "exact": float(moved.at)}, moved, Fraction(0), plan, plan.table))
    assert [text.split()[0] for text in wrong if not text.startswith("pin")] == ([] if good else ["0"])


@pytest.mark.parametrize(
    ("said", "good"), [("9.00°", True), ("9.05°", True), ("9.06°", False), ("8.95°", True), ("8.94°", False)]
)
def test_a_turn_s_degrees_are_said_to_half_a_mark(said: str, good: bool, tmp_path: Path) -> None:
    plan, page = planned()
    changed = page.replace('"per_turn_text":"9.00°"', f'"per_turn_text":"{said}"')
    assert page.count('"per_turn_text":"9.00°"') == 1
    assert verdicts(plan, changed, tmp_path) == ["pass" if good else "fail", "pass"]
