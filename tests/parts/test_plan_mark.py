"""The plan mark belongs to the list of stops: nothing else changes it, and every change of a stop does."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from tests.conftest import demo_text, edited, plate_job
from wheelcad.job.reader import parse_job
from wheelcad.parts.chart import chart_of
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.indexing.chart import CHART_FILE, write_index_chart
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.indexing.model import IndexPlan
from wheelcad.parts.wheel.design import design_wheel

SHOP = "shop: {rotary_table: {ratio: 40, dial_step: 0.05}, cutter: {diameter: 6}}\n"


def plan_of(text: str) -> IndexPlan:
    return chart_of(parse_job(text))


def test_comments_titles_and_what_is_not_milled_leave_it() -> None:
    text = demo_text("tarn-six")
    plan = plan_of(text)
    assert len(plan.mark) == 6
    assert int(plan.mark, 16) >= 0
    other = plan_of("# a remark\n" + edited(text, ("air_gap: 0.8", "air_gap: 0.9")))
    assert other.mark == plan.mark
    assert other.marks != plan.marks  # the job mark is another


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("missing: 1", "missing: 2"),
        ("ratio: 40", "ratio: 80"),
        ("depth: 6.35", "depth: 6.4"),
        ("gap_at: 0 deg", "gap_at: 1 deg"),
        ("turns: clockwise", "turns: anticlockwise"),
        ("dial_step: 0.05 deg", "dial_step: 0.2 deg"),
    ],
)
def test_what_changes_a_stop_changes_it(old: str, new: str) -> None:
    text = demo_text("tarn-six")
    assert plan_of(edited(text, (old, new))).mark != plan_of(text).mark


def test_every_number_of_every_stop_counts() -> None:
    job = plate_job(extra=SHOP)
    holes = (CorrectionHole(171.0, 40.0, 6.2, 1.6, -1.6, drill="6.2 mm"),)
    plan = design_indexing(job, design_wheel(job), holes)
    assert plan is not None
    stops = plan.stops
    hole = stops[-1]
    assert hole.drill is not None
    changes = [
        replace(hole, at=hole.at + Fraction(1, 10**9)),
        replace(hole, move=hole.move._replace(turns=3) if hole.move else None),
        replace(hole, setting=hole.setting._replace(dial=Fraction(1, 3)) if hole.setting else None),
        replace(hole, drill=hole.drill._replace(radius_mm=40.001)),
        replace(hole, setup="drill"),
        replace(hole, past_zero=not hole.past_zero),
        replace(hole, lap=hole.lap._replace(depth_mm=1.0)),
    ]
    marks = {replace(plan, stops=(*stops[:-1], changed)).mark for changed in changes}
    marks.add(replace(plan, stops=stops[:-1]).mark)
    assert len(marks | {plan.mark}) == len(changes) + 2
    other_words = replace(hole, drill=hole.drill._replace(rpm=1.0), lap=hole.lap._replace(do="Drill."))
    assert replace(plan, stops=(*stops[:-1], other_words)).mark == plan.mark


def test_the_table_reads_with_common_readers(tmp_path: object) -> None:
    plan = plan_of(demo_text("tarn-six"))
    path = tmp_path / CHART_FILE  # type: ignore[operator]
    write_index_chart(plan, path)
    read = np.genfromtxt(path, delimiter=",", names=True, dtype=None, encoding="utf-8", comments=None)
    assert read["stop"].tolist() == list(range(1, len(plan.stops) + 1))
    assert read["at_deg"].tolist() == pytest.approx([float(stop.at) for stop in plan.stops])
    assert set(read["marks"].tolist()) == {plan.marks}
