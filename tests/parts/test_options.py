"""Patterns side by side: every column against the wheel itself, the table's plain arithmetic, or a closed form."""

from __future__ import annotations

import json
import math
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from tests.conftest import ROOT, demo_text, edited, plate_job
from wheelcad.cli import app
from wheelcad.errors import DesignError, JobError
from wheelcad.job.models import Job, RotaryTable
from wheelcad.job.reader import parse_job
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.options.ground import ground_of
from wheelcad.parts.options.least import LEAST_ROOT, least_diameter
from wheelcad.parts.options.patterns import USUAL, own_pattern, parse_pattern, patterns_for
from wheelcad.parts.options.reach import table_reach
from wheelcad.parts.options.table import OptionTable, option_table, options_of
from wheelcad.parts.options.text import WIDEST, options_text
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.trade import wheel_findings
from wheelcad.trade.indexing import common_circle, dial_setting
from wheelcad.trade.materials import material

PROMISED = (
    "teeth",
    "missing",
    "tooth_top_mm",
    "slot_mm",
    "degrees_per_tooth",
    "tooth_rate_hz",
    "table_exact",
    "cuts",
    "unbalance_g_mm",
    "verdict",
    "reason",
)
SENSOR_RULES = {"tooth-top", "slot-width", "slot-depth", "ring-thickness", "sensing-part", "rim-speed-cranking"}
SLOTS = (
    "{width: 5, depth: 6.35}",
    "{width: 5, depth: 6, floor: flat}",
    "{width: 5, depth: 6, floor: flat, corner_radius: 0.7}",
    "{width: 5, depth: 7, sides: radial, floor: flat, corner_radius: 0.5}",
)


def with_pattern(job: Job, teeth: int, missing: int) -> Job:
    """The job with another pattern."""
    return job.model_copy(update={"wheel": job.wheel.model_copy(update={"teeth": teeth, "missing": missing})})


def row(table: OptionTable, teeth: int, missing: int) -> dict[str, object]:
    """One pattern's row."""
    return next(r for r in table.rows() if (r["teeth"], r["missing"]) == (teeth, missing))


@pytest.mark.parametrize("slot", SLOTS)
def test_teeth_cuts_and_unbalance_are_those_of_the_wheel(slot: str) -> None:
    job = plate_job(slot=slot, gap_at=33.0)
    patterns = [(n, m) for n in (8, 12, 24, 36, 37, 60) for m in (0, 1, 2, 5)]
    table = option_table(ground_of(job), patterns)
    density = material("mild-steel").density_g_mm3 * job.wheel.thickness
    for (n, m), found in zip(patterns, table.rows(), strict=True):
        wheel = design_wheel(with_pattern(job, n, m))
        assert found["tooth_top_mm"] == pytest.approx(wheel.tooth_top_mm, abs=1e-8)
        assert found["cuts"] == len(wheel.slot_centres_deg)
        _, mx, my, _ = wheel.outline.moments()
        assert found["unbalance_g_mm"] == pytest.approx(density * math.hypot(mx, my), abs=1e-6)
        half = math.pi / n - math.radians(wheel.slot.half_deg(wheel.floor_radius_mm))
        assert found["tooth_root_mm"] == pytest.approx(2 * wheel.floor_radius_mm * math.sin(half), abs=1e-8)
        assert found["slot_mm"] == pytest.approx(2 * 80 * math.sin(math.radians(wheel.slot.rim_half_deg)))


def test_holes_of_a_plate_count_with_the_gap() -> None:
    job = plate_job(gap_at=50, extra="pulley: {bolts: {count: 1, circle: 90, hole: 10, first_at: 300}}\n")
    wheel = design_wheel(job)
    inside = sum(np.array(o.loop.oriented().moments()[1:3]) for o in wheel.openings)
    whole = np.array(wheel.outline.moments()[1:3]) - inside
    density = material("mild-steel").density_g_mm3 * job.wheel.thickness
    assert row(options_of(job), 36, 1)["unbalance_g_mm"] == pytest.approx(density * np.hypot(*whole), abs=1e-6)


@pytest.mark.parametrize("ratio", [40, 60, 72, 80, 90, 7])
@pytest.mark.parametrize("step", ["0.05 deg", "0.1 deg", "1'", "7'"])
def test_what_the_table_reaches_setting_by_setting(ratio: int, step: str) -> None:
    plates = [[15, 16, 17, 18, 19, 20], [21, 23, 27, 29, 31, 33], [37, 39, 41, 43, 47, 49]]
    shop = f"shop: {{rotary_table: {{ratio: {ratio}, dial_step: {step}, plates: {plates}}}}}\n"
    table = plate_job(extra=shop).shop.rotary_table
    assert isinstance(table, RotaryTable)
    patterns = [(n, m) for n in (*range(5, 40, 3), 36, 45, 48, 60, 72, 90, 96) for m in (0, 1, 2, 3)]
    teeth, missing = np.array(patterns).T
    found = table_reach(table, teeth, missing)
    circles = [circle for plate in plates for circle in plate]
    for i, (n, m) in enumerate(patterns):
        angles = [Fraction(180, n) * k for k in range(m, 2 * n - m + 1, 2) if k < 2 * n]
        errors = [abs(dial_setting(angle, ratio, table.dial_step).error_deg) for angle in angles]
        assert found.by_dial[i] == (max(errors) < 1e-12)
        assert max(errors) <= found.error_deg[i] + 1e-12
        assert found.error_deg[i] <= table.dial_step / 2 + 1e-12
        assert found.circle[i] == (common_circle(angles, ratio, circles) or 0)


def test_the_chart_agrees_with_the_row() -> None:
    for name in ("tarn-six", "beck-four"):
        job = parse_job(demo_text(name))
        plan = design_indexing(job, design_wheel(job))
        assert plan is not None
        found = row(options_of(job), job.wheel.teeth, job.wheel.missing)
        slots = plan.of_kind("slot")
        assert found["cuts"] == len(slots)
        exact = all(cut.setting is not None and cut.setting.error == 0 for cut in slots)
        assert found["dial_exact"] == exact
        assert found["gap_passes"] <= len(plan.of_kind("gap"))  # the chart moves them onto the dial's marks
        assert found["gap_passes"] >= len(plan.of_kind("gap")) - 1


def test_firing_intervals_in_pitches() -> None:
    six = options_of(parse_job(demo_text("tarn-six")), ["50-1"])
    assert row(six, 36, 1)["pitches_per_firing"] == [12]
    assert row(six, 36, 1)["whole_pitches"] is True
    assert row(six, 50, 1)["whole_pitches"] is False  # 120 degrees are 16 2/3 of 7.2
    assert "16.67 pitches" in str(row(six, 50, 1)["reason"]) or row(six, 50, 1)["verdict"] != "pass"
    twin = options_of(parse_job(demo_text("fell-twin")))
    assert row(twin, 24, 1)["pitches_per_firing"] == [18, 30]
    assert row(twin, 18, 1)["whole_pitches"] is False


def test_the_sections_that_are_missing_give_null() -> None:
    bare = parse_job(
        "job: a\nwheel: {form: plate, teeth: 36, missing: 1, outside_diameter: 160, thickness: 3.2, bore: 40,"
        " slot: {width: 6, depth: 6.35}}\n"
    )
    found = row(options_of(bare), 36, 1)
    assert set(PROMISED) <= set(found)
    for key in ("tooth_rate_hz", "table_exact", "circle", "pitches_per_firing", "whole_pitches", "gap_passes"):
        assert found[key] is None
    assert found["verdict"] == "pass"
    assert "common Hall sensor" in str(found["reason"])


@pytest.mark.parametrize("name", ["tarn-six", "fell-twin", "beck-four"])
def test_verdicts_agree_with_the_wheels_own(name: str) -> None:
    job = parse_job(demo_text(name))
    for found in options_of(job, ["48-2", "8-1", "120-2", "30-0", "180-2"]).rows():
        changed = with_pattern(job, int(str(found["teeth"])), int(str(found["missing"])))
        try:
            findings = wheel_findings(changed, design_wheel(changed))
        except DesignError:
            assert found["verdict"] == "fail"
            continue
        broken = {f.check for f in findings if f.verdict != "pass" and f.check in SENSOR_RULES}
        assert not (broken and found["verdict"] == "pass")


@pytest.mark.parametrize(
    ("changes", "pattern", "verdict", "words"),
    [
        ((), "36-1", "pass", "closest: slot 6.00 mm"),
        ((), "70-1", "warn", "tooth top 1.18 mm, at least 6 mm wanted"),
        ((), "100-1", "fail", "no tooth is left"),
        ((), "8-7", "fail", "fewer than two teeth"),
        ((), "8-1", "warn", "fewer than 12 positions"),
        ((), "24-0", "warn", "no gap"),
        ((), "50-1", "warn", "tooth top"),
        ((("max_tooth_rate: 15 kHz", "max_tooth_rate: 3 kHz"),), "36-1", "fail", "3.12 kHz at 5200 rpm"),
        ((("cutter: {diameter: 6,", "cutter: {diameter: 6.5,"),), "36-1", "fail", "does not go down"),
        ((("thickness: 3.2", "thickness: 2.9"),), "36-1", "warn", "ring 2.90 mm, at least 3 mm wanted"),
        ((("face_diameter: 6", "face_diameter: 3"),), "34-1", "warn", "11.33 pitches"),
        ((("dial_step: 0.05 deg", "dial_step: 1 deg"), ("18,", ""), ("27,", "")), "27-1", "warn", "deg off"),
    ],
)  # fmt: skip
def test_the_one_reason_that_decides(
    changes: tuple[tuple[str, str], ...], pattern: str, verdict: str, words: str
) -> None:
    job = parse_job(edited(demo_text("tarn-six"), *changes))
    teeth, missing = map(int, pattern.split("-"))
    (found,) = option_table(ground_of(job), [(teeth, missing)]).rows()
    assert (found["verdict"], words in str(found["reason"])) == (verdict, True), found["reason"]


def test_a_pickups_wants() -> None:
    text = demo_text("beck-four")
    found = row(options_of(parse_job(text)), 60, 2)
    assert "full signal" in str(found["reason"])
    slow = edited(text, ("cranking_speed: 220 rpm", "cranking_speed: 30 rpm"))
    assert "rim speed" in str(row(options_of(parse_job(slow)), 60, 2)["reason"])


def test_a_sensor_that_looks_along_sees_the_teeth_where_it_stands() -> None:
    text = demo_text("fell-twin")
    for radius, inset in (("", 0.150 * 25.4), ("  radius: 2.2\n", (2.375 - 2.2) * 25.4)):
        job = parse_job(edited(text, ("  from: front\n", "  from: front\n" + radius)))
        table = options_of(job)
        at = table.ground.slot.rim_radius - inset
        half = math.pi / 24 - math.asin(table.ground.slot.width / 2 / at)
        assert table.tooth_seen[table.teeth.tolist().index(24)] == pytest.approx(2 * at * math.sin(half))


def test_the_smallest_diameter_against_the_closed_form() -> None:
    """Tooth and slot as chords side by side: 2R sin(180/n) is the third side of the triangle they make."""
    job = parse_job(demo_text("tarn-six"))
    counts = np.array([12, 18, 24, 36, 60, 120, 360], dtype=float)
    tooth = slot = 6.0  # the sensing part, and the cutter
    b = np.pi / counts
    by_tooth = np.sqrt(tooth**2 + slot**2 + 2 * tooth * slot * np.cos(b)) / np.sin(b)
    root = np.sqrt(LEAST_ROOT**2 + slot**2 + 2 * LEAST_ROOT * slot * np.cos(b)) / np.sin(b) + 2 * job.wheel.slot.depth
    assert least_diameter(ground_of(job), counts) == pytest.approx(np.maximum(by_tooth, root), rel=1e-9)


@pytest.mark.parametrize("name", ["tarn-six", "fell-twin", "beck-four"])
def test_the_smallest_diameter_works_and_a_smaller_one_does_not(name: str) -> None:
    job = parse_job(demo_text(name))
    for found in options_of(job).rows():
        least, slot = found["least_diameter_mm"], found["least_slot_mm"]
        assert isinstance(least, float)
        for share, good in ((1.00001, True), (0.99, False)):
            wheel = job.wheel.model_copy(
                update={
                    "outside_diameter": least * share,
                    "slot": job.wheel.slot.model_copy(update={"width": slot}),
                    "thickness": 20.0,
                }
            )
            ground = ground_of(job.model_copy(update={"wheel": wheel, "balance": None}))
            table = option_table(ground, [(int(str(found["teeth"])), int(str(found["missing"])))])
            wants = ground.wants
            kept = table.tooth_seen[0] >= wants.tooth - 1e-9 and table.tooth_root[0] >= LEAST_ROOT - 1e-9
            kept = kept and ground.cutter_fits and table.slot_seen[0] >= wants.slot - 1e-6
            assert kept == good, (found["teeth"], least, share)


def test_too_many_teeth_a_second_have_no_smallest_diameter() -> None:
    job = parse_job(edited(demo_text("tarn-six"), ("max_tooth_rate: 15 kHz", "max_tooth_rate: 4 kHz")))
    assert row(options_of(job), 60, 2)["least_diameter_mm"] is None
    assert row(options_of(job), 36, 1)["least_diameter_mm"] == pytest.approx(137.553, abs=0.01)


def test_patterns_as_they_are_written() -> None:
    assert parse_pattern("36-1") == (36, 1)
    assert parse_pattern(" 60 - 2 ") == (60, 2)
    assert parse_pattern("24") == (24, 0)
    for wrong in ("36-x", "", "-1", "36-35", "2-0", "721-1", "1e3-1"):
        with pytest.raises(JobError):
            parse_pattern(wrong)
    job = plate_job(teeth=48, missing=3)
    assert patterns_for(job, ["36-1", "50-1"]) == [*USUAL, (48, 3), (50, 1)]
    several = parse_job(
        "job: a\nwheel: {teeth: 40, gaps: [{at: 0, missing: 1}, {at: 90, missing: 1}], outside_diameter: 160,"
        " thickness: 3, slot: {width: 6, depth: 6}}\n"
    )
    assert own_pattern(several) is None
    assert patterns_for(several) == list(USUAL)  # a single number of missing teeth would not tell that pattern


def test_a_slot_that_cannot_be_is_a_fault_and_a_pattern_that_cannot_be_is_a_row() -> None:
    with pytest.raises(JobError) as caught:
        options_of(plate_job(slot="{width: 6, depth: 90}"))
    assert caught.value.faults[0].dotted == "wheel.slot.depth"
    assert caught.value.faults[0].line
    assert row(options_of(plate_job(teeth=90)), 90, 1)["verdict"] == "fail"  # the job's own wheel has no teeth left


@pytest.mark.parametrize("name", ["tarn-six", "fell-twin", "beck-four"])
def test_the_text_fits_the_terminal(name: str) -> None:
    job = parse_job(demo_text(name))
    text = options_text(options_of(job, ["720-2", "123-45", "12"]), (job.wheel.teeth, job.wheel.missing))
    assert max(map(len, text.splitlines())) <= WIDEST
    for teeth, missing in USUAL:
        assert f"{teeth}-{missing}" in text
    assert f"{job.wheel.teeth}-{job.wheel.missing}*" in text
    assert text == "\n".join(line.rstrip() for line in text.splitlines())


def test_many_different_firing_intervals_stay_short() -> None:
    text = edited(
        demo_text("tarn-six"),
        ("  spark: wasted", "  spark: wasted\n  firing_angles: [0, 90, 230, 360, 450, 600]"),
    )
    shown = options_text(options_of(parse_job(text)))
    assert "9..15" in shown  # 90, 120, 130, 140 and 150 degrees of 10
    assert max(map(len, shown.splitlines())) <= WIDEST


def test_the_command(tmp_path: Path) -> None:
    run = CliRunner()
    demo = str(ROOT / "configs" / "tarn-six.yaml")
    plain = run.invoke(app, ["options", demo])
    assert plain.exit_code == 0
    assert "36-1*" in plain.output
    found = run.invoke(app, ["options", demo, "--pattern", "48-2", "--pattern", "30-1", "--json"])
    rows = json.loads(found.output)["rows"]
    assert [(r["teeth"], r["missing"]) for r in rows] == [*USUAL, (48, 2), (30, 1)]
    assert set(PROMISED) <= set(rows[0])
    wrong = run.invoke(app, ["options", demo, "--pattern", "x"])
    assert isinstance(wrong.exception, JobError)  # main() turns it into one message and exit code 2
