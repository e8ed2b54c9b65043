"""`wheelcad signal` and `wheelcad budget`: where their edges come from, and what a build says of both."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.conftest import ROOT, demo_text
from tests.survey.jobs import survey_job
from wheelcad.errors import JobError
from wheelcad.job.reader import load_job, parse_job
from wheelcad.parts.places import settled
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.signal.tolerances import work_of
from wheelcad.signalled import budget_output, built_folder, can_be_seen, edges_of, signal_output, with_survey

TWIN = ROOT / "configs" / "fell-twin.yaml"


def test_without_a_build_the_designs_edges_are_used_and_said(tmp_path: Path) -> None:
    said = json.loads(signal_output(TWIN, tmp_path, as_json=True))
    rows = {row["key"]: row["value"] for row in said["inputs"]}
    assert "design" in rows["edges"]
    assert len(said["gap_map"]) == 360
    assert {"sync", "best_gap_at_deg", "best_sensor_at_deg", "edge", "sparks", "wires_swapped"} <= set(said)


def test_a_build_of_another_job_file_is_not_measured(tmp_path: Path) -> None:
    """The manifest's hash must be the job's, and wheel.stl as it was written."""
    job = load_job(TWIN)
    folder = tmp_path / job.job
    folder.mkdir()
    (folder / "wheel.stl").write_bytes(b"none")
    kept = {"job": {"sha256": "0" * 64}, "files": [{"name": "wheel.stl", "size": 4, "sha256": "0"}]}
    (folder / "manifest.json").write_text(json.dumps(kept))
    assert built_folder(job, tmp_path) is None
    kept["job"] = {"sha256": job.source.sha256}
    (folder / "manifest.json").write_text(json.dumps(kept))
    assert built_folder(job, tmp_path) is None  # the file is not what was written
    edges, where = edges_of(job, tmp_path)
    assert (edges.source, where) == ("design", None)


def test_what_is_missing_is_told_with_its_line(tmp_path: Path) -> None:
    bare = tmp_path / "bare.yaml"
    bare.write_text(
        "job: bare\nwheel: {teeth: 36, missing: 1, outside_diameter: 160, thickness: 4, bore: 40,"
        " slot: {width: 6, depth: 6}}\nsensor: {kind: hall, at: 60}\n"
    )
    assert not can_be_seen(load_job(bare))
    for ask in (signal_output, budget_output):
        with pytest.raises(JobError, match=r"engine.*is missing"):
            ask(bare, tmp_path, True)
    bare.write_text(bare.read_text().replace("sensor: {kind: hall, at: 60}\n", ""))
    with pytest.raises(JobError, match=r"sensor.*is missing"):
        signal_output(bare, tmp_path, True)


def test_the_budgets_numbers_have_their_names(tmp_path: Path) -> None:
    said = json.loads(budget_output(TWIN, tmp_path, as_json=True))
    assert {
        "spacing_95_deg", "before_trim_95_deg", "after_trim_95_deg", "per_cylinder", "sd", "shares", "best_change",
        "inputs",
    } <= set(said)  # fmt: skip
    assert said["after_trim_95_deg"] == max(row["after_95_deg"] for row in said["per_cylinder"])
    assert said["sd"]["monte_carlo_deg"] == pytest.approx(said["sd"]["closed_form_deg"], rel=5e-3)


def test_a_text_is_in_the_jobs_unit(tmp_path: Path) -> None:
    job = tmp_path / "twin.yaml"
    job.write_text(demo_text("fell-twin"))
    text = signal_output(job, tmp_path, as_json=False)
    assert " mm" not in text
    assert " in" in text


def test_the_survey_s_own_spread_is_the_sensor_s_place() -> None:
    """Read twice as badly, the mounts are known half as well, and so is the sensor's place before the trim. A tolerance
    that the job gives is taken before it; without a survey it is assumed."""

    def sensor_mm(text: str) -> tuple[float, dict[str, bool]]:
        job = settled(parse_job(text))
        assert job.sensor is not None
        work = work_of(job, designed_edges(design_wheel(job), job.sensor), with_survey(job, {}))
        return work.sensor_angle_mm, {row.key: row.given for row in work.rows}

    fine, keys = sensor_mm(survey_job())
    rough, _ = sensor_mm(survey_job().replace("read_to: 0.5", "read_to: 1.0"))
    assert rough == pytest.approx(2 * fine, rel=0.02)
    assert keys["survey's ± of the mounts"]
    assert "tolerances.sensor_angle" not in keys
    said, keys = sensor_mm(survey_job() + "tolerances: {sensor_angle: 0.7}\n")
    assert said == 0.7
    assert keys["tolerances.sensor_angle"]
    assumed, keys = sensor_mm(demo_text("tarn-six"))
    assert assumed == 1.0
    assert not keys["tolerances.sensor_angle"]
