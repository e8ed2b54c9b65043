"""The reading on level edges: holes that follow from it, a second reading, and what edges cannot show."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest

from tests.conftest import plate_job
from tests.parts.balance_jobs import designed, six, verdicts
from tests.parts.balance_oracle import broken_walls
from wheelcad.errors import DesignError, JobFileError
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance.margins import margins
from wheelcad.parts.balance.reading import Reading, edges_for, unbalance_read
from wheelcad.parts.chart import chart_of
from wheelcad.parts.design import design_job
from wheelcad.trade.frames import angle_of, point_at
from wheelcad.words import Words

PUTTY = "reading: {putty: 2.1 g, radius: 60, at: 140 deg}"


def read(*more: str, old: str = "largest_drill: 8}") -> Job:
    return six((old, f"largest_drill: 8, {', '.join(more)}}}"))


def test_the_heavy_side_is_opposite_the_putty() -> None:
    _, balance = designed(read(PUTTY))
    (one,) = balance.readings
    assert one.size_g_mm == pytest.approx(126.0)
    assert one.heavy_at_deg == 320.0
    found = balance.report()["reading"]
    assert set(found) >= {"unbalance_g_mm", "heavy_at_deg", "correction", "after"}
    assert found["heavy_at_deg"] == 320.0
    # the putty at 140 degrees and what was read must cancel, drawn as vectors by hand
    putty = 126.0 * np.array([math.sin(math.radians(140)), math.cos(math.radians(140))])
    assert np.array(one.found) + putty == pytest.approx(np.zeros(2), abs=1e-9)


def test_its_holes_lie_on_the_heavy_side_after_the_planned_ones() -> None:
    job = read(PUTTY)
    wheel, balance = designed(job)
    _, without = designed(six())
    assert balance.planned == without.holes
    assert [hole.reading for hole in balance.holes] == [0, 0, 1, 1]
    assert broken_walls(job, wheel, balance.holes) == []
    assert min(margin.spare for margin in margins(balance.metal, balance.holes)) >= -1e-6
    # by hand: what the added cylinders weigh times their places, against the reading
    left = np.array(balance.readings[0].found)
    for hole in balance.holes[2:]:
        grams = math.pi / 4 * hole.diameter_mm**2 * hole.depth_mm * 7200e-6
        left = left - grams * point_at(hole.radius_mm, hole.at_deg, wheel.sense)
    assert left == pytest.approx(np.array(balance.readings[0].after), abs=1e-9)
    assert np.hypot(*left) < 0.1
    assert balance.judged == balance.readings[0].after


def test_the_grade_is_judged_on_what_was_read() -> None:
    """A drawing in balance and a wheel that is not: without holes for it the wheel fails."""
    heavy = read("reading: {putty: 300 g, radius: 66, at: 10 deg}")
    _, balance = designed(heavy)
    assert balance.readings[0].holes == ()
    assert verdicts(balance)["balance-limit"] == "fail"
    assert verdicts(balance)["balance-reading"] == "warn"
    instead = balance.readings[0].instead
    assert instead is not None
    assert instead.at_deg == pytest.approx(10.0)
    assert instead.mass_g * instead.radius_mm == pytest.approx(300 * 66)
    assert verdicts(designed(read(PUTTY))[1])["balance-limit"] == "pass"


def test_less_than_edges_can_show_is_left_alone() -> None:
    _, balance = designed(read("reading: {putty: 0.5 g, radius: 60, at: 10 deg}"))
    one = balance.readings[0]
    assert one.size_g_mm < one.edges.felt_g_mm
    assert one.holes == ()
    assert one.instead is None
    assert verdicts(balance)["balance-reading"] == "pass"
    assert "less than level edges can show" in one.outcome.why


def test_what_edges_show_by_hand() -> None:
    """Rolling arm 0.01 mm and edges out of level by 0.05 mm in a metre under an arbour of 25 mm, 200 long, in steel."""
    edges = edges_for(3.0, 16.0)
    arbour = math.pi / 4 * 25**2 * 200 * 7850e-9
    assert edges.arbour_mm == 25.0
    assert edges.felt_g_mm == pytest.approx((3000 + 1000 * arbour) * (0.01 + 12.5 * 0.05e-3))
    assert edges_for(3.0, 8.0).arbour_mm == 16.0
    assert edges_for(3.0, 8.0).felt_g_mm < edges.felt_g_mm
    assert edges.felt_g(66.0) == pytest.approx(edges.felt_g_mm / 66)


def test_no_holes_where_none_are_asked_for_but_the_mass_is_said() -> None:
    job = six(("correct_by: holes, radius: 66, largest_drill: 8}", f"correct_by: none, {PUTTY}}}"))
    _, balance = designed(job)
    assert balance.holes == ()
    assert balance.readings[0].instead is not None
    finding = next(f for f in balance.findings if f.check == "balance-reading")
    assert "mass on the light side" in finding.why
    assert not Words("in").text(finding.why).count(" mm")


def test_stops_of_the_reading_come_last_and_by_themselves() -> None:
    plan = chart_of(read(PUTTY))
    holes = [stop for stop in plan.stops if stop.drill is not None]
    assert [stop.drill.reading for stop in holes if stop.drill] == [0, 0, 1, 1]
    assert [stop.lap.key for stop in holes] == ["holes", "holes", "holes-read", "holes-read"]
    assert "back on the table" in holes[-1].lap.do
    assert plan.mark != chart_of(six()).mark
    _, balance = designed(read(PUTTY))
    assert sorted(hole.at_deg for hole in balance.holes[2:]) == [float(stop.at) for stop in holes[2:]]


RECHECKS = [
    (126.0, 140.0, "not been drilled"),
    (252.0, 140.0, "on the light side"),
    (30.0, 20.0, None),
    (200.0, 30.0, "no usual mistake"),
]


@pytest.mark.parametrize(("size", "at", "said"), RECHECKS)
def test_the_second_reading_tells_what_went_wrong(size: float, at: float, said: str | None) -> None:
    second = f"recheck: {{putty: {size / 60} g, radius: 60, at: {at} deg}}"
    _, balance = designed(read(PUTTY, second))
    finding = next(f for f in balance.findings if f.check == "balance-recheck")
    assert finding.verdict == ("pass" if said is None else "warn")
    if said is not None:
        assert said in finding.why
    assert balance.judged == balance.readings[1].after
    assert {hole.reading for hole in balance.holes} <= {0, 1, 2}


def test_angles_counted_the_wrong_way_are_told() -> None:
    _, balance = designed(read("reading: {putty: 3 g, radius: 60, at: 130 deg}"))
    first = balance.readings[0]
    left = np.array(first.found)
    for hole in first.holes:
        left = left - hole.mass_g(7200) * point_at(hole.radius_mm, -hole.at_deg, first.sense)
    at = float(angle_of(*left, first.sense)) + 180
    second = f"recheck: {{putty: {np.hypot(*left) / 60} g, radius: 60, at: {at % 360}}}"
    _, balance = designed(read("reading: {putty: 3 g, radius: 60, at: 130 deg}", second))
    assert "against the way the crank turns" in next(f for f in balance.findings if f.check == "balance-recheck").why


def test_the_holes_of_the_second_keep_clear_of_all_others() -> None:
    job = read(PUTTY, "recheck: {putty: 2.1 g, radius: 60, at: 140 deg}")
    wheel, balance = designed(job)
    assert {hole.reading for hole in balance.holes} == {0, 1, 2}
    assert broken_walls(job, wheel, balance.holes) == []
    assert min(margin.spare for margin in margins(balance.metal, balance.holes)) >= -1e-6


def test_faults_of_a_reading() -> None:
    with pytest.raises(DesignError, match="beyond the wheel's rim"):
        designed(read("reading: {putty: 2 g, radius: 95, at: 0 deg}"))
    with pytest.raises((JobFileError, DesignError), match="there is no first"):
        design_job(parse_job(_text("recheck: {putty: 2 g, radius: 60, at: 0 deg}"), "x.yaml"))


def _text(more: str) -> str:
    from tests.conftest import demo_text, edited

    return edited(demo_text("tarn-six"), ("largest_drill: 8}", f"largest_drill: 8, {more}}}"))


def random_reading(draw: random.Random, felt: float) -> str:
    size = draw.uniform(1.05, 8.0) * felt
    radius = draw.uniform(40, 70)
    return f"reading: {{putty: {size / radius} g, radius: {radius}, at: {draw.uniform(0, 360)} deg}}"


def corrected(seed: int) -> tuple[Reading, float]:
    draw = random.Random(seed)
    drill = "balance: {radius: 66, largest_drill: 10"
    if seed % 2:
        job = plate_job(gap_at=draw.uniform(0, 360), extra=f"{drill}, {random_reading(draw, 14.0)}}}")
    else:
        job = read(random_reading(draw, 45.0))
    wheel, balance = designed(job)
    (one,) = balance.readings
    assert one.holes, one.outcome.why
    assert broken_walls(job, wheel, balance.holes) == []
    left = np.array(one.found)
    for hole in one.holes:
        left = left - hole.mass_g(balance.density_kg_m3) * point_at(hole.radius_mm, hole.at_deg, wheel.sense)
    return one, float(np.hypot(*left))


@pytest.mark.parametrize("seeds", [range(10)])
def test_ten_random_readings_are_corrected_below_what_edges_feel(seeds: range) -> None:
    for seed in seeds:
        one, left = corrected(seed)
        assert one.size_g_mm > one.edges.felt_g_mm
        assert left < 0.5 * one.edges.felt_g_mm


@pytest.mark.slow
@pytest.mark.parametrize("start", range(10, 110, 25))
def test_a_hundred_random_readings(start: int) -> None:
    for seed in range(start, start + 25):
        one, left = corrected(seed)
        assert left < 0.5 * one.edges.felt_g_mm


def test_putty_to_unbalance() -> None:
    from wheelcad.job.workshop import LevelReading

    taken = LevelReading.model_validate({"putty": "2.1 g", "radius": 60, "at": "200 deg"})
    assert unbalance_read(taken) == (pytest.approx(126.0), 20.0)


def test_the_drawing_says_which_holes_follow_from_the_reading() -> None:
    from wheelcad.parts.wheel.sheet import _holes_note

    _, without = designed(six())
    _, balance = designed(read(PUTTY))
    assert "They take out" in _holes_note(without.holes)
    assert "level edges" not in _holes_note(without.holes)
    assert "Those of the plan take out" in _holes_note(balance.holes)
    assert " B3, B4 follow from what the finished wheel showed" in _holes_note(balance.holes)
