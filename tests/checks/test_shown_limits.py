"""The shown assembly by hand: parts where they stand, and as far off as is just allowed and just not."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from wheelcad.checks import cut_shapes, shown, wheel_flat
from wheelcad.files.dxf import CutFile
from wheelcad.findings import Finding

Floats = np.ndarray[Any, np.dtype[np.float64]]
LIMIT = 0.12  # of a part in so coarse a mesh


def rod(radius: float, low: float, high: float, x: float = 0.0, y: float = 0.0, sides: int = 8) -> Floats:
    """The wall of a round bar along z, as triangles (n, 3, 3)."""
    turn = 2 * np.pi * np.arange(sides) / sides
    ring = np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])
    foot, head = np.column_stack([ring, 0 * turn + low]), np.column_stack([ring, 0 * turn + high])
    return np.stack([foot, np.roll(foot, -1, axis=0), head], axis=1)


@pytest.mark.parametrize("off", [0.0048, 0.0052])
@pytest.mark.parametrize("axis", [0, 1, 2])
def test_both_files_show_parts_in_the_same_places(
    axis: int, off: float, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    move = np.zeros(3)
    move[axis] = off
    paths: list[Path] = []
    parts = {"wheel": rod(80.0, -3.0, 3.0), "bracket": rod(5.0, 0.0, 9.0) + move}
    monkeypatch.setattr(shown, "glb_meshes", lambda path: paths.append(path) or parts)
    solids = {"wheel": rod(80.0, -3.0, 3.0), "bracket": rod(5.0, 0.0, 9.0)}
    (found,) = shown.check_same_places(tmp_path, solids)
    assert found.measured == pytest.approx(off)
    assert (found.verdict == "pass") == (off < 0.005)
    (other,) = shown.check_same_places(tmp_path, {"wheel": solids["wheel"], "gauge": solids["bracket"]})
    assert math.isinf(float(other.measured))
    assert {*paths} == {tmp_path / "assembly.glb"}


def bolts(*offs: tuple[float, float]) -> Finding:
    """Two threads, and bolts that stand so far off them; one side of a bolt's hexagon is nearer than the other."""
    points = [(100.0, 60.0), (130.0, -60.0)]
    meshes = {
        f"mount bolt {n}": rod(4.0, 0.0, 20.0, x + dx, y + dy)
        for n, ((x, y), (dx, dy)) in enumerate(zip(points, offs, strict=False), 1)
    }
    (found,) = shown._bolts("assembly.glb", meshes, points)
    return found


@pytest.mark.parametrize("share", [0.96, 1.04])
@pytest.mark.parametrize("way", [(1.0, 0.0), (0.0, -1.0), (0.6, 0.8)])
def test_mount_bolts_stand_on_their_threads(way: tuple[float, float], share: float) -> None:
    off = way[0] * share * LIMIT, way[1] * share * LIMIT
    for found in (bolts(off, (0.0, 0.0)), bolts((0.0, 0.0), off), bolts(off)):
        assert found.measured == pytest.approx(share * LIMIT)
        assert (found.verdict == "pass") == (share < 1)
    assert bolts().measured == 0.0


LOOK = (0.6, 0.0, 0.8)


def sensor(
    monkeypatch: pytest.MonkeyPatch, radius: float = 6.0, end: float = 30.0, flange: float = 40.0, aside: float = 0.0
) -> Finding:
    """A sensor with a nose of 6 by 30 mm along LOOK, from its face at (7, 8, 9); where it is thicker further back, that
    is no nose."""
    along, across, up = np.array(LOOK), np.array([0.8, 0.0, -0.6]), np.array([0.0, 1.0, 0.0])
    made = np.concatenate([rod(radius, 0.0, end, aside), rod(flange, -9.0, 30.0 - shown.LOOKS - 0.01)])
    mesh = made[..., :1] * across + made[..., 1:2] * up + made[..., 2:] * along + np.array([7.0, 8.0, 9.0])
    place = SimpleNamespace(look=LOOK, face=(7.0, 8.0, 9.0), nose_length=30.0)
    monkeypatch.setattr(shown, "_place", lambda design: place)
    monkeypatch.setattr(shown, "sensor_body", lambda sensor, place: SimpleNamespace(diameter=12.0))
    design = cast(Any, SimpleNamespace(job=SimpleNamespace(sensor=1)))
    (found,) = shown._sensor("assembly.glb", {"sensor": mesh}, design)
    assert shown._sensor("assembly.glb", {}, design) == []
    return found


@pytest.mark.parametrize("share", [0.96, 1.04])
@pytest.mark.parametrize("what", ["wider", "thinner", "longer"])
def test_a_nose_by_its_radius_and_its_end(what: str, share: float, monkeypatch: pytest.MonkeyPatch) -> None:
    off = share * LIMIT
    said = {"wider": {"radius": 6.0 + off}, "thinner": {"radius": 6.0 - off}, "longer": {"end": 30.0 + off}}[what]
    found = sensor(monkeypatch, **said)
    assert found.measured == pytest.approx(off)
    assert (found.verdict == "pass") == (share < 1)
    assert sensor(monkeypatch, end=29.95).measured == pytest.approx(0.05)


def test_a_nose_aside_of_its_axis(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its far side shows it as well, and a thinner one its axis alone."""
    assert sensor(monkeypatch, aside=0.2).measured == pytest.approx(0.2)
    assert sensor(monkeypatch, radius=5.9, aside=0.2).measured == pytest.approx(0.2)
    assert sensor(monkeypatch, radius=5.9, aside=-0.05).measured == pytest.approx(0.05)
    assert sensor(monkeypatch).measured == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    ("there", "good"),
    [
        ({"wheel", "bracket", "gusset 1", "gusset 2", "mount bolt 1", "mount bolt 2", "sensor"}, True),
        ({"wheel", "bracket", "gusset 1", "gusset 2", "mount bolt 1", "mount bolt 2", "sensor", "sensor nut 2"}, True),
        ({"wheel", "bracket", "gusset 1", "gusset 2", "mount bolt 1", "mount bolt 2"}, False),
        ({"wheel", "bracket", "gusset 1", "gusset 3", "mount bolt 1", "mount bolt 2", "sensor"}, False),
        ({"wheel", "bracket", "gusset 1", "mount bolt 1", "mount bolt 2", "sensor"}, False),
        ({"wheel", "bracket", "gusset 1", "gusset 2", "mount bolt 0", "mount bolt 1", "sensor"}, False),
    ],
)
def test_every_part_is_there_by_its_name(there: set[str], good: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shown, "_place", lambda design: 1)
    design = SimpleNamespace(bracket=SimpleNamespace(gussets=[1, 1], mount_points=[1, 1]))
    meshes = {name: rod(1.0, 0.0, 1.0) for name in there}
    found = shown._names("assembly.glb", meshes, cast(Any, design), {"wheel": cast(Any, None)})
    assert (found.verdict == "pass") == good


@pytest.mark.parametrize("form", ["plate", "turned"])
def test_what_turns_with_a_plate_wheel(form: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The spacer, and the pulley as it was found: bored, and recessed by half a diameter."""
    seen: list[Any] = []
    monkeypatch.setattr(shown, "wheel_body", lambda wheel, blank, holes: "wheel")
    monkeypatch.setattr(shown, "adapter_body", lambda adapter: "adapter")
    monkeypatch.setattr(shown, "as_found_lands", lambda job: ["land"])
    monkeypatch.setattr(shown, "bore_opening", lambda radius: radius)
    monkeypatch.setattr(shown, "bolt_openings", lambda job, faults: ["bolt"])
    monkeypatch.setattr(shown, "lands_body", lambda *given: seen.append(given) or "pulley")
    pulley = SimpleNamespace(bore=32.0, recess=SimpleNamespace(diameter=60.0, depth=2.0))
    design = SimpleNamespace(
        wheel=SimpleNamespace(form=form), blank=None, balance=SimpleNamespace(holes=()), adapter=1,
        job=SimpleNamespace(pulley=pulley),
    )  # fmt: skip
    found = shown._bodies(cast(Any, design))
    if form == "turned":
        assert (found, seen) == ({"wheel": "wheel"}, [])
    else:
        assert found == {"wheel": "wheel", "adapter": "adapter", "pulley": "pulley"}
        assert seen == [(["land"], [16.0, "bolt"], (30.0, 2.0))]


@pytest.mark.parametrize(("plasma", "ring", "files"), [(None, None, 1), (1, None, 2), (1, 1, 1)])
def test_which_cutting_files_a_wheel_has(
    plasma: int | None, ring: int | None, files: int, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """A plasma cutter's blank, and the finished wheel beside it; a ready-made ring is not cut."""
    read: list[Path] = []
    monkeypatch.setattr(cut_shapes, "read_cut_dxf", lambda path: read.append(path) or CutFile(4))
    monkeypatch.setattr(cut_shapes, "check_flat", lambda name, cut, wanted: [(name, wanted.outlines, wanted.marks)])
    flat = SimpleNamespace(outline="finished", holes=(), marks=[((1.0, 2.0, 9.0), (3.0, 4.0, 9.0))])
    monkeypatch.setattr(cut_shapes, "finished_flat", lambda job, wheel: flat)
    blank = SimpleNamespace(outline="blank", holes=(), marks=[])
    monkeypatch.setattr(cut_shapes, "plasma_blank", lambda job, wheel: blank)
    design = SimpleNamespace(wheel=SimpleNamespace(ring=ring), job=SimpleNamespace(shop=SimpleNamespace(plasma=plasma)))
    found = cut_shapes.check_wheel_flats(tmp_path, cast(Any, design))
    marks = (((1.0, 2.0), (3.0, 4.0)),)
    if files == 1:
        assert found == [("wheel-flat.dxf", "finished", marks)]
    else:
        assert found == [("wheel-flat.dxf", "blank", ()), ("wheel-finished.dxf", "finished", marks)]
    assert read == [tmp_path / name for name, *_ in cast(Any, found)]


def test_a_wheel_s_cutting_files_are_read_where_they_lie(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    read: list[Path] = []
    monkeypatch.setattr(wheel_flat, "read_cut_dxf", lambda path: read.append(path) or CutFile(4))
    for bolts, kinds in ((1, {"flat-tdc"}), (2, {"flat-tdc", "bolts-one-way"})):
        centres = np.array([[30.0, 0.0], [-30.0, 0.0]])[:bolts]
        monkeypatch.setattr(wheel_flat, "bolt_centres", lambda job, centres=centres: centres)
        design = cast(Any, SimpleNamespace(wheel=SimpleNamespace(sense=1), job=None))
        assert {str(f.check) for f in wheel_flat.check_wheel_flat(tmp_path, ["a.dxf"], design)} == kinds
    assert {*read} == {tmp_path / "a.dxf"}


def test_a_bracket_s_plates_are_held_against_it_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """Plate and gussets, and nothing else of the file; to the shown mesh's own limit."""
    asked: list[Any] = []
    monkeypatch.setattr(shown, "_bodies", lambda design: {"wheel": "body", "adapter": "other"})
    monkeypatch.setattr(shown, "_names", lambda *given: "names")
    monkeypatch.setattr(shown, "check_body", lambda name, mesh, body, limit: asked.append((name, body, limit)) or [])
    monkeypatch.setattr(
        shown,
        "check_bracket_metal",
        lambda name, mesh, design, limit: asked.append((mesh[:, 0, 0].tolist(), limit)) or [],
    )
    monkeypatch.setattr(shown, "_bolts", lambda *given: [])
    monkeypatch.setattr(shown, "_sensor", lambda *given: [])
    meshes = {name: np.full((1, 3, 3), float(n)) for n, name in enumerate(("wheel", "bracket", "gusset 1", "sensor"))}
    design = cast(Any, SimpleNamespace(bracket=SimpleNamespace(mount_points=())))
    assert list(shown.check_shown("a.glb", meshes, design)) == ["names"]
    assert asked == [("a.glb, wheel", "body", LIMIT), ([1.0, 2.0], LIMIT)]
