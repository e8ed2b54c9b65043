"""The report: its keys, what is assumed, volts, findings, words and pictures."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

import pytest

from tests.signal.wheels import POLE, edges_of, job_of
from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.signal.advice import BETTER, LEAST_MARGIN, best, here, signal_findings
from wheelcad.signal.faults import SAFE, fault_table
from wheelcad.signal.picture import cranking_svg, gap_map_svg, scope_svg
from wheelcad.signal.report import signal_of, signal_report
from wheelcad.signal.text import signal_text
from wheelcad.signal.trace import cranking, scope
from wheelcad.words import Words, unwritten

LEVEL = {"volts": 1.2, "at": "100 rpm", "gap": 0.75}


def report_of(job: Job, field: bool = False) -> dict[str, Any]:
    return signal_report(job, edges_of(job), field=field)


def test_the_keys_are_the_settled_ones() -> None:
    report = report_of(job_of(4, sensor=POLE), field=True)
    assert set(report) - {"seen", "coils", "instead"} == {
        "sync", "gap_map", "best_gap_at_deg", "best_sensor_at_deg", "cranking_dip_limit", "least_rpm_for_teeth",
        "edge", "sparks", "wires_swapped", "inputs",
    }  # fmt: skip
    assert set(report["sync"]) == {"last", "both", "margin", "turns_to_sync"}
    assert [row["gap_passes_deg"] for row in report["gap_map"]] == list(range(360))
    assert set(report["gap_map"][0]) == {"gap_passes_deg", "margin", "spark_error_deg", "clear_deg"}
    assert set(report["cranking_dip_limit"]) == {"here", "best"}
    assert set(report["edge"]) == {"element", "level_over_iron", "on", "use_deg"}
    assert set(report["wires_swapped"]) == {"intervals", "syncs"}
    assert [spark["cylinder"] for spark in report["sparks"]] == [1, 2, 3, 4]
    for key in ("us", "charge_ms", "error_deg"):
        assert set(report["sparks"][0][key]) == {"cranking", "idle", "top"}
    assert isinstance(report["sparks"][0]["tooth"], int)
    assert isinstance(report["sparks"][0]["coil_on_tooth"], int)
    assert all(set(row) == {"key", "value", "given"} for row in report["inputs"])
    assert json.loads(json.dumps(report, allow_nan=False)) == report


def test_the_map_s_place_of_this_job_says_what_sync_says() -> None:
    for field in (False, True):
        report = report_of(job_of(4, sensor=POLE), field=field)
        assert here(report)["margin"] == pytest.approx(report["sync"]["margin"], abs=1e-6)
        there = best(report)
        assert there is not None
        assert there["margin"] == pytest.approx(max(row["margin"] for row in report["gap_map"]), abs=1e-4)
        assert (60 - report["best_gap_at_deg"]) % 360 == there["gap_passes_deg"]
        assert report["best_sensor_at_deg"] == there["gap_passes_deg"]


def test_every_assumed_input_is_printed() -> None:
    job = job_of(6)
    report = report_of(job)
    assumed = [row for row in report["inputs"] if not row["given"]]
    keys = {row["key"] for row in assumed}
    assert keys >= {
        "engine.cranking_dip", "engine.compression", "engine.advance.cranking", "engine.advance.least",
        "engine.advance.most", "engine.dwell", "engine.idle_speed", "engine.cranking_speed", "sensor.element",
        "sensor.times_on", "sensor.output", "sensor.delay", "sensor.needs_teeth", "sensor.least_tooth_rate",
        "controller.ratio", "controller.compares", "controller.filter",
    }  # fmt: skip
    text = signal_text(report)
    printed = text[text.index("Assumed") :]
    for row in assumed:
        assert f"  {row['key']}: " in printed
    given = {row["key"] for row in report["inputs"] if row["given"]}
    assert {"engine.cylinders", "sensor.at", "sensor.air_gap", "sensor.face_diameter"} <= given


@pytest.mark.parametrize(
    ("section", "key", "value"),
    [("engine", "cranking_dip", 0.6), ("engine", "compression", 9.5), ("engine", "dwell", 3.2),
     ("sensor", "delay", "12 us"), ("controller", "ratio", 1.6), ("controller", "compares", "both")],
)  # fmt: skip
def test_what_is_given_is_taken_and_marked_given(section: str, key: str, value: Any) -> None:
    job = job_of(6, **{section: {key: value}})
    row = next(row for row in report_of(job)["inputs"] if row["key"] == f"{section}.{key}")
    assert row["given"]
    assert row["value"] == (0.012 if value == "12 us" else value)


def test_only_what_results_rest_on_is_listed() -> None:
    """A Hall sensor has no arming and no second element; a pickup no least tooth rate and no output."""
    hall = {row["key"] for row in report_of(job_of(4))["inputs"]}
    pole = {row["key"] for row in report_of(job_of(4, sensor=POLE))["inputs"]}
    two = {row["key"] for row in report_of(job_of(4, sensor={"element": "hall-differential"}))["inputs"]}
    assert "controller.arming" in pole - hall
    assert {"sensor.least_tooth_rate", "sensor.output"} <= hall - pole
    assert "sensor.element_spacing" in two - hall


def test_removing_level_removes_every_volt() -> None:
    bare = job_of(4, sensor=POLE, controller={"least_volts": 0.4})
    report = report_of(bare, field=True)
    said = json.dumps(report) + signal_text(report)
    assert "volt" not in said.lower()
    assert " V " not in said
    assert report["least_rpm_for_teeth"] is None
    with_point = report_of(job_of(4, sensor={**POLE, "level": LEVEL}), field=True)
    assert with_point["seen"]["volts_peak_to_peak"]["cranking"] == pytest.approx(2.4)
    assert "2.40 V peak to peak" in signal_text(with_point)
    assert with_point["least_rpm_for_teeth"] > 0


def test_a_larger_gap_than_the_point_s_leaves_less() -> None:
    near = report_of(job_of(4, sensor={**POLE, "level": LEVEL}), field=True)
    far = report_of(job_of(4, sensor={**POLE, "level": LEVEL, "air_gap": 1.0}), field=True)
    assert far["seen"]["volts_peak_to_peak"]["top"] < 0.8 * near["seen"]["volts_peak_to_peak"]["top"]


def test_a_bad_place_warns_with_a_better_one_that_is_better() -> None:
    """Four cylinders, dip .5: a gap that passes just after TDC is missed; the better place named brings its margin."""
    job = job_of(4, gap_at=35)
    report = report_of(job)
    finding = next(f for f in signal_findings(report) if f.check == "sync-margin")
    assert finding.verdict == "warn"
    assert report["sync"]["margin"] < LEAST_MARGIN
    there = best(report)
    assert there is not None
    assert there["margin"] > report["sync"]["margin"] + BETTER
    why = Words("mm").text(finding.why)
    assert ("misses" in why) == (report["sync"]["margin"] <= 1)
    assert f"gap_at: {report['best_gap_at_deg']:g} deg" in why
    assert f"sensor.at: {report['best_sensor_at_deg']:g} deg" in why
    moved = report_of(job_of(4, gap_at=report["best_gap_at_deg"]))
    assert moved["sync"]["margin"] == pytest.approx(there["margin"], abs=1e-5)
    assert next(f for f in signal_findings(moved) if f.check == "sync-margin").verdict == "pass"


def test_findings_are_said_in_the_job_s_unit() -> None:
    job = job_of(4, sensor={**POLE, "kind": "hall", "element": "hall-fixed", "air_gap_range": [0.5, 1.4]})
    found = [f for f in signal_findings(report_of(job, field=True)) if f.check == "switches-at-gap"]
    assert [f.verdict for f in found] == ["warn"]
    assert not unwritten(Words("in").text(found[0].why))
    assert "1.4 mm" in Words("mm").text(found[0].why)


def test_coils_without_time_are_warned_of() -> None:
    job = job_of(8, engine={"spark": "distributor", "max_speed": 6000})
    finding = next(f for f in signal_findings(report_of(job)) if f.check == "coil-charge")
    assert finding.measured == pytest.approx(90 / (6 * 6000) * 1000)
    assert finding.verdict == "warn"


def test_a_ratio_that_no_gap_reaches_is_said() -> None:
    report = report_of(job_of(4, controller={"ratio": 2.5}))
    assert report["sync"]["margin"] is None
    finding = next(f for f in signal_findings(report) if f.check == "sync-margin")
    assert finding.verdict == "warn"
    assert "controller.ratio" in finding.why
    assert signal_text(report)


def test_coils_are_told_by_how_they_are_wired() -> None:
    """1-3-4-2 pairs 1 with 4 and 3 with 2; a three on wasted spark has a coil each; a distributor its rotor."""
    four = report_of(job_of(4, order=[1, 3, 4, 2]))
    assert four["coils"]["pairs"] == [[1, 4], [3, 2]]
    assert "share a coil: 1 and 4, 3 and 2" in signal_text(four)
    three = report_of(job_of(3, order=[1, 3, 2]))
    assert three["coils"]["pairs"] == []
    assert {one["cylinder"]: one["at_deg"] for one in three["coils"]["each_turn"]} == {1: 0, 2: 120, 3: 240}
    assert "a coil each, fired every turn" in signal_text(three)
    distributor = report_of(job_of(4, engine={"spark": "distributor"}))
    assert distributor["coils"] == {"pairs": [], "each_turn": [], "rotor_meets_post_deg": 17.5}
    assert "17.5° of distributor" in signal_text(distributor)


def test_the_map_needs_no_field_and_no_pictures() -> None:
    """options and the design page load this: neither scikit-fem nor scipy nor matplotlib may come with it."""
    code = (
        "import sys; import wheelcad.signal.report, wheelcad.signal.text, wheelcad.signal.faults;"
        "print(sorted({'skfem', 'scipy', 'matplotlib', 'cadquery', 'trimesh'} & set(sys.modules)))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


def test_a_wheel_without_a_gap_says_so() -> None:
    report = report_of(job_of(4, 12, 0))
    assert report["sync"]["margin"] is None
    assert report["gap_map"] == []
    assert report["best_gap_at_deg"] is None
    assert report["edge"]["use_deg"] is None
    assert "no gap" in signal_text(report)
    with pytest.raises(ValueError, match="no gap map"):
        gap_map_svg(report)


def test_what_the_job_lacks_is_named_all_at_once() -> None:
    job = job_of(4)
    bare = job.model_copy(update={"engine": None, "sensor": None})
    with pytest.raises(DesignError) as caught:
        signal_report(bare, edges_of(job))
    assert [fault.key for fault in caught.value.faults] == [("engine",), ("sensor",)]
    assert job.engine is not None
    unknown = job.model_copy(update={"engine": job.engine.model_copy(update={"cylinders": None, "firing_order": None})})
    with pytest.raises(DesignError, match=r"engine\.cylinders"):
        signal_report(unknown, edges_of(job))


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("kind", ["hall", "reluctance"])
def test_the_text_fits_eighty_columns_and_has_every_part(units: str, kind: str) -> None:
    text = signal_text(report_of(job_of(6, sensor={**POLE, "kind": kind}), field=kind == "reluctance"), units)
    assert max(map(len, text.splitlines())) <= 80
    assert not unwritten(text)
    for head in ("On the starter", "Edge", "Sparks", "Given", "Assumed"):
        assert f"\n{head}" in "\n" + text
    assert (" in" in text) == (units == "in") or units == "mm"
    assert ("0.75 mm" in text) == (units == "mm")


def test_pictures_are_the_same_to_the_byte() -> None:
    job = job_of(4, sensor=POLE)
    signal = signal_of(job, edges_of(job))
    report = signal.report()
    trace = scope(signal)
    assert trace is not None
    drawn = gap_map_svg(report)
    assert drawn == gap_map_svg(report)
    assert "margin" in drawn
    assert scope_svg(trace) == scope_svg(trace)
    assert "found by the controller" in cranking_svg(cranking(signal))


def test_the_report_is_the_same_twice() -> None:
    job = job_of(5)
    assert json.dumps(report_of(job)) == json.dumps(report_of(job))


def test_the_fault_table_is_for_this_sensor() -> None:
    pole, hall = list(fault_table(job_of(4, sensor=POLE))), list(fault_table(job_of(4)))
    assert any("wires are swapped" in row.likely for row in pole)
    assert not any("wires are swapped" in row.likely for row in hall)
    assert any("pull-up" in row.likely for row in hall)
    assert all(row.seen and row.likely and row.do for row in [*pole, *hall])
    own = list(fault_table(job_of(4, engine={"spark": "per-cylinder"})))
    assert any("360" in row.seen for row in own)
    assert "earthed" in SAFE
    with pytest.raises(ValueError, match="without a sensor"):
        list(fault_table(job_of(4).model_copy(update={"sensor": None})))
