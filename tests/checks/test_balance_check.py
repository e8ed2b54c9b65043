"""wheel.stl's balance: solids are written, read back and measured; holes put wrong on purpose are caught."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.conftest import demo_text, edited, plate_job
from wheelcad.checks.balance import check_balance, round_holes
from wheelcad.checks.unbalance import MeasuredBalance, measure_balance, residual, unbalance_left
from wheelcad.checks.wheel import sound_body
from wheelcad.files.brep import figures
from wheelcad.files.figures import KernelResult
from wheelcad.files.stl import read_stl
from wheelcad.files.stl_writer import write_stl
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance.design import BalanceDesign, design_balance
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.blank.solid import blank_solid
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.parts.wheel.solid import wheel_solid
from wheelcad.words import Words

balance_job: dict[int, Job] = {}  # the job that each design is of


def written(job: Job, folder: Path, holes: Sequence[CorrectionHole] | None = None) -> tuple[WheelDesign, BalanceDesign]:
    """Write wheel.stl (drilled with `holes`, else as planned) and blank.stl into the folder."""
    wheel, blank = design_wheel(job), design_blank(job)
    balance = design_balance(job, wheel)
    balance_job[id(balance)] = job
    write_stl(folder / "wheel.stl", wheel_solid(wheel, blank, balance.holes if holes is None else holes))
    if blank is not None:
        write_stl(folder / "blank.stl", blank_solid(blank))
    return wheel, balance


def measured(
    wheel: WheelDesign, balance: BalanceDesign, holes: Sequence[CorrectionHole], folder: Path
) -> MeasuredBalance:
    """What a build would measure of a wheel drilled with these holes; its meshes are in the folder."""
    blank = design_blank(balance_job[id(balance)])
    stages = [[hole for hole in holes if hole.reading < one.number] for one in balance.readings]
    bodies = {"wheel": figures(wheel_solid(wheel, blank, holes))}
    if blank is not None:
        bodies["blank"] = figures(blank_solid(blank))
    before = tuple(figures(wheel_solid(wheel, blank, stage)) for stage in stages)
    undrilled = figures(wheel_solid(wheel, blank))
    return measure_balance(folder, balance, KernelResult(bodies, undrilled, before_readings=before))


def failed(findings: list[Finding]) -> set[str]:
    return {finding.check for finding in findings if finding.verdict == "fail"}


def test_demos_are_in_balance_as_written(tmp_path: Path, demo: Job) -> None:
    wheel, balance = written(demo, tmp_path)
    findings = check_balance(tmp_path, wheel, balance)
    assert {f.verdict for f in findings} == {"pass"}
    assert sum(f.check == "correction-hole" for f in findings) == len(balance.holes) == 2
    left = unbalance_left(tmp_path, balance)
    assert math.dist(left, balance.after) < 0.005 * math.hypot(*balance.before)


def test_brep_and_closed_form_agree(demo: Job) -> None:
    wheel, blank = design_wheel(demo), design_blank(demo)
    balance = design_balance(demo, wheel)
    solid = figures(wheel_solid(wheel, blank))
    grams = balance.density_kg_m3 * 1e-6
    assert solid.volume * grams / 1000 == pytest.approx(balance.initial.mass_kg, rel=1e-9)
    first = np.array(solid.first) - (np.array(figures(blank_solid(blank)).first) if blank is not None else 0)
    assert first[:2] * grams == pytest.approx(np.array(balance.before), abs=1e-4 * math.hypot(*balance.before))
    drilled = figures(wheel_solid(wheel, blank, balance.holes))
    assert drilled.volume * grams / 1000 == pytest.approx(balance.mass_kg, rel=1e-9)


def test_unknown_pulley_is_measured_whole(tmp_path: Path) -> None:
    text = edited(demo_text("tarn-six"), ("largest_drill: 8}", "largest_drill: 8, as_found: unknown}"))
    wheel, balance = written(parse_job(text, "x.yaml"), tmp_path)
    (tmp_path / "blank.stl").unlink()
    assert math.dist(unbalance_left(tmp_path, balance), balance.after) < 0.005 * math.hypot(*balance.before)
    assert failed(check_balance(tmp_path, wheel, balance)) == set()


BLIND = parse_job(
    "job: t\nengine: {cylinders: 4, max_speed: 6000}\n"
    "wheel: {teeth: 36, missing: 1, gap_at: 40, outside_diameter: 120, thickness: 4, slot: {width: 5, depth: 6}}\n"
    "pulley: {bore: 25, turned: [{length: 30, diameter: 104}, wheel, {length: 40, diameter: 104}]}\n"
    "balance: {largest_drill: 6, faces: both}\n",
    "t.yaml",
)


@pytest.mark.parametrize("faces", ["front", "back"])
def test_blind_holes_from_either_face(tmp_path: Path, faces: str) -> None:
    job = BLIND.model_copy(update={"balance": BLIND.balance.model_copy(update={"faces": faces})})
    wheel, balance = written(job, tmp_path)
    assert balance.holes
    assert not any(hole.through for hole in balance.holes)
    assert {hole.from_back for hole in balance.holes} == {faces == "back"}
    assert {f.verdict for f in check_balance(tmp_path, wheel, balance)} == {"pass"}
    assert math.dist(unbalance_left(tmp_path, balance), balance.after) < 0.005 * math.hypot(*balance.before)
    assert sound_body(tmp_path / "wheel.stl").verdict == "pass"
    assert ("balance-back-face" in {f.check for f in balance.findings}) == (faces == "back")


def test_a_blind_hole_drilled_too_deep_is_caught(tmp_path: Path) -> None:
    _, planned = written(BLIND, tmp_path)
    deeper = [replace(hole, z_bottom=hole.z_bottom - 0.5) for hole in planned.holes]
    wheel, balance = written(BLIND, tmp_path, deeper)
    assert "correction-hole" in failed(check_balance(tmp_path, wheel, balance))


def test_holes_on_the_wrong_side_are_caught(tmp_path: Path, six: Job) -> None:
    planned = design_balance(six, design_wheel(six)).holes
    wrong = [replace(hole, at_deg=(hole.at_deg + 180) % 360) for hole in planned]
    wheel, balance = written(six, tmp_path, wrong)
    assert {"correction-hole", "unplanned-holes"} <= failed(check_balance(tmp_path, wheel, balance))
    assert "unbalance-left" in failed(list(residual(measured(wheel, balance, wrong, tmp_path), balance)))
    # what is left is twice what there was
    assert math.hypot(*unbalance_left(tmp_path, balance)) == pytest.approx(2 * math.hypot(*balance.before), rel=0.01)


def test_holes_mirrored_from_left_to_right_are_caught(tmp_path: Path) -> None:
    job = plate_job(gap_at=60, turns="anticlockwise", extra="balance: {largest_drill: 8}")
    planned = design_balance(job, design_wheel(job)).holes
    wrong = [replace(hole, at_deg=-hole.at_deg % 360) for hole in planned]
    wheel, balance = written(job, tmp_path, wrong)
    assert {"correction-hole", "unplanned-holes"} <= failed(check_balance(tmp_path, wheel, balance))
    assert "unbalance-left" in failed(list(residual(measured(wheel, balance, wrong, tmp_path), balance)))


@pytest.mark.parametrize(
    ("change", "caught"),
    [
        ({"diameter_mm": 6.3}, {"correction-hole"}),
        ({"radius_mm": 66.05}, {"correction-hole"}),
        ({"at_deg": 169.0}, {"correction-hole"}),
        ({"through": False, "z_bottom": 0.0, "point_deg": 118.0}, {"correction-hole"}),
    ],
)
def test_one_hole_a_little_wrong_is_caught(
    tmp_path: Path, six: Job, change: dict[str, float], caught: set[str]
) -> None:
    planned = design_balance(six, design_wheel(six)).holes
    wheel, balance = written(six, tmp_path, [replace(planned[0], **change), *planned[1:]])
    findings = check_balance(tmp_path, wheel, balance)
    assert caught <= failed(findings)
    assert sum(f.check == "correction-hole" and f.verdict == "fail" for f in findings) == 1


def test_a_missing_hole_and_one_too_many_are_caught(tmp_path: Path, six: Job) -> None:
    planned = design_balance(six, design_wheel(six)).holes
    wheel, balance = written(six, tmp_path, planned[:1])
    assert "correction-hole" in failed(check_balance(tmp_path, wheel, balance))
    extra = replace(planned[0], at_deg=90.0)
    written(six, tmp_path, [*planned, extra])
    findings = check_balance(tmp_path, wheel, balance)
    assert failed(findings) == {"unplanned-holes"}
    said = str(next(f.measured for f in findings if f.check == "unplanned-holes"))
    assert "at 90°" in Words("mm").text(said)


def test_round_holes_of_a_plate(tmp_path: Path) -> None:
    job = plate_job(extra="pulley: {bore: 20, bolts: {count: 3, circle: 90, hole: 9, first_at: 30}}")
    written(job, tmp_path)
    found = list(round_holes(read_stl(tmp_path / "wheel.stl"), 0.0))
    assert sorted(round(hole.diameter, 1) for hole in found) == [9.0, 9.0, 9.0, 40.0]


def test_files_that_are_not_there_or_not_whole(tmp_path: Path, six: Job) -> None:
    wheel, balance = written(six, tmp_path)
    (tmp_path / "blank.stl").unlink()
    with pytest.raises(OSError, match="blank"):
        unbalance_left(tmp_path, balance)
    (tmp_path / "blank.stl").write_bytes(b"no mesh at all")
    with pytest.raises(ValueError, match="too short"):
        unbalance_left(tmp_path, balance)
    (tmp_path / "wheel.stl").unlink()
    with pytest.raises(OSError, match="wheel"):
        check_balance(tmp_path, wheel, balance)
