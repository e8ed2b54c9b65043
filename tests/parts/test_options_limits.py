"""What decides between patterns at its limits: counted and worked out by hand on a ⌀160 plate with slots 6 wide."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import pytest

from tests.conftest import plate_job
from tests.parts.gauge_jobs import job_of, plate
from wheelcad.codes import Check
from wheelcad.errors import DesignError
from wheelcad.findings import Finding, at_least
from wheelcad.job.models import Job
from wheelcad.parts.options import start
from wheelcad.parts.options.choose import _share, choose, said
from wheelcad.parts.options.patterns import own_pattern
from wheelcad.parts.options.row import Option, _firing, option_of
from wheelcad.parts.options.table import option_table
from wheelcad.parts.options.timing import timing_of
from wheelcad.trade.materials import material
from wheelcad.words import Words

SIX = {"turns": "clockwise", "cylinders": 6}


def _told(job: Job, teeth: int, missing: int) -> dict[str, Finding]:
    return {str(finding.check): finding for finding in option_of(job, (teeth, missing)).findings}


def _finding(check: Check, measured: float, limit: float, verdict: str, unit: str = "mm") -> Finding:
    failing: Any = verdict if verdict != "pass" else "warn"
    made = at_least(check, "wheel", measured, unit, limit, "why", "source", failing)
    assert made.verdict == verdict
    return made


def _option(teeth: int, *findings: Finding, missing: int = 1) -> Option:
    return Option(teeth, missing, findings=findings, slot_mm=6.0)


@pytest.mark.parametrize(("teeth", "verdict"), [(12, "pass"), (11, "warn")])
def test_twelve_positions_are_the_practical_least(teeth: int, verdict: str) -> None:
    """Common practice, no source."""
    assert _told(plate_job(), teeth, 1)["positions"].verdict == verdict


@pytest.mark.parametrize(("teeth", "missing", "verdict"), [(12, 1, "pass"), (36, 5, "pass"), (17, 2, "warn")])
def test_a_gap_of_sixty_degrees_from_tooth_to_tooth_is_the_widest_in_use(
    teeth: int, missing: int, verdict: str
) -> None:
    """17-2: three pitches of 21.2 degrees are 63.5. Common practice, no source."""
    assert _told(plate_job(), teeth, missing)["gap-width"].verdict == verdict


@pytest.mark.parametrize(("teeth", "root", "verdict"), [(66, 1.043, "pass"), (67, 0.938, "warn")])
def test_a_tooth_is_a_fin_below_a_millimetre_at_the_floors(teeth: int, root: float, verdict: str) -> None:
    """Our judgement. Floors at 74: half a slot is asin(3/74) = 2.3234 degrees of half a pitch, 148 times the sine."""
    told = _told(plate_job(slot="{width: 6, depth: 6, floor: flat}"), teeth, 1)["tooth-root"]
    assert (told.measured, told.verdict) == (pytest.approx(root, abs=1e-3), verdict)


def test_a_tooth_whose_sides_would_cross_above_the_floors_has_no_root() -> None:
    """At 33, the floors' radius, half a slot is asin(3/33) = 5.2 degrees of a half pitch of 5; round floors do not
    meet, their circles lie at 36."""
    assert _told(plate_job(slot="{width: 6, depth: 47}"), 36, 1)["tooth-root"].measured == 0.0


@pytest.mark.parametrize(("missing", "verdict"), [(10, "warn"), (11, "warn"), (12, "fail")])
def test_a_gap_may_last_from_spark_to_spark_and_no_longer(missing: int, verdict: str) -> None:
    """Six cylinders fire every 120 degrees; 36-11 has a tooth at either end of just that."""
    job = job_of(**plate(engine=SIX))
    assert _told(job, 36, missing)["gap-width"].verdict == verdict


def test_the_shortest_way_from_spark_to_spark_counts() -> None:
    """Firings at 0, 90, 230, 360, 450 and 600: 90 apart and more; a gap of 100 is too long for those."""
    job = job_of(**plate(engine={**SIX, "firing_angles": [0, 90, 230, 360, 450, 600]}))
    told = _told(job, 36, 9)["gap-width"]
    assert (told.measured, told.limit, told.verdict) == (100.0, 90.0, "fail")
    assert "90°" in Words("mm").text(told.why)


def test_the_firing_furthest_from_a_whole_pitch_is_told() -> None:
    (told,) = _firing((12.0, 50 / 3, 20.0))
    assert (told.verdict, told.measured) == ("warn", "16.67 pitches from spark to spark")
    assert _firing((12.0, 20.0))[0].verdict == "pass"
    assert _firing((12.05,))[0].verdict == "warn"
    assert not Option(36, 1, pitches=(12.05,), slot_mm=6.0).whole


def test_a_bolt_hole_alone_pulls_by_its_metal() -> None:
    """No gap, so the teeth balance: pi·25 of area, 45 from the axis, 3.2 thick."""
    job = plate_job(extra="pulley: {bolts: {count: 1, circle: 90, hole: 10, first_at: 300}}\n")
    pull = math.pi * 25 * 45 * 3.2 * material("mild-steel").density_g_mm3
    assert option_of(job, (36, 0)).unbalance_g_mm == pytest.approx(pull)


def test_several_gaps_are_no_pattern_of_two_numbers() -> None:
    wheel = {**plate()["wheel"], "missing": 1, "gap_at": 0.0}
    for at, own in (([0.0], (36, 1)), ([0.0, 90.0], None)):
        assert own_pattern(job_of(wheel={**wheel, "gaps": [{"at": a, "missing": 1} for a in at]})) == own


# the choice


def test_one_pattern_alone_shares_its_warnings_with_none() -> None:
    thin = _finding(Check.RING_THICKNESS, 2.0, 3.0, "warn")
    alone = choose([_option(36, thin)])
    assert (alone.shared, alone.verdicts) == ((), ("warn",))
    assert choose([]).best is None
    thinner = _finding(Check.RING_THICKNESS, 1.0, 3.0, "warn")
    both = choose([_option(24, thin), _option(36, thinner)])
    assert both.shared == (thin,)
    assert both.verdicts == ("pass", "pass")
    assert both.best is not None
    assert both.best.teeth == 36


def test_fewest_obstacles_then_finest_pitch_then_fewest_missing() -> None:
    poor = _finding(Check.RING_THICKNESS, 2.0, 3.0, "warn")
    fine = [_option(60, poor), _option(24), _option(36, missing=2), _option(36)]
    assert choose(fine).best is fine[3]


def test_a_failure_decides_before_a_warning() -> None:
    warned = _finding(Check.RING_THICKNESS, 2.0, 3.0, "warn")
    failed = _finding(Check.TOOTH_ROOT, 0.5, 1.0, "fail")
    (reason,) = choose([_option(36, warned, failed)]).reasons
    assert reason.startswith("tooth root")


@pytest.mark.parametrize(
    ("value", "limit", "share"), [(0.0, 2.0, None), (2.0, 0.0, None), (3.0, 2.0, 1.5), (2.0, 3.0, 1.5)]
)
def test_how_many_times_as_good_is_asked_of_what_can_be_divided(
    value: float, limit: float, share: float | None
) -> None:
    made = at_least(Check.TOOTH_ROOT, "wheel", value, "mm", limit, "why", "source", "warn")
    assert _share(made) == share


def test_tooth_rates_are_told_in_kilohertz() -> None:
    rate = _finding(Check.TOOTH_RATE, 9000.0, 6000.0, "pass", "Hz")
    assert "9 kHz, at least 6 kHz" in said(rate)


# the table


def test_where_no_pattern_can_be_made_the_first_ones_fault_is_told() -> None:
    job = plate_job()
    (row,) = option_table(job, [(100, 1)]).rows()
    assert row["verdict"] == "fail"
    with pytest.raises(DesignError, match="for 100 on"):
        option_table(job, [(100, 1), (110, 1)])
    assert [made["verdict"] for made in option_table(job, [(100, 1), (36, 1)]).rows()] == ["fail", "pass"]


def test_a_signal_without_sparks_is_off_by_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = SimpleNamespace(margin=2.0, sparks=[], inputs=SimpleNamespace(rows=()))
    monkeypatch.setattr(start, "signal_of", lambda *_args, **_more: seen)
    job = job_of(**plate(engine=SIX, sensor={"kind": "hall", "at": 60.0}))
    assert start.start_of(job, option_of(job, (36, 1))) == start.Start(2.0, 0.0, ())


def test_an_engine_that_does_not_say_when_it_fires_tells_no_timing() -> None:
    job = job_of(**plate(engine={"turns": "clockwise"}, sensor={"kind": "hall", "at": 60.0}))
    options = [option_of(job, (36, 1)), option_of(job, (24, 1))]
    assert timing_of(job, options) == (None, None)
