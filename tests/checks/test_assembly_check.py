"""The assembled engine: measured right when it is right, and faults put in on purpose seen."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest

from tests.conftest import ROOT
from wheelcad.checks.assembly import (
    Envelope,
    check_assembly,
    check_room,
    envelope,
    facing_turn_deg,
    least_room,
    step_meetings,
)
from wheelcad.files.figures import Meetings
from wheelcad.files.glb_reader import read_glb
from wheelcad.files.step_named import read_named_step, write_named_step
from wheelcad.files.stl import read_stl
from wheelcad.files.stl_writer import write_stl
from wheelcad.findings import Finding
from wheelcad.job.reader import load_job
from wheelcad.parts.design import Design, design_job
from wheelcad.parts.solids import Solids, write_solids


@pytest.fixture(scope="module", params=["tarn-six", "fell-twin"])
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Design, Path]:
    """A demo's design and the folder of its solids: an L for a sensor that looks in, a Z for one that looks along."""
    design = design_job(load_job(ROOT / "configs" / f"{request.param}.yaml"))
    folder = tmp_path_factory.mktemp(request.param)
    write_solids(Solids(design), folder, lambda _: None)
    return design, folder


def judged(folder: Path, meetings: Meetings, design: Design) -> list[Finding]:
    assert design.bracket is not None
    return list(check_assembly(meetings, design)) + check_room(folder, design.bracket, design)


def failed(folder: Path, meetings: Meetings, design: Design) -> set[str]:
    return {finding.check for finding in judged(folder, meetings, design) if finding.verdict == "fail"}


def test_everything_is_there_apart_and_at_the_air_gap(made: tuple[Design, Path]) -> None:
    design, folder = made
    meetings = step_meetings(folder / "assembly.step", facing_turn_deg(design))
    assert failed(folder, meetings, design) == set()
    assert {"wheel", "bracket", "sensor", "mount bolt 1", "mount bolt 2"} <= set(meetings.names)
    assert design.job.sensor is not None
    assert meetings.gap == pytest.approx(design.job.sensor.air_gap, abs=1e-6)
    assert [mesh.name for mesh in read_glb(folder / "assembly.glb")] == list(meetings.names)


def test_the_room_found_agrees_with_the_design(made: tuple[Design, Path]) -> None:
    design, folder = made
    meetings = step_meetings(folder / "assembly.step", facing_turn_deg(design))
    found = next(f.measured for f in judged(folder, meetings, design) if f.check == "assembled-room")
    assert design.bracket is not None
    planned = next(f.measured for f in design.findings if f.check == "room-to-turning-parts")
    assert isinstance(found, float)
    assert isinstance(planned, float)
    # the plan counts nuts as well and takes corners of bends as square
    assert planned - 0.05 <= found <= planned + 1.0


def test_a_part_out_of_place_is_seen(made: tuple[Design, Path], tmp_path: Path) -> None:
    design, folder = made
    parts = read_named_step(folder / "assembly.step")
    out = np.array(design.bracket.asked.place.look) if design.bracket is not None else np.zeros(3)
    nearer = [(n, s.moved(cq.Location(cq.Vector(*(0.1 * out)))) if n == "sensor" else s) for n, s in parts]
    write_named_step(tmp_path / "assembly.step", nearer, "x")
    meetings = step_meetings(tmp_path / "assembly.step", facing_turn_deg(design))
    assert "assembled-air-gap" in failed(folder, meetings, design)
    into = [(n, s.moved(cq.Location(cq.Vector(*(3.0 * out)))) if n == "bracket" else s) for n, s in parts]
    write_named_step(tmp_path / "assembly.step", into, "x")
    meetings = step_meetings(tmp_path / "assembly.step", facing_turn_deg(design))
    assert "shared-metal" in failed(folder, meetings, design)


def test_a_wheel_turned_the_wrong_way_shows_in_the_gap(made: tuple[Design, Path]) -> None:
    design, folder = made
    right = facing_turn_deg(design)
    mirrored = step_meetings(folder / "assembly.step", -right + design.wheel.pitch_deg / 2)
    faced = step_meetings(folder / "assembly.step", right)
    assert design.job.sensor is not None
    if design.job.sensor.looks == "in":  # half a pitch off, a slot faces the nose
        assert mirrored.gap > faced.gap + 1e-3
    else:  # a nose wider than a slot always has a tooth before it
        assert mirrored.gap == pytest.approx(faced.gap)


def test_a_bracket_that_reaches_the_wheel_is_seen(made: tuple[Design, Path], tmp_path: Path) -> None:
    design, folder = made
    meetings = step_meetings(folder / "assembly.step", facing_turn_deg(design))
    (tmp_path / "wheel.stl").write_bytes((folder / "wheel.stl").read_bytes())
    assert design.bracket is not None
    way = (
        -np.array([design.bracket.slide.x, design.bracket.slide.y, 0.0])
        if abs(design.bracket.asked.place.look[2]) < 0.5
        else np.array(design.bracket.asked.place.look)
    )
    solids = [s for n, s in read_named_step(folder / "assembly.step") if n in ("bracket", "gusset 1", "gusset 2")]
    moved = cq.Compound.makeCompound([s.moved(cq.Location(cq.Vector(*(24.5 * way)))) for s in solids])
    write_stl(tmp_path / "bracket.stl", moved)
    assert "assembled-room" in failed(tmp_path, meetings, design)


def test_names_must_be_there_once(made: tuple[Design, Path]) -> None:
    design, folder = made
    meetings = step_meetings(folder / "assembly.step", facing_turn_deg(design))
    twice = replace(meetings, names=(*meetings.names, "wheel"))
    assert failed(folder, twice, design) == {"parts"}
    unread = replace(meetings, gap=math.nan)
    assert failed(folder, unread, design) == {"assembled-air-gap"}


def test_what_a_mesh_sweeps(tmp_path: Path) -> None:
    # a bar 40 long off the axis and a small disc above it: the swept radius follows the outermost corner
    bar = cq.Solid.makeBox(40, 6, 4, cq.Vector(5, -3, 0))
    disc = cq.Solid.makeCylinder(10, 5, cq.Vector(0, 0, 10))
    write_stl(tmp_path / "x.stl", cq.Compound.makeCompound([bar, disc]))
    swept = envelope(read_stl(tmp_path / "x.stl"))

    def at(z: float) -> float:
        return float(swept.radius[(swept.z_low <= z) & (z <= swept.z_high)].max())

    assert at(2) == pytest.approx(math.hypot(45, 3), abs=1e-4)
    assert at(12) == pytest.approx(10, abs=0.006)
    assert at(7) == 0


def test_room_found_by_halving_agrees_with_points_all_over() -> None:
    """A few large triangles against what a pulley sweeps, by corners closing in and by a fine grid on each."""
    rng = np.random.default_rng(5)
    slices = Envelope(np.array([-10.0, 4.0]), np.array([4.0, 9.0]), np.array([60.0, 35.0]))
    u, v = np.meshgrid(*[np.linspace(0, 1, 201)] * 2)
    u, v = u[u + v <= 1], v[u + v <= 1]
    for _ in range(40):
        triangles = rng.uniform(-120, 120, (3, 3, 3)) + rng.uniform(-60, 60, 3)
        a, b, c = triangles[:, None, 0], triangles[:, None, 1], triangles[:, None, 2]
        x, y, z = (a + u[None, :, None] * (b - a) + v[None, :, None] * (c - a)).reshape(-1, 3).T
        radial = np.maximum(0, np.hypot(x, y)[:, None] - slices.radius)
        axial = np.maximum(0, np.maximum(z[:, None] - slices.z_high, slices.z_low - z[:, None]))
        wanted = float(np.hypot(radial, axial).min())
        assert least_room(triangles, slices) == pytest.approx(wanted, abs=1.0)
        assert least_room(triangles, slices, 0.5) <= 0.5
    assert least_room(np.zeros((0, 3, 3)), slices) == math.inf


def test_the_middle_of_a_thin_triangle_s_long_side_may_be_nearest() -> None:
    """A sliver across the axis: its corners are 20 mm away, the middle of its side passes at 5 mm."""
    sliver = np.array([[[-20.0, 5.0, 0.0], [20.0, 5.0, 0.0], [20.0, 5.2, 0.0]]])
    shaft = Envelope(np.array([-1.0]), np.array([1.0]), np.array([2.0]))
    assert least_room(sliver, shaft) == pytest.approx(3.0, abs=0.05)


def test_the_two_parts_that_share_most_are_named() -> None:
    design = design_job(load_job(ROOT / "configs" / "tarn-six.yaml"))
    shared = (("wheel", "sensor", 0.02), ("bracket", "mount bolt 1", 3.0))
    found = {f.check: f for f in check_assembly(Meetings(("wheel",), shared, math.nan, {}), design)}
    assert found["shared-metal"].verdict == "fail"
    assert found["shared-metal"].why == "common volume of bracket and mount bolt 1"


@pytest.mark.parametrize("below", [0.6, 1.0, 4.0, math.inf])
def test_a_triangle_s_own_middle_may_be_nearest(below: float) -> None:
    """Sides of 30 mm round a thin shaft: corners 17.3 mm away, its middle a twentieth above the shaft's end."""
    turn = np.radians([90.0, 210.0, 330.0])
    flat = 30 / math.sqrt(3) * np.column_stack([np.cos(turn), np.sin(turn), 0 * turn])[None] + np.array([0, 0, 0.05])
    shaft = Envelope(np.array([-1.0]), np.array([0.0]), np.array([0.01]))
    assert least_room(flat, shaft, below) == pytest.approx(0.05, abs=0.25)
