"""Meshes: the same every time, curved where the solid is, joined, and never inside out."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

from tests.checks.fem.blocks import block, plate_step, round_hole
from wheelcad.checks.fem.mesh import SIDES, SLIVER, Fineness, distortion, mesh_step, tidy
from wheelcad.checks.fem.model import FemError, HeadRing

UP = (0.0, 0.0, 1.0)


def two_plates(path: Path, apart: float) -> Path:
    """A plate, and another standing on it `apart` mm above its face."""
    import cadquery as cq

    from wheelcad.files.brep import compound
    from wheelcad.files.step import write_step

    lower = cq.Solid.makeBox(30, 20, 4)
    upper = cq.Solid.makeBox(20, 4, 10).moved(cq.Location(cq.Vector(5, 8, 4 + apart)))
    write_step(path, compound([lower, upper]), "two")
    return path


def test_the_same_file_gives_the_same_mesh(tmp_path: Path) -> None:
    path = plate_step(tmp_path / "p.step", 40, 30, 5, [round_hole(12, 0, 10)])
    ring = HeadRing((12.0, 0.0, 5.0), UP, 16.0)
    first, second = (mesh_step(path, [ring], Fineness(8.0, 10)) for _ in range(2))
    assert first.points.tobytes() == second.points.tobytes()
    assert first.tets.tobytes() == second.tets.tobytes()
    assert np.array_equal(np.lexsort(first.points.T[::-1]), np.arange(len(first.points)))
    assert len(mesh_step(path, [ring], Fineness(4.0, 16)).tets) > 1.5 * len(first.tets)


def test_mid_sides_lie_on_the_hole(tmp_path: Path) -> None:
    path = plate_step(tmp_path / "p.step", 40, 30, 5, [round_hole(20, 0, 10)])
    mesh = mesh_step(path, [], Fineness(10.0, 8))
    radius = np.hypot(mesh.points[:, 0] - 20.0, mesh.points[:, 1])
    assert radius.min() == pytest.approx(5.0, abs=1e-6)  # chords would come 0.38 mm nearer
    assert (radius < 5.0 + 1e-6).sum() >= 3 * 8


def test_pieces_that_touch_are_one_and_others_are_refused(tmp_path: Path) -> None:
    joined = mesh_step(two_plates(tmp_path / "touching.step", 0.0), [], Fineness(6.0, 8))
    assert joined.points[:, 2].max() == pytest.approx(14.0)
    with pytest.raises(FemError, match="2 pieces"):
        mesh_step(two_plates(tmp_path / "apart.step", 0.5), [], Fineness(6.0, 8))


def test_what_is_no_solid_is_said_so(tmp_path: Path) -> None:
    broken = tmp_path / "broken.step"
    broken.write_text("not a STEP file")
    for path in (broken, tmp_path / "missing.step"):
        with pytest.raises(FemError, match=r"\.step"):
            mesh_step(path, [], Fineness(5.0, 8))


def test_rings_beyond_the_plate_leave_nothing_behind(tmp_path: Path) -> None:
    path = plate_step(tmp_path / "p.step", 40, 30, 5)
    over_edge = mesh_step(path, [HeadRing((0.0, 0.0, 5.0), UP, 20.0)], Fineness(8.0, 8))
    assert over_edge.points[:, 0].min() == pytest.approx(0.0, abs=1e-9)


def test_an_element_turned_inside_out_is_straightened() -> None:
    good = block((1, 1, 1), (10.0, 10.0, 10.0))
    assert distortion(good.points, good.tets) == pytest.approx(np.ones(len(good.tets)))
    spoilt = good.points.copy()
    a, b = SIDES[0]
    cell = good.tets[0]
    spoilt[cell[4]] = spoilt[cell[a]] + 1.8 * (spoilt[cell[b]] - spoilt[cell[a]])
    assert distortion(spoilt, good.tets).min() < SLIVER
    mended = tidy(np.arange(len(spoilt)), spoilt, good.tets)
    assert distortion(mended.points, mended.tets).min() == pytest.approx(1.0)


def test_a_mesh_that_cannot_be_mended_is_refused() -> None:
    good = block((1, 1, 1), (10.0, 10.0, 10.0))
    flipped = good.tets[:, (1, 0, 2, 3, 4, 6, 5, 8, 7, 9)]
    with pytest.raises(FemError, match="inside out"):
        tidy(np.arange(len(good.points)), good.points, flipped)


def test_a_missing_mesher_is_said_with_its_remedy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "gmsh", None)
    with pytest.raises(FemError, match="pip install gmsh"):
        mesh_step(tmp_path / "p.step", [], Fineness(5.0, 8))


def test_a_mesher_without_its_system_libraries_names_them(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    class Broken:
        """As the mesher is on a bare machine."""

        @staticmethod
        def find_spec(name: str, *_: object) -> None:
            if name == "gmsh":
                raise OSError("libGLU.so.1: cannot open shared object file")

    monkeypatch.delitem(sys.modules, "gmsh", raising=False)
    monkeypatch.setattr(sys, "meta_path", [Broken, *sys.meta_path])
    with pytest.raises(FemError, match="apt-get install libglu1-mesa"):
        mesh_step(tmp_path / "p.step", [], Fineness(5.0, 8))
