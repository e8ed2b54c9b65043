"""Wheels from meshes in any pose, against the polygons they were made of."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

from tests.measure.wheels import extruded, from_gap, nominal_slots, turned, wheel_polygon, wrapped, write_stl
from wheelcad.checks.mesh import mesh_moments
from wheelcad.errors import JobFileError
from wheelcad.measure.mesh import mesh_reading
from wheelcad.measure.mesh_files import open_share, read_triangles
from wheelcad.measure.wheel import measured_wheel

WITHIN_DEG = 0.002


def ring(slots: np.ndarray, missing: int, low: float = 0.0, high: float = 3.2, **sizes: object) -> np.ndarray:
    return extruded(wheel_polygon(list(slots), missing, points=720, **sizes), low, high)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("teeth", "missing", "sizes"),
    [
        (36, 1, {"radius": 75.0, "rim_offset": (0.1, -0.2), "holes": [(40.0, 0.0, 4.0), (-40.0, 0.0, 4.0)]}),
        (60, 2, {"radius": 90.0, "width": 4.0, "depth": 5.0}),
        (12, 1, {"radius": 60.0, "width": 8.0, "depth": 8.0}),
    ],
)
def test_posed_wheels_with_errors(tmp_path: Path, teeth: int, missing: int, sizes: dict[str, object]) -> None:
    rng = np.random.default_rng(teeth)
    slots = nominal_slots(teeth, missing) + rng.normal(0, 0.2, teeth - missing + 1)
    pose = turned(rng)
    triangles = ring(slots, missing, **sizes) @ pose.T + rng.uniform(-300, 300, 3)
    file = write_stl(tmp_path / "wheel.stl", triangles)
    reading = mesh_reading(file, "front" if pose[2, 2] > 0 else "back", None, "clockwise")
    wheel = measured_wheel(reading)
    assert (wheel.teeth, wheel.missing, reading.about) == (teeth, missing, "bore")
    assert np.abs(wrapped(wheel.slot_centres_deg - from_gap(slots))).max() < WITHIN_DEG
    offset = np.hypot(*sizes.get("rim_offset", (0.0, 0.0)))  # type: ignore[misc]
    assert reading.centre_offset_mm == pytest.approx(offset, abs=0.002)
    assert reading.runout_mm == pytest.approx(2 * offset, abs=0.01)
    assert 2 * reading.rim_radius_mm == pytest.approx(2 * sizes["radius"], abs=0.01)  # type: ignore[operator]


def test_face_and_turns(tmp_path: Path) -> None:
    slots = nominal_slots(36, 1)
    slots[11:] -= 1.0
    file = write_stl(tmp_path / "wheel.stl", ring(slots, 1))
    seen = {
        (face, turns): measured_wheel(mesh_reading(file, face, None, turns)).cumulative_deg
        for face in ("front", "back")
        for turns in ("clockwise", "anticlockwise")
    }
    # clockwise from the front the cuts are in order; from the back an anticlockwise crank meets the same
    assert seen["front", "clockwise"] == pytest.approx(slots - slots[0] - 10 * np.arange(36), abs=WITHIN_DEG)
    assert seen["back", "anticlockwise"] == pytest.approx(seen["front", "clockwise"], abs=WITHIN_DEG)
    assert seen["back", "clockwise"] == pytest.approx(seen["front", "anticlockwise"], abs=WITHIN_DEG)
    # the other way round the step stands at the mirrored cut with the same sign
    assert int(np.argmin(seen["front", "anticlockwise"][1:] - seen["front", "anticlockwise"][:-1])) + 1 == 36 - 11


def test_a_wheel_in_a_pulley(tmp_path: Path) -> None:
    slots = nominal_slots(36, 1)
    hub = wheel_polygon([], 0, radius=59.0, bore=16.0)
    wide = wheel_polygon([], 0, radius=84.0, bore=16.0)  # a flange larger than the ring
    parts = [extruded(hub, 0, 14.6), ring(slots, 1, 15.0, 18.2, radius=80.0, bore=16.0), extruded(wide, 30.0, 44.0)]
    parts += [extruded(hub, 14.6, 15.0), extruded(hub, 18.2, 30.0)]
    rng = np.random.default_rng(3)
    pose = turned(rng)
    file = write_stl(tmp_path / "pulley.stl", np.concatenate(parts) @ pose.T)
    wheel = measured_wheel(mesh_reading(file, "front" if pose[2, 2] > 0 else "back", "rim", "clockwise"))
    assert (wheel.teeth, wheel.missing) == (36, 1)
    assert np.abs(wrapped(wheel.slot_centres_deg - slots)).max() < WITHIN_DEG
    assert 2 * wheel.reading.rim_radius_mm == pytest.approx(160.0, abs=0.01)


def test_about_the_bore_or_the_rim(tmp_path: Path) -> None:
    # slots even about the bore; the rim, off by 0.3 mm, sees them go in a sine of e/r
    slots = nominal_slots(36, 1)
    file = write_stl(tmp_path / "wheel.stl", ring(slots, 1, rim_offset=(0.3, 0.0)))
    bore = measured_wheel(mesh_reading(file, "front", "bore", "clockwise"))
    rim = measured_wheel(mesh_reading(file, "front", "rim", "clockwise"))
    assert bore.total_cumulative_deg < 2 * WITHIN_DEG
    middle = rim.reading.radius_mm
    assert rim.total_cumulative_deg == pytest.approx(2 * np.degrees(0.3 / middle), rel=0.02)


def test_a_noisy_scan(tmp_path: Path) -> None:
    rng = np.random.default_rng(4)
    slots = nominal_slots(36, 1) + rng.normal(0, 0.2, 36)
    triangles = ring(slots, 1, 0.0, 6.0)
    for _ in range(2):
        m = (triangles + np.roll(triangles, -1, axis=1)) / 2
        a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
        x, y, z = m[:, 0], m[:, 1], m[:, 2]
        triangles = np.concatenate([np.stack(s, axis=1) for s in ((a, x, z), (b, y, x), (c, z, y), (x, y, z))])
    flat, index = np.unique(np.round(triangles.reshape(-1, 3), 6), axis=0, return_inverse=True)
    moved = flat + rng.normal(0, 0.02, flat.shape)
    file = write_stl(tmp_path / "scan.stl", moved[index].reshape(-1, 3, 3) @ turned(rng).T)
    reading = mesh_reading(file, "front", None, "clockwise")
    wheel = measured_wheel(reading)
    assert (wheel.teeth, wheel.missing) == (36, 1)
    if abs(wheel.cumulative_deg[-1] - (slots - slots[0])[-1] + 350) > 0.5:  # seen from its other face
        wheel = measured_wheel(mesh_reading(file, "back", None, "clockwise"))
    off = wrapped(wheel.slot_centres_deg - from_gap(slots))
    assert np.abs(off).max() < 0.03
    assert (np.abs(off) <= wheel.uncertainty_deg).mean() > 0.8


def test_unbalance_is_the_meshs_own(tmp_path: Path) -> None:
    triangles = ring(nominal_slots(36, 1), 1)
    moments = mesh_moments(triangles)
    reading = mesh_reading(write_stl(tmp_path / "w.stl", triangles), "front", "bore", "clockwise", 7850.0)
    assert reading.unbalance is not None
    assert reading.unbalance.amount == pytest.approx(np.hypot(*moments.first[:2]) * 7850e-6, rel=1e-3)
    assert abs(wrapped(np.array(reading.unbalance.at_deg - 180.0))) < 0.2  # heavy opposite the gap
    assert reading.unbalance.within_95 < 0.005 * reading.unbalance.amount  # facets, and nothing else


def rough_scan(rng: np.random.Generator, slots: np.ndarray) -> np.ndarray:
    """A fine mesh of a plate whose corners a scanner has each moved by some hundredths of a millimetre."""
    triangles = ring(slots, 1, 0.0, 6.0)
    m = (triangles + np.roll(triangles, -1, axis=1)) / 2
    (a, b, c), (x, y, z) = triangles.transpose(1, 0, 2), m.transpose(1, 0, 2)
    triangles = np.concatenate([np.stack(s, axis=1) for s in ((a, x, z), (b, y, x), (c, z, y), (x, y, z))])
    flat, index = np.unique(np.round(triangles.reshape(-1, 3), 6), axis=0, return_inverse=True)
    return (flat + rng.normal(0, 0.02, flat.shape))[index].reshape(-1, 3, 3)


@pytest.mark.slow
def test_unbalance_of_rough_meshes_lies_within_what_is_stated(tmp_path: Path) -> None:
    slots = nominal_slots(36, 1)
    true = mesh_moments(ring(slots, 1, 0.0, 6.0)).first[:2] * 7850e-6
    inside = []
    for seed in range(60):
        file = write_stl(tmp_path / "w.stl", rough_scan(np.random.default_rng(seed), slots))
        u = mesh_reading(file, "front", "bore", "clockwise", 7850.0).unbalance
        assert u is not None
        seen = u.amount * np.array([np.sin(np.radians(u.at_deg)), np.cos(np.radians(u.at_deg))])
        inside.append(np.hypot(*(seen - true)) <= u.within_95)
        assert u.within_95 < 0.15 * np.hypot(*true)  # worth stating
    assert np.mean(inside) >= 0.93


@pytest.mark.parametrize("kind", ["ply", "obj", "stl_ascii", "3mf", "ply_ascii"])
def test_every_kind_of_file(tmp_path: Path, kind: str) -> None:
    slots = nominal_slots(24, 1)
    triangles = ring(slots, 1, radius=60.0, width=7.0, depth=7.0)
    path = tmp_path / f"wheel.{kind[:3]}"
    if kind == "3mf":
        from wheelcad.files.threemf import Body3mf, write_3mf

        write_3mf(path, [Body3mf("wheel", triangles)], "wheel")
    else:
        mesh = trimesh.Trimesh(triangles.reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3), process=False)
        mesh.merge_vertices(digits_vertex=6)
        kinds = {"ply_ascii": "ply"}
        more = {"encoding": "ascii"} if kind == "ply_ascii" else {}
        mesh.export(path, file_type=kinds.get(kind, kind), **more)
    wheel = measured_wheel(mesh_reading(path, "front", None, "clockwise"))
    assert (wheel.teeth, wheel.missing) == (24, 1)
    assert np.abs(wrapped(wheel.slot_centres_deg - slots)).max() < WITHIN_DEG


def test_open_meshes_are_seen() -> None:
    triangles = ring(nominal_slots(24, 1), 1).astype(np.float32)
    assert open_share(triangles) == 0.0
    rng = np.random.default_rng(5)
    assert open_share(triangles[rng.permutation(len(triangles))]) == 0.0
    for left_out in (0, 7, len(triangles) - 1):
        assert open_share(np.delete(triangles, left_out, axis=0)) > 0
    assert open_share(triangles[: len(triangles) // 2]) > 0.01


@pytest.mark.parametrize(
    ("made", "said"),
    [
        (lambda t: t[: len(t) // 2], "open mesh"),
        (lambda t: t[::2], "open mesh"),
        (lambda t: t / 1000.0, "not mm"),
        (lambda t: t[:20], "too small"),
        (lambda t: extruded(wheel_polygon([], 0), 0, 3.2), "no ring of teeth"),
        (lambda t: np.array(trimesh.creation.box((80, 60, 20)).subdivide().subdivide().triangles), "no ring of teeth"),
        (lambda t: np.array(trimesh.creation.icosphere(3, 40).triangles), "teeth"),
        (lambda t: np.array(trimesh.creation.cylinder(40, 10, sections=6).subdivide().triangles), "no ring of teeth"),
    ],
)
def test_what_is_no_wheel(tmp_path: Path, made: object, said: str) -> None:
    triangles = made(ring(nominal_slots(24, 1), 1))  # type: ignore[operator]
    with pytest.raises(JobFileError, match=said) as caught:
        mesh_reading(write_stl(tmp_path / "x.stl", triangles), "front", None, "clockwise")
    assert len(caught.value.faults) == 1


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.stl", b""),
        ("a.stl", b"\0" * 84 + b"short"),
        ("b.stl", b"\0" * 80 + b"\xff\xff\xff\x7f" + b"1" * 50),
        ("a.ply", b"ply\nformat binary_little_endian 1.0\nelement vertex 9\nproperty float x\nend_header\n"),
        ("a.obj", b"\0\1\2nonsense"),
        ("a.3mf", b"PK nothing"),
    ],
)
def test_spoilt_files(tmp_path: Path, name: str, data: bytes) -> None:
    (tmp_path / name).write_bytes(data)
    with pytest.raises(JobFileError):
        read_triangles(tmp_path / name)
