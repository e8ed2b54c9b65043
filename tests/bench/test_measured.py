"""Speed and memory of measuring what people hold: a scan of a million triangles, eight photographs. By hand, see
DEVELOPERS.md: pytest tests/bench/test_measured.py --benchmark-only --benchmark-enable -s

Baselines in the same run: what a well-kept library takes to read the mesh and nothing more; what unpacking the eight
JPEGs takes and nothing more.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from tests.measure.wheels import extruded, nominal_slots, turned, wheel_polygon, write_stl

TRIANGLES, POINTS = 1_000_000, 4300  # corners round the rim, before triangles are cut in four three times
MESH_S, MESH_BYTES = 2.0, 2**30
PHOTOS_S = 10.0


def write_ply(path: Path, triangles: np.ndarray) -> Path:
    """Binary PLY with shared corners."""
    corners, index = np.unique(triangles.astype("<f4").reshape(-1, 3), axis=0, return_inverse=True)
    faces = np.zeros(len(triangles), dtype=[("n", "u1"), ("at", "<i4", 3)])
    faces["n"], faces["at"] = 3, index.reshape(-1, 3)
    head = ["ply", "format binary_little_endian 1.0", f"element vertex {len(corners)}"]
    head += [f"property float {axis}" for axis in "xyz"]
    head += [f"element face {len(faces)}", "property list uchar int vertex_indices", "end_header", ""]
    path.write_bytes("\n".join(head).encode() + corners.astype("<f4").tobytes() + faces.tobytes())
    return path


def million(path: Path) -> Path:
    """A posed 36-1 of a million triangles and some, as STL or PLY by its name."""
    rng = np.random.default_rng(1)
    t = extruded(wheel_polygon(list(nominal_slots(36, 1)), 1, points=POINTS), 0.0, 3.2)
    while len(t) < TRIANGLES:
        (a, b, c), (x, y, z) = t.transpose(1, 0, 2), ((t + np.roll(t, -1, axis=1)) / 2).transpose(1, 0, 2)
        t = np.concatenate([np.stack(four, axis=1) for four in ((a, x, z), (b, y, x), (c, z, y), (x, y, z))])
    t = t @ turned(rng).T
    return write_stl(path, t) if path.suffix == ".stl" else write_ply(path, t)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("measured")


def best(make: object, times: int = 3) -> float:
    """Shortest time of several runs, s."""
    out = []
    for _ in range(times):
        start = time.perf_counter()
        make()  # type: ignore[operator]
        out.append(time.perf_counter() - start)
    return min(out)


@pytest.mark.parametrize("kind", ["stl", "ply"])
def test_a_million_triangles(folder: Path, kind: str, benchmark) -> None:  # type: ignore[no-untyped-def]
    import trimesh

    from wheelcad.measure.mesh import mesh_reading
    from wheelcad.measure.wheel import measured_wheel

    file = million(folder / f"million.{kind}")
    reading = best(lambda: trimesh.load(file, process=False))
    wheel = benchmark.pedantic(
        lambda: measured_wheel(mesh_reading(file, "front", None, "clockwise")), rounds=5, warmup_rounds=1
    )
    took = benchmark.stats.stats.min
    print(f"\na million triangles of {kind}: {took:.2f} s; a library's reading alone {reading:.2f} s")
    assert (wheel.teeth, wheel.missing) == (36, 1)
    assert took < MESH_S


def test_memory_of_a_million_triangles(folder: Path) -> None:
    """Peak resident memory of a process of its own less that before the mesh is read."""
    file = million(folder / "memory.stl")
    code = f"from tests.bench.test_measured import growth; print(growth({str(file)!r}))"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    print(f"\n{int(ran.stdout) / 2**20:.0f} MiB beyond start-up")
    assert int(ran.stdout) < MESH_BYTES


def growth(file: str) -> int:
    """Bytes by which the greatest resident size grows while a mesh is measured."""
    import scipy.optimize
    import scipy.spatial  # noqa: F401  start-up, as the command has it before the file is read

    from wheelcad.measure.mesh import mesh_reading
    from wheelcad.measure.wheel import measured_wheel

    before = greatest()
    measured_wheel(mesh_reading(Path(file), "front", None, "clockwise"))
    return greatest() - before


def greatest() -> int:
    """Greatest resident size of this program so far, bytes; unlike getrusage's, not that of whoever started it."""
    line = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
    return 1024 * int(line.split()[1])


def test_eight_photographs(folder: Path, benchmark) -> None:  # type: ignore[no-untyped-def]
    """Twelve megapixels each, from the command's start to the places of the holes."""
    pytest.importorskip("cv2")
    from PIL import Image

    from wheelcad.surveying import Print, survey_command

    job, files = eight_photographs(folder)

    def unpacked() -> None:
        for file in files:
            with Image.open(file) as picture:
                np.asarray(picture.convert("L"))

    unpacking = best(unpacked)
    prints = Print(bars="150, 200, 0.1")
    outcome = benchmark.pedantic(lambda: survey_command(job, files, prints=prints), rounds=3, warmup_rounds=1)
    took = benchmark.stats.stats.min
    print(f"\neight pictures: {took:.2f} s; unpacking them alone {unpacking:.2f} s")
    assert {point["name"] for point in outcome.data["points"]} == {"m1", "m2"}
    assert took < PHOTOS_S


def eight_photographs(folder: Path) -> tuple[Path, list[Path]]:
    """A job, and eight photographs of its printed tags on an engine."""
    from tests.conftest import demo_text
    from tests.survey.render import as_jpeg, pages_of, photograph
    from tests.survey.scene import engine_scene, phone, round_about
    from tests.survey.sets import HOLES, TARGET
    from wheelcad.job.reader import parse_job
    from wheelcad.packet.survey_tags import write_survey_tags
    from wheelcad.survey.tags import plan_tags

    text = demo_text("tarn-six")
    job = folder / "job.yaml"
    job.write_text(text, encoding="utf-8")
    loaded, rng = parse_job(text), np.random.default_rng(1)
    pages = pages_of(write_survey_tags(loaded, folder)[0])
    scene = engine_scene(plan_tags(loaded, "A4"), rng, HOLES)
    lens, files = phone(rng), []
    for k, pose in enumerate(round_about(rng, 8, TARGET)):
        files.append(folder / f"eight{k}.jpg")
        files[-1].write_bytes(as_jpeg(photograph(scene, pages, lens, pose, rng)))
    return job, files
