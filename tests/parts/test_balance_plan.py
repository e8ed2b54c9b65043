"""The planner's choices: which holes, where, with which drill, and what it says when there are none."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.conftest import demo_text, plate_job
from tests.parts.balance_jobs import BALANCE, designed, six, turned_job, verdicts
from tests.parts.balance_oracle import broken_walls
from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance import walls
from wheelcad.parts.balance.margins import margins
from wheelcad.trade.drills import drills
from wheelcad.trade.frames import wrap_180
from wheelcad.trade.unbalance import GRADES, permissible_g_mm
from wheelcad.words import Words


def test_an_equal_through_pair_about_the_heavy_line(demo: Job) -> None:
    wheel, balance = designed(demo)
    first, second = balance.holes
    assert first.diameter_mm == second.diameter_mm
    assert first.radius_mm == second.radius_mm
    assert first.through
    assert second.through
    heavy = wheel.gap_at_deg + 180
    assert float(wrap_180(first.at_deg - heavy)) == pytest.approx(-float(wrap_180(second.at_deg - heavy)), abs=0.06)
    assert first.drill in {drill.name for drill in drills(demo.shop.drills)}
    assert balance.aim_g_mm is not None
    assert math.hypot(*balance.after) < 0.05 * balance.aim_g_mm
    assert broken_walls(demo, wheel, balance.holes) == []
    # by hand: each hole is a cylinder of the ring's thickness
    u = math.pi / 4 * first.diameter_mm**2 * wheel.thickness_mm * balance.density_kg_m3 * 1e-6 * first.radius_mm
    half = math.radians(float(wrap_180(second.at_deg - first.at_deg)) / 2)
    assert 2 * u * math.cos(half) == pytest.approx(math.hypot(*balance.before), abs=0.05)


def test_angles_are_ones_the_table_can_set() -> None:
    _, balance = designed(six(("dial_step: 0.05 deg", "dial_step: 0.4 deg")))
    for hole in balance.holes:
        steps = ((hole.at_deg - 0.0) % 9.0) / 0.4  # 40:1 gives 9 degrees a turn; the dial starts afresh each turn
        assert steps == pytest.approx(round(steps), abs=1e-6)
    assert math.hypot(*balance.after) < balance.aim_g_mm


def test_without_a_table_angles_are_tenths() -> None:
    job = plate_job(gap_at=33.0, extra="balance: {largest_drill: 10}")
    _, balance = designed(job)
    for hole in balance.holes:
        assert hole.at_deg * 10 == pytest.approx(round(hole.at_deg * 10), abs=1e-6)


def test_inch_drills_and_inch_radii() -> None:
    job = parse_job(demo_text("fell-twin"), "twin.yaml")
    _, balance = designed(job)
    sizes = [drill.diameter_mm for drill in drills("inch")]
    assert all(min(abs(hole.diameter_mm - size) for size in sizes) < 1e-9 for hole in balance.holes)
    assert all((hole.radius_mm / 0.508) == pytest.approx(round(hole.radius_mm / 0.508)) for hole in balance.holes)


@pytest.mark.parametrize(
    ("radius", "words"),
    [
        ("76", "slot floors"),
        ("73", "slot floors"),
        ("60", "shoulder"),
        ("17", "bore"),
        ("30", "recess"),
        ("95", "no metal"),
    ],
)
def test_an_impossible_radius_is_a_job_error_that_says_why(radius: str, words: str) -> None:
    job = six(("radius: 66", f"radius: {radius}"))
    with pytest.raises(DesignError) as caught:
        designed(job)
    fault = caught.value.faults[0]
    assert fault.key == ("balance", "radius")
    assert words in fault.message
    assert " mm" in Words("mm").text(fault.allowed)
    assert " mm" not in Words("in").text(fault.allowed)


def test_the_radii_it_allows_are_allowed() -> None:
    with pytest.raises(DesignError) as caught:
        designed(six(("radius: 66", "radius: 76")))
    allowed = Words("mm").text(caught.value.faults[0].allowed)
    low, high = (float(word) for word in allowed.split(" or ")[-1].replace(" mm", "").split(" to "))
    for radius in (low, high):
        _, balance = designed(six(("radius: 66", f"radius: {radius}")))
        assert balance.findings
    with pytest.raises(DesignError, match="slot floors"):
        designed(six(("radius: 66", f"radius: {high + 0.6}")))


def test_other_faults_of_the_section() -> None:
    with pytest.raises(DesignError, match="smallest drill"):
        designed(six(("largest_drill: 8", "largest_drill: 0.5")))
    with pytest.raises(DesignError, match="does not hold"):
        designed(six(("radius: 66", "radius: 66, band: [40, 50]")))
    with pytest.raises(DesignError, match="holds no radius"):
        designed(six(("radius: 66", "band: [75, 80]")))


def test_a_band_is_kept_to() -> None:
    _, balance = designed(six(("radius: 66", "band: [67, 69]")))
    assert balance.holes
    assert all(67 <= hole.radius_mm <= 69 for hole in balance.holes)


def test_nothing_is_drilled_unasked() -> None:
    for job in (six((BALANCE, "")), six(("correct_by: holes", "correct_by: none"))):
        _, balance = designed(job)
        assert balance.holes == ()
        assert balance.after == balance.before
        assert verdicts(balance)["balance-holes"] == "pass"
        assert balance.report()["correction"]["holes"] == []
    assert designed(six((BALANCE, "")))[1].grade == "G16"


def test_over_the_limit_and_not_corrected_is_a_warning() -> None:
    _, balance = designed(six(("correct_by: holes", "correct_by: none"), ("grade: G16", "grade: G6.3")))
    assert verdicts(balance)["balance-limit"] == "warn"
    finding = next(f for f in balance.findings if f.check == "balance-holes")
    assert "bolt on the light side" in finding.why
    assert "slot milled along an arc" in finding.why


def test_no_speed_no_limit_but_holes_all_the_same() -> None:
    _, balance = designed(six(("  max_speed: 5200 rpm\n", "")))
    assert balance.permissible_g_mm is None
    assert balance.report()["permissible_g_mm"] is None
    finding = next(f for f in balance.findings if f.check == "balance-limit")
    assert finding.verdict == "warn"
    assert "engine.max_speed" in finding.measured
    assert math.hypot(*balance.after) < 0.02 * math.hypot(*balance.before)


def test_permissible_is_for_the_finished_piece() -> None:
    _, balance = designed(six())
    assert balance.permissible_g_mm == pytest.approx(permissible_g_mm(GRADES["G16"], balance.mass_kg, 5200))
    taken = sum(hole.mass_g(7200) for hole in balance.holes) / 1000
    assert balance.mass_kg == pytest.approx(balance.initial.mass_kg - taken)
    _, finer = designed(six(("grade: G16", "grade: G2.5")))
    assert finer.aim_g_mm == finer.permissible_g_mm


def test_bolts_on_the_heavy_line_are_gone_round() -> None:
    """A plate whose bolt holes sit on the heavy line and on both sides of it, at the only radii there are."""
    pulley = "pulley: {bore: 20, bolts: {count: 12, circle: 112, hole: 8.4, first_at: 0}}"
    job = plate_job(extra=f"{pulley}\nbalance: {{radius: 56, largest_drill: 8}}")
    wheel, balance = designed(job)
    assert balance.holes
    assert broken_walls(job, wheel, balance.holes) == []
    assert (
        min(margin.mm for margin in margins(balance.metal, balance.holes) if margin.what == walls.BOLTS.what)
        >= 4.2 - 1e-6
    )
    assert math.hypot(*balance.after) < balance.aim_g_mm


def test_unequal_holes_where_equal_ones_meet_a_bolt() -> None:
    """One bolt beside the heavy line blocks one side only; the two holes then differ."""
    found = []
    for at in range(148, 172, 4):
        pulley = f"pulley: {{bore: 20, bolts: {{count: 2, circle: 128, hole: 12, first_at: {at}}}}}"
        job = plate_job(extra=f"{pulley}\nbalance: {{radius: 64, largest_drill: 6.3}}")
        wheel, balance = designed(job)
        assert broken_walls(job, wheel, balance.holes) == []
        assert math.hypot(*balance.after) < balance.aim_g_mm
        found.append(len({hole.diameter_mm for hole in balance.holes}) > 1)
    assert any(found)


def test_several_pairs_when_one_takes_out_too_little() -> None:
    job = plate_job(24, 2, 200, slot="{width: 12, depth: 10}", extra="balance: {largest_drill: 8}")
    wheel, balance = designed(job)
    assert len(balance.holes) >= 4
    assert len(balance.holes) % 2 == 0
    assert "pairs" in balance.plan
    assert broken_walls(job, wheel, balance.holes) == []


def test_when_nothing_does_it_says_why_and_what_would() -> None:
    job = plate_job(18, 1, 200, slot="{width: 17, depth: 14}", extra="balance: {largest_drill: 4}")
    _, balance = designed(job)
    assert balance.holes == ()
    finding = next(f for f in balance.findings if f.check == "balance-holes")
    assert finding.verdict == "fail"
    assert "takes out at most" in finding.why
    offered = " ".join(balance.other)
    assert "balance.largest_drill" in offered
    assert "slot milled along an arc" in offered
    assert "bolt on the light side" in offered


def test_blind_holes_where_the_metal_is_too_deep_to_drill_through() -> None:
    job = turned_job("{length: 30, diameter: 104}, wheel, {length: 40, diameter: 104}", "largest_drill: 6")
    wheel, balance = designed(job)
    assert balance.holes
    assert not any(hole.through for hole in balance.holes)
    assert all(hole.point_deg == 118 for hole in balance.holes)
    assert all(hole.depth_mm * 10 == pytest.approx(round(hole.depth_mm * 10)) for hole in balance.holes)
    assert broken_walls(job, wheel, balance.holes) == []
    assert math.hypot(*balance.after) < balance.aim_g_mm
    said = {f.check: f for f in balance.findings}
    # by hand: 0.1 mm more of one blind hole, all holes together, in the direction of the heavy line
    hole = balance.holes[0]
    more = sum(math.pi / 4 * h.diameter_mm**2 * 0.1 * 7850e-6 * h.radius_mm for h in balance.holes)
    assert abs(said["balance-depth"].measured - more) < math.hypot(*balance.after) + 0.3 * more
    assert hole.where in ("hub", "pulley")


def test_a_through_hole_needs_air_behind_it() -> None:
    """A second flange close behind the ring: the drill would start on it."""
    near = turned_job("wheel, {length: 1.5, diameter: 70}, {length: 10, diameter: 110}", "radius: 45, largest_drill: 8")
    far = turned_job("wheel, {length: 9.0, diameter: 70}, {length: 10, diameter: 110}", "radius: 45, largest_drill: 8")
    assert all(hole.through for hole in designed(far)[1].holes)
    assert designed(far)[1].holes
    assert not any(hole.through for hole in designed(near)[1].holes)


def test_from_the_back_only_where_allowed() -> None:
    lands = "{length: 12, diameter: 110}, {length: 12, diameter: 60}, wheel, {length: 12, diameter: 60}"
    front = designed(turned_job(lands, "band: [38, 44], largest_drill: 8"))[1]
    assert {(hole.from_back, hole.where) for hole in front.holes} == {(False, "pulley")}
    job = turned_job(lands, "band: [38, 44], largest_drill: 8, faces: back")
    wheel, back = designed(job)
    assert back.holes
    assert all(hole.from_back and hole.where == "tooth ring" for hole in back.holes)
    # turned over, the gap at zero again: the same places counted the other way
    said = next(f for f in back.findings if f.check == "balance-back-face").measured
    settings = [float(word.replace("°", "")) for word in Words("mm").text(said).split(", ")]
    assert settings == pytest.approx([(wheel.gap_at_deg - hole.at_deg) % 360 for hole in back.holes], abs=1e-3)
    assert broken_walls(job, wheel, back.holes) == []


def test_two_planes_when_the_couple_matters() -> None:
    """A drum: the ring in its middle lies under no drillable flange, so both faces share the amount."""
    lands = "{length: 60, diameter: 108}, wheel, {length: 60, diameter: 108}"
    one = turned_job(lands, "grade: G2.5, largest_drill: 6")
    two = turned_job(lands, "grade: G2.5, largest_drill: 6, faces: both")
    _, single = designed(one)
    assert verdicts(single)["balance-couple"] == "warn"
    wheel, both = designed(two)
    assert {hole.from_back for hole in both.holes} == {True, False}
    assert broken_walls(two, wheel, both.holes) == []
    assert verdicts(both).get("balance-couple", "pass") == "pass"
    # by hand: forces and their moments about the ring's plane
    forces = sum((hole.mass_g(7850) * np.array(hole.centre(1)) for hole in both.holes), np.zeros(2))
    couple = sum((hole.mass_g(7850) * hole.z_mean * np.array(hole.centre(1)) for hole in both.holes), np.zeros(2))
    assert np.hypot(*(np.array(both.before) - forces)) < both.aim_g_mm
    assert np.hypot(*couple) < both.aim_g_mm / 2 * 124


def test_a_rubber_ring_allows_the_tooth_ring_only() -> None:
    lands = "{length: 10, diameter: 70}, wheel, {length: 20, diameter: 70}"
    job = turned_job(lands, "largest_drill: 8", ", rubber_ring: yes")
    _, balance = designed(job)
    assert balance.holes
    assert all(hole.where == "tooth ring" for hole in balance.holes)
    assert any("rubber ring" in note for note in balance.notes)
    with pytest.raises(DesignError, match="rubber"):
        designed(turned_job(lands, "radius: 25, largest_drill: 6", ", rubber_ring: yes"))


def test_a_sensor_that_looks_along_sees_no_hole() -> None:
    """What its face of 20 passes over begins at radius 64; 2 mm must stay, and the thinnest drill is 3 mm."""
    sensor = "sensor: {kind: hall, looks: along, radius: 74, at: 20, face_diameter: 20}\n"
    inside, outside = "balance: {radius: 60, largest_drill: 4}", "balance: {radius: 61, largest_drill: 4}"
    assert designed(plate_job(extra=sensor + inside))[1].holes
    assert designed(plate_job(extra=outside))[1].holes
    with pytest.raises(DesignError, match="what the sensor sees"):
        designed(plate_job(extra=sensor + outside))


def test_a_recess_and_chuck_reach() -> None:
    """A hole deep in a narrow recess needs a drill longer than a jobber drill: it is not planned."""
    lands = "{length: 120, diameter: 100}, wheel, {length: 4, diameter: 100}"
    pulley = ", recess: {diameter: 90, depth: 112}"
    job = turned_job(lands, "radius: 30, largest_drill: 6", pulley)
    _, balance = designed(job)
    assert balance.holes == ()


def test_report_has_what_programs_look_for() -> None:
    _, balance = designed(six())
    report = balance.report()
    assert set(report) >= {"before", "correction", "after", "permissible_g_mm", "grade", "max_speed_rpm"}
    assert report["before"]["unbalance_g_mm"] == pytest.approx(math.hypot(*balance.before))
    assert report["before"]["at_deg"] == pytest.approx(180)
    assert set(report["correction"]["holes"][0]) >= {"at_deg", "radius_mm", "diameter_mm", "depth_mm", "through"}
    assert report["before"]["force_n"] == pytest.approx(
        math.hypot(*balance.before) * 1e-6 * (2 * math.pi * 5200 / 60) ** 2
    )
