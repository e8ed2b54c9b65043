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
from tests.unit_jobs import INCH_SIX, METRIC
from wheelcad.cli import app
from wheelcad.errors import DesignError, JobError
from wheelcad.job.models import Job, RotaryTable
from wheelcad.job.reader import parse_job
from wheelcad.parts.indexing.design import design_indexing
from wheelcad.parts.options.choose import least_diameter
from wheelcad.parts.options.patterns import USUAL, own_pattern, parse_pattern, patterns_for
from wheelcad.parts.options.reach import table_reach
from wheelcad.parts.options.row import option_of
from wheelcad.parts.options.start import edges_of
from wheelcad.parts.options.table import OptionTable, option_table, options_of
from wheelcad.parts.options.text import WIDEST, options_text
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.trade import wheel_findings
from wheelcad.signal.report import signal_report
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
    table = option_table(job, patterns)
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
    circles = [circle for plate in plates for circle in plate]
    for n in (*range(5, 40, 3), 36, 45, 48, 60, 72, 90, 96):
        for m in (0, 1, 2, 3):
            found = table_reach(table, n, m)
            angles = [Fraction(180, n) * k for k in range(m, 2 * n - m + 1, 2) if k < 2 * n]
            errors = [abs(dial_setting(angle, ratio, table.dial_step).error_deg) for angle in angles]
            assert found.by_dial == (max(errors) < 1e-12)
            assert max(errors) <= found.error_deg + 1e-12
            assert found.error_deg <= table.dial_step / 2 + 1e-12
            assert found.circle == common_circle(angles, ratio, circles)


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
    for key in ("tooth_rate_hz", "table_exact", "circle", "pitches_per_firing", "whole_pitches"):
        assert found[key] is None
    assert found["verdict"] == "pass"


@pytest.mark.parametrize("name", ["tarn-six", "fell-twin", "beck-four"])
def test_verdicts_agree_with_the_wheels_own(name: str) -> None:
    job = parse_job(demo_text(name))
    table = options_of(job, ["48-2", "8-1", "120-2", "30-0", "180-2"])
    for found in table.rows():
        changed = with_pattern(job, int(str(found["teeth"])), int(str(found["missing"])))
        try:
            findings = wheel_findings(changed, design_wheel(changed))
        except DesignError:
            assert found["verdict"] == "fail"
            continue
        broken = {f.check for f in findings if f.verdict != "pass" and f.check in SENSOR_RULES}
        shared = {f.check for f in table.choice.shared}
        assert not (broken - shared and found["verdict"] == "pass")


@pytest.mark.parametrize(
    ("changes", "pattern", "verdict", "words"),
    [
        ((), "36-1", "pass", "closest: sensing part 6 mm, at least 6 mm"),
        ((), "70-1", "warn", "tooth top 1.18 mm, at least 2 mm"),
        ((), "100-1", "fail", "no tooth"),
        ((), "8-1", "warn", "positions 8, at least 12"),
        ((), "24-0", "warn", "no gap"),
        ((), "50-1", "warn", "sensing part 4.05 mm, at least 6 mm"),
        ((("face_diameter: 6", "face_diameter: 3"),), "50-1", "warn", "16.67 pitches"),
        ((("max_tooth_rate: 15 kHz", "max_tooth_rate: 3 kHz"),), "36-1", "fail", "tooth rate 3.12 kHz, at most 3 kHz"),
        ((("cutter: {diameter: 6,", "cutter: {diameter: 6.5,"),), "36-1", "fail", "slot cutter 6.5 mm, at most 6 mm"),
        ((("thickness: 3.2", "thickness: 2.9"),), "36-1", "warn", "ring thickness 2.9 mm, at least 3 mm"),
        ((("face_diameter: 6", "face_diameter: 3"),), "34-1", "warn", "11.33 pitches"),
        ((("dial_step: 0.05 deg", "dial_step: 1 deg"), ("18,", ""), ("27,", "")), "27-1", "warn", "setting error"),
    ],
)
def test_the_one_reason_that_decides(
    changes: tuple[tuple[str, str], ...], pattern: str, verdict: str, words: str
) -> None:
    job = parse_job(edited(demo_text("tarn-six"), *changes, ("material: grey-iron", "material: ductile-iron")))
    teeth, missing = map(int, pattern.split("-"))
    (found,) = option_table(job, [(teeth, missing)]).rows()
    assert (found["verdict"], words in str(found["reason"])) == (verdict, True), found["reason"]


def test_a_pickups_wants() -> None:
    text = demo_text("beck-four")
    table = options_of(parse_job(text))
    assert "slot-width" in [str(f.check) for f in table.choice.shared]  # no slot of this blank gives the full signal
    slow = options_of(parse_job(edited(text, ("cranking_speed: 220 rpm", "cranking_speed: 30 rpm"))))
    assert "rim-speed-cranking" in [str(f.check) for f in slow.choice.shared]


@pytest.mark.parametrize(("teeth", "tooth"), [(12, 6.0), (36, 2.0), (60, 6.0), (360, 1.0)])
def test_the_diameter_a_pattern_needs(teeth: int, tooth: float) -> None:
    """On a wheel of that diameter the tooth is as wide as asked, and on one a per cent smaller it is not."""
    job = plate_job()
    wanted = least_diameter(option_of(job, (teeth, 1)), tooth)
    for share, good in ((1.0, True), (0.99, False)):
        size = {"teeth": teeth, "outside_diameter": wanted * share, "bore": 1.0}
        wheel = design_wheel(job.model_copy(update={"wheel": job.wheel.model_copy(update=size)}))
        assert (wheel.tooth_top_mm >= tooth - 1e-9) == good


def test_a_gap_longer_than_from_spark_to_spark_is_refused() -> None:
    job = parse_job(demo_text("tarn-six"))  # a spark every 120 degrees; the gap of 36-12 is 130 from tooth to tooth
    table = options_of(job, ["36-12", "36-10"])
    found = row(table, 36, 12)
    assert found["verdict"] == "fail"
    assert "130°, at most 120°" in str(found["reason"])
    assert row(table, 36, 10)["verdict"] == "warn"  # 110 degrees: some spark is still timed by a tooth
    bare = plate_job()
    assert row(options_of(bare, ["36-12"]), 36, 12)["verdict"] == "warn"  # nobody knows when this engine fires
    assert row(options_of(bare), 12, 1)["verdict"] == "pass"  # 60 degrees


@pytest.mark.parametrize("name", ["tarn-six", "fell-twin", "beck-four"])
def test_one_pattern_is_recommended_and_nothing_better_is_passed_over(name: str) -> None:
    job = parse_job(demo_text(name))
    table = options_of(job, ["36-12", "8-1"])
    best = table.choice.best
    assert best is not None
    rank = {"pass": 0, "note": 1, "warn": 2, "fail": 3}
    verdicts = dict(zip([o.name for o in table.options], table.choice.verdicts, strict=True))
    assert rank[verdicts[best.name]] == min(rank[v] for v in verdicts.values())
    alike = [o.teeth for o in table.options if verdicts[o.name] == verdicts[best.name]]
    assert best.teeth == max(alike)
    assert [r["recommended"] for r in table.rows()].count(True) == 1
    assert f"Take {best.name}. " in options_text(table)


def test_where_none_can_be_read_none_is_recommended() -> None:
    job = parse_job(edited(demo_text("tarn-six"), ("max_tooth_rate: 15 kHz", "max_tooth_rate: 0.6 kHz")))
    table = options_of(job)
    assert table.choice.best is None
    assert "not one can be made" in options_text(table)


def test_what_every_pattern_shares_is_said_once_and_decides_nothing() -> None:
    text = edited(demo_text("tarn-six"), ("thickness: 3.2", "thickness: 2.9"))
    table = options_of(parse_job(text))
    assert [str(f.check) for f in table.choice.shared].count("ring-thickness") == 1
    assert row(table, 36, 1)["verdict"] == "pass"
    assert options_text(table).count("Whatever the pattern: ring thickness 2.9 mm, at least 3 mm") == 1


def test_what_was_measured_is_told_in_the_jobs_units() -> None:
    inches = options_text(options_of(parse_job(INCH_SIX)))
    assert "rim speed 142 ft/s, at most 100 ft/s" in inches  # π x 6 1/4 in x 5200 rpm = 141.8 ft/s
    assert not METRIC.search(inches)
    assert "rim speed 43.6 m/s, at most 30.5 m/s" in options_text(options_of(parse_job(demo_text("tarn-six"))))


def test_patterns_as_they_are_written() -> None:
    assert parse_pattern("36-1") == (36, 1)
    assert parse_pattern(" 60 - 2 ") == (60, 2)
    assert parse_pattern("24") == (24, 0)
    for wrong, why in {
        **dict.fromkeys(("36-x", "", "-1", "1e3-1"), "is not a pattern"),
        "36-35": "at most 34 of 36",
        **dict.fromkeys(("2-0", "721-1"), "3 to 720 positions"),
    }.items():
        with pytest.raises(JobError, match=why):
            parse_pattern(wrong)
    assert (parse_pattern("3-1"), parse_pattern("720"), parse_pattern("36-34")) == ((3, 1), (720, 0), (36, 34))
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
        options_of(plate_job(slot="{width: 6, depth: 90}"))  # whatever the pattern
    assert caught.value.faults[0].dotted == "wheel.slot.depth"
    assert caught.value.faults[0].line
    assert row(options_of(plate_job(teeth=90)), 90, 1)["verdict"] == "fail"  # the job's own wheel has no teeth left


@pytest.mark.parametrize("name", ["tarn-six", "fell-twin", "beck-four"])
def test_the_text_fits_the_terminal(name: str) -> None:
    job = parse_job(demo_text(name))
    text = options_text(options_of(job, ["720-2", "123-45", "12"]))
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


def test_the_starter_decides_where_the_sensor_does_not() -> None:
    """The numbers are those of `signal` for the same wheel; a pattern the controller loses is not recommended."""
    job = parse_job(demo_text("tarn-six"))
    table = options_of(job)
    for option, start in zip(table.options, table.starts, strict=True):
        assert start is not None
        assert option.wheel is not None
        changed = with_pattern(job, option.teeth, option.missing)
        sync = signal_report(changed, edges_of(changed, option.wheel), field=False)["sync"]
        assert start.margin == pytest.approx(sync["margin"], abs=1e-5)
        verdict = row(table, option.teeth, option.missing)["verdict"]
        assert verdict != "pass" or start.margin > 1
    assert row(table, 12, 1)["verdict"] == "warn"
    assert "sync margin" in str(row(table, 12, 1)["reason"])
    assert "controller.ratio" in options_text(table)  # said to be assumed
    told = options_text(options_of(parse_job(demo_text("tarn-six") + "controller: {ratio: 1.5, compares: last}\n")))
    assert "controller.ratio" not in told
