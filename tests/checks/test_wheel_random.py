"""Random wheels of all forms, slots, gaps and directions: outline, solid and mesh must tell the same story."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from wheelcad.checks.mesh import mesh_moments
from wheelcad.checks.wheel import check_wheel
from wheelcad.errors import JobError
from wheelcad.files.brep import figures
from wheelcad.files.stl import read_stl
from wheelcad.files.stl_writer import write_stl
from wheelcad.job.models import Job
from wheelcad.parts.blank.design import BlankDesign, design_blank
from wheelcad.parts.blank.solid import blank_solid
from wheelcad.parts.wheel.design import WheelDesign, design_wheel
from wheelcad.parts.wheel.solid import wheel_solid

VOLUMES_AGREE = 1e-3  # relative: what the three volumes may differ by
CUT_AGREES = 1e-6  # relative, of what slots and gaps take out of the blank: kernel against formula
LEAST_SHARE = 0.5  # of what is drawn must be wheels that can exist, or the drawing is not worth much


def drawn_slot(rng: np.random.Generator, pitch_mm: float) -> dict[str, Any]:
    """A slot of any kind that has a chance at this pitch."""
    width = float(rng.uniform(0.25, 0.6)) * pitch_mm
    kind = rng.choice(["round", "flat", "cornered", "radial", "radial cornered"])
    slot: dict[str, Any] = {"width": round(width, 3), "depth": round(width * float(rng.uniform(0.6, 1.5)) + 0.5, 3)}
    slot["sides"] = "radial" if "radial" in kind else "parallel"
    slot["floor"] = "round" if kind == "round" else "flat"
    if "cornered" in kind:
        slot["corner_radius"] = round(width * float(rng.uniform(0.02, 0.3)), 3)
    return slot


def drawn_gaps(rng: np.random.Generator, teeth: int) -> dict[str, Any]:
    """No gap, one, or several on the grid, at any angle."""
    at = round(float(rng.uniform(-360, 360)), 3)
    count = int(rng.choice([0, 0, 1, 1, 2, 3]))
    if count < 2:
        return {"missing": int(rng.integers(1, max(2, teeth // 5) + 1)) * count, "gap_at": at}
    first = int(rng.integers(1, 3))
    gaps = [{"at": at, "missing": first}]
    for k in range(1, count):
        missing = int(rng.integers(1, 3))
        place = k * teeth // count + int(rng.integers(0, 2))
        middle = at + 360 / teeth * (place + (missing - first) / 2)
        gaps.append({"at": middle % 360, "missing": missing})
    return {"gaps": gaps}


def drawn_pulley(rng: np.random.Generator, floor: float) -> dict[str, Any]:
    """A turned pulley whose ring stands free at one side, or between shoulders up to the slot floors."""

    def shoulder() -> dict[str, Any]:
        share = float(rng.choice([1.0, rng.uniform(0.7, 0.99)]))
        return {"length": round(float(rng.uniform(3, 15)), 2), "diameter": 2 * floor * share}

    behind = shoulder()
    if behind["length"] > 8 and rng.random() < 0.5:
        behind["groove"] = {"width": 6, "depth": 4, "angle": "38 deg"}
    bore = round(float(rng.uniform(0.25, 0.4)) * floor, 2)
    pulley: dict[str, Any] = {"bore": bore, "turned": ["wheel", behind]}
    if rng.random() < 0.6:
        pulley["turned"].insert(0, shoulder())
    if rng.random() < 0.6:
        pulley["keyway"] = {"width": bore / 5, "depth": bore / 10, "at": float(rng.uniform(0, 360))}
    if rng.random() < 0.6:
        pulley["bolts"] = {
            "count": int(rng.integers(2, 7)),
            "circle": bore + floor * 0.35,
            "hole": round(floor * 0.08, 2),
            "first_at": float(rng.uniform(0, 360)),
        }
    return pulley


def drawn_job(rng: np.random.Generator, most_teeth: int) -> Job:
    """A job that may or may not be possible."""
    teeth, diameter = int(rng.integers(6, most_teeth + 1)), round(float(rng.uniform(60, 300)), 2)
    slot = drawn_slot(rng, np.pi * diameter / teeth)
    wheel = {"teeth": teeth, "outside_diameter": diameter, "thickness": round(float(rng.uniform(2, 12)), 2)}
    wheel |= {"slot": slot, **drawn_gaps(rng, teeth)}
    data: dict[str, Any] = {"job": "random", "wheel": wheel}
    data["engine"] = {"turns": str(rng.choice(["clockwise", "anticlockwise"]))}
    if rng.random() < 0.5:
        wheel["form"] = "turned-down"
        data["pulley"] = drawn_pulley(rng, diameter / 2 - slot["depth"])
    else:
        wheel |= {"form": "plate", "bore": round(diameter * float(rng.uniform(0.15, 0.4)), 2)}
        data["pulley"] = {"bolts": {"count": 3, "circle": diameter * 0.55, "hole": diameter * 0.04}}
    return Job.from_data(data)


def possible_wheels(seed: int, count: int, most_teeth: int) -> list[tuple[WheelDesign, BlankDesign | None]]:
    """The first `count` wheels drawn that can exist."""
    rng = np.random.default_rng(seed)
    out: list[tuple[WheelDesign, BlankDesign | None]] = []
    tried = 0
    while len(out) < count:
        tried += 1
        job = drawn_job(rng, most_teeth)
        try:
            out.append((design_wheel(job), design_blank(job)))
        except JobError:
            continue
    assert count >= LEAST_SHARE * tried
    return out


def check_one(wheel: WheelDesign, blank: BlankDesign | None, folder: Path) -> None:
    """Kernel, mesh and formula on one wheel."""
    solid = wheel_solid(wheel, blank)
    made = figures(solid)
    assert made.valid
    assert made.solids == 1
    write_stl(folder / "wheel.stl", solid)
    mesh = mesh_moments(read_stl(folder / "wheel.stl"))
    assert mesh.volume == pytest.approx(made.volume, rel=VOLUMES_AGREE)
    if blank is None:
        flat = wheel.outline.area - sum(opening.loop.area for opening in wheel.openings)
        assert made.volume == pytest.approx(flat * wheel.thickness_mm, rel=CUT_AGREES)
    else:
        cut = (np.pi * wheel.radius_mm**2 - wheel.outline.area) * wheel.thickness_mm
        whole = figures(blank_solid(blank)).volume
        assert made.volume == pytest.approx(whole - cut, rel=VOLUMES_AGREE)
        assert whole - made.volume == pytest.approx(cut, rel=CUT_AGREES)
    findings = list(check_wheel(folder, wheel))
    assert {"edge-angles", "tooth-count", "gap-count", "tooth-spacing"} <= {finding.check for finding in findings}
    assert [finding for finding in findings if finding.verdict != "pass"] == []


@pytest.mark.parametrize("seed", range(3))
def test_a_sample_of_random_wheels(seed: int, tmp_path: Path) -> None:
    for wheel, blank in possible_wheels(seed, 6, 60):
        check_one(wheel, blank, tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(100, 125))
def test_many_random_wheels(seed: int, tmp_path: Path) -> None:
    for wheel, blank in possible_wheels(seed, 6, 180):
        check_one(wheel, blank, tmp_path)


def test_what_is_drawn_covers_all_forms() -> None:
    wheels = [wheel for seed in range(3) for wheel, _ in possible_wheels(seed, 6, 60)]
    assert {wheel.form for wheel in wheels} == {"plate", "turned-down"}
    assert {wheel.sense for wheel in wheels} == {1, -1}
    assert {wheel.slot.radial for wheel in wheels} == {True, False}
    assert {wheel.slot.round_floor for wheel in wheels} == {True, False}
    assert {len(wheel.gaps) for wheel in wheels} >= {1, 2}
    assert any(wheel.teeth.missing == 0 for wheel in wheels)
    assert any(wheel.slot.corner_radius > 0 for wheel in wheels)
