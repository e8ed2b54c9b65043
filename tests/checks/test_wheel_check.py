"""wheel.stl against theory: the solid is written, read back and measured; seeded faults are caught."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tests.conftest import demo_text, edited, plate_job
from wheelcad.checks.mesh import mesh_moments, section_segments
from wheelcad.checks.wheel import EDGE_LIMIT_DEG, check_wheel, measure_teeth
from wheelcad.files.brep import figures
from wheelcad.files.step import read_step, write_step
from wheelcad.files.stl import read_stl, write_triangles
from wheelcad.files.stl_writer import write_stl
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.blank.design import design_blank
from wheelcad.parts.blank.solid import blank_solid
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.parts.wheel.solid import wheel_solid
from wheelcad.trade.frames import wrap_180


def written(job: Job, folder: Path) -> WheelDesign:
    """Write the job's wheel.stl into the folder."""
    wheel = design_wheel(job)
    write_stl(folder / "wheel.stl", wheel_solid(wheel, design_blank(job)))
    return wheel


@pytest.mark.parametrize(
    ("diameter", "teeth", "missing", "slot"),
    [
        (60, 12, 1, "{width: 7, depth: 5}"),
        (75, 24, 1, "{width: 4, depth: 4, floor: flat}"),
        (110, 36, 2, "{width: 4.5, depth: 5, sides: radial, floor: flat, corner_radius: 0.5}"),
        (160, 36, 1, "{width: 6, depth: 6.35}"),
        (190, 60, 2, "{width: 5, depth: 6, floor: flat, corner_radius: 1}"),
        (300, 120, 2, "{width: 3.5, depth: 6}"),
    ],
)
@pytest.mark.parametrize(("turns", "gap_at"), [("clockwise", 0.0), ("anticlockwise", 123.4), ("clockwise", 271.1)])
def test_edges_measured_from_the_stl_agree_with_theory(
    tmp_path: Path, diameter: float, teeth: int, missing: int, slot: str, turns: str, gap_at: float
) -> None:
    wheel = written(plate_job(teeth, missing, diameter, gap_at=gap_at, turns=turns, slot=slot), tmp_path)
    findings = list(check_wheel(tmp_path, wheel))
    assert {f.check for f in findings} >= {"edge-angles", "tooth-count", "gap-place", "gap-count", "rim-run-out"}
    assert [f for f in findings if f.verdict != "pass"] == []
    # and once more with formulas of our own: the gap's middle and the first tooth, in plain x and y
    side = 1 if turns == "clockwise" else -1
    middle = np.radians(gap_at)
    segments, _ = section_segments(read_stl(tmp_path / "wheel.stl"), 0.0)
    direction = np.array([side * np.sin(middle), np.cos(middle)])
    points = segments.reshape(-1, 2)
    along = points @ direction / np.hypot(*points.T)
    in_gap = along > np.cos(np.radians(missing * 180 / teeth * 0.9))
    outside = points[in_gap & (points @ direction > diameter / 5)]
    assert np.hypot(*outside.T).max() < diameter / 2 - wheel.slot.depth + 0.01


def test_a_mirrored_wheel_is_caught(tmp_path: Path) -> None:
    wheel = written(plate_job(gap_at=70), tmp_path)
    turned = read_stl(tmp_path / "wheel.stl") * np.array([-1.0, 1.0, 1.0])
    write_triangles(tmp_path / "wheel.stl", turned[:, ::-1])
    failed = {f.check for f in check_wheel(tmp_path, wheel) if f.verdict == "fail"}
    assert "gap-place" in failed


def test_a_slipped_tooth_a_filled_slot_and_an_off_centre_rim_are_caught(tmp_path: Path) -> None:
    wheel = written(plate_job(gap_at=70), tmp_path)
    good = read_stl(tmp_path / "wheel.stl")
    angles = np.degrees(np.arctan2(good[:, :, 0], good[:, :, 1]))
    radii = np.hypot(good[:, :, 0], good[:, :, 1])
    # one slot side moved by 0.01 degree: every corner between 164 and 166 degrees beyond the floors
    moved = good.copy()
    here = (np.abs(angles - 162.85) < 1.0) & (radii > 74)
    assert here.any()
    turn = np.radians(0.01)
    x, y = good[..., 0], good[..., 1]
    moved[..., 0] = np.where(here, x * np.cos(turn) + y * np.sin(turn), x)
    moved[..., 1] = np.where(here, y * np.cos(turn) - x * np.sin(turn), y)
    write_triangles(tmp_path / "wheel.stl", moved)
    assert "edge-angles" in {f.check for f in check_wheel(tmp_path, wheel) if f.verdict == "fail"}
    write_triangles(tmp_path / "wheel.stl", good + np.array([0.02, 0.0, 0.0]))
    assert "rim-run-out" in {f.check for f in check_wheel(tmp_path, wheel) if f.verdict == "fail"}
    other = written(plate_job(missing=2, gap_at=70), tmp_path)
    assert other.teeth.missing == 2
    assert {"tooth-count"} <= {f.check for f in check_wheel(tmp_path, wheel) if f.verdict == "fail"}
    write_triangles(tmp_path / "wheel.stl", good[5:])
    assert "sound-body" in {f.check for f in check_wheel(tmp_path, wheel) if f.verdict == "fail"}


def test_edges_are_measured_at_the_radius_asked_for(tmp_path: Path) -> None:
    wheel = written(plate_job(), tmp_path)
    triangles = read_stl(tmp_path / "wheel.stl")
    for radius in (77.0, 78.5, 79.9):
        found = measure_teeth(triangles, radius, wheel.sense)
        theory = wheel.tooth_edges_at(radius)
        theory = theory[np.argsort(theory[:, 0])]
        assert np.abs(wrap_180(found.edges_deg - theory)).max() < EDGE_LIMIT_DEG


def test_mesh_step_and_formula_agree_on_volume_and_centre(tmp_path: Path, demo: Job) -> None:
    wheel, blank = design_wheel(demo), design_blank(demo)
    solid = wheel_solid(wheel, blank)
    write_stl(tmp_path / "wheel.stl", solid)
    write_step(tmp_path / "wheel.step", solid, "wheel")
    mesh, brep = mesh_moments(read_stl(tmp_path / "wheel.stl")), figures(read_step(tmp_path / "wheel.step"))
    assert brep.valid
    assert brep.solids == 1
    assert mesh.volume == pytest.approx(brep.volume, rel=1e-4)
    assert mesh.polar == pytest.approx(brep.polar, rel=1e-3)
    ring = wheel.outline.area - sum(opening.loop.area for opening in wheel.openings)
    if blank is None:
        assert brep.volume == pytest.approx(ring * wheel.thickness_mm, rel=1e-9)
    else:
        whole = figures(blank_solid(blank))
        removed = (np.pi * wheel.radius_mm**2 - ring) * wheel.thickness_mm
        assert whole.volume - brep.volume == pytest.approx(removed, rel=1e-6)


def test_a_shoulder_as_large_as_the_slot_floors_still_gives_one_solid() -> None:
    text = edited(demo_text("tarn-six"), ("{length: 14.8, diameter: 118}", "{length: 14.8, diameter: 147.3}"))
    job = parse_job(text)
    wheel, blank = design_wheel(job), design_blank(job)
    assert blank is not None
    made = figures(wheel_solid(wheel, blank))
    assert made.valid
    removed = (np.pi * wheel.radius_mm**2 - wheel.outline.area) * wheel.thickness_mm
    assert figures(blank_solid(blank)).volume - made.volume == pytest.approx(removed, rel=1e-6)
