"""GLB files: structure after the specification, read by another program, and the same bytes every time."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh

from wheelcad.files.glb import Mesh, glb_bytes, read_glb, write_glb

CUBE = trimesh.creation.box((10, 20, 30))


def meshes() -> list[Mesh]:
    points, triangles = np.array(CUBE.vertices), np.array(CUBE.faces)
    return [
        Mesh("first", points, triangles, (0.5, 0.5, 0.5)),
        Mesh("second ⌀9", points + 50.0, triangles, (1.0, 0.0, 0.0)),
    ]


def test_another_program_reads_it_in_metres(tmp_path: Path) -> None:
    path = tmp_path / "two.glb"
    write_glb(path, meshes())
    scene = trimesh.load(path)
    assert set(scene.geometry) == {"first", "second ⌀9"}
    joined = scene.to_geometry() if hasattr(scene, "to_geometry") else scene.dump(concatenate=True)
    assert joined.bounds[0] == pytest.approx([-0.005, -0.010, -0.015])
    assert joined.bounds[1] == pytest.approx([0.055, 0.060, 0.065])


def test_lengths_and_chunks_add_up() -> None:
    data = glb_bytes(meshes())
    magic, version, total = struct.unpack("<4sII", data[:12])
    size, kind = struct.unpack("<I4s", data[12:20])
    assert (magic, version, total, kind) == (b"glTF", 2, len(data), b"JSON")
    assert size % 4 == 0
    assert data[20 + size + 4 : 20 + size + 8] == b"BIN\0"
    assert data == glb_bytes(meshes())


def test_read_back(tmp_path: Path) -> None:
    write_glb(tmp_path / "two.glb", meshes())
    found = read_glb(tmp_path / "two.glb")
    assert [mesh.name for mesh in found] == ["first", "second ⌀9"]
    assert found[1].colour == (1.0, 0.0, 0.0)
    assert np.ptp(found[0].points, axis=0) == pytest.approx([10, 20, 30])


def test_what_is_no_glb_is_refused(tmp_path: Path) -> None:
    (tmp_path / "bad.glb").write_bytes(glb_bytes(meshes())[:-4])
    with pytest.raises(ValueError, match="cut short"):
        read_glb(tmp_path / "bad.glb")
    with pytest.raises(ValueError, match="no triangles"):
        glb_bytes([Mesh("none", np.zeros((0, 3)), np.zeros((0, 3), dtype=int), (0, 0, 0))])
