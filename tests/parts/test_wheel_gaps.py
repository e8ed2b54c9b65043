"""Several gaps on the tooth grid, none at all, and gaps that cannot be."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.conftest import plate_job
from wheelcad.checks.wheel import check_wheel
from wheelcad.errors import JobError
from wheelcad.files.stl_writer import write_stl
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.ignition import design_ignition
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.parts.wheel.gaps import meant_instead, pattern_findings, repeats
from wheelcad.parts.wheel.solid import wheel_solid
from wheelcad.parts.wheel.teeth import ToothGap, lay_out
from wheelcad.trade.frames import wrap_180


def job_with(gaps: str, teeth: int = 36, more: str = "") -> Job:
    """A plate wheel with this text of gaps."""
    return parse_job(
        f"job: gaps\nwheel: {{form: plate, teeth: {teeth}, gaps: {gaps}, outside_diameter: 160, thickness: 3.2,"
        f" bore: 60, slot: {{width: 6, depth: 6.35}}{more}}}\n",
        "gaps.yaml",
    )


def faults_of(gaps: str, teeth: int = 36, more: str = "") -> list[tuple[str, str]]:
    """(key, what is allowed) of the faults this text brings."""
    with pytest.raises(JobError) as caught:
        design_wheel(job_with(gaps, teeth, more))
    return [(fault.dotted, fault.allowed) for fault in caught.value.faults]


def pattern(job: Job) -> Finding:
    """The one verdict on the pattern."""
    (found,) = pattern_findings(job, design_wheel(job).teeth)
    return found


def test_the_first_gap_stands_for_missing_and_gap_at() -> None:
    job = job_with("[{at: 40, missing: 2}, {at: 165, missing: 1}]")
    assert (job.wheel.missing, job.wheel.gap_at) == (2, 40)
    wheel = design_wheel(job)
    assert wheel.gap_at_deg == 40
    assert wheel.teeth.missing == 3
    assert len(wheel.slot_centres_deg) == 35  # one is swallowed by the double gap
    assert wheel.report()["gaps"] == [{"at_deg": 40.0, "missing": 2}, {"at_deg": 165.0, "missing": 1}]


def test_one_gap_written_either_way_is_the_same_wheel() -> None:
    plain, listed = plate_job(gap_at=70, missing=2, diameter=160), job_with("[{at: 70, missing: 2}]")
    assert np.array_equal(design_wheel(plain).outline.vertices, design_wheel(listed).outline.vertices)


def test_said_twice_must_agree() -> None:
    for same in (", missing: 1", ", missing: 3", ", missing: 1, gap_at: 40"):
        assert design_wheel(job_with("[{at: 40, missing: 1}, {at: 125, missing: 2}]", more=same)).teeth.missing == 3
    gaps = "[{at: 40, missing: 1}, {at: 125, missing: 2}]"
    assert faults_of(gaps, more=", missing: 2") == [("wheel.missing", "1, the first gap's, or 3, all of them")]
    assert faults_of(gaps, more=", gap_at: 50") == [("wheel.gap_at", "40 deg, the first gap's")]


def test_missing_is_still_wanted_in_the_plain_form() -> None:
    with pytest.raises(JobError) as caught:
        parse_job("job: a\nwheel: {teeth: 36, outside_diameter: 160, thickness: 3, slot: {width: 6, depth: 6}}\n")
    assert [fault.dotted for fault in caught.value.faults] == ["wheel.missing"]


@pytest.mark.parametrize(
    ("gaps", "teeth", "allowed"),
    [
        ("[{at: 0, missing: 1}, {at: 93, missing: 1}]", 36, "90 deg or 100 deg"),
        ("[{at: 0, missing: 1}, {at: 90, missing: 2}]", 36, "85 deg or 95 deg"),
        ("[{at: 5, missing: 2}, {at: -94, missing: 1}]", 36, "-100 deg or -90 deg"),
        ("[{at: 0, missing: 1}, {at: 100, missing: 1}]", 22, "98.1818 deg or 114.5455 deg"),
        ("[{at: 0, missing: 1}, {at: 98.15, missing: 1}]", 22, "81.8182 deg or 98.1818 deg"),  # not rounded: 0.03 off
    ],
)
def test_a_gap_off_the_grid_is_told_the_nearest_angles(gaps: str, teeth: int, allowed: str) -> None:
    assert faults_of(gaps, teeth) == [("wheel.gaps[1].at", allowed)]


def test_a_gap_written_to_two_decimals_lands_exactly_on_the_grid() -> None:
    wheel = design_wheel(job_with("[{at: 0, missing: 1}, {at: 98.18, missing: 1}]", 22))
    assert wheel.gaps[1].at_deg == pytest.approx(6 * 360 / 22, abs=1e-12)


def test_gaps_that_meet_are_faults() -> None:
    assert faults_of("[{at: 0, missing: 3}, {at: 10, missing: 1}]")[0][0] == "wheel.gaps[1].at"
    assert faults_of("[{at: 0, missing: 1}, {at: 10, missing: 1}]")[0][0] == "wheel.gaps[1].at"
    assert faults_of("[{at: 0, missing: 1}, {at: 355, missing: 2}]")[0][0] == "wheel.gaps[1].at"
    assert faults_of("[{at: 0, missing: 5}, {at: 180, missing: 5}]", 10)[0] == ("wheel.gaps", "at most 8 of 10")
    # a single tooth between two gaps is enough
    assert design_wheel(job_with("[{at: 0, missing: 1}, {at: 20, missing: 1}]")).teeth.missing == 2


def test_every_fault_of_a_list_is_told_at_once() -> None:
    found = faults_of("[{at: 0, missing: 1}, {at: 93, missing: 1}, {at: 201, missing: 1}, {at: 270, missing: 1}]")
    assert [key for key, _ in found] == ["wheel.gaps[1].at", "wheel.gaps[2].at"]


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_several_gaps_are_measured_from_the_stl(tmp_path: Path, turns: str) -> None:
    text = "[{at: 40, missing: 1}, {at: 165, missing: 2}, {at: 280, missing: 1}]"
    job = job_with(text)
    job = job.model_copy(update={"engine": plate_job(turns=turns).engine})
    wheel = design_wheel(job)
    write_stl(tmp_path / "wheel.stl", wheel_solid(wheel, None))
    assert [finding for finding in check_wheel(tmp_path, wheel) if finding.verdict != "pass"] == []
    other = design_wheel(job_with(text.replace("280", "270")).model_copy(update={"engine": job.engine}))
    assert "gap-place" in failed(tmp_path, other)
    assert "gap-count" in failed(tmp_path, design_wheel(plate_job(missing=4, gap_at=35, turns=turns)))


def failed(folder: Path, wheel: WheelDesign) -> set[str]:
    """Checks that wheel.stl fails when it is taken for another wheel."""
    return {finding.check for finding in check_wheel(folder, wheel) if finding.verdict == "fail"}


@pytest.mark.parametrize(
    ("teeth", "gaps", "times"),
    [
        (36, [(0, 1)], 1),
        (36, [(0, 1), (180, 1)], 2),
        (36, [(0, 1), (120, 1), (240, 1)], 3),
        (36, [(0, 1), (125, 2)], 1),
        (12, [(0, 1), (30 * 4, 1)], 1),
        (60, [(0, 0)], 60),
    ],
)
def test_how_often_a_pattern_looks_the_same(teeth: int, gaps: list[tuple[float, int]], times: int) -> None:
    laid = lay_out(teeth, tuple(ToothGap(at, missing) for at, missing in gaps))
    assert repeats(laid) == times
    # by hand: the present positions, turned by a share of the circle
    centres = np.sort(laid.tooth_centres_deg)
    turned = np.sort((centres + 360 / times) % 360)
    assert np.abs(wrap_180(np.sort(np.round(turned, 6)) - np.sort(np.round(centres, 6)))).max() < 1e-5


def test_a_wheel_without_a_gap_has_no_first_tooth_to_tell_the_controller() -> None:
    sensor = "sensor: {kind: hall, at: 60}\n"
    for missing, told in ((0, False), (1, True)):
        job = plate_job(missing=missing, extra=sensor)
        ignition = design_ignition(job.engine, job.sensor, design_wheel(job))
        assert (ignition.told.use_deg is not None) == told
        assert ("no gap" in ignition.told.use_why) != told


def test_a_pattern_that_repeats_or_has_no_gap_is_warned_of() -> None:
    assert pattern(plate_job()).verdict == "pass"
    assert pattern(job_with("[{at: 0, missing: 1}, {at: 120, missing: 1}]")).verdict == "pass"
    twice = pattern(job_with("[{at: 0, missing: 1}, {at: 180, missing: 1}]"))
    assert (twice.check, twice.verdict) == ("gap-pattern", "warn")
    assert "2 times a turn" in str(twice.measured)
    none = pattern(plate_job(missing=0))
    assert (none.check, none.verdict) == ("gap-present", "warn")
    assert "cam" in none.why
    cam = "cam: {style: half-moon, outside_diameter: 60, root_diameter: 50, thickness: 4}\n"
    assert pattern(plate_job(missing=0, extra=cam)).verdict == "pass"


@pytest.mark.parametrize(
    ("teeth", "missing", "meant"),
    [
        (35, 1, (36, 1)), (35, 0, (36, 1)), (58, 2, (60, 2)), (34, 2, (36, 2)), (34, 0, (36, 2)), (23, 1, (24, 1)),
        (11, 1, (12, 1)), (59, 1, (60, 1)), (36, 1, None), (60, 2, None), (12, 1, None), (37, 1, None), (24, 2, None),
    ],
)  # fmt: skip
def test_missing_teeth_that_were_not_counted_in_are_asked_about(
    teeth: int, missing: int, meant: tuple[int, int] | None
) -> None:
    assert meant_instead(teeth, missing) == meant


def test_beside_which_counts_a_missing_tooth_is_asked_about() -> None:
    """The counts that dividing plates and ignition wheels have; common practice, no source."""
    usual = {12, 16, 18, 20, 24, 30, 32, 36, 40, 48, 60, 72, 90, 120, 180, 360}
    asked = {positions + 1 for positions in range(4, 400) if meant_instead(positions, 1)}
    assert asked == {count for count in usual if count - 1 not in usual}


def test_a_wheel_of_35_asks_whether_36_with_1_missing_is_meant() -> None:
    job = plate_job(teeth=35, missing=1, diameter=160)
    asked, _ = pattern_findings(job, design_wheel(job).teeth)
    assert asked.check == "teeth-counted"
    assert asked.verdict == "warn"
    assert asked.why.startswith("36 with 1 missing?")
    assert "34 metal teeth" in asked.why
    assert "teeth: 36, missing: 1" in asked.why
    bare = plate_job(teeth=35, missing=0, diameter=160)
    assert [f.check for f in pattern_findings(bare, design_wheel(bare).teeth)] == ["teeth-counted", "gap-present"]
