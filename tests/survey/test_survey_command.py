"""The survey of a job file: what is said, what goes into the file, what a build then uses."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import ROOT, demo_text
from tests.survey.jobs import READINGS, survey_job
from wheelcad.errors import DesignError
from wheelcad.job.reader import load_job, parse_job
from wheelcad.parts.places import front_as_found_z, settled
from wheelcad.survey.from_job import known_points, survey_of
from wheelcad.survey.text import distances_text
from wheelcad.surveying import survey_command

TRUE = {"m1": (-132.0, 88.0), "m2": (-132.0, 138.0)}  # the readings are these lengths to the nearest 0.1
WRONG = READINGS.replace("155.9", "150.9")


def job_file(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "job.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_places_and_their_radius_are_told_in_text_and_in_json(tmp_path: Path) -> None:
    outcome = survey_command(job_file(tmp_path, survey_job()))
    assert outcome.verdict == "pass"
    for point in outcome.data["points"]:
        x, y = TRUE[point["name"]]
        assert abs(point["x_mm"] - x) < point["within_95_mm"] < 2.0
        assert abs(point["y_mm"] - y) < point["within_95_mm"]
        assert point["z_mm"] == pytest.approx(9.6 - 38.0)  # the ring's middle is 8 + 3.2/2 behind the turned front face
    assert set(outcome.data) == {"points", "residuals", "photos", "wrong"}
    assert outcome.data["residuals"][0].keys() == {"from", "to", "is_mm", "fits_mm"}
    assert "-131.9" in outcome.text
    assert "±0.5 mm" in outcome.text


def test_an_inch_job_is_told_in_inches_alone() -> None:
    inches = parse_job(survey_job()).model_copy(update={"units": "in"})
    said = distances_text(inches, survey_of(inches, 9.6, -28.4))
    assert "x in" in said
    assert "-5.19" in said  # 131.9 mm
    assert "mm" not in said


def test_write_puts_x_and_y_in_and_a_build_uses_them(tmp_path: Path) -> None:
    path = job_file(tmp_path, survey_job())
    outcome = survey_command(path, write=True)
    text = path.read_text(encoding="utf-8")
    assert "# the lower" in text
    assert len(text.splitlines()) == len(survey_job().splitlines())
    job = load_job(path)
    for mount, point in zip(job.bracket.mounts, outcome.data["points"], strict=True):
        assert (mount.x, mount.y) == pytest.approx((point["x_mm"], point["y_mm"]), abs=0.0051)
    assert "bracket.mounts[0].x: -131.9" in outcome.text
    # once more: the survey finds the same, whatever the job now says
    assert survey_command(path).data == outcome.data


def test_a_wrong_reading_is_named_fails_and_is_not_written(tmp_path: Path) -> None:
    path = job_file(tmp_path, survey_job(WRONG))
    outcome = survey_command(path)
    assert outcome.verdict == "fail"
    assert "bolt-3 to m1 is 5 mm shorter than the others allow" in outcome.text
    assert [entry["from"] for group in outcome.data["wrong"] for entry in group] == ["bolt-3"]
    before = path.read_bytes()
    with pytest.raises(DesignError, match=r"job\.yaml:\d+:\d+: survey\.readings\[2\]: bolt-3 to m1 is 5 mm shorter"):
        survey_command(path, write=True)
    assert path.read_bytes() == before


def test_a_build_takes_its_mounts_from_the_survey_and_refuses_a_wrong_one() -> None:
    mounts = settled(parse_job(survey_job())).bracket.mounts
    assert (mounts[0].x, mounts[0].y) == pytest.approx(TRUE["m1"], abs=0.5)
    with pytest.raises(DesignError, match="read it again"):
        settled(parse_job(survey_job(WRONG)))


def test_nothing_to_spare_is_said(tmp_path: Path) -> None:
    pairs = [("centre", "m1", 158.6), ("bolt-3", "m1", 155.9), ("centre", "m2", 191.0), ("bolt-3", "m2", 195.9)]
    readings = ", ".join(f"{{from: {a}, to: {b}, is: {mm}}}" for a, b, mm in pairs)
    job = survey_job(f"[{readings}]", "  clock: {m1: 10 o'clock, m2: 10:30}\n")
    outcome = survey_command(job_file(tmp_path, job))
    assert "a wrong one cannot be found" in outcome.text


def test_a_job_without_readings_is_told_what_is_missing(tmp_path: Path) -> None:
    with pytest.raises(DesignError, match="holds the distances that were read on the engine"):
        survey_command(job_file(tmp_path, demo_text("tarn-six")))


@pytest.mark.parametrize(("turns", "side"), [("clockwise", 1.0), ("anticlockwise", -1.0)])
def test_bolt_numbers_rise_the_way_the_crank_turns(turns: str, side: float) -> None:
    job = parse_job(survey_job().replace("turns: clockwise", f"turns: {turns}"))
    points = known_points(job, front_as_found_z(job))
    # first_at 45 degrees of a circle of 80: bolt-1 is up and to the side that the crank turns to
    assert points["bolt-1"] == pytest.approx((side * 28.2843, 28.2843, 9.6), abs=1e-3)
    assert points["bolt-2"] == pytest.approx((side * 28.2843, -28.2843, 9.6), abs=1e-3)


def wheelcad(*arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the program."""
    command = [sys.executable, "-m", "wheelcad", *arguments]
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    return subprocess.run(command, env=env, capture_output=True, text=True, encoding="utf-8", check=False)


def test_the_program_gives_json_and_exit_1_for_a_wrong_reading(tmp_path: Path) -> None:
    sound = wheelcad("survey", str(job_file(tmp_path, survey_job())), "--json")
    assert sound.returncode == 0
    assert [point["name"] for point in json.loads(sound.stdout)["points"]] == ["m1", "m2"]
    wrong = wheelcad("survey", str(job_file(tmp_path, survey_job(WRONG))))
    assert wrong.returncode == 1
    assert "WRONG: bolt-3 to m1" in wrong.stdout


def test_photographs_follow_their_option_as_a_shell_spreads_them(tmp_path: Path) -> None:
    path = str(job_file(tmp_path, survey_job()))
    absent = wheelcad("survey", path, "--photos", "a.jpg", "b.jpg", "--bars", "150,200")
    assert absent.returncode == 2
    assert "a.jpg: cannot be read" in absent.stderr
    assert "b.jpg: cannot be read" in absent.stderr
    assert wheelcad("survey", path, "a.jpg").returncode == 2


def test_readings_to_no_mount_are_told(tmp_path: Path) -> None:
    text = demo_text("tarn-six") + "\nsurvey: {readings: [{from: centre, to: bolt-1, is: 40}]}\n"
    with pytest.raises(DesignError, match="no reading to a mount"):
        survey_command(job_file(tmp_path, text))
