"""The TDC notch and the degree marks: where they lie, in the solid, in the balance, as stops, and in every printing."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.checks.sound import sound_design
from tests.conftest import DEMOS, demo_text, plate_job
from wheelcad.checks.wheel import check_wheel
from wheelcad.errors import DesignError, Faults
from wheelcad.files.brep import figures
from wheelcad.files.csvs import read_csv
from wheelcad.files.stl_writer import write_stl
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.packet.bench import bench_html
from wheelcad.parts.chart import chart_of
from wheelcad.parts.design import design_job
from wheelcad.parts.indexing.chart import write_index_chart
from wheelcad.parts.indexing.text import chart_text
from wheelcad.parts.solids import Solids
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.marks import WheelMark, _apart

MARKS = "marks: {tdc: notch, degrees: [5, 10, 30]}"


def marked(name: str, marks: str = MARKS) -> Job:
    text, count = re.subn(r"(\n  thickness: [^\n]*\n)", rf"\1  {marks}\n", demo_text(name), count=1)
    assert count == 1
    return parse_job(text, f"{name}.yaml")


def test_they_lie_ahead_of_the_tdc_mark_and_from_a_millimetre_inside_the_floors(demo: Job) -> None:
    wheel = design_wheel(marked(demo.job))
    assert [(mark.name, mark.at_deg) for mark in wheel.marks] == [
        ("TDC notch", 0.0),
        ("5° mark", 5.0),
        ("10° mark", 10.0),
        ("30° mark", 30.0),
    ]
    finest = 0.01 if demo.units == "mm" else 0.0254  # an inch job's ends are whole thousandths, inwards
    for mark, long in zip(wheel.marks, (10.0, 6.0, 6.0, 6.0), strict=True):
        assert -1e-9 <= wheel.floor_radius_mm - 1.0 - mark.outer < finest
        assert mark.long == pytest.approx(long, abs=2 * finest)
        for end in (mark.inner, mark.outer):
            assert end / finest == pytest.approx(round(end / finest), abs=1e-6)


@pytest.mark.parametrize("name", DEMOS)
def test_the_notch_is_a_60_degree_v_a_millimetre_deep_in_solid_and_balance(name: str) -> None:
    plain, with_notch = (design_job(job) for job in (parse_job(demo_text(name), name), marked(name)))
    one, two = Solids(plain).undrilled(), Solids(with_notch).undrilled()
    # a V of 60 degrees, 1 mm deep and about 10 mm long: half of width times depth times length
    long = with_notch.wheel.marks[0].long
    assert one.volume - two.volume == pytest.approx(0.5 * 2 * math.tan(math.radians(30)) * long, rel=1e-4)
    before = [np.array(figure.centre[:2]) * figure.volume for figure in (one, two)]
    density = with_notch.balance.density_kg_m3 * 1e-6
    changed = np.array(with_notch.balance.before) - np.array(plain.balance.before)
    assert changed == pytest.approx(density * (before[1] - before[0]), abs=1e-6)
    assert changed[1] < 0
    assert changed[0] == pytest.approx(0, abs=1e-9)


def test_no_marks_none_are_cut_and_no_page_asks_for_them(six: Job) -> None:
    plan = chart_of(six)
    assert not plan.of_kind("notch")
    assert not plan.of_kind("mark")
    assert "notch" not in chart_text(plan)
    assert "notch" not in bench_html(plan)


@pytest.mark.parametrize("name", DEMOS)
def test_chart_csv_and_bench_page_hold_them_at_their_angles(name: str, tmp_path: Path) -> None:
    job = marked(name)
    plan = chart_of(job)
    write_index_chart(plan, tmp_path / "chart.csv")
    rows = [row for row in read_csv(tmp_path / "chart.csv") if row["lap"] == "marks"]
    found = [(float(row["at_deg"]) + plan.wheel.gap_at_deg) % 360 for row in rows]
    assert found == pytest.approx([0, 5, 10, 30], abs=1e-6)
    assert [row["work"] for row in rows] == ["notch", "mark", "mark", "mark"]
    assert float(rows[0]["radius_mm"]) - float(rows[0]["inner_mm"]) == pytest.approx(10, abs=0.051)
    assert (rows[0]["depth_mm"], rows[1]["depth_mm"]) == ("1", "")
    text = bench_html(plan)
    steps = json.loads(re.search(r'id="plan">(.*?)</script>', text, re.S)[1])["steps"]  # type: ignore[index]
    assert [step["name"] for step in steps][-4:] == ["TDC notch", "5° mark", "10° mark", "30° mark"]
    assert "60° V cutter" in steps[-4]["do"]
    assert "scriber" in steps[-1]["do"]
    assert "TDC notch" in chart_text(plan)


def test_a_shoulder_shortens_them_and_too_little_room_is_an_error() -> None:
    text = demo_text("tarn-six").replace("diameter: 118", "diameter: {d}")
    base = re.sub(r"(\n  thickness: [^\n]*\n)", rf"\1  {MARKS}\n", text, count=1)
    short = design_wheel(parse_job(base.replace("{d}", "135"), "short.yaml"))
    assert [round(mark.long, 3) for mark in short.marks] == [4.55, 4.55, 4.55, 4.55]
    with pytest.raises(DesignError) as told:
        design_wheel(parse_job(base.replace("{d}", "141"), "none.yaml"))
    assert {fault.key for fault in told.value.faults} == {("wheel", "marks")}


def test_a_line_takes_no_metal() -> None:
    plain, lined = plate_job(), plate_job()
    text = lined.model_copy(update={"wheel": lined.wheel.model_copy(update={"marks": marked_line()})})
    assert design_job(text).balance.before == design_job(plain).balance.before
    assert [mark.kind for mark in design_wheel(text).marks] == ["line", "line"]


def marked_line() -> object:
    return parse_job(
        "job: a\nwheel: {teeth: 36, missing: 1, outside_diameter: 160, thickness: 3.2, bore: 40, "
        "slot: {width: 6, depth: 6.35}, marks: {tdc: line, degrees: [10]}}\n",
        "a.yaml",
    ).wheel.marks


def test_the_check_sees_a_notch_that_stands_wrong(tmp_path: Path) -> None:
    job = marked("tarn-six")
    design = design_job(job)
    write_stl(tmp_path / "wheel.stl", Solids(design).wheel(()))
    found = {f.check: f for f in check_wheel(tmp_path, design.wheel) if f.check.startswith("notch")}
    assert {f.verdict for f in found.values()} == {"pass"}
    assert len(found) == 2
    # the same file against a wheel whose notch belongs elsewhere: a seeded fault of 0.01 degrees
    off = tuple(mark._replace(degrees=0.01) if mark.tdc else mark for mark in design.wheel.marks)
    told = {f.check: f.verdict for f in check_wheel(tmp_path, replace(design.wheel, marks=off))}
    assert told["notch-place"] == "fail"  # type: ignore[index]
    plain = design_job(parse_job(demo_text("tarn-six"), "tarn-six.yaml"))
    write_stl(tmp_path / "wheel.stl", Solids(plain).wheel(()))
    told = {f.check: f.verdict for f in check_wheel(tmp_path, design.wheel)}
    assert told["notch-place"] == "fail"  # type: ignore[index]
    assert figures(Solids(plain).wheel(())).volume > 0


def test_a_correction_hole_beside_the_notch_is_not_taken_for_it(tmp_path: Path) -> None:
    """Seed 10703's holes come within 1.3 mm of its notch; a notch 0.01 degrees off is told beside them as well."""
    design = sound_design(10703)
    assert design is not None
    write_stl(tmp_path / "wheel.stl", Solids(design).wheel(design.balance.holes))
    (mark,) = (one for one in design.wheel.marks if one.deep is not None)
    for moved, verdict in ((0.0, "pass"), (0.01, "fail")):
        wheel = replace(design.wheel, marks=(mark._replace(degrees=mark.degrees + moved),))
        found = {f.check: f.verdict for f in check_wheel(tmp_path, wheel)}
        assert found["notch-place"] == verdict  # type: ignore[index]


@pytest.mark.parametrize(("apart_deg", "fault"), [(1.07, True), (1.09, False), (1.16, False), (358.93, True)])
def test_marks_run_into_one_another_within_a_millimetre_where_both_are(apart_deg: float, fault: bool) -> None:
    """The longer mark begins at radius 49, the shorter at 53: there 1 mm is 1.081 degrees."""
    marks = [WheelMark(0.0, "line", 49.0, 59.0), WheelMark(apart_deg, "line", 53.0, 59.0)]
    for given in (marks, marks[::-1]):
        faults = Faults()
        _apart(given, faults)
        assert bool(faults) is fault


def test_a_mark_is_not_too_near_itself() -> None:
    faults = Faults()
    _apart([WheelMark(0.0, "line", 49.0, 59.0)], faults)
    assert not faults
