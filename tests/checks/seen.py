"""What checks see on their way to a verdict, of chosen shapes and of written files, as a table that can be kept.

    python -m tests.checks.seen [NAME ...]     # writes these anew in seen.json; say in the commit why

Each of these functions is held against an independent second way somewhere else; here its numbers are held still, on
inputs that lie on both sides of its own thresholds.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import shapely

from tests.checks import seen_pages as pages
from tests.checks.forms import form
from tests.checks.still import Table, sums
from wheelcad.checks import (
    assembly,
    balance,
    bracket,
    bracket_folded,
    bracket_metal,
    cut_files,
    cut_shapes,
    flats,
    gauge,
    mesh,
    section,
    sections,
    solids_truth,
    teeth_seen,
    topology,
    wheel,
    wheel_flat,
)
from wheelcad.files.dxf import CutFile
from wheelcad.files.dxf_reader import read_cut_dxf
from wheelcad.files.stl import read_stl
from wheelcad.trade.loop import Loop

FILE = Path(__file__).with_name("seen.json")
NAMES = ("turned", "plate", "along", "cam", "sound-224", "sound-241", "sound-359")
BRACKETED = ("turned", "plate", "along", "cam", "sound-224", "sound-359")
Floats = np.ndarray[Any, np.dtype[np.float64]]


def ball(rough: float = 0.0) -> Floats:
    """A rough ball of 10 mm about (3, -2, 1), (n, 3, 3): nothing about it is level or the same on both sides."""
    import trimesh

    shape = trimesh.creation.icosphere(2, 10.0)
    chance = np.random.default_rng(5)
    points = shape.vertices * (1 + rough * chance.random((len(shape.vertices), 1))) + np.array([3.0, -2.0, 1.0])
    return np.asarray(points[shape.faces])


def _mesh() -> Any:
    body, other = ball(0.1), ball(0.2)
    out: list[Any] = [mesh.mesh_moments(body), mesh.extent_off(body, other), mesh.extent_off(other, body)]
    for z in (1.0, float(body[7, 1, 2]), -3.3, 50.0):
        segments, normals = mesh.section_segments(body, z)
        out.append([sums(segments), sums(normals)])
        if len(segments):
            out += [mesh.circle_crossings(segments, normals, r, sense) for r in (7.0, 11.5, 13.1) for sense in (1, -1)]
            out.append(mesh.fitted_circle(segments.reshape(-1, 2)))
    out.append(mesh.fitted_circle(np.array([[1.0, 0.0], [0.0, 1.0], [3.0, 2.0], [0.5, 3.0]])))
    return out


def _topology() -> Any:
    body = ball(0.1)
    two = np.concatenate([body, body + np.array([50.0, 0.0, 0.0])])
    return [topology.topology(t) for t in (body, body[1:], body[:, ::-1], two, np.concatenate([body, body[:3]]))] + [
        wheel.sound_body(form("turned").folder / "wheel.stl").measured
    ]


def _sections() -> Any:
    square = shapely.Polygon([(0, 0), (20, 0), (20, 12), (0, 12)], [[(5, 5), (9, 5), (9, 8)]])
    pieces = sections.border_pieces(square.boundary)
    chance = np.random.default_rng(3)
    points = np.vstack([chance.random((40, 2)) * 24 - 2, [[10, 0.049], [10, 0.051], [10, -0.03], [-1, -1], [0, 0]]])
    flat = np.array([[[1.0, 1.0], [1.0, 1.0]], [[2.0, 2.0], [4.0, 3.0]]])
    out: list[Any] = [sums(pieces), sections.away_from(points, pieces), sections.away_from(points, flat)]
    moved = pieces + np.array([0.3, -0.2])
    nothing = shapely.Polygon()
    out += [sections.off_border(moved, square), sections.off_border(pieces[1:], square)]
    out += [sections.off_border(pieces, nothing), sections.off_border(pieces[:0], nothing)]
    out.append(sections.off_border(pieces[:0], square))
    for name in ("turned", "plate"):
        one = form(name)
        for part, body in solids_truth.bodies(one.design).items():
            path = one.folder / f"{part}.stl"
            if path.exists():
                triangles = read_stl(path) * np.array([1.001, 0.999, 1.002]) + np.array([0.03, 0.01, 0.004])
                out.append([part, body.heights, body.faces, body.tips, sections.worst_section(triangles, body)])
                out.append(sections.worst_height(triangles, body))
    return out


def _metal() -> Any:
    out = {}
    for name in NAMES:
        one = form(name)
        for part, body in solids_truth.bodies(one.design).items():
            rows = []
            for z in body.heights:
                area = body.at(z)
                rows.append([z, area.area, *area.bounds, area.centroid.x if not area.is_empty else 0.0])
            out[f"{name} {part}"] = [rows, body.faces, body.tips]
    return out


def _section() -> Any:
    def dumbbell(neck: float) -> Any:
        ends = shapely.union_all([shapely.box(0, 0, 10, 10), shapely.box(20, 0, 30, 10)])
        return shapely.union(ends, shapely.box(9, 5 - neck / 2, 21, 5 + neck / 2))

    holed = shapely.Polygon([(0, 0), (20, 0), (20, 9), (0, 9)], [[(3, 3), (6, 3), (6, 6)], [(7.3, 3), (10, 3), (8, 6)]])
    areas = [dumbbell(neck) for neck in (0.31, 0.77, 1.234, 3.9, 5.0)] + [holed, shapely.box(0, 0, 8, 1.5)]
    cut = section.section_area(ball(0.05), 2.2)
    return [
        [[section.narrowest(area, 4.0), section.narrowest(area, 2.0, 0.1)] for area in areas],
        [section.parts_and_holes(area) for area in (*areas, shapely.union(holed, shapely.box(50, 0, 60, 5)))],
        cut.area,
        cut.length,
    ]


def _teeth() -> Any:
    out = []
    for name in NAMES:
        one = form(name)
        triangles, made = read_stl(one.folder / "wheel.stl"), one.design.wheel
        found = wheel.measure_teeth(triangles, made.slot.check_radius, made.sense)
        out.append([sums(found.centres_deg), sums(found.widths_deg), sums(found.steps_deg), found.radius_mm])
        if one.design.job.sensor is not None:
            seen = teeth_seen.measured_edges(one.folder, made, one.design.job.sensor)
            out.append([sums(seen.from_deg), sums(seen.to_deg), seen.radius_mm, seen.slot_depth_mm, seen.slot_width_mm])
    made = form("turned").design.wheel
    turn = np.radians(np.arange(0, 360, 10.0))
    tops = made.radius_mm * np.column_stack([np.cos(turn), np.sin(turn)])
    for few in (tops, tops[:17], tops[::-1][:17], tops[5:9]):
        pairs = np.repeat(few, 2, axis=0) + np.tile([[0.0, 0.0], [0.01, 0.02]], (len(few), 1))
        out.append([wheel._off_round(pairs + np.array(move), made) for move in ((0.0, 0.0), (0.03, 0.01), (-0.2, 0.1))])
    return out


def _holes() -> Any:
    out: list[Any] = []
    for name in NAMES:
        one = form(name)
        triangles, plan = read_stl(one.folder / "wheel.stl"), one.design.balance
        for hole in plan.holes:
            x, y = hole.centre(one.design.wheel.sense)
            for z in (hole.z_top - 0.1 * hole.depth_mm, (hole.z_top + hole.z_bottom) / 2):
                found = list(balance.round_holes(triangles, z, hole.diameter_mm / 2 + 1.0, (x, y)))
                out.append([[h.x, h.y, h.diameter] for h in found])
            out.append(balance._depth_end(triangles, x, y, hole))
            for off in (0.0, 0.015, 0.019, 0.021, 0.03, 0.039, 0.041):
                near = [
                    balance.RoundHole(x + off, y, hole.diameter_mm),
                    balance.RoundHole(x, y, hole.diameter_mm + off),
                    balance.RoundHole(x, y, hole.diameter_mm - off),
                ]
                out.append([balance._part_of(h, hole, one.design.wheel.sense) for h in near])
                out.append([balance._same(h, (x, y, hole.diameter_mm)) for h in near])
        for z in (0.0, 0.7):
            out.append([[h.x, h.y, h.diameter] for h in balance.round_holes(triangles, z)])
    return out


def _folded() -> Any:
    out: list[Any] = []
    for name in BRACKETED:
        one = form(name)
        design = cast(Any, one.design.bracket)
        bodies = bracket_folded.separate_bodies(read_stl(one.folder / "bracket.stl"))
        faces = bracket_folded.plane_faces(bodies[0])
        out.append([[len(body) for body in bodies], [[f.normal, f.offset, f.area] for f in faces[:12]], len(faces)])
        for region in design.regions:
            for upper in (True, False):
                wanted = bracket_folded._expected(region, design.thickness, upper)
                picked = bracket_folded._pick(faces, *wanted)
                tilted = bracket_folded._pick(faces, wanted[0] + np.array([0.0, 0.17, 0.0]), wanted[1] + 3.0)
                out.append([wanted, picked and picked.offset, tilted and tilted.offset])
        for hole in design.holes:
            frame = design.region(hole.region).frame
            out.append(list(bracket_folded._wall_centres(bodies[0], frame, hole, design.thickness)))
        out.append([sums(points) for points in bracket_metal._bends(design)])
        lines = bracket_metal._bend_lines(design)
        probes = np.array([[x + d, 0.0] for x in lines for d in (-0.6, -0.4, -0.11, -0.09, 0.0, 0.09, 0.11, 0.4, 0.6)])
        out.append([lines, bracket_metal._on(probes.reshape(-1, 2), lines)])
        stretched = read_stl(one.folder / "bracket.stl") * np.array([1.001, 0.9995, 1.002])
        out.append([f.measured for f in bracket_metal.check_bracket_metal("x", stretched, design)])
    return out


def _flats() -> Any:
    square = Loop.polygon([(0.0, 0.0), (20.0, 0.0), (20.0, 12.0), (0.0, 12.0)])
    slot = Loop.slot(3.0, 3.0, 9.0, 5.0, 4.0)
    out: list[Any] = [
        flats.apart([square], [square.moved(0.3, -0.1)]),
        flats.apart([square, slot], [square]),
        flats.apart([], []),
        flats.apart([square], []),
        flats.apart([slot], [Loop.slot(3.0, 3.0, 9.0, 5.0, 4.2)]),
        flats._ends(((0.0, 0.0), (5.0, 1.0)), ((5.0, 1.1), (0.2, 0.0))),
        flats._ends(((0, 0), (5, 1)), ((0, 0.3), (5, 2))),
    ]
    for name in NAMES:
        one = form(name)
        for path in sorted(one.folder.glob("*flat*.dxf")) + sorted(one.folder.glob("*finished.dxf")):
            if "drawing" in path.name:
                continue
            cut = read_cut_dxf(path)
            out.append([path.name, cut_files.bounds_of(cut)])
            if path.name == "bracket-flat.dxf":
                design = cast(Any, one.design.bracket)
                out.append(
                    [
                        [cut_shapes._cross(h) for h in design.holes],
                        [loop.area for loop in cut_shapes._holes(design, 0.3)],
                    ]
                )
                inner = bracket._in_flat(cut, design)
                holes = bracket._found_holes(inner)
                out.append([[h.x0, h.y0, h.x1, h.y1, h.diameter] for h in holes])
                out.append([[bracket._miss(h, w) for w in design.holes] for h in holes])
                out.append([bracket._hole_area(inner), len(list(bracket._edges(inner)))])
    return [*out, cut_files.bounds_of(CutFile(4))]


def _one_way() -> Any:
    def line(*ends: tuple[float, float]) -> Any:
        return SimpleNamespace(vertices=[(x, y, 0.0) for x, y in ends])

    paths = [
        line((0, 10), (0, 20)),
        line((0.002, 10), (0.002, 20)),
        line((0.0009, 10), (0.0009, 20)),
        line((5, 5), (9, 9)),
        line((-3, 0), (4, 0)),
        line((10, -2), (10, 2)),
        line((8, 0), (12, 0)),
        line((0, -9), (0, -5), (0, -3)),
        line((12, 3), (16, 4)),
        line((-20, -20), (-10, -10.0004)),
        line((8.012, 30), (12, 45)),
    ]
    cut = cast(
        CutFile,
        SimpleNamespace(
            paths={"MARK": paths},
            circles={"HOLES": [SimpleNamespace(x=30.0, y=0.0), SimpleNamespace(x=0.0095, y=30.0)]},
        ),
    )
    bolts = np.array([[30.0, 0.0], [0.0, 30.0], [-30.0, 0.0], [0.0, -30.0], [10.0, 0.0]])
    out: list[Any] = [[path.vertices for path in wheel_flat.radial_lines(cut)], wheel_flat.holes_seen(cut, bolts)]
    six = np.array([[40 * math.cos(a), 40 * math.sin(a)] for a in np.radians([0, 60, 120, 180, 240, 300])])
    uneven = np.array([[40 * math.cos(a), 40 * math.sin(a)] for a in np.radians([10, 70, 130, 190])])
    for holes in (six, uneven, six * 1.0002, six * 1.0003, six[:0]):
        out.append([wheel_flat.turns_onto(holes, six), wheel_flat.turns_onto(holes, uneven)])
    return [*out, wheel_flat._turned(six, 33.0)]


def _swept() -> Any:
    body = ball(0.1)
    found = assembly.envelope(body)
    out: list[Any] = [sums(found.z_low), sums(found.z_high), sums(found.radius)]
    slices = assembly.Envelope(np.array([-1.0, 2.0]), np.array([0.0, 4.0]), np.array([0.01, 9.0]))
    chance = np.random.default_rng(4)
    points = chance.random((30, 3)) * 30 - 15
    out.append(assembly._distances(points, slices))
    side = 30.0
    turn = np.radians([90.0, 210.0, 330.0])
    flat = side / math.sqrt(3) * np.column_stack([np.cos(turn), np.sin(turn), 0 * turn])[None] + np.array(
        [0.0, 0.0, 0.05]
    )
    small = assembly.Envelope(np.array([-1.0]), np.array([0.0]), np.array([0.01]))
    out += [
        assembly.least_room(flat + np.array([dx, 0.0, 0.0]), small, below)
        for dx in (0.0, 3.0, 17.0)
        for below in (0.6, 1.0, 4.0, math.inf)
    ]
    out.append(sums(assembly._quartered(points[:9].reshape(3, 3, 3), points[9:18].reshape(3, 3, 3))))
    out += [assembly.facing_turn_deg(form(name).design) for name in NAMES]
    for a, b in (
        ("sensor", "sensor nut"),
        ("sensor bolt", "sensor nut"),
        ("sensor bolt 1", "sensor nut 1"),
        ("wheel", "sensor"),
        ("sensor", "sensor nut 1"),
        ("sensor bolt", "sensor bolt nut 2"),
        ("sensor", "sensor nut 2"),
    ):
        out.append([a, b, assembly._belong(a, b)])
    return out


def _gauges() -> Any:
    out: list[Any] = []
    for name in ("turned", "plate", "along", "cam", "sound-241", "sound-359"):
        one = form(name)
        design = cast(Any, one.design.gauge)
        triangles = read_stl(one.folder / "gauge.stl")
        out.append(sums(gauge.measure_marks(triangles, design)))
        for scale in ((1.0, 1.0, 1.0), (1.0004, 1.0003, 1.001), (0.9985, 1.0, 0.99)):
            bent = triangles * np.array(scale) + np.array([0.004, -0.003, 0.002])
            found = [*gauge.check_size(bent, design), *gauge.check_holes(bent, design), *gauge.check_seat(bent, design)]
            out.append([[f.measured, f.verdict] for f in found])
    angles = np.array([10.0, 100.0, 350.0])
    out.append(gauge.nearest_angle(angles, np.array([0.0, 54.9, 55.1, 190.0, 359.0])))
    return [*out, gauge.nearest_angle(angles[:0], angles)]


SEEN: dict[str, Callable[[], Any]] = {
    "mesh": _mesh,
    "topology": _topology,
    "sections": _sections,
    "metal": _metal,
    "section": _section,
    "teeth": _teeth,
    "holes": _holes,
    "folded": _folded,
    "flats": _flats,
    "one way": _one_way,
    "drawn": pages.drawn_seen,
    "shown text": pages.shown_text_seen,
    "paper": pages.paper_seen,
    "swept": _swept,
    "printed": pages.printed_seen,
    "bench": pages.bench_seen,
    "gauges": _gauges,
}


TABLE = Table(FILE, SEEN)


if __name__ == "__main__":
    TABLE.write(sys.argv[1:])
