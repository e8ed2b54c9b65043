"""STEP files of several named parts."""

from __future__ import annotations

from pathlib import Path

import cadquery as cq
import pytest

from wheelcad.files.brep import KernelError
from wheelcad.files.step_named import read_named_step, write_named_step

PARTS = [("wheel", cq.Solid.makeCylinder(10, 3)), ("mount bolt 1", cq.Solid.makeBox(1, 2, 3, cq.Vector(20, 0, 0)))]


def test_names_places_and_sizes_come_back(tmp_path: Path) -> None:
    write_named_step(tmp_path / "two.step", PARTS, "tarn assembly")
    found = read_named_step(tmp_path / "two.step")
    assert [name for name, _ in found] == ["wheel", "mount bolt 1"]
    for (_, written), (_, read) in zip(PARTS, found, strict=True):
        assert read.Volume() == pytest.approx(written.Volume())
        assert read.Center().toTuple() == pytest.approx(written.Center().toTuple())


def test_same_parts_same_bytes(tmp_path: Path) -> None:
    path = tmp_path / "two.step"
    write_named_step(path, PARTS, "x")
    first = path.read_bytes()
    write_named_step(path, PARTS, "x")
    assert path.read_bytes() == first
    assert b"1970-01-01" in first


def test_a_file_that_is_none_is_refused(tmp_path: Path) -> None:
    (tmp_path / "bad.step").write_text("nothing")
    with pytest.raises(KernelError, match="could not be read"):
        read_named_step(tmp_path / "bad.step")
