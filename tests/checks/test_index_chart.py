"""The chart's check sees what it should and lets pass what is right."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import plate_job
from wheelcad.checks.index_chart import check_index_chart
from wheelcad.files.csvs import read_csv, write_csv
from wheelcad.job.models import Job
from wheelcad.parts.indexing.chart import (
    CHART_FILE,
    HEADER,
    POINTS_FILE,
    POINTS_HEADER,
    write_index_chart,
    write_readout_points,
)
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.wheel.design import design_wheel

SHOP = "shop: {rotary_table: {ratio: 40, dial_step: 0.1, plates: [[15,16,17,18,19,20]]}, cutter: {diameter: 6}}\n"
Rows = list[dict[str, str]]


def plan_for(job: Job) -> IndexPlan:
    plan = design_indexing(job, design_wheel(job))
    assert plan is not None
    return plan


def verdicts(folder: Path, plan: IndexPlan) -> dict[str, str]:
    return {finding.check: finding.verdict for finding in check_index_chart(folder, plan)}


def test_every_demo_passes_and_is_the_same_twice(tmp_path: Path, demo: Job) -> None:
    plan = plan_for(demo)
    write_index_chart(plan, tmp_path / CHART_FILE)
    found = list(check_index_chart(tmp_path, plan))
    assert len(found) >= 4
    assert {finding.verdict for finding in found} == {"pass"}
    once = (tmp_path / CHART_FILE).read_bytes()
    write_index_chart(plan_for(demo), tmp_path / CHART_FILE)
    assert (tmp_path / CHART_FILE).read_bytes() == once


def forget_the_part(rows: Rows) -> None:
    rows[9]["dial_deg"] = rows[8]["dial_deg"]


def one_turn_too_many(rows: Rows) -> None:
    rows[3]["turns"] = str(int(rows[3]["turns"]) + 1)


def wrong_hole(rows: Rows) -> None:
    rows[7]["holes"] = str((int(rows[7]["holes"]) + 1) % 18)


def no_such_circle(rows: Rows) -> None:
    rows[7]["circle"] = "36"


def move_off(rows: Rows) -> None:
    rows[12]["advance_dial_deg"] = "1.1"


def row_lost(rows: Rows) -> None:
    del rows[5]


def angle_off(rows: Rows) -> None:
    rows[5]["at_deg"] = "55.01"


def does_not_close(rows: Rows) -> None:
    next(row for row in rows if row["work"] == "closing")["advance_dial_deg"] = "0.9"


def drifting(rows: Rows) -> None:
    """Every move rounded by itself and added up, as a chart made from steps would be."""
    for k, row in enumerate(rows[:36]):
        stands = 5.0 + 10.02 * k
        row["turns"], row["dial_deg"] = str(int(stands // 9)), f"{stands % 9:.2f}"


def row_of_another_plan(rows: Rows) -> None:
    rows[40]["marks"] = "job 00000000 plan 000000"


def wrong_holes_on(rows: Rows) -> None:
    rows[50]["advance_holes"] = str(int(rows[50]["advance_holes"]) + 1)


def later_lap_from_zero(rows: Rows) -> None:
    """The first row of a later block told as if the table stood at zero."""
    row = next(row for row in rows if row["lap"] == "gap")
    row["advance_turns"], row["advance_dial_deg"], row["advance_holes"] = row["turns"], row["dial_deg"], ""


def a_thousandth_off(rows: Rows) -> None:
    rows[7]["at_deg"] = f"{float(rows[7]['at_deg']) + 0.001:.9f}"


SPOILT = [
    (a_thousandth_off, "chart-slots"),
    (row_of_another_plan, "chart-mark"),
    (wrong_holes_on, "chart-moves"),
    (later_lap_from_zero, "chart-moves"),
    (forget_the_part, "chart-dial"),
    (one_turn_too_many, "chart-dial"),
    (wrong_hole, "chart-holes"),
    (no_such_circle, "chart-holes"),
    (move_off, "chart-moves"),
    (row_lost, "chart-slots"),
    (angle_off, "chart-slots"),
    (does_not_close, "chart-closing"),
    (drifting, "chart-dial"),
]


@pytest.mark.parametrize(("spoil", "seen_by"), SPOILT)
def test_faults_put_in_on_purpose_are_seen(tmp_path: Path, spoil: Callable[[Rows], None], seen_by: str) -> None:
    plan = plan_for(plate_job(extra=SHOP))
    path = tmp_path / CHART_FILE
    write_index_chart(plan, path)
    assert set(verdicts(tmp_path, plan).values()) == {"pass"}
    rows = read_csv(path)
    spoil(rows)
    write_csv(path, HEADER, rows)
    assert verdicts(tmp_path, plan)[seen_by] == "fail"


def test_what_is_no_chart_is_an_error_and_no_pass(tmp_path: Path) -> None:
    plan = plan_for(plate_job(extra=SHOP))
    with pytest.raises(OSError, match="No such file"):
        list(check_index_chart(tmp_path, plan))
    (tmp_path / CHART_FILE).write_text("cut,work\r\n1,slot,2\r\n", newline="")
    with pytest.raises(ValueError, match="header"):
        list(check_index_chart(tmp_path, plan))


def test_readout_points_are_measured(tmp_path: Path) -> None:
    for turns in ("clockwise", "anticlockwise"):
        job = plate_job(gap_at=33, turns=turns, extra="shop: {readout: yes, cutter: {diameter: 5}}\n")
        plan = plan_for(job)
        write_index_chart(plan, tmp_path / CHART_FILE)
        write_readout_points(plan, tmp_path / POINTS_FILE)
        assert verdicts(tmp_path, plan) == {
            "chart-slots": "pass",
            "chart-mark": "pass",
            "readout-points": "pass",
        }
        rows = read_csv(tmp_path / POINTS_FILE)
        for row in rows:
            row["x_mm"] = str(-float(row["x_mm"]))  # a mirrored wheel
        write_csv(tmp_path / POINTS_FILE, POINTS_HEADER, rows)
        assert verdicts(tmp_path, plan)["readout-points"] == "fail"
        write_csv(tmp_path / POINTS_FILE, POINTS_HEADER, rows[40:])
        assert verdicts(tmp_path, plan)["readout-points"] == "fail"


@pytest.mark.parametrize("way", ["deeper", "wider"])
def test_a_readout_point_a_hundredth_off_is_seen(tmp_path: Path, way: str) -> None:
    plan = plan_for(plate_job(extra="shop: {readout: yes, cutter: {diameter: 6}}\n"))
    write_index_chart(plan, tmp_path / CHART_FILE)
    write_readout_points(plan, tmp_path / POINTS_FILE)
    rows = read_csv(tmp_path / POINTS_FILE)
    for row in rows:
        x, y = float(row["x_mm"]), float(row["y_mm"])
        r = math.hypot(x, y)
        dx, dy = (-x / r, -y / r) if way == "deeper" else (-y / r, x / r)
        row["x_mm"], row["y_mm"] = f"{x + 0.01 * dx:.9f}", f"{y + 0.01 * dy:.9f}"
    write_csv(tmp_path / POINTS_FILE, POINTS_HEADER, rows)
    assert verdicts(tmp_path, plan)["readout-points"] == "fail"


RADIAL = "{width: 6, depth: 6, sides: radial, floor: flat}"


@pytest.mark.parametrize("aside", [0.0, 0.01])
def test_readout_points_of_slots_that_narrow_towards_the_axis(tmp_path: Path, aside: float) -> None:
    plan = plan_for(plate_job(slot=RADIAL, extra="shop: {readout: yes, cutter: {diameter: 4}}\n"))
    write_index_chart(plan, tmp_path / CHART_FILE)
    write_readout_points(plan, tmp_path / POINTS_FILE)
    rows = read_csv(tmp_path / POINTS_FILE)
    for row in rows:
        x, y = float(row["x_mm"]), float(row["y_mm"])
        row["x_mm"], row["y_mm"] = f"{x - aside * y / math.hypot(x, y):.9f}", f"{y + aside * x / math.hypot(x, y):.9f}"
    write_csv(tmp_path / POINTS_FILE, POINTS_HEADER, rows)
    (found,) = [finding for finding in check_index_chart(tmp_path, plan) if finding.check == "readout-points"]
    assert found.verdict == ("fail" if aside else "pass")
    assert found.measured == pytest.approx(aside * math.cos(math.radians(plan.wheel.slot.rim_half_deg)), abs=1e-5)


def test_a_move_by_holes_is_off_by_what_its_holes_are(tmp_path: Path) -> None:
    """One hole of eighteen too many, on a table of 40 to 1."""
    plan = plan_for(plate_job(extra=SHOP))
    write_index_chart(plan, tmp_path / CHART_FILE)
    rows = read_csv(tmp_path / CHART_FILE)
    wrong_holes_on(rows)
    write_csv(tmp_path / CHART_FILE, HEADER, rows)
    (found,) = [finding for finding in check_index_chart(tmp_path, plan) if finding.check == "chart-moves"]
    assert found.measured == pytest.approx(9 / int(rows[50]["circle"]))


@pytest.mark.parametrize(("off", "good"), [(3, True), (5, False), (-3, True), (-5, False)])
def test_a_move_may_be_off_by_what_nine_decimals_add(tmp_path: Path, off: int, good: bool) -> None:
    """Both its ends are rounded by two in the ninth decimal at most."""
    plan = plan_for(plate_job(extra=SHOP))
    write_index_chart(plan, tmp_path / CHART_FILE)
    rows = read_csv(tmp_path / CHART_FILE)
    rows[12]["advance_dial_deg"] = f"{float(rows[12]['advance_dial_deg']) + off * 1e-9:.9f}"
    write_csv(tmp_path / CHART_FILE, HEADER, rows)
    assert verdicts(tmp_path, plan)["chart-moves"] == ("pass" if good else "fail")
