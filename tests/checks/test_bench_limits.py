"""How far a number of bench.html may be off: at each limit it passes, just beyond it does not."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.checks.forms import form
from tests.checks.seeded import spoil as by
from wheelcad.checks.bench import check_bench, degrees_of

Data = dict[str, Any]


def passes(job: str, change: Callable[[Data], None], folder: Path) -> bool:
    """Whether the page's data pass with a change in them."""
    one = form(job)
    shutil.copy(one.folder / "bench.html", folder / "bench.html")
    by.bench(change)(folder / "bench.html")
    plan = one.design.indexing
    assert plan is not None
    assert plan.table is not None
    return check_bench(folder, plan, plan.table)[0].verdict == "pass"


def step(key: str, by_: str, which: int = 7) -> Callable[[Data], None]:
    """A stop's number more by so much, to the last decimal."""

    def change(data: Data) -> None:
        from decimal import Decimal

        data["steps"][which][key] = float(Decimal(str(data["steps"][which][key])) + Decimal(by_))

    return change


@pytest.mark.slow
@pytest.mark.parametrize("key", ["exact", "at", "part"])
@pytest.mark.parametrize(("more", "good"), [("0.000001", True), ("0.0000011", False), ("-0.000001", True)])
def test_angles_to_a_millionth(key: str, more: str, good: bool, tmp_path: Path) -> None:
    assert passes("turned", step(key, more), tmp_path) == good


@pytest.mark.slow
@pytest.mark.parametrize(
    ("value", "good"), [(0.05, False), (0.0500001, True), (0.0504, True), (0.0505, False), (0.0506, False)]
)
def test_the_page_forgives_a_mark_of_the_dial_and_what_rounding_adds(value: float, good: bool, tmp_path: Path) -> None:
    assert passes("turned", lambda data: data.__setitem__("tolerance", value), tmp_path) == good


@pytest.mark.slow
@pytest.mark.parametrize(("text", "good"), [("9.025°", True), ("9.026°", False), ("8.975°", True), ("8.97°", False)])
def test_a_turn_is_said_to_half_a_mark(text: str, good: bool, tmp_path: Path) -> None:
    assert passes("turned", lambda data: data.__setitem__("per_turn_text", text), tmp_path) == good


@pytest.mark.slow
@pytest.mark.parametrize(("more", "good"), [(0.075, True), (0.076, False), (-0.075, True), (-0.076, False)])
def test_the_table_s_edge_is_read_to_a_twentieth_and_half_a_mark(more: float, good: bool, tmp_path: Path) -> None:
    def change(data: Data) -> None:
        held = data["steps"][7]
        reached = held["turns"] * 9 + degrees_of(held["dial"])  # a ratio of 40
        edge = reached if data["scale_rises"] else (-reached) % 360
        held["edge"] = f"{float(edge) + more:.4f}°"

    assert passes("cam", change, tmp_path) == good


@pytest.mark.slow
def test_the_page_as_it_is_passes(tmp_path: Path) -> None:
    assert passes("turned", lambda data: None, tmp_path)
    assert passes("cam", lambda data: None, tmp_path)
