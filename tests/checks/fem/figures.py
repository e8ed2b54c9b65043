"""What the finite elements find of chosen pieces, as a table that can be kept: to see that nothing changes unmeant.

    python -m tests.checks.fem.figures [NAME ...]     # writes these anew in figures.json; say in the commit why

Meshes, matrices and answers are held against closed forms and the library's own elsewhere; here their numbers are held
still, to a hundred thousandth. What they are good for stands in tests/outside.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

from tests.checks.fem import reckoned
from tests.checks.fem.blocks import block, face, plate_step, pressure, round_hole
from tests.checks.fem.reckoned import JOBS, design
from tests.checks.still import Table
from tests.conftest import demo_text
from tests.unit_jobs import INCH_SIX
from wheelcad.checks.fem import disc, plane, proposals
from wheelcad.checks.fem.elastic import Elastic, elastic_body, inertia_force, stresses, von_mises
from wheelcad.checks.fem.limits import limits_of, speeds_of
from wheelcad.checks.fem.mesh import Fineness, TetMesh, mesh_step
from wheelcad.checks.fem.model import HeadRing, RigidSensor, TabWall
from wheelcad.checks.fem.sensor import hang
from wheelcad.checks.fem.setup import CoarseBracket, setup
from wheelcad.checks.fem.solve import Solver
from wheelcad.checks.fem.stiffness import one_mesh
from wheelcad.job.models import Keyway
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import design_job
from wheelcad.trade.loop import Loop
from wheelcad.trade.materials import material

FILE = Path(__file__).with_name("figures.json")
UP = (0.0, 0.0, 1.0)

DISCS = {
    "turned": lambda: (demo_text("tarn-six"), ()),
    "plate": lambda: (demo_text("beck-four"), (("teeth: 60", "teeth: 24"), ("missing: 2", "missing: 1"))),
    "along": lambda: (demo_text("fell-twin"), ()),
    "turned, steel": lambda: (
        demo_text("tarn-six"),
        (("material: grey-iron", "material: mild-steel"), ("depth: 3.3, at: 0 deg", "depth: 3.3, at: 100 deg")),
    ),
    "turned, no key": lambda: (
        demo_text("tarn-six"),
        (
            ("  keyway: {width: 10, depth: 3.3, at: 0 deg}\n", ""),
            ("sides: parallel, floor: round", "sides: radial, floor: flat"),
            ("diameter: 6, flutes", "diameter: 5, flutes"),
        ),
    ),
    "inches": lambda: (INCH_SIX, (("at: 0 deg}", "at: 70 deg}"),)),
}


def _in_step(build: Callable[[Path], Any]) -> Any:
    with tempfile.TemporaryDirectory() as folder:
        return build(Path(folder) / "p.step")


def _mesh_numbers(mesh: TetMesh) -> dict[str, Any]:
    points, corners = mesh.points, mesh.points[mesh.tets[:, :4]]
    sides = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2)
    return {
        "points": len(points),
        "tets": len(mesh.tets),
        "sum": points.sum(axis=0),
        "square": (points**2).sum(),
        "longest": sides.max(),
        "shortest": sides.min(),
        "mean": sides.mean(),
    }


def _meshes() -> Any:
    holes = [round_hole(12, 0, 10), Loop.slot(27, -4, 27, 4, 7)]
    rings = [HeadRing((12.0, 0.0, 5.0), UP, 16.0), HeadRing((12.0, 0.0, 0.0), UP, 17.0)]

    def of(path: Path) -> Any:
        plate_step(path, 40, 30, 5, holes)
        return [
            _mesh_numbers(mesh_step(path, given, fine))
            for given, fine in (
                (rings, Fineness(8.0, 10)),
                (rings, Fineness(5.0, 12.6, 0.2, 1.5)),
                ([], Fineness(6.0, 9, 0.3, 0.5)),
            )
        ]

    return _in_step(of)


def _bodies() -> Any:
    steel = Elastic.of(material("mild-steel"))
    body = elastic_body(block((3, 2, 2), (30.0, 20.0, 6.0), lambda p: p + 0.002 * p[:, ::-1] ** 2), steel)
    x, y, z = body.places.T
    moved = np.column_stack([0.01 * x * y, 0.002 * z * z + 0.01 * x, -0.003 * x * z]).ravel()
    stress = stresses(body, moved.reshape(1, -1))[0]
    push = pressure(face(body, lambda c: (np.abs(c[..., 2]) < 5.0).all(axis=-1)), 2.0)
    return {
        "steel": [steel.youngs, steel.poisson, steel.density, steel.lame],
        "volume": body.volume,
        "energy": moved @ (body.stiffness @ moved),
        "mass": [body.mass.sum(), x @ (body.mass @ x), z @ (body.mass @ y)],
        "stress": [stress.sum(axis=0), np.abs(stress).max(axis=0)],
        "equivalent": [von_mises(stress).max(), von_mises(stress).sum()],
        "force": inertia_force(body, np.array([0.6, 0.0, 0.8]), 9806.65).reshape(-1, 3).sum(axis=0),
        "pushed": [push.sum(), np.abs(push).max()],
    }


def _hung() -> Any:
    rod = RigidSensor(0.08, (20.0, 3.0, 31.0), (0.1, 0.0, 1.0), 40.0, 12.0)

    def of(path: Path) -> Any:
        out = []
        for hole, wall in (
            (round_hole(20, 3, 12), TabWall((20.0, 3.0, 0.0), (20.0, 3.0, 5.0), 12.0)),
            (Loop.slot(17, 3, 23, 3, 12), TabWall((20.0, 3.0, 0.0), (20.0, 3.0, 5.0), 12.0, (6.0, 0.0, 0.0))),
        ):
            plate_step(path, 44, 34, 5, [hole])
            body = elastic_body(mesh_step(path, [], Fineness(7.0, 12)), Elastic.of(material("mild-steel")))
            hung = hang(body, wall, rod)
            x, y, z = body.places.T
            moved = np.column_stack([0.01 * x * y, 0.002 * z * z + 0.01 * x, -0.003 * x * y]).ravel()
            force = hung.inertia_force(np.array([0.6, 0.0, 0.8]), 9806.65)
            solver = Solver(body, np.repeat(x < 1e-6, 3), hung.attached)
            modes = solver.modes(4)
            out.append(
                {
                    "centre": hung.centre,
                    "tip": hung.tip,
                    "to mass": hung.to_mass,
                    "mass": hung.mass,
                    "inertia": hung.attached.inertia,
                    "motion": hung.attached.motion @ moved,
                    "tip moves": hung.tip_moves(moved),
                    "force": [force @ moved, np.abs(force).sum()],
                    "unknowns": solver.unknowns,
                    "modes": modes.frequencies,
                    "bends": [np.abs(solver.displacement(force)).max(), solver.displacement(force) @ force],
                }
            )
        return out

    return _in_step(of)


def _planes() -> Any:
    outline = Loop.polygon([(-40.0, -15.0), (40.0, -15.0), (40.0, 15.0), (-40.0, 15.0)])
    pulled = plane.meshed(outline, [round_hole(0, 0, 9)], 5.0, 20)
    disc_ = plane.meshed(Loop.circle(0, 0, 50.0), [round_hole(0, 0, 24), round_hole(30, 4, 8)], 7.0)
    out = []
    for mesh, load in ((pulled, 10.0), (disc_, plane.spin(7850.0, 6000.0))):
        found = plane.solved(mesh, 0.3, load)
        most = int(np.argmax(found.greatest))
        out.append(
            [
                mesh.p.shape[1],
                mesh.t.shape[1],
                found.greatest.max(),
                found.greatest.min(),
                found.greatest.mean(),
                np.hypot(*found.points[most]),
            ]
        )
    return out


def _disc(name: str) -> Any:
    text, edits = DISCS[name]()
    for old, new in edits:
        assert old in text, old
        text = text.replace(old, new)
    whole = design_job(parse_job(text, "disc.yaml"))
    bore = None
    if whole.job.pulley is not None and whole.job.pulley.keyway is not None and whole.job.pulley.bore:
        bore = disc.keyed_bore(whole.job.pulley.bore / 2, whole.job.pulley.keyway, whole.wheel.sense).vertices
    return {
        "findings": disc.disc_findings(whole),
        "alone": disc.disc_opinion(whole.job, whole.wheel, 5000.0),
        "bore": bore,
        "corner": disc.with_corners(whole.job, whole.wheel).slot.corner_radius,
    }


def _bores() -> Any:
    return [
        disc.keyed_bore(bore, Keyway(width=wide, depth=deep, at=at), sense, corner).vertices
        for bore, wide, deep, at, sense, corner in (
            (16.0, 10.0, 3.3, 0.0, 1, 0.4),
            (12.0, 1.0, 4.0, 30.0, -1, 0.4),
            (20.0, 6.0, 0.3, 200.0, 1, 0.8),
        )
    ]


def _variants(name: str) -> Any:
    bracket = design(name)
    return [
        {
            "name": v.name,
            "what": v.what,
            "cost": v.cost,
            "wide": v.wide,
            "made": v.made
            if isinstance(v.made, str)
            else [
                v.made.thickness,
                v.made.width,
                v.made.free_length,
                v.made.asked.bracket.plate_back,
                v.made.asked.sensor.at,
                v.made.bends and v.made.bends[0].inside_radius,
            ],
        }
        for v in proposals.variants(bracket)
    ]


def _setups() -> Any:
    return {name: [setup(design(name)), setup(design(name), wide=True)] for name in JOBS}


def _limits() -> Any:
    return {name: [limits_of(design(name)), speeds_of(design(name))] for name in JOBS}


def _solved(name: str) -> Any:
    from wheelcad.files.step import write_step
    from wheelcad.parts.bracket.solid import bracket_solid

    bracket = design(name)

    def of(path: Path) -> Any:
        write_step(path, bracket_solid(bracket), "bracket")
        given = setup(bracket)
        return [one_mesh(path, given, 2.0), CoarseBracket(path, given).held()]

    return _in_step(of)


FIGURES: dict[str, Callable[[], Any]] = {
    "meshes": _meshes,
    "bodies": _bodies,
    "hung": _hung,
    "planes": _planes,
    "bores": _bores,
    "setups": _setups,
    "limits": _limits,
    "peaks": reckoned.peaks,
    "told": reckoned.told,
    "refining": reckoned.refining,
    "mended": reckoned.mended,
    "stock": reckoned.stock,
    **{f"disc, {name}": lambda name=name: _disc(name) for name in DISCS},  # type: ignore[misc]
    **{f"variants of {name}": lambda name=name: _variants(name) for name in JOBS},  # type: ignore[misc]
    **{f"solved, {name}": lambda name=name: _solved(name) for name in ("flat", "L", "Z-back")},  # type: ignore[misc]
}
QUICK = ("bores", "peaks", "refining", "stock", "told")  # in the usual run


TABLE = Table(FILE, FIGURES)


if __name__ == "__main__":
    TABLE.write(sys.argv[1:])
