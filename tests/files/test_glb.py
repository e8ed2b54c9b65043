"""GLB files: structure after the specification, read by another program, and the same bytes every time."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest
import trimesh

from wheelcad.errors import UnreadableError
from wheelcad.files.glb import Mesh, glb_bytes, write_glb
from wheelcad.files.glb_reader import read_glb

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


def test_ours_and_another_programs_reader_agree(tmp_path: Path) -> None:
    """Ours on what trimesh writes with indices, nodes under nodes and places of their own; both to the last bit."""
    scene = trimesh.Scene(base_frame="world")
    place = trimesh.transformations.rotation_matrix(0.7, (1, 2, 3), (4, 5, 6))
    for name in ("one", "two"):
        shape = trimesh.creation.icosphere(2, 0.03)
        shape.visual = trimesh.visual.TextureVisuals(
            material=trimesh.visual.material.PBRMaterial(name, baseColorFactor=[255, 0, 0, 255])
        )
        scene.add_geometry(
            shape, node_name=name, geom_name=name, transform=place, parent_node_name="one" if name == "two" else None
        )
    (tmp_path / "nested.glb").write_bytes(scene.export(file_type="glb"))
    theirs = trimesh.load_scene(tmp_path / "nested.glb", process=False)
    ours = read_glb(tmp_path / "nested.glb")
    assert sorted(mesh.name for mesh in ours) == ["one", "two"]
    for mesh in ours:
        shape = theirs.geometry[mesh.name]
        moved = trimesh.transform_points(shape.vertices, theirs.graph[mesh.name][0]) * 1000
        assert np.abs(mesh.points - moved).max() < 1e-9
        assert np.array_equal(mesh.triangles, shape.faces)
        assert mesh.colour == (1.0, 0.0, 0.0)


def test_a_hundred_spoilt_files_are_refused_or_differ(tmp_path: Path) -> None:
    """A byte changed anywhere in header or JSON either is refused as our error, or reads as something."""
    data, path = glb_bytes(meshes()), tmp_path / "bad.glb"
    size = 20 + struct.unpack("<I", data[12:16])[0]
    refused = 0
    for at in range(0, size, max(1, size // 100)):
        path.write_bytes(data[:at] + bytes([data[at] ^ 0x15]) + data[at + 1 :])
        try:
            read_glb(path)
        except UnreadableError:
            refused += 1
    assert refused > 30


def test_what_is_no_glb_is_refused(tmp_path: Path) -> None:
    (tmp_path / "bad.glb").write_bytes(glb_bytes(meshes())[:-4])
    with pytest.raises(ValueError, match="cut short"):
        read_glb(tmp_path / "bad.glb")
    with pytest.raises(ValueError, match="no triangles"):
        glb_bytes([Mesh("none", np.zeros((0, 3)), np.zeros((0, 3), dtype=int), (0, 0, 0))])
