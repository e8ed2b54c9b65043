"""Shaded pictures: what is nearest is seen, lines where faces meet, the same bytes, nothing that needs a display."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.conftest import ROOT
from wheelcad.arrays import Floats
from wheelcad.build import BuildResult
from wheelcad.files.glb import Mesh, write_glb
from wheelcad.files.stl import write_triangles
from wheelcad.packet.pictures import fitted_picture, part_picture, pictures_of, write_pictures
from wheelcad.packet.raster import Viewpoint, shaded

FACING = Viewpoint(0.0, 0.0)


def box(low: tuple[float, float, float], high: tuple[float, float, float]) -> Floats:
    """Twelve triangles of a box, their corners anticlockwise from outside."""
    corners = np.array([[(low, high)[(k >> axis) & 1][axis] for axis in range(3)] for k in range(8)], dtype=float)
    quads = [(0, 2, 3, 1), (4, 5, 7, 6), (0, 1, 5, 4), (2, 6, 7, 3), (0, 4, 6, 2), (1, 3, 7, 5)]
    box_of: Floats = corners[np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))])]
    return box_of


def pixels(data: bytes) -> np.ndarray:
    """Grey values of a PNG, 0 to 255."""
    return np.asarray(Image.open(io.BytesIO(data)).convert("L"))


def test_the_nearer_part_hides_the_farther_in_either_order() -> None:
    front, back = box((-1, -1, 2), (1, 1, 3)), box((-2, -2, 0), (2, 2, 1))
    for parts, tones in (((front, back), (0.9, 0.3)), ((back, front), (0.3, 0.9))):
        greys = np.repeat(tones, 12)
        picture = shaded(np.concatenate(parts), greys, 200, 200, FACING, margin=0.1)
        middle, side = picture[100, 100], picture[100, 40]
        assert middle / side == pytest.approx(3.0)
        assert picture[5, 5] == 1.0


def test_a_face_fills_its_outline_and_no_more() -> None:
    """A 3 by 2 box seen square on fills 80 % of the width, and two thirds of that in height."""
    picture = shaded(box((0, 0, 0), (3, 2, 1)), np.full(12, 0.9), 300, 300, FACING, margin=0.1)
    inked = picture < 1.0
    rows, columns = np.flatnonzero(inked.any(axis=1)), np.flatnonzero(inked.any(axis=0))
    assert len(columns) == pytest.approx(240, abs=2)
    assert len(rows) == pytest.approx(160, abs=2)
    inner = inked[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    assert inner[1:-1, 1:-1].all()
    # Triangles share a diagonal inside the flat face: no line may show there.
    assert (picture[rows[3] : rows[-4], columns[3] : columns[-4]] > 0.0).all()


def test_lines_stand_where_faces_meet() -> None:
    picture = shaded(box((0, 0, 0), (1, 1, 1)), np.full(12, 0.9), 200, 200, Viewpoint(-30.0, 30.0))
    lines = picture == 0.0
    middle = lines[60:140, 60:140]
    assert middle.any(), "three faces meet inside the outline"
    assert lines.mean() < 0.1


def test_to_the_right_and_above_are_what_they_say() -> None:
    right, above = np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0])
    assert Viewpoint(30.0, 0.0).turned(right)[2] == pytest.approx(0.5)  # a point to the right comes nearer
    assert Viewpoint(0.0, 30.0).turned(above)[2] == pytest.approx(0.5)
    assert np.linalg.det(Viewpoint(20.0, -40.0).turned(np.eye(3))) == pytest.approx(1.0)  # nothing is mirrored


def test_the_same_part_gives_the_same_bytes_in_any_order_of_its_triangles() -> None:
    part = np.concatenate([box((0, 0, 0), (4, 4, 1)), box((1, 1, 1), (2, 3, 2))])
    one = part_picture(part, 90)
    assert one == part_picture(part, 90)
    assert pixels(one).shape == (90, 90)
    turned = part_picture(part[::-1].copy(), 90)
    assert np.abs(pixels(one).astype(int) - pixels(turned).astype(int)).max() <= 8


def test_nothing_to_see_is_an_error() -> None:
    with pytest.raises(ValueError, match="no triangles"):
        part_picture(np.empty((0, 3, 3)), 50)


def test_only_what_is_in_the_folder_is_drawn(tmp_path: Path) -> None:
    assert fitted_picture(tmp_path, 60) is None
    assert pictures_of(tmp_path, 60) == {}
    write_triangles(tmp_path / "wheel.stl", box((-5, -5, 0), (5, 5, 1)))
    assert set(pictures_of(tmp_path, 60)) == {"wheel"}
    write_triangles(tmp_path / "bracket.stl", box((5, 5, 0), (8, 8, 1)))
    paths = write_pictures(tmp_path, tmp_path / "made", 60)
    assert [path.name.rsplit("-", 1)[1] for path in paths] == ["wheel.png", "bracket.png", "fitted.png"]
    assert all(pixels(path.read_bytes()).min() < 128 for path in paths)


def test_an_assembly_is_shown_with_its_own_greys(tmp_path: Path) -> None:
    """The mesh that is darker in the file is darker in the picture, and nothing is blacker than its lines."""
    cubes = [("light", (0.9, 0.9, 0.9), 0.0), ("dark", (0.1, 0.1, 0.2), 3.0)]
    meshes = []
    for name, colour, x in cubes:
        corners = box((x, 0, 0), (x + 2, 2, 2)).reshape(-1, 3)
        meshes.append(Mesh(name, corners, np.arange(36).reshape(-1, 3), colour))
    write_glb(tmp_path / "assembly.glb", meshes)
    data = fitted_picture(tmp_path, 120)
    assert data is not None
    grey = pixels(data)
    left, right = (np.bincount(half[half < 255], minlength=256).argmax() for half in (grey[:, :60], grey[:, 60:]))
    assert 0.55 < right / left < 0.7  # of its lightest part 0.97, its darkest 0.6


def test_the_readme_shows_what_a_build_gives_now(built_six: BuildResult) -> None:
    """Its pictures are those of the demo's files; a picture may differ by a rounding of its edges, not by a part."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = [ROOT / path for path in re.findall(r'src="([^"]+\.png)"', readme)]
    assert 3 <= len(shown) <= 6
    made = pictures_of(built_six.folder, 480)
    for path in shown:
        assert path.stat().st_size < 150_000
        now, then = pixels(made[path.stem.removeprefix("tarn-six-")]), pixels(path.read_bytes())
        assert now.shape == then.shape
        assert np.mean(np.abs(now.astype(float) - then) > 40) < 0.002, f"{path.name}: make the pictures again"


def test_the_command_says_what_is_missing_without_a_traceback(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "wheelcad.packet.pictures", str(tmp_path), str(tmp_path / "made")]
    ran = subprocess.run(command, capture_output=True, text=True, cwd=ROOT)
    assert ran.returncode == 1
    assert "holds nothing to draw" in ran.stderr
    assert "Traceback" not in ran.stderr
