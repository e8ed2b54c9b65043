"""The scene's meshes against the files a build wrote: same volume, same box, same pose."""

from __future__ import annotations

import numpy as np
import pytest

from tests.conftest import plate_job
from tests.parts.bracket_jobs import along_job, flat_job, in_job
from tests.parts.gauge_jobs import job_of, plate, turned
from wheelcad.arrays import Floats
from wheelcad.build import BuildResult
from wheelcad.files.glb_reader import read_glb
from wheelcad.files.stl import read_stl
from wheelcad.job.models import Job
from wheelcad.page.scene_parts import ScenePart, made_of, scene_parts
from wheelcad.page.scene_solid import SceneMesh
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.design import design_job

SAME_VOLUME = 5e-3  # of the file's
SAME_BOX = 0.01  # mm
LOOKS = 0.1  # mm: how far assembly.glb's own mesh may lie from the true surface


def volume_of(triangles: Floats) -> float:
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def centre_of(triangles: Floats) -> Floats:
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    six = np.einsum("ij,ij->i", a, np.cross(b, c))
    return (six[:, None] * (a + b + c) / 4).sum(axis=0) / six.sum()


def triangles_of(part: ScenePart) -> Floats:
    return part.mesh.points[part.mesh.triangles]


def assert_same(mesh: SceneMesh, triangles: Floats, what: str, box: float = SAME_BOX) -> None:
    corners = mesh.points[mesh.triangles]
    assert volume_of(mesh.points[mesh.triangles]) == pytest.approx(volume_of(triangles), rel=SAME_VOLUME), what
    points = triangles.reshape(-1, 3)
    used = corners.reshape(-1, 3)
    assert np.abs(used.min(axis=0) - points.min(axis=0)).max() <= box, what
    assert np.abs(used.max(axis=0) - points.max(axis=0)).max() <= box, what
    assert np.abs(centre_of(corners) - centre_of(triangles)).max() < 0.05, what  # pose: also where a mirror would show


def test_every_part_is_where_the_written_file_has_it(built: BuildResult) -> None:
    folder, design = built.folder, built.design
    parts = {part.name: part for part in scene_parts(made_of(design.job, design))}
    for name in design.parts:
        file = folder / f"{name}.stl"
        if file.exists():
            assert_same(parts[name].mesh, read_stl(file), name)
    shown = {mesh.name: mesh for mesh in read_glb(folder / "assembly.glb")}
    for ours, theirs in (("sensor", "sensor"), ("adapter", "adapter"), ("found", "pulley")):
        if theirs in shown and ours in parts:
            mesh = shown[theirs]
            assert_same(parts[ours].mesh, mesh.points[mesh.triangles], ours, box=LOOKS)


@pytest.mark.parametrize("job", [in_job(), along_job(), flat_job()], ids=["L", "Z", "flat"])
def test_a_folded_bracket_has_the_volume_of_its_closed_form_and_its_flat_that_of_the_flat(job: Job) -> None:
    bracket = design_bracket(job)
    assert bracket is not None
    parts = {part.name: part for part in scene_parts(made_of(job, None))}
    assert volume_of(triangles_of(parts["bracket"])) == pytest.approx(bracket.solid_volume, rel=1e-3)
    if bracket.bends:
        assert volume_of(triangles_of(parts["flat"])) == pytest.approx(bracket.flat_area * bracket.thickness, rel=1e-3)
    points = parts["bracket"].mesh.points
    low, high = points.min(axis=0), points.max(axis=0)
    tip = np.array(bracket.face)
    assert (low - 0.01 <= tip).all()  # the tab carries the sensor's mounting face
    assert (tip <= high + 0.01).all()


@pytest.mark.parametrize("turns", ["clockwise", "anticlockwise"])
def test_the_gap_of_a_plate_wheel_lies_where_the_job_says(turns: str) -> None:
    job = plate_job(60, 2, 120, gap_at=90.0, turns=turns, slot="{width: 3, depth: 4, sides: parallel, floor: round}")
    design = design_job(job)
    mesh = {part.name: part for part in scene_parts(made_of(job, design))}["wheel"].mesh
    bore = np.pi / 4 * (120 / 4) ** 2
    assert volume_of(mesh.points[mesh.triangles]) == pytest.approx((design.wheel.outline.area - bore) * 3.2, rel=1e-3)
    rim = mesh.points[np.hypot(mesh.points[:, 0], mesh.points[:, 1]) > 59.9]
    towards = 1.0 if turns == "clockwise" else -1.0  # 90 degrees on the way the crank turns is right when clockwise
    assert (towards * rim[:, 0]).max() < 59.9  # no tooth at the gap's middle
    assert (-towards * rim[:, 0]).max() > 59.9


@pytest.mark.parametrize(
    "sections",
    [turned(), plate(), turned(gauge={"thickness": 4, "covers": "120 deg"})],
    ids=["turned", "plate", "part"],
)
def test_the_gauge_is_as_large_as_its_design_says(sections: dict[str, object]) -> None:
    design = design_job(job_of(**sections))
    assert design.gauge is not None
    mesh = {part.name: part for part in scene_parts(made_of(design.job, design))}["gauge"].mesh
    low, high = mesh.points.min(axis=0), mesh.points.max(axis=0)
    assert high - low == pytest.approx(np.array(design.gauge.size_mm), abs=0.01)
    assert high[2] == pytest.approx(design.gauge.z_front)


def test_a_job_whose_bracket_collides_is_still_shown(six: Job) -> None:
    sensor = six.sensor
    assert sensor is not None
    job = six.model_copy(update={"sensor": sensor.model_copy(update={"nose_length": 10.0})}).with_source(six.source)
    names = [part.name for part in scene_parts(made_of(job, None))]
    assert {"wheel", "found", "bracket", "sensor", "block"} <= set(names)
