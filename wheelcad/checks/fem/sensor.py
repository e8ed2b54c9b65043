"""The sensor as one rigid body that hangs on the wall of its hole.

The wall's mean shift and mean turn (by least squares over its surface) carry the mass, so the plate round the hole
is not stiffened by it: the usual distributing coupling. Rotary inertia is that of a uniform round rod.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_matrix
from skfem import FacetBasis, LinearForm

from wheelcad.arrays import Bools, Floats
from wheelcad.checks.fem.elastic import ElasticBody
from wheelcad.checks.fem.mesh import unit
from wheelcad.checks.fem.model import FemError, RigidSensor, TabWall
from wheelcad.checks.fem.solve import Attached
from wheelcad.checks.fem.surface import nodes_of, outer_facets, surface

ON_WALL = 0.02  # mm: a wall's nodes lie this close to its cylinder
WALL_SHARE = 0.9  # least share of the wall's area that must be found


@dataclass(frozen=True)
class Hung:
    """A sensor on its wall. centre: (3,) of the wall; attached: for the solver; tip: (3,) from centre to sensing face;
    to_mass: (3,) from centre to the sensor's centre of mass; look: unit vector."""

    centre: Floats
    attached: Attached
    tip: Floats
    to_mass: Floats
    look: Floats
    mass: float

    def tip_moves(self, displacement: Floats) -> Floats:
        """(3,) displacement of the sensing face's centre."""
        motion = np.asarray(self.attached.motion @ displacement)
        return motion[:3] + np.cross(motion[3:], self.tip)

    def inertia_force(self, direction: Floats, acceleration: float) -> Floats:
        """(3n,) forces on the body of a steady acceleration (mm/s²) of the sensor along a unit vector."""
        force = self.mass * acceleration * direction
        return np.asarray(self.attached.motion.T @ np.concatenate([force, np.cross(self.to_mass, force)]))


def hang(body: ElasticBody, wall: TabWall, sensor: RigidSensor) -> Hung:
    """Hang the sensor on the wall. FemError when the mesh has no such hole."""
    centre, motion = mean_motion(body, wall_surface(body, wall))
    look = unit(sensor.look)
    tip = np.array(sensor.tip) - centre
    to_mass = tip - look * sensor.length / 2
    mass = sensor.mass_kg * 1e-3
    return Hung(centre, Attached(motion, _inertia(mass, to_mass, look, sensor)), tip, to_mass, look, mass)


def _inertia(mass: float, to_mass: Floats, axis: Floats, sensor: RigidSensor) -> Floats:
    """(6, 6) inertia of a rod of centre `to_mass`, for shift and turn of the point it hangs on."""
    across = sensor.length**2 / 12 + sensor.diameter**2 / 16
    along = sensor.diameter**2 / 8
    own = mass * (across * np.eye(3) + (along - across) * np.outer(axis, axis))
    x, y, z = to_mass
    lever = np.array([[0, z, -y], [-z, 0, x], [y, -x, 0]])  # turn θ shifts the mass by θ × to_mass = lever · θ
    out = np.zeros((6, 6))
    out[:3, :3] = mass * np.eye(3)
    out[:3, 3:] = mass * lever
    out[3:, :3] = mass * lever.T
    out[3:, 3:] = own + mass * lever.T @ lever
    return out


def wall_surface(body: ElasticBody, wall: TabWall) -> FacetBasis:
    """Outer triangles of the wall. FemError when less of it is there than there should be."""
    start, end, travel = np.array(wall.start), np.array(wall.end), np.array(wall.travel)
    depth = float(np.linalg.norm(end - start))
    axis, run = (end - start) / depth, float(np.linalg.norm(travel))
    way = travel / run if run > 0 else np.zeros(3)

    def wanted(corners: Floats) -> Bools:
        away = corners - start
        high = away @ axis
        along = np.clip(away @ way, -run / 2, run / 2)
        radius = np.linalg.norm(away - high[..., None] * axis - along[..., None] * way, axis=-1)
        near = (np.abs(radius - wall.diameter / 2) < ON_WALL) & (high > -ON_WALL) & (high < depth + ON_WALL)
        return np.asarray(near.all(axis=-1))

    facets = outer_facets(body, wanted)
    found = surface(body, facets) if len(facets) else None
    if found is None or found.dx.sum() < WALL_SHARE * depth * (np.pi * wall.diameter + 2 * run):
        raise FemError("the sensor's hole is not where it should be in the solid")
    return found


def mean_motion(body: ElasticBody, on: FacetBasis) -> tuple[Floats, csr_matrix]:
    """(3,) centre of outer triangles, and (6, 3n): from displacements to their mean shift and mean turn about it."""
    at, area = np.asarray(on.global_coordinates()), on.dx.sum()
    centre = (at * on.dx).sum(axis=(1, 2)) / area
    arm = at - centre[:, None, None]
    second = np.einsum("ikp,jkp,kp->ij", arm, arm, on.dx)
    turning = np.linalg.inv(np.trace(second) * np.eye(3) - second)
    shift = LinearForm(lambda v, _: v).assemble(on)  # ∫ φ of every node
    moment = np.column_stack([LinearForm(lambda v, w: w.lever * v).assemble(on, lever=lever) for lever in arm])
    nodes = nodes_of(body, on.find)
    rows = np.zeros((6, body.size, 3))
    for k in range(3):
        rows[k, nodes, k] = shift[nodes] / area
        # (arm × e_k) of every node, through the inverse of the wall's own second moments
        rows[3:, nodes, k] = turning @ np.cross(moment[nodes], np.eye(3)[k]).T
    return centre, csr_matrix(rows.reshape(6, -1))
