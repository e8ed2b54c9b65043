"""From a bracket's design to what the solver is given: rings, wall, sensor, shakes. Engine frame, mm and kg."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.checks.fem.model import (
    HeadRing,
    Held,
    MeshStep,
    RigidSensor,
    Shake,
    StiffnessResult,
    TabWall,
    Vector,
)
from wheelcad.checks.fem.refining import COARSE, next_size, refined, rounded
from wheelcad.job.models import Mount
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.sensor.design import TAIL_LENGTH
from wheelcad.trade.fits import bolt_for_hole
from wheelcad.trade.heads import washer_across_mm
from wheelcad.trade.materials import Material, material
from wheelcad.trade.threads import nominal_mm

STEP = "bracket.step"
LEAST_BEARING = 1.0  # mm: a washer bears on this much round its hole at least, or it would pull through
HOLE_OVER_BOLT = 1.1  # a clearance hole over its bolt, for sizes the tables lack; common practice, no source
WIDE_WASHER = 3.0  # of the bolt: ISO 7093, from memory
HEAD_BEARS = 1.5  # of the bolt: the washer face of a hexagon head; Shigley, from memory
CONE_DEG = 30.0  # half angle of the cone in which a bolt presses; Shigley, from memory
SLOT_END = 0.3  # mm: a ring that would meet a slot's side this close to its end is made to miss the spot


@dataclass(frozen=True)
class BracketSetup:
    """What the solver is given, worked out from a design.

    clamps: the rings of bolt heads or washers, on every face they press on; softer: those of the softer clamping.
    thickness: of the plate, mm: sets the mesh's size and how far from clamps stress counts (a clamp's edge is a
    mathematical corner where it has no limit). area: of one face of the plate, mm²: keeps the mesh of a very large one
    from growing without end.
    """

    clamps: tuple[HeadRing, ...]
    wall: TabWall
    sensor: RigidSensor
    material: Material
    thickness: float
    shakes: tuple[Shake, ...]
    area: float = 0.0
    softer: tuple[HeadRing, ...] = ()


def bracket_stiffness(folder: Path, design: BracketDesign, before: Sequence[MeshStep] = ()) -> StiffnessResult:
    """The finite elements' answer for bracket.step in the folder. before: see `stiffness`. Raises FemError."""
    from wheelcad.checks.fem.stiffness import stiffness  # here: verdicts need the set-up, but no solver

    return stiffness(folder / STEP, setup(design), before=before)


def bracket_fine(folder: Path, design: BracketDesign) -> StiffnessResult:
    """The second mesh's answer alone, for `joined`: the proposals solve the first beside it. Raises FemError."""
    from wheelcad.checks.fem.stiffness import one_mesh

    return one_mesh(folder / STEP, setup(design))


def joined(folder: Path, design: BracketDesign, fine: StiffnessResult, coarse: MeshStep | None) -> StiffnessResult:
    """Both meshes' answer, and of finer ones as long as the first frequency does not stand still. Raises FemError."""
    result = refined(fine, () if coarse is None else (coarse,))
    if coarse is None or next_size(result.meshes) is None:
        return result
    return bracket_stiffness(folder, design, result.meshes)


class CoarseBracket:
    """A bracket in a STEP file on a coarse mesh, for comparing shapes; meshed once, solved as far as is asked.

    Raises FemError, its methods as well.
    """

    def __init__(self, path: Path, given: BracketSetup) -> None:
        from wheelcad.checks.fem.stiffness import clamped, fineness, hanging

        self._given = given
        self._mesh = hanging(path, given, [*given.clamps, *given.softer], fineness(given, COARSE))
        self._soft = clamped(self._mesh, given.softer)

    def first_hz(self) -> float:
        """First frequency of the softer clamping, Hz."""
        return rounded(float(self._soft.solver.modes(1).frequencies[0]))

    def held(self) -> tuple[tuple[Held, ...], MeshStep]:
        """Both clampings, the softer first; and the mesh's step with the stiffer."""
        from wheelcad.checks.fem.stiffness import SOFT, STIFF, clamped, held_so

        soft, _ = held_so(SOFT, self._soft, self._given)
        stiff, step = held_so(STIFF, clamped(self._mesh, self._given.clamps), self._given)
        return (soft, stiff), step


def setup(design: BracketDesign, wide: bool = False) -> BracketSetup:
    """Rings under the washers on both faces, the softer clamping's, the sensor's hole, the sensor as a rod, and three
    square shakes.

    Softer is held on the block's face alone. wide: with wide washers, which are no rigid discs: a bolt presses through
    them in a cone, and the softer clamping holds no more than that cone meets, on the block's face, or as much as plain
    washers where that is more.
    """
    return BracketSetup(
        clamps=_rings(design, wide),
        softer=_rings(design, wide, pressed=True)[::2],
        wall=_wall(design),
        sensor=_rod(design),
        material=material(design.material),
        thickness=design.thickness,
        shakes=shakes(design),
        area=design.folded_volume / design.thickness,
    )


def bolt_of(mount: Mount) -> float:
    """Nominal diameter of a mount's bolt, mm."""
    if mount.thread is not None:
        return nominal_mm(mount.thread)
    return bolt_for_hole(mount.hole) or mount.hole / HOLE_OVER_BOLT


def wide_washer_mm(mount: Mount) -> float:
    """Outside diameter of the wide washer that can be offered for a mount, mm."""
    return WIDE_WASHER * bolt_of(mount)


def pressed_mm(mount: Mount, washer_thickness: float) -> float:
    """Diameter of the circle that a bolt's head presses on through a washer, mm: the head's bearing face and the cone
    that spreads from it, half angle 30°. Source: Shigley, frusta of pressure in bolted joints, from memory."""
    head = HEAD_BEARS * bolt_of(mount)
    return head + 2 * washer_thickness * math.tan(math.radians(CONE_DEG))


def washer_diameter(mount: Mount, travel: float, wide: float = 0.0, pressed: bool = False) -> float:
    """Diameter of the circle that a mount's washer presses on, mm: the parts list has one on every mount bolt.

    travel: of the slot the mount hole is. wide: thickness of a wide washer in its place, 0 for a plain one; pressed: no
    more of that than the bolt's cone meets. A circle that would meet the slot's sides just beside its round end is made
    a little larger, or the mesh would have to fill a splinter there.
    """
    plain = washer_across_mm(bolt_of(mount))
    washer = wide_washer_mm(mount) if wide else plain
    if wide and pressed:
        washer = min(washer, max(plain, pressed_mm(mount, wide)))
    diameter = max(washer, mount.hole + 2 * LEAST_BEARING)
    meets = math.sqrt((diameter / 2) ** 2 - (mount.hole / 2) ** 2) - travel
    if abs(meets) < SLOT_END:
        diameter = 2 * math.hypot(travel + SLOT_END, mount.hole / 2)
    return diameter


def _rings(design: BracketDesign, wide: bool, pressed: bool = False) -> tuple[HeadRing, ...]:
    """By mounts: on the block's face, then on the other. Wide washers are as thick as the plate."""
    bracket = design.asked.bracket
    thick = bracket.plate.thickness if wide else 0.0
    travel = design.travel_to - design.travel_from
    faces = (bracket.plate_back, bracket.plate_back + bracket.plate.thickness)
    return tuple(
        HeadRing((mount.x, mount.y, z), (0.0, 0.0, 1.0), washer_diameter(mount, travel, thick, pressed))
        for mount in bracket.mounts
        for z in faces
    )


def _wall(design: BracketDesign) -> TabWall:
    hole = design.hole("body")
    frame = design.region(hole.region).frame
    x, y = hole.middle
    start, end = frame.points([(x, y, 0.0), (x, y, design.thickness)])
    travel = frame.points((hole.x1, hole.y1, 0.0)) - frame.points((hole.x0, hole.y0, 0.0))
    return TabWall(_vector(start), _vector(end), hole.diameter, _vector(travel))


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
