"""Cutting files: what is written comes back, and what a table cannot follow is named."""

from __future__ import annotations

import io
import math
import resource
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from wheelcad.errors import JobFileError
from wheelcad.files.dxf import (
    CutCircle,
    CutPath,
    CutText,
    as_circle,
    cut_dxf_bytes,
    write_cut_dxf,
)
from wheelcad.files.dxf_reader import read_cut_dxf
from wheelcad.trade.loop import Loop

SLOT = Loop.slot(0, 0, 50, 0, 20)
SHAPES = {
    "TEXT": [CutText(1, 2, "bend up 90°", 4.0, 30.0)],
    "HOLES": [Loop.circle(5, 5, 3), CutCircle(-1, 2, 3.3)],
    "OUTLINE": [SLOT],
    "SLIT": [CutPath(((0, 0, 0), (10, 0, 0))), CutPath(((0, 30, 1.0), (10, 30, 0), (20, 30, 0)))],
}


def cut_length(path: CutPath) -> float:
    """Of an open cut, mm."""
    return sum(edge.length for edge in path.edges())


def test_what_is_written_comes_back(tmp_path: Path) -> None:
    write_cut_dxf(tmp_path / "a.dxf", SHAPES)
    found = read_cut_dxf(tmp_path / "a.dxf")
    assert found.insunits == 4
    assert found.strange == ()
    assert found.layers == ("HOLES", "OUTLINE", "SLIT", "TEXT")
    (outline,) = found.loops["OUTLINE"]
    assert np.allclose(outline.vertices, SLOT.vertices, atol=1e-9)
    assert outline.area == pytest.approx(SLOT.area, rel=1e-12)
    assert found.circles["HOLES"] == [CutCircle(5, 5, 3), CutCircle(-1, 2, 3.3)]
    for got, wanted in zip(found.paths["SLIT"], SHAPES["SLIT"], strict=True):
        assert isinstance(wanted, CutPath)
        assert np.allclose(got.vertices, wanted.vertices, atol=1e-9)
    assert found.texts["TEXT"][0].text == "bend up 90°"


def test_lengths_of_open_cuts() -> None:
    straight, bent = SHAPES["SLIT"]
    assert isinstance(straight, CutPath)
    assert isinstance(bent, CutPath)
    assert cut_length(straight) == pytest.approx(10)
    assert cut_length(bent) == pytest.approx(math.pi * 5 + 10)


def test_the_same_bytes_whatever_the_order_of_layers() -> None:
    other = {layer: SHAPES[layer] for layer in sorted(SHAPES)}
    assert cut_dxf_bytes(SHAPES) == cut_dxf_bytes(other)


def test_plain_entities_only_and_only_layers_in_use() -> None:
    doc = ezdxf.read(io.StringIO(cut_dxf_bytes(SHAPES).decode()))
    assert {e.dxftype() for e in doc.modelspace()} == {"ARC", "CIRCLE", "LINE", "TEXT"}
    assert doc.dxfversion == "AC1015"
    assert {layer.dxf.name for layer in doc.layers} - {"0", "Defpoints"} == set(SHAPES)
    assert all(layer.color == 7 for layer in doc.layers if layer.dxf.name in SHAPES)
    assert doc.header["$INSUNITS"] == 4


def test_circles_are_told_from_other_loops() -> None:
    assert as_circle(Loop.circle(1, 2, 3)) == CutCircle(1, 2, 3)
    assert as_circle(SLOT) is None
    assert as_circle(Loop([(0, 0, 1), (2, 0, 0.5)])) is None


def test_a_layer_that_there_is_none_of() -> None:
    with pytest.raises(KeyError, match="CUTS"):
        cut_dxf_bytes({"CUTS": [SLOT]})


def test_a_write_that_fails_half_way_leaves_what_was_there(tmp_path: Path) -> None:
    """The system lets no file grow beyond 2000 bytes: the old one stays whole and nothing lies beside it."""
    path = tmp_path / "a.dxf"
    write_cut_dxf(path, {"OUTLINE": [SLOT]})
    before = path.read_bytes()
    assert len(before) > 2000
    usual = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (2000, usual[1]))
    try:
        with pytest.raises(OSError, match="File too large"):
            write_cut_dxf(path, {"OUTLINE": [SLOT, SLOT.moved(80, 0)]})
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)
    assert path.read_bytes() == before
    assert list(tmp_path.iterdir()) == [path]


def test_what_a_table_cannot_follow_is_named(tmp_path: Path) -> None:
    doc = ezdxf.new("R2013")
    doc.modelspace().add_spline([(0, 0), (1, 1), (2, 0)], dxfattribs={"layer": "OUTLINE"})
    doc.modelspace().add_arc((0, 0), 5, 0, 90, dxfattribs={"layer": "OUTLINE"})
    doc.saveas(tmp_path / "a.dxf")
    found = read_cut_dxf(tmp_path / "a.dxf")
    assert found.strange == ("OUTLINE: SPLINE",)
    (arc,) = found.paths["OUTLINE"]
    assert cut_length(arc) == pytest.approx(math.pi / 2 * 5)


@pytest.mark.parametrize("data", [b"", b"\xff\xfe\x00", b"0\nSECTION\n2\n", b"hello"])
def test_a_file_that_is_no_dxf_is_said_so(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "a.dxf"
    path.write_bytes(data)
    with pytest.raises(JobFileError, match=r"a\.dxf"):
        read_cut_dxf(path)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(JobFileError, match="cannot be read"):
        read_cut_dxf(tmp_path / "none.dxf")
