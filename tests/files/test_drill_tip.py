"""A blind hole's point comes back from STEP whole: a cone's tip is no edge that the file could hold."""

from __future__ import annotations

from pathlib import Path

from wheelcad.files.brep import cut, drill, prism
from wheelcad.files.soundness import is_sound
from wheelcad.files.step import read_step, write_step
from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop


def test_drill_points_are_sound_when_read_again(tmp_path: Path) -> None:
    disc = prism(Loop.circle(0, 0, 45.0), [], -33.325, 4.895)
    for at, sense in ((180.0, -1), (0.0, 1), (126.15, 1)):
        x, y = point_at(32.5, at, sense).tolist()
        solid = cut(disc, [drill(x, y, 5.895, -22.705, 7.9, 118.0)], "the disc")
        write_step(tmp_path / "disc.step", solid, "disc")
        assert is_sound(read_step(tmp_path / "disc.step")), (at, sense)
