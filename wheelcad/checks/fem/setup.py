"""From a bracket's design to what the solver is given: rings, wall, sensor, shakes. Engine frame, mm and kg."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.checks.fem.model import RigidSensor, Ring, Shake, StiffnessResult, Vector, Wall
from wheelcad.checks.fem.stiffness import coarse_first_hz, stiffness
from wheelcad.job.models import Mount
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.sensor.design import TAIL_LENGTH
from wheelcad.trade.fits import bolt_for_hole
from wheelcad.trade.heads import across_flats_mm
from wheelcad.trade.materials import Material, material
from wheelcad.trade.threads import nominal_mm

STEP = "bracket.step"
LEAST_BEARING = 1.0  # mm: a head narrower than this beyond its hole stands on a washer that is not counted
HOLE_OVER_BOLT = 1.1  # a clearance hole over its bolt, for sizes the tables lack; common practice, no source
SLOT_END = 0.3  # mm: a ring that would meet a slot's side this close to its end is made to miss the spot


@dataclass(frozen=True)
class Setup:
    """What `stiffness` takes, worked out from a design."""

    clamps: tuple[Ring, ...]
    wall: Wall
    sensor: RigidSensor
    material: Material
    thickness: float
    shakes: tuple[Shake, ...]
    area: float = 0.0


def bracket_stiffness(folder: Path, design: BracketDesign) -> StiffnessResult:
    """The finite elements' answer for bracket.step in the folder. Raises FemError."""
    given = setup(design)
    return stiffness(
        folder / STEP,
        given.clamps,
        given.wall,
        given.sensor,
        given.material,
        given.thickness,
        given.shakes,
        given.area,
    )


def bracket_coarse_hz(path: Path, design: BracketDesign) -> float:
    """First frequency of the bracket in a STEP file on a coarse mesh, Hz. Raises FemError."""
    given = setup(design)
    return coarse_first_hz(path, given.clamps, given.wall, given.sensor, given.material, given.thickness, given.area)


def setup(design: BracketDesign) -> Setup:
    """Rings under the bolt heads on both faces, the sensor's hole, the sensor as a rod, and three square shakes."""
    return Setup(
        clamps=_rings(design),
        wall=_wall(design),
        sensor=_rod(design),
        material=material(design.material),
        thickness=design.thickness,
        shakes=shakes(design),
        area=design.folded_volume / design.thickness,
    )


def head_diameter(mount: Mount, travel: float) -> float:
    """Diameter of the circle that a mount's bolt head presses on, mm: its width across flats, washers not counted.

    travel: of the slot the mount hole is. A circle that would meet the slot's sides just beside its round end is made
    a little larger, or the mesh would have to fill a splinter there.
    """
    if mount.thread is not None:
        bolt = nominal_mm(mount.thread)
    else:
        bolt = bolt_for_hole(mount.hole) or mount.hole / HOLE_OVER_BOLT
    diameter = max(across_flats_mm(bolt), mount.hole + 2 * LEAST_BEARING)
    meets = math.sqrt((diameter / 2) ** 2 - (mount.hole / 2) ** 2) - travel
    if abs(meets) < SLOT_END:
        diameter = 2 * math.hypot(travel + SLOT_END, mount.hole / 2)
    return diameter


def _rings(design: BracketDesign) -> tuple[Ring, ...]:
    bracket = design.asked.bracket
    travel = design.travel_to - design.travel_from
    faces = (bracket.mount_face, bracket.mount_face + bracket.plate.thickness)
    return tuple(
        Ring((mount.x, mount.y, z), (0.0, 0.0, 1.0), head_diameter(mount, travel))
        for mount in bracket.mounts
        for z in faces
    )


def _wall(design: BracketDesign) -> Wall:
    hole = design.hole("body")
    frame = design.region(hole.region).frame
    x, y = hole.middle
    start, end = frame.points([(x, y, 0.0), (x, y, design.thickness)])
    travel = frame.points((hole.x1, hole.y1, 0.0)) - frame.points((hole.x0, hole.y0, 0.0))
    return Wall(_vector(start), _vector(end), hole.diameter, _vector(travel))


def _rod(design: BracketDesign) -> RigidSensor:
    """The sensor from its nose's tip to where its lead can turn; the mass is the job's."""
    place = design.asked.place
    return RigidSensor(
        design.sensor_mass_kg, place.tip, place.look, place.nose_length + TAIL_LENGTH, place.body_diameter
    )


def shakes(design: BracketDesign) -> tuple[Shake, ...]:
    """Along the sensor, and across it both ways. The last one is round the crank: it moves the edges' timing."""
    look = np.array(design.look)
    crank = np.array([0.0, 0.0, 1.0])
    if abs(look[2]) < 0.5:
        name, other = "along the crank", crank
    else:
        name, other = "along the radius", np.array([design.face[0], design.face[1], 0.0]) / math.hypot(*design.face[:2])
    tangent = np.cross(look, other)
    return (
        Shake("along the sensor", _vector(look)),
        Shake(name, _vector(other)),
        Shake("round the crank", _vector(tangent)),
    )


def _vector(v: np.ndarray) -> Vector:
    x, y, z = (round(float(c), 12) + 0.0 for c in v)
    return x, y, z
