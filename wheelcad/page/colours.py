"""How stiff the bracket is, as colours on it: the numbers, from one mesh of the finite elements that a build solves.

Shaken at the build's own steady acceleration along the way that costs the most air gap, each place moves so far; with
it goes the first natural frequency, which takes the place of the closed form's estimate. One mesh and no refinement:
good to a few per cent, said so; the build refines until it stands still.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.page.aside import key_of
from wheelcad.page.scene_solid import SceneMesh
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.words import Words, count, fine, frequency

LONE_SIZE = 4 / 3  # of the one mesh, over a build's last
GOOD_TO = "one mesh, good to a few per cent; a build refines it"
# dark blue to yellow: lightness alone tells low from high, on paper and to the colour-blind
STOPS = np.array([[68, 1, 84], [59, 82, 139], [33, 145, 140], [94, 201, 98], [253, 231, 37]]) / 255.0


@dataclass(frozen=True, eq=False)
class Coloured:
    """mesh: the bracket's skin, its values (3n,) red, green, blue of each point, 0 to 1. most_mm: the farthest that any
    place moves; gap_mm: how much nearer the sensor comes to the teeth; along: the shake, in words; hz: first natural
    frequency."""

    mesh: SceneMesh
    most_mm: float
    gap_mm: float
    along: str
    hz: float
    shake_g: float
    unknowns: int

    def legend(self, units: str) -> str:
        """The colours in words."""
        said = (
            f"Colours: how far each place moves when the bracket is shaken at {self.shake_g:g} g {self.along}. Dark "
            f"violet stands still, yellow moves {fine(self.most_mm)}; the air gap changes by {fine(abs(self.gap_mm))}. "
            f"First natural frequency {frequency(round(self.hz))} by finite elements "
            f"({count(self.unknowns, 'unknown')}; {GOOD_TO})."
        )
        return Words(units).text(said)


def bracket_key(bracket: BracketDesign) -> str:
    """What a bracket is to the finite elements: the same word for the same plate with the same sensor on it."""
    b = bracket
    mounts = [(m.x, m.y, m.hole, m.thread) for m in b.asked.bracket.mounts]
    face = b.asked.bracket.plate_back
    return key_of(
        b.regions, b.bends, b.holes, b.gussets, b.thickness, b.material, b.sensor_mass_kg, b.asked.place, mounts, face
    )


def colours_of(share: Floats) -> Floats:
    """(3n,) red, green, blue of shares (n,) of 0 to 1."""
    at = np.clip(share, 0.0, 1.0) * (len(STOPS) - 1)
    return np.stack([np.interp(at, np.arange(len(STOPS)), STOPS[:, k]) for k in range(3)], axis=1).ravel()


def solve(bracket: BracketDesign) -> Coloured:
    """Write the bracket's solid, mesh it once, solve. Needs the CAD kernel: for a process of its own. FemError, or the
    kernel's own error, where it cannot be done."""
    from wheelcad.checks.fem.elastic import inertia_force
    from wheelcad.checks.fem.setup import setup
    from wheelcad.checks.fem.stiffness import GRAVITY, SHAKE_G, bolt, fineness
    from wheelcad.files.step import write_step
    from wheelcad.parts.bracket.solid import bracket_solid

    given = setup(bracket)
    with tempfile.TemporaryDirectory(prefix="wheelcad-") as folder:
        step = Path(folder) / "bracket.step"
        write_step(step, bracket_solid(bracket), "bracket")
        bolted = bolt(step, given, fineness(given, LONE_SIZE))
    body, hung = bolted.body, bolted.hung
    hz = float(bolted.solver.modes(1).frequencies[0])
    worst, along, moved = 0.0, "", np.zeros(3 * body.size)
    for shake in given.shakes:
        way = np.array(shake.direction) / np.linalg.norm(shake.direction)
        force = inertia_force(body, way, SHAKE_G * GRAVITY) + hung.inertia_force(way, SHAKE_G * GRAVITY)
        displacement = bolted.solver.displacement(force)
        towards = float(hung.tip_moves(displacement) @ hung.look)
        if not along or abs(towards) > abs(worst):
            worst, along, moved = towards, shake.name, displacement
    outer = body.mesh.facets[:, body.mesh.boundary_facets()]  # (3, k) corners
    used, triangles = np.unique(outer.T, return_inverse=True)
    nodes = np.asarray(body.basis.nodal_dofs)[0, used]
    far = np.linalg.norm(moved.reshape(-1, 3)[nodes], axis=1)
    most = float(np.linalg.norm(moved.reshape(-1, 3), axis=1).max())
    mesh = SceneMesh(
        body.places[nodes], triangles.reshape(-1, 3), values=colours_of(far / max(float(far.max()), 1e-12))
    )
    return Coloured(mesh, most, worst, along, hz, SHAKE_G, bolted.solver.unknowns)
