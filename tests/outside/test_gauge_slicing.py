"""Gauges sliced by a real slicing program (prusa-slicer, from the Debian package of that name): no repair, no empty
layer, and the toolpath's outermost loop where the gauge's edge is.

A slicer puts the middle of its outermost line half a line's width inside the part's edge; so that edge and loop,
widened by half a line, must lie within one line's width of each other.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
import shapely

from tests.parts.gauge_files import write_gauge
from tests.parts.gauge_jobs import job_of, plate, random_gauge_job, turned
from wheelcad.arrays import Floats
from wheelcad.build import BuildResult
from wheelcad.checks.section import section_area
from wheelcad.errors import DesignError
from wheelcad.files.stl import read_stl, write_triangles
from wheelcad.files.threemf import read_3mf
from wheelcad.parts.gauge.model import GaugeDesign

LINE = 0.45  # mm, width of an extruded line
LAYER = 0.3  # mm
SETTINGS = f"""
bed_shape = 0x0,400x0,400x400,0x400
layer_height = {LAYER}
first_layer_height = {LAYER}
nozzle_diameter = 0.4
filament_diameter = 1.75
extrusion_width = {LINE}
external_perimeter_extrusion_width = {LINE}
first_layer_extrusion_width = {LINE}
perimeter_generator = classic
skirts = 0
perimeters = 1
fill_density = 0%
top_solid_layers = 0
bottom_solid_layers = 0
elefant_foot_compensation = 0
"""
COMPLAINTS = (
    "warning",
    "error",
    "empty layer",
    "repair",
    "manifold = no",
    "open_edges",
    "facets_removed",
    "degenerate",
)


def slicer(*arguments: str | Path) -> str:
    """What prusa-slicer says; it must be installed and end well."""
    program = shutil.which("prusa-slicer")
    assert program is not None, "prusa-slicer is missing: apt-get install prusa-slicer"
    done = subprocess.run([program, *map(str, arguments)], capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout + done.stderr


def sliced(print_file: Path, folder: Path) -> tuple[str, str]:
    """What the slicer says of a file, and the G-code."""
    (folder / "print.ini").write_text(SETTINGS)
    said = slicer("--info", print_file)
    said += slicer("--export-gcode", "--load", folder / "print.ini", "-o", folder / "out.gcode", print_file)
    return said, (folder / "out.gcode").read_text()


def complaints(said: str) -> list[str]:
    """Lines in which the slicer complains."""
    return [line for line in said.splitlines() if any(word in line.lower() for word in COMPLAINTS)]


def outer_loops(gcode: str) -> dict[float, list[Floats]]:
    """Layer's top z -> external perimeters, each (n, 2) mm."""
    out: dict[float, list[Floats]] = {}
    z, x, y, kind = 0.0, 0.0, 0.0, ""
    run: list[tuple[float, float]] = []

    def end_run() -> None:
        if len(run) > 2 and kind == "External perimeter":
            out.setdefault(z, []).append(np.array(run))

    for line in gcode.splitlines():
        if line.startswith((";TYPE:", ";Z:")):
            end_run()
            run = []
            kind = line[6:] if line.startswith(";TYPE:") else kind
            z = float(line[3:]) if line.startswith(";Z:") else z
        elif line.startswith("G1 "):
            found = dict(re.findall(r"([XYE])(-?[0-9.]+)", line))
            if "X" not in found and "Y" not in found:
                continue
            nx, ny = float(found.get("X", x)), float(found.get("Y", y))
            if "E" not in found:
                end_run()
                run = [(nx, ny)]
            else:
                run.append((nx, ny))
            x, y = nx, ny
    end_run()
    return out


def edge_off(design: GaugeDesign, folder: Path, gcode: str) -> float:
    """Largest distance (mm) between the part's outer edge and the outermost loops widened by half a line.

    At two layers: in the plate clear of engraving and eased edges, and near the top.
    """
    _, bodies = read_3mf(folder / "gauge.3mf")
    worst = 0.0
    loops = outer_loops(gcode)
    levels = sorted(loops)
    plate_level = next(z for z in levels if z - LAYER > 1.1)
    for level in (plate_level, levels[-2]):
        part = shapely.union_all([section_area(body.triangles, level - LAYER / 2) for body in bodies])
        edge = shapely.union_all([shapely.Polygon(p.exterior) for p in shapely.get_parts(part)])
        path = shapely.union_all([shapely.Polygon(run).buffer(LINE / 2) for run in loops[level] if len(run) > 3])
        # the slicer may have put the part elsewhere on the bed
        (a, b, c, d), (e, f, g, h) = edge.bounds, path.bounds
        move = np.array([a + c - e - g, b + d - f - h]) / 2
        path = shapely.transform(path, lambda p, move=move: p + move)
        worst = max(worst, float(shapely.hausdorff_distance(edge.boundary, path.boundary)))
    assert design.pieces == len(bodies)
    return worst


def test_demo_gauges_slice_clean_and_true(built: BuildResult, tmp_path: Path) -> None:
    assert built.design.gauge is not None
    said, gcode = sliced(built.folder / "gauge.3mf", tmp_path)
    assert "manifold = yes" in said
    assert complaints(said) == []
    assert edge_off(built.design.gauge, built.folder, gcode) < LINE


@pytest.mark.parametrize("seed", range(500, 510))
def test_random_gauges_slice_clean_and_true(seed: int, tmp_path: Path) -> None:
    job, refused = random_gauge_job(seed), ""
    try:
        design = write_gauge(job, tmp_path)
    except DesignError as error:
        refused = str(error)
    assert refused == ""
    said, gcode = sliced(tmp_path / "gauge.3mf", tmp_path)
    assert "manifold = yes" in said
    assert complaints(said) == []
    assert edge_off(design, tmp_path, gcode) < LINE


def test_keyed_pieces_slice_clean(tmp_path: Path) -> None:
    shop = {"printer": {"bed": [90.0, 90.0], "nozzle": 0.4}}
    design = write_gauge(job_of(**plate(shop=shop)), tmp_path)
    assert design.pieces > 1
    said, gcode = sliced(tmp_path / "gauge.3mf", tmp_path)
    assert said.count("manifold = yes") >= 1
    assert complaints(said) == []
    assert len(outer_loops(gcode)) > 10


def test_the_stl_is_sound_to_the_slicer_too(built: BuildResult) -> None:
    said = slicer("--info", built.folder / "gauge.stl")
    assert "manifold = yes" in said
    assert complaints(said) == []


def test_a_torn_mesh_and_an_empty_layer_are_complained_of(tmp_path: Path) -> None:
    """The words this looks for are the words the slicer uses."""
    write_gauge(job_of(**plate()), tmp_path)
    triangles = read_stl(tmp_path / "gauge.stl")
    write_triangles(tmp_path / "torn.stl", triangles[40:])
    assert complaints(slicer("--info", tmp_path / "torn.stl")) != []
    write_triangles(tmp_path / "floating.stl", np.concatenate([triangles, triangles + np.array([0, 0, 20.0])]))
    said, _ = sliced(tmp_path / "floating.stl", tmp_path)
    assert any("empty layer" in line.lower() for line in complaints(said))


def test_a_gauge_printed_too_large_would_be_seen(tmp_path: Path) -> None:
    """The measure itself: a part one millimetre larger all round than the file it is compared with is far off."""
    job = job_of(**turned(gauge={"thickness": 3.0, "outline_allowance": 1.0}))
    write_gauge(job, tmp_path / "large")
    design = write_gauge(job_of(**turned()), tmp_path / "right")
    _, gcode = sliced(tmp_path / "large" / "gauge.3mf", tmp_path)
    assert edge_off(design, tmp_path / "right", gcode) > LINE


def alone_on(bed: tuple[float, float], folder: Path) -> int:
    """Slices every piece of a gauge alone on its own bed, with a usual skirt round it; how many there were."""
    _, bodies = read_3mf(folder / "gauge.3mf")
    x, y = bed
    settings = SETTINGS.replace("0x0,400x0,400x400,0x400", f"0x0,{x:g}x0,{x:g}x{y:g},0x{y:g}")
    settings = settings.replace("skirts = 0", "skirts = 1\nskirt_distance = 6")
    (folder / "own.ini").write_text(settings)
    for number, body in enumerate(bodies):
        piece = folder / f"piece-{number}.stl"
        write_triangles(piece, body.triangles)
        said = slicer("--info", piece)
        out = folder / f"piece-{number}.gcode"
        said += slicer("--export-gcode", "--load", folder / "own.ini", "-o", out, piece)
        assert complaints(said) == []
        gcode = out.read_text()
        assert outer_loops(gcode)
        drawn = [dict(re.findall(r"([XY])(-?[0-9.]+)", line)) for line in gcode.splitlines() if line.startswith("G1 ")]
        for axis, most in (("X", x), ("Y", y)):  # skirt and all
            places = [float(point[axis]) for point in drawn if axis in point]
            assert min(places) > 0.0
            assert max(places) < most
    return len(bodies)


def test_each_piece_slices_alone_on_its_bed(tmp_path: Path) -> None:
    bed = (110.0, 110.0)
    design = write_gauge(job_of(**plate(shop={"printer": {"bed": list(bed), "nozzle": 0.4}})), tmp_path)
    assert design.pieces > 1
    assert alone_on(bed, tmp_path) == design.pieces


def test_a_piece_larger_than_its_bed_is_not_sliced(tmp_path: Path) -> None:
    """The slicer itself refuses what does not lie on the bed."""
    write_gauge(job_of(**plate()), tmp_path)
    with pytest.raises(AssertionError):
        alone_on((100.0, 100.0), tmp_path)


@pytest.mark.slow
@pytest.mark.parametrize("bed", [(100.0, 100.0), (120.0, 120.0), (120.0, 180.0), (150.0, 150.0), (180.0, 180.0)])
@pytest.mark.parametrize("diameter", [120.0, 160.0, 200.0])
def test_every_piece_slices_alone_whatever_the_bed(bed: tuple[float, float], diameter: float, tmp_path: Path) -> None:
    wheel = {**plate()["wheel"], "outside_diameter": diameter, "bore": 40.0}
    design = write_gauge(job_of(**plate(wheel=wheel, shop={"printer": {"bed": list(bed), "nozzle": 0.4}})), tmp_path)
    if design.body.joints.pieces == 0:  # no joint is possible: the build warns and names a part circle
        assert [f.verdict for f in design.findings if f.check == "gauge-bed"] == ["warn"]
        return
    assert alone_on(bed, tmp_path) == design.pieces
