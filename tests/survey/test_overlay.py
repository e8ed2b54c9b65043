"""Lines drawn into a photograph lie where a projector of its own sees them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image

from tests.survey.scene import Lens, look_at
from wheelcad.survey.camera import Camera, project
from wheelcad.survey.overlay import OverlayLine, draw_into, engine_camera, in_picture
from wheelcad.survey.photos import PhotoSeen, PrintMounting
from wheelcad.survey.pictures import Picture

LENS = Lens(3000.0, 0.06, 0.0, (1999.5, 1499.5), (4000, 3000))
TURN, SHIFT = look_at(np.array([150.0, 100.0, 480.0]), np.zeros(3), 5.0)
CAMERA = Camera(LENS.focal, LENS.k1, LENS.k2, LENS.middle, TURN, SHIFT)


def test_a_straight_line_is_bent_as_the_lens_bends_it() -> None:
    ends = np.array([[-200.0, 130.0, 0.0], [200.0, 130.0, 0.0]])
    (piece,) = in_picture(OverlayLine(ends, (255, 0, 0)), CAMERA)
    share = np.linspace(0, 1, len(piece))[:, None]
    true = LENS.see((ends[0] + share * (ends[1] - ends[0])) @ TURN.T + SHIFT)
    assert np.allclose(piece, true, atol=1e-6)
    straight = piece[0] + share * (piece[-1] - piece[0])
    assert np.abs(piece - straight).max() > 5.0


def test_what_goes_behind_the_camera_is_left_away() -> None:
    ends = np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 2000.0]])
    (piece,) = in_picture(OverlayLine(ends, (255, 0, 0)), CAMERA)
    assert np.isfinite(piece).all()
    assert len(piece) < 50


def test_the_engine_frame_lies_behind_the_disc_by_its_front_face_and_plate() -> None:
    seen = PhotoSeen(Picture(Path("a.jpg"), np.zeros((2, 2), np.uint8), (), 0.0), CAMERA, 0, 0.0)
    camera = engine_camera(seen, PrintMounting(front_z_mm=9.6, disc_plate_mm=2.0))
    assert np.allclose(project(np.array([5.0, 6.0, 11.6]), camera), project(np.array([5.0, 6.0, 0.0]), CAMERA))


def test_the_drawn_picture_has_the_line_where_it_belongs(tmp_path: Path) -> None:
    file, out = tmp_path / "plain.png", tmp_path / "drawn.jpg"
    Image.new("L", (4000, 3000), 128).save(file, compress_level=1)
    angle = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    ring = np.stack([80 * np.cos(angle), 80 * np.sin(angle), np.zeros(90)], 1)
    draw_into(file, [OverlayLine(ring, (255, 0, 0), closed=True)], CAMERA, (4000, 3000), out)
    with Image.open(out) as picture:
        red = np.asarray(picture.convert("RGB")).astype(int)
    assert picture.size == (2400, 1800)
    marked = np.argwhere(red[..., 0] - red[..., 1] > 80)[:, ::-1]
    true = (LENS.see(ring @ TURN.T + SHIFT) + 0.5) * 0.6 - 0.5
    apart = np.sqrt(((true[:, None] - marked[None]) ** 2).sum(-1))
    assert apart.min(axis=1).max() < 2.0  # the whole ring is drawn
    between = float(np.linalg.norm(np.diff(true, axis=0), axis=1).max())
    assert apart.min(axis=0).max() < between / 2 + 4.0  # and nothing else
