"""The pipeline from job file to measured files, as a user meets it."""

from __future__ import annotations

import json
import math
import os
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from tests.conftest import ROOT, demo_text, edited
from wheelcad.build import BuildResult, build_job, check_folder
from wheelcad.errors import BuildError, JobError, JobFileError
from wheelcad.files.stl import read_stl, write_triangles
from wheelcad.job.reader import load_job
from wheelcad.kernel import Kernel
from wheelcad.parts.design import design_job
from wheelcad.processes import TaskError
from wheelcad.terminal import summary


def wheelcad(*arguments: str, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the command line in a folder."""
    command = [sys.executable, "-m", "wheelcad.cli", *arguments]
    env = {**os.environ, "PYTHONPATH": str(ROOT), **environment}
    return subprocess.run(command, cwd=cwd, env=env, capture_output=True, text=True, encoding="utf-8", check=False)


ALWAYS = {"wheel.step", "wheel.stl", "wheel-drawing.dxf", "wheel-drawing.pdf", "report.json", "manifest.json"}
WITH = {
    "tarn-six": {"blank.step", "blank.stl", "blank-drawing.dxf", "blank-drawing.pdf"},
    "fell-twin": {"wheel-flat.dxf", "wheel-finished.dxf", "adapter.step"},
    "beck-four": {"wheel-flat.dxf", "wheel-finished.dxf"},
}
DEMO_PARTS = {"gauge.step", "gauge.stl", "bracket.step", "bracket.stl", "bracket-flat.dxf", "index-chart.csv"}


def test_a_demo_builds_every_file_and_passes_every_check(built: BuildResult) -> None:
    names = {path.name for path in built.folder.iterdir()}
    assert names >= ALWAYS | DEMO_PARTS | WITH[built.job.job]
    assert [f for f in built.findings if f.verdict == "fail"] == []
    report = json.loads((built.folder / "report.json").read_text(encoding="utf-8"))
    for key in ("wheel", "balance", "indexing", "ignition", "bracket", "gauge", "findings"):
        assert key in report
    assert report["findings"]
    teeth = built.job.wheel.teeth
    assert report["wheel"]["pitch_deg"] == pytest.approx(360 / teeth)
    assert len(report["wheel"]["tooth_edges_deg"]) == teeth - built.job.wheel.missing
    assert report["wheel"]["mass_kg"] > 0
    aim = report["balance"]["aim_g_mm"]
    assert report["balance"]["after"]["unbalance_g_mm"] < aim < report["balance"]["before"]["unbalance_g_mm"]


def test_ignition_numbers_follow_from_the_angles(built_six: BuildResult) -> None:
    ignition = built_six.report["ignition"]
    # gap at 0, sensor at 310: TDC comes (0 - 310) mod 360 = 50 degrees after the gap's middle has passed
    assert ignition["gap_centre_to_tdc_deg"] == pytest.approx(50.0)
    assert ignition["first_tooth_centre_to_tdc_deg"] == pytest.approx(40.0)
    half_tooth = 5 - 2.14909562
    assert ignition["first_edge_to_tdc_deg"] == pytest.approx(40.0 + half_tooth, abs=1e-6)
    assert ignition["trailing_edge_to_tdc_deg"] == pytest.approx(40.0 - half_tooth, abs=1e-6)
    assert ignition["use_deg"] == ignition["first_edge_to_tdc_deg"]
    assert ignition["companions"] == [[1, 6], [5, 2], [3, 4]]
    assert ignition["tooth_rate_at_max_speed_hz"] == pytest.approx(36 * 5200 / 60)


def test_the_same_job_gives_the_same_bytes_anywhere_and_anytime(built_six: BuildResult, tmp_path: Path) -> None:
    shutil.copy(ROOT / "configs" / "tarn-six.yaml", tmp_path / "tarn-six.yaml")
    done = wheelcad(
        "build", "tarn-six.yaml", "--no-fem", "--out", "elsewhere", cwd=tmp_path, TZ="Pacific/Auckland", LANG="C"
    )
    assert done.returncode == 0, done.stderr
    again = tmp_path / "elsewhere" / "tarn-six"
    assert {p.name for p in again.iterdir()} == {p.name for p in built_six.folder.iterdir()}
    different = [p.name for p in sorted(again.iterdir()) if p.read_bytes() != (built_six.folder / p.name).read_bytes()]
    assert different == []


def test_check_measures_again_and_sees_what_was_changed(built_six: BuildResult, tmp_path: Path) -> None:
    folder = tmp_path / "tarn-six"
    shutil.copytree(built_six.folder, folder)
    same = check_folder(folder, load_job(ROOT / "configs" / "tarn-six.yaml"))
    assert [f for f in same.findings if f.verdict == "fail"] == []
    assert same.report["wheel"] == built_six.report["wheel"]
    # a wheel turned by a hundredth of a degree too far, and a lost drawing
    triangles = read_stl(folder / "wheel.stl")
    write_triangles(folder / "wheel.stl", triangles + np.array([0.05, 0.0, 0.0]))
    (folder / "blank-drawing.pdf").unlink()
    changed = check_folder(folder)
    failed = {(f.check, f.subject) for f in changed.findings if f.verdict == "fail"}
    assert {("file-unchanged", "wheel.stl"), ("file-unchanged", "blank-drawing.pdf")} <= failed
    assert "rim-run-out" in {check for check, _ in failed}
    other = tmp_path / "other.yaml"
    other.write_text(
        edited(demo_text("tarn-six"), ("thickness: 3.2", "thickness: 3.0"), ("length: 14.8", "length: 15"))
    )
    judged = check_folder(folder, load_job(other))
    assert "job-file" in {f.check for f in judged.findings if f.verdict == "fail"}
    with pytest.raises(JobFileError, match=r"manifest\.json"):
        check_folder(tmp_path)


WRONG = [
    (("gap_at: 0 deg", "gap_att: 0 deg"), "wheel.gap_att", "gap_at"),
    (("  outside_diameter: 160\n", ""), "wheel.outside_diameter", "missing"),
    (("slot: {width: 6,", "slot: {width: 15,"), "wheel.slot.width", ""),
    (("{length: 8, diameter: 118}", "{length: 8, diameter: 190}"), "pulley.turned[0].diameter", "168"),
    (("circle: 80", "circle: 140"), "pulley.bolts.circle", "hub"),
    (("mount_face: -30", "mount_face: -2"), "bracket", ""),
]


@pytest.mark.parametrize(("change", "key", "word"), WRONG)
def test_wrong_jobs_end_with_one_clear_message_and_nothing_written(
    tmp_path: Path, change: tuple[str, str], key: str, word: str
) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(edited(demo_text("tarn-six"), change), encoding="utf-8")
    with pytest.raises(JobError) as caught:
        build_job(job, tmp_path / "outputs")
    said = str(caught.value)
    assert key in said
    assert word in said
    assert all(fault.line > 0 and fault.file == str(job) for fault in caught.value.faults)
    assert not (tmp_path / "outputs" / "tarn-six").exists()
    assert not list(tmp_path.glob("outputs/.wheelcad-*"))


def test_the_command_line_ends_with_the_codes_it_promises(tmp_path: Path) -> None:
    job = tmp_path / "small.yaml"
    job.write_text(
        "job: small\nengine: {turns: clockwise, max_speed: 3000}\n"
        "wheel: {teeth: 12, missing: 1, outside_diameter: 80, thickness: 4, bore: 20, slot: {width: 8, depth: 6}}\n"
    )
    done = wheelcad("build", "small.yaml", "--no-packet", cwd=tmp_path)
    assert done.returncode == 0, done.stderr
    assert "small" in done.stdout
    assert wheelcad("build", "small.yaml", "--strict", "--quiet", "--no-packet", cwd=tmp_path).returncode == 1
    assert wheelcad("check", "outputs/small", "--quiet", cwd=tmp_path).returncode == 0
    job.write_text(job.read_text().replace("teeth: 12", "teeth: twelve"))
    wrong = wheelcad("build", "small.yaml", cwd=tmp_path)
    assert wrong.returncode == 2
    assert "small.yaml:3:" in wrong.stderr
    assert "Traceback" not in wrong.stderr + wrong.stdout
    nothing = wheelcad("build", "nowhere.yaml", cwd=tmp_path)
    assert nothing.returncode == 2
    assert "nowhere.yaml" in nothing.stderr
    # a failed check: the wheel on disk is not the one the manifest speaks of
    stl = tmp_path / "outputs" / "small" / "wheel.stl"
    write_triangles(stl, read_stl(stl) * 1.01)
    assert wheelcad("check", "outputs/small", "--quiet", cwd=tmp_path).returncode == 1


def test_what_is_missing_is_said_with_the_section_that_would_bring_it(tmp_path: Path) -> None:
    job = tmp_path / "bare.yaml"
    job.write_text(
        "job: bare\nwheel: {teeth: 24, missing: 1, outside_diameter: 120, thickness: 3, slot: {width: 6, depth: 5}}\n"
    )
    result = build_job(job, tmp_path)
    said = " ".join(result.design.left_out)
    for section in ("pulley", "sensor", "rotary_table", "balance", "engine"):
        assert section in said
    assert "direction-assumed" in {f.check for f in result.findings if f.verdict == "warn"}
    assert result.verdict == "warn"


def test_a_whole_build_says_how_stiff_the_bracket_is(tmp_path: Path) -> None:
    result = build_job(ROOT / "configs" / "beck-four.yaml", tmp_path, packet=False)
    stiffness = result.report["bracket"]["stiffness"]
    first = result.report["bracket"]["first_frequency_hz"]
    assert first == stiffness["frequencies_hz"][0]
    assert first < stiffness["frequencies_hz"][1]
    # the closed form is a straight bar from the nearest mount: the solid is of its order, and no copy of it
    assert 0.3 < first / result.report["bracket"]["first_frequency_closed_form_hz"] < 3
    assert (result.folder / "bracket-speeds.png").read_bytes().startswith(b"\x89PNG")
    assert [f.subject for f in result.findings if f.check == "first-frequency"] == ["bracket.step"]  # told once


def test_files_that_cannot_be_read_are_failed_checks_and_no_end(built_six: BuildResult, tmp_path: Path) -> None:
    """Cut short, overwritten, emptied or deleted: whatever stands in the folder, each file's trouble is told."""
    names = [n for n in built_six.files if n.endswith((".step", ".stl", ".3mf", ".dxf", ".pdf", ".csv"))]
    for round_, spoil in enumerate((lambda b: b[: len(b) // 2], lambda b: b"spoilt", lambda b: b"", None)):
        folder = tmp_path / str(round_) / "tarn-six"
        shutil.copytree(built_six.folder, folder)
        for name in names:
            if spoil is None:
                (folder / name).unlink()
            else:
                (folder / name).write_bytes(spoil((folder / name).read_bytes()))
        result = check_folder(folder)
        failed = {f.subject for f in result.findings if f.verdict == "fail"}
        assert set(names) <= failed
        assert {"wheel.stl", "gauge.stl", "bracket-flat.dxf", "assembly.step"} <= failed
        assert [f for f in result.findings if f.check == "valid-solid" and f.verdict == "fail"]
        assert math.isnan(result.report["wheel"]["mass_kg"])
        shown = summary(result, colour=False)
        assert "nan" not in shown
        assert shown.endswith(f" measured again in {folder}")


class Refusing(Kernel):
    """A kernel's process that goes wrong over a part."""

    def __init__(self, error: TaskError) -> None:
        super().__init__()
        self._error = error

    def give(self, *task: object) -> None:
        pass

    def wait_for(self, name: str, say: object) -> None:
        raise self._error


def test_what_the_kernel_refuses_is_told_with_the_section_it_is_about(tmp_path: Path) -> None:
    path = ROOT / "configs" / "tarn-six.yaml"
    with pytest.raises(BuildError) as caught:
        build_job(path, tmp_path, kernel=Refusing(TaskError("the gauge could not be made", "gauge")))
    (fault,) = caught.value.faults
    lines = path.read_text(encoding="utf-8").splitlines()
    assert lines[fault.line - 1].startswith("gauge:")
    assert fault.file == str(path)
    with pytest.raises(BuildError) as caught:
        build_job(path, tmp_path, kernel=Refusing(TaskError("wheel.step cannot be written: no room")))
    (fault,) = caught.value.faults
    assert (fault.file, fault.line) == ("build", 0)
    assert list(tmp_path.iterdir()) == []


def test_a_part_that_cannot_be_made_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from wheelcad.kernel import _words
    from wheelcad.parts import solids

    made = solids.Solids(design_job(load_job(ROOT / "configs" / "tarn-six.yaml")))

    def refuses(_: object, name: str) -> None:
        raise RuntimeError(f"no {name} today")

    monkeypatch.setattr(solids.Solids, "part", refuses)
    with pytest.raises(solids.PartError) as caught:
        solids.write_part_step(made, "bracket", tmp_path)
    words, about = _words(caught.value)
    assert about == "bracket"
    assert "the bracket could not be made" in words
    assert "no bracket today" in words


def test_a_mistake_in_the_kernels_process_is_the_programs_own(tmp_path: Path) -> None:
    """Not blamed on the job: it ends with 70, and the traceback of there is kept for the file."""
    from wheelcad.kernel import MISTAKE, KernelMistakeError, _words

    try:
        raise KeyError("nothing by that name")
    except KeyError as error:
        words, about = _words(error)
    assert about == MISTAKE
    with pytest.raises(KernelMistakeError, match="KeyError: 'nothing by that name'") as caught:
        build_job(ROOT / "configs" / "tarn-six.yaml", tmp_path, kernel=Refusing(TaskError(words, about)))
    assert "Traceback" in caught.value.__notes__[0]
    assert not isinstance(caught.value, JobError)
    assert list(tmp_path.iterdir()) == []
