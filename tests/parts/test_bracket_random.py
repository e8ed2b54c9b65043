"""Random mounts and sensors: every one gives a bracket that all checks pass, or a message that names the obstacle."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from tests.parts.bracket_jobs import random_job
from wheelcad.checks.bracket import check_bracket
from wheelcad.codes import Check
from wheelcad.errors import DesignError
from wheelcad.files.dxf import write_cut_dxf
from wheelcad.files.stl import read_stl
from wheelcad.files.stl_writer import write_stl
from wheelcad.job.models import Job
from wheelcad.parts.bracket.cutting import cut_layers
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.solid import bracket_solid
from wheelcad.parts.common.stack import rotating_lands

OBSTACLES = (
    "pulley", "wheel", "crankshaft", "bend", "mount", "belt", "gusset", "tab", "sensor", "plate", "body", "bolt",
)  # fmt: skip


def written(design: BracketDesign, folder: Path) -> None:
    write_cut_dxf(folder / "bracket-flat.dxf", cut_layers(design))
    write_stl(folder / "bracket.stl", bracket_solid(design))


def surface_points(triangles: np.ndarray) -> np.ndarray:
    """Points all over a mesh, at most 2 mm apart."""
    out = [triangles.reshape(-1, 3)]
    size = np.linalg.norm(triangles - np.roll(triangles, 1, axis=1), axis=2).max(axis=1)
    for (a, b, c), longest in zip(triangles, size, strict=True):
        if longest > 2:
            u, v = np.meshgrid(*[np.linspace(0, 1, int(np.ceil(longest / 2)) + 1)] * 2)
            u, v = u[u + v <= 1], v[u + v <= 1]
            out.append(a + u[:, None] * (b - a) + v[:, None] * (c - a))
    return np.vstack(out)


def least_room(job: Job, design: BracketDesign, triangles: np.ndarray) -> float:
    """Distance from the mesh to everything that turns, through the travel, measured point by point."""
    points, least = surface_points(triangles), np.inf
    for moved in np.linspace(design.slide.low, design.slide.high, 7):
        x, y, z = (points + moved * np.array([design.slide.x, design.slide.y, 0.0])).T
        r = np.hypot(x, y)
        for land in rotating_lands(job):
            radial = np.maximum(0, r - land.radius)
            axial = np.maximum(0, np.maximum(z - land.z_front, land.z_back - z))
            least = min(least, float(np.hypot(radial, axial).min()))
    return least


def designed(job: Job) -> tuple[BracketDesign | None, str]:
    """The bracket, or why there is none."""
    try:
        return design_bracket(job), ""
    except DesignError as error:
        return None, str(error)


def mended(job: Job, design: BracketDesign) -> None:
    """Nothing fails but a nose that slots cannot bring clear of a fold inwards; the travel it names brings it clear, or
    an obstacle is named that stands in the way of so much."""
    failed = [f for f in bracket_findings(design) if f.verdict == "fail"]
    assert {f.check for f in failed} <= {Check.NOSE_CLEARS}
    for finding in failed:
        assert isinstance(finding.limit, float)
        assert job.bracket is not None
        wider = job.bracket.model_copy(update={"adjust": finding.limit})
        again, said = designed(job.model_copy(update={"bracket": wider}))
        if again is None:
            assert any(word in said for word in OBSTACLES), said
            continue
        assert not [f for f in bracket_findings(again) if f.check == Check.NOSE_CLEARS and f.verdict == "fail"]


def proven(seed: int, folder: Path) -> str:
    """Its shape, or the message it was refused with; everything about it asserted."""
    job = random_job(seed)
    try:
        design = design_bracket(job)
    except DesignError as error:
        for fault in error.faults:
            assert fault.key
            assert re.search(r"\d", fault.message), fault
            assert any(word in fault.message for word in OBSTACLES), fault
        return str(error)
    assert design is not None
    written(design, folder)
    wrong = [f for f in check_bracket(folder, design) if f.verdict != "pass"]
    assert wrong == []
    mended(job, design)
    measured = next((f.measured for f in bracket_findings(design) if f.check == "room-to-turning-parts"), None)
    room = least_room(job, design, read_stl(folder / "bracket.stl"))
    assert room >= 1.0 - 0.01
    assert isinstance(measured, float)
    # the design's figure errs to the safe side only, by little more than square corners of bends
    assert measured <= room + 0.05
    return design.shape


@pytest.mark.parametrize("seed", range(10))
def test_a_few_random_brackets(seed: int, tmp_path: Path) -> None:
    assert proven(seed, tmp_path)


@pytest.mark.slow
def test_two_hundred_random_brackets(tmp_path: Path) -> None:
    ends = [proven(seed, tmp_path) for seed in range(200)]
    shapes = [end for end in ends if end in ("L", "flat", "Z")]
    assert {shape: shapes.count(shape) >= 8 for shape in ("L", "flat", "Z")} == {"L": True, "flat": True, "Z": True}
    assert len(shapes) >= 60
