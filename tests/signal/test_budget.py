"""The timing budget: ten jobs by hand, the closed form, and what the trim takes away."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pytest

from tests.signal.wheels import edges_of, job_of, off_centre
from wheelcad.job.models import Job
from wheelcad.signal.budget import Budget, budget_of
from wheelcad.signal.budget_text import advice, budget_findings, budget_text
from wheelcad.signal.report import signal_of
from wheelcad.signal.sample import NORMAL_95, within_95
from wheelcad.signal.timing import simulate, timed_of, variances
from wheelcad.signal.tolerances import LAYOUT_DEG, TORSION_DEG, work_of
from wheelcad.words import unwritten

NONE = {
    "table_accuracy": 0, "dial_reading": 0, "centring": 0, "bore_clearance": 0, "tdc_mark": 0, "stop_marks": 0,
    "sensor_angle": 0, "light_reading": 0, "gap_hot": 0,
}  # fmt: skip
COUNT = 40_000
RADIUS = 80.0  # of the test wheels


def toleranced(job: Job, **tolerances: Any) -> Job:
    """The job in a shop without any error but these."""
    return job.model_copy(update={"tolerances": _tolerances(tolerances)})


def _tolerances(said: dict[str, Any]) -> Any:
    from wheelcad.job.models import Tolerances

    return Tolerances.model_validate({**NONE, **said}, context={"units": "mm"})


def budget(job: Job, count: int = COUNT, **real: bool) -> Budget:
    """The budget on ideal edges, without the field."""
    return budget_of(job, signal_of(job, edges_of(job), field=False), count=count, **real)


@dataclass(frozen=True)
class ByHand:
    """One job: its tolerances and the standard deviations that follow by hand, of the worst cylinder after the trim
    (torsion aside) and before it (layout aside)."""

    name: str
    cylinders: int
    tolerances: dict[str, Any]
    after_sd: float
    before_sd: float = 0.0


def eccentric(indicated_mm: float, apart_deg: float) -> float:
    """Two teeth so far apart on a wheel e off centre: 2·(e/r)·sin(φ/2) is the amplitude of what is between them."""
    return math.degrees(indicated_mm / 2 / RADIUS) * 2 * math.sin(math.radians(apart_deg) / 2) / math.sqrt(2)


# 95 per cent limits over 1.95996; rectangles over √3; sines over √2. Twins at 0 and 180 time on opposite teeth, fours
# too (0 and 180 of a turn); a single has no other cylinder, so that at idle nothing but marks and light stays.
TEN = (
    ByHand("light alone", 1, {"light_reading": 1}, 1 / NORMAL_95),
    ByHand("mark alone", 4, {"tdc_mark": 0.25}, 0.25 / NORMAL_95),
    ByHand("two stop marks", 4, {"stop_marks": 0.3}, 0.3 / math.sqrt(2) / NORMAL_95, 0.3 / math.sqrt(2) / NORMAL_95),
    ByHand(
        "mark, stop and light", 6, {"tdc_mark": 0.25, "stop_marks": 0.3, "light_reading": 1},
        math.sqrt(0.25**2 + 0.3**2 / 2 + 1) / NORMAL_95, 0.3 / math.sqrt(2) / NORMAL_95,
    ),
    ByHand("sensor's place is trimmed away", 4, {"sensor_angle": 1}, 0.0, math.degrees(1 / RADIUS) / NORMAL_95),
    ByHand("centring, opposite teeth", 4, {"centring": 0.2}, eccentric(0.2, 180)),
    ByHand("clearance, opposite teeth", 4, {"bore_clearance": 0.1}, eccentric(0.1, 180)),
    ByHand("table, opposite teeth", 4, {"table_accuracy": 0.1}, 2 * 0.1 / math.sqrt(2)),
    ByHand("centring and light", 4, {"centring": 0.2, "light_reading": 0.5},
           math.hypot(eccentric(0.2, 180), 0.5 / NORMAL_95)),
    # a tooth's middle takes half of each of its two slots: √(¼ + ¼) of one's; two such teeth apart: one's
    ByHand("dial", 4, {"dial_reading": 0.1}, 0.1 / math.sqrt(3), 0.1 / math.sqrt(3) / math.sqrt(2)),
)  # fmt: skip


@pytest.mark.parametrize("one", TEN, ids=[one.name for one in TEN])
def test_ten_jobs_by_hand(one: ByHand) -> None:
    """At idle, with advance 0 and teeth at TDC: sparks fall on a tooth, so that nothing is left to reckon from it."""
    job = toleranced(
        job_of(
            one.cylinders,
            engine={"advance": {"cranking": 0, "least": 0, "most": 0}, "cranking_dip": 1},
            angles=None if one.cylinders != 1 else [0.0],
            sensor={"at": 60.0, "times_on": "centre", "delay": 0, "kind": "hall"},
            gap_at=30.0,
            controller={"filter": 0},
        ),
        **one.tolerances,
    )
    made = budget(job, 100_000)
    timed = made.timed
    assert timed.weights.max() == pytest.approx(1.0, abs=1e-9)
    by_hand = one.after_sd
    idle = made.wheels.after[0].std(axis=1)
    assert idle.max() == pytest.approx(by_hand, rel=0.01, abs=1e-9)
    assert made.wheels.after[1].std(axis=1).max() == pytest.approx(
        math.hypot(by_hand, TORSION_DEG / NORMAL_95), rel=0.01
    )
    if not {"centring", "bore_clearance", "table_accuracy"} & set(one.tolerances):
        layout = LAYOUT_DEG / math.sqrt(3)
        assert made.wheels.before.std(axis=1).max() == pytest.approx(math.hypot(one.before_sd, layout), rel=0.01)


@pytest.mark.parametrize("cylinders", [1, 3, 4, 6, 8, 12])
def test_the_draws_agree_with_the_closed_form(cylinders: int) -> None:
    """Standard deviations within 0.5 per cent at 200,000 wheels, whose own sampling error is 0.16."""
    job = job_of(cylinders, teeth=60, missing=2, angles=[0.0] if cylinders == 1 else None)
    signal = signal_of(job, edges_of(job), field=False)
    work = work_of(job, signal.edges, {}).but(clearance_mm=0.4, dial_deg=0.2, table_deg=0.3, by_hand_deg=0.1)
    timed = replace(timed_of(signal), shift_deg_per_mm=np.full(len(timed_of(signal).edge_deg), 3.0))
    wheels = simulate(timed, work, 200_000)
    for speed, drawn in (("cranking", wheels.before), ("idle", wheels.after[0]), ("top", wheels.after[1])):
        closed = np.sqrt(sum(variances(timed, work, speed).values()))
        assert drawn.std(axis=1) == pytest.approx(closed, rel=5e-3)


@pytest.mark.parametrize("changes", [{"sensor_angle_mm": 7.0}, {"layout_deg": 3.0}, {"sensor_angle_mm": 0.0}])
def test_the_trim_takes_every_offset_away_bit_for_bit(changes: dict[str, float]) -> None:
    job = job_of(4)
    signal = signal_of(job, edges_of(job), field=False)
    work, timed = work_of(job, signal.edges, {}), timed_of(signal)
    one, other = simulate(timed, work, COUNT), simulate(timed, work.but(**changes), COUNT)
    assert np.array_equal(one.after, other.after)
    assert not np.array_equal(one.before, other.before)


def test_shares_add_to_one_and_a_source_frozen_is_its_share() -> None:
    made = budget(job_of(6))
    report = made.report()
    for side in ("share_before", "share_after"):
        assert sum(row[side] for row in report["shares"]) == pytest.approx(1.0, abs=1e-5)
    speed, cylinder = made.worst
    whole = float(made.wheels.after[("idle", "top").index(speed), cylinder].var())
    still = simulate(made.timed, made.work.but(light_deg=0.0), COUNT).after[("idle", "top").index(speed), cylinder]
    light = next(row for row in report["shares"] if row["source"].startswith("reading"))
    assert 1 - float(still.var()) / whole == pytest.approx(light["share_after"], abs=0.01)


def test_sources_that_lean_on_each_other_leave_a_rest() -> None:
    """Run-out moves a fixed-level Hall's edges by the gap as well, of the same eccentricity: not independent."""
    job = toleranced(job_of(4, sensor={"element": "hall-fixed"}), centring=0.4)
    signal = signal_of(job, edges_of(job), field=False)
    made = budget_of(job, signal, count=2_000)
    moved = replace(made, timed=replace(made.timed, shift_deg_per_mm=made.timed.shift_deg_per_mm + 0.6))
    rows = {row["source"]: row["share_after"] for row in moved.shares()}
    assert rows["edges that move with the gap"] > 0.05
    rest = next(value for name, value in rows.items() if name.startswith("rest"))
    assert abs(rest) > 0.02
    assert sum(rows.values()) == pytest.approx(1.0, abs=1e-5)


def test_the_best_change_is_of_what_weighs_most_and_its_figure_holds() -> None:
    job = toleranced(job_of(4), centring=2.0, light_reading=0.2)
    made = budget(job)
    best = made.report()["best_change"]
    assert best["source"] == "centring on the table"
    assert (best["from"], best["to"], best["unit"]) == (2.0, 0.02, "mm")
    again = simulate(made.timed, made.work.but(centring_mm=0.02), COUNT)
    assert best["after_trim_95_deg"] == pytest.approx(float(within_95(again.after).max()), abs=1e-6)
    assert best["after_trim_95_deg"] < made.report()["after_trim_95_deg"]
    assert "Spend your care on: centring on the table" in advice(made.report())


def test_a_real_wheels_errors_stand_in_place_of_the_assumed_ones() -> None:
    """A wheel measured 0.5 mm off centre: known, not drawn; nothing is added for table and centring."""
    job = toleranced(job_of(4))
    edges = off_centre(edges_of(job), 0.5, 155.0)  # the teeth that time a spark lie near 65 and 245
    made = budget_of(job, signal_of(job, edges, field=False), real=True, count=2_000)
    true = budget_of(job, signal_of(job, edges_of(job), field=False), real=True, count=2_000)
    assert made.work.dial_deg == made.work.table_deg == made.work.centring_mm == 0
    assert np.ptp(made.known("idle")) == pytest.approx(2 * math.degrees(0.5 / RADIUS), rel=0.2)
    assert np.ptp(true.known("idle")) < 1e-3


def test_every_input_is_printed_as_given_or_assumed() -> None:
    job = toleranced(job_of(4), centring=0.08)
    report = budget(job, 2_000).report()
    keys = {row["key"]: row["given"] for row in report["inputs"]}
    assert keys["tolerances.centring"] is True
    assert keys["crank torsion and rubber ring at top speed"] is False
    for units in ("mm", "in"):
        text = budget_text(report, units)
        assert not unwritten(text)
        assert all(len(line) <= 80 for line in text.splitlines())
        assert (" mm" in text) == (units == "mm")
        assert all(key in text.replace("\n    ", " ") for key in keys)


def test_the_finding_warns_and_names_what_to_do() -> None:
    fine, poor = budget(toleranced(job_of(4))), budget(toleranced(job_of(4), light_reading=6))
    assert [f.verdict for f in budget_findings(fine.report())] == ["pass"]
    (finding,) = budget_findings(poor.report())
    assert finding.verdict == "warn"
    assert "mean of four readings" in finding.why


def test_a_bracket_that_sways_and_a_loose_gauge_come_from_the_report() -> None:
    job = job_of(4)
    edges = edges_of(job)
    stiffness = {"shake_g": 10.0, "shakes": [{"sideways_mm": [0.0, 0.03, 0.04]}, {"sideways_mm": [0.01, 0, 0]}]}
    work = work_of(job, edges, {"bracket": {"stiffness": stiffness}, "gauge": {"loose_on_bolts_deg": 0.7}})
    assert work.bracket_mm == pytest.approx(0.05)
    assert work.layout_deg == 0.7
    assert work_of(job, edges, {}).bracket_mm == 0.0
