"""What is left, from files: the reading's rest, the share of the facets, three ways of weighing held together."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.checks.test_balance_check import failed, measured, written
from tests.conftest import demo_text, edited, plate_job
from wheelcad.checks.unbalance import MeasuredBalance, residual, three_ways, tooth_moment_g_mm
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.wheel.design import design_wheel

READ = "largest_drill: 8, reading: {putty: 2.1 g, radius: 60, at: 140 deg}}"


def read_job() -> Job:
    return parse_job(edited(demo_text("tarn-six"), ("largest_drill: 8}", READ)), "six.yaml")


def test_the_readings_rest_is_measured_in_the_files(tmp_path: Path) -> None:
    wheel, balance = written(read_job(), tmp_path)
    found = measured(wheel, balance, balance.holes, tmp_path)
    assert found.readings[0] == pytest.approx(np.array(balance.readings[0].after), abs=1e-3)
    assert failed(list(residual(found, balance))) == set()
    # by hand: the wheel's unbalance in the file has the reading's holes in it, and the reading does not know the teeth
    taken = sum((h.mass_g(7200) * np.array(h.centre(wheel.sense)) for h in balance.holes[2:]), np.zeros(2))
    assert found.readings[0] == pytest.approx(np.array(balance.readings[0].found) - taken, abs=1e-3)
    assert np.hypot(*found.after) == pytest.approx(np.hypot(*taken), abs=0.2)


def wrongly(hole: CorrectionHole) -> CorrectionHole:
    return replace(hole, at_deg=(hole.at_deg + 180) % 360) if hole.reading else hole


def test_holes_drilled_on_the_light_side_fail_the_grade(tmp_path: Path) -> None:
    wheel, balance = written(read_job(), tmp_path)
    wrong = [wrongly(hole) for hole in balance.holes]
    written(read_job(), tmp_path, wrong)
    found = measured(wheel, balance, wrong, tmp_path)
    assert np.hypot(*found.judged) == pytest.approx(2 * 126, abs=0.5)
    assert "unbalance-left" in failed(list(residual(found, balance)))


def test_what_is_left_is_not_what_facets_feign(tmp_path: Path) -> None:
    """A large plate whose arcs are facets in the mesh: the figure is the exact solid's, the facets' share beside it."""
    job = plate_job(24, 2, 300, slot="{width: 20, depth: 18}", extra="balance: {largest_drill: 12}")
    wheel, balance = written(job, tmp_path)
    found = measured(wheel, balance, balance.holes, tmp_path)
    closed = np.array(balance.after)
    assert math.dist(found.after, closed) < 1e-3 * math.hypot(*balance.before)
    assert math.dist(found.after, closed) < 0.1 * math.dist(found.after_mesh, closed)
    assert found.facets_g_mm == pytest.approx(math.dist(found.after_mesh, found.after))
    said = next(iter(residual(found, balance)))
    assert said.measured == pytest.approx(float(np.hypot(*found.after)))


OPPOSED = (
    "job: g\nengine: {cylinders: 4, max_speed: 6000}\n"
    "wheel: {form: plate, teeth: 36, gaps: [{at: 0, missing: 1}, {at: 180, missing: 1}], missing: 1, bore: 40, "
    "outside_diameter: 160, thickness: 3.2, slot: {width: 6, depth: 6.35, sides: parallel, floor: round}}\n"
)


@pytest.mark.parametrize("missing", ["opposed", 1, 3])
def test_the_scale_of_agreement_is_the_larger_of_gap_and_tooth(missing: str | int) -> None:
    job = parse_job(OPPOSED, "g.yaml") if missing == "opposed" else plate_job(36, int(missing))
    wheel = design_wheel(job)
    balance = design_balance(job, wheel)
    tooth, gap = tooth_moment_g_mm(wheel, 7850), math.hypot(*balance.before)
    assert (gap < 1e-6 * tooth) == (missing == "opposed")
    for share, verdict in ((0.0045, "pass"), (0.0055, "fail")):
        off = np.array([share * max(tooth, gap), 0.0])
        exact = np.array(balance.before)
        found = MeasuredBalance(exact + off, np.array(balance.after), np.array(balance.after) + off)
        assert {f.verdict for f in three_ways(wheel, balance, found)} == {verdict}
