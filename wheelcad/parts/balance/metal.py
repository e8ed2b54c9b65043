"""Where there is metal to drill along the crank: the piece as lands, and what a hole at any radius would go through.

Wheel frame, mm. Everything here is round about the axis but bolt holes and the keyway, which block angles.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.errors import Faults
from wheelcad.job.models import Job
from wheelcad.parts.balance import walls
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.openings import bolt_centres, pulley_bore
from wheelcad.parts.common.stack import Land, ring_land, turned_lands
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import angle_of, apart_deg, wrap_180
from wheelcad.trade.unbalance import POINT_DEG, point_length_mm


@dataclass(frozen=True)
class MetalPiece:
    """A length of the piece with one outside. land: z and radius; core: a hole's edge must stay inside it, walls kept;
    wall: which wall that is; in_recess: it lies beside the recess."""

    land: Land
    core: float
    wall: walls.Clearance
    in_recess: bool


@dataclass(frozen=True)
class Metal:
    """What can be drilled. pieces: front to back. bore and recess: radii, 0 for none. bolts: holes there are,
    (x, y, radius) each. rubber: a bonded rubber ring lies somewhere in it. keyed: its bore fits a shaft with a key.
    drilled: correction holes that are in it already.

    keyway: (at_deg, half width, radius its corners reach) or None. marks: timing marks, (at_deg, inner, outer).
    z_front, z_back: of the whole piece.
    """

    pieces: tuple[MetalPiece, ...]
    bore: float
    recess: float
    recess_depth: float
    bolts: tuple[tuple[float, float, float], ...]
    keyway: tuple[float, float, float] | None
    sense: int
    rubber: bool
    marks: tuple[tuple[float, float, float], ...] = ()
    keyed: bool = False
    drilled: tuple[CorrectionHole, ...] = ()

    @cached_property
    def bolts_polar(self) -> tuple[tuple[float, float, float], ...]:
        """(at_deg, radius from the axis, radius of the hole) of each bolt hole."""
        return tuple((float(angle_of(x, y, self.sense)), math.hypot(x, y), hole) for x, y, hole in self.bolts)

    @property
    def bore_wall(self) -> float:
        """Metal that must stay round the bore, mm."""
        return walls.bore_wall(2 * self.bore, self.keyed)

    @property
    def z_front(self) -> float:
        """Front face."""
        return self.pieces[0].land.z_front

    @property
    def z_back(self) -> float:
        """Rear face."""
        return self.pieces[-1].land.z_back

    @property
    def length(self) -> float:
        """Along the crank."""
        return self.z_front - self.z_back

    @cached_property
    def widest(self) -> float:
        """The outermost radius."""
        return max(piece.land.radius for piece in self.pieces)

    @cached_property
    def disc(self) -> bool:
        """Whether it is balanced in one plane: up to half as long as it is wide. Common practice, no source."""
        return self.length <= self.widest


def metal_of(job: Job, wheel: WheelDesign) -> Metal:
    """The piece that is drilled: the plate, or the pulley with the ring cut into it."""
    turned = turned_lands(job)
    lands = turned or (ring_land(job),)
    pulley = job.pulley
    recess = recess_depth = bore = 0.0
    keyway = None
    if turned and pulley is not None:
        faults = Faults()
        opening = pulley_bore(job, faults)
        bore = pulley.bore / 2 if pulley.bore is not None else 0.0
        if pulley.keyway is not None and opening is not None:
            reach = float(np.hypot(*opening.loop.vertices[:, :2].T).max())
            keyway = (pulley.keyway.at, pulley.keyway.width / 2, reach)
        if pulley.recess is not None:
            recess, recess_depth = pulley.recess.diameter / 2, pulley.recess.depth
    elif job.wheel.bore is not None:
        bore = job.wheel.bore / 2
    bolts: tuple[tuple[float, float, float], ...] = ()
    if wheel.form == "plate":  # a ready-made ring has holes of its own besides the bolts'
        bolts = tuple(hole.round for hole in wheel.openings if hole.name != "bore" and hole.round is not None)
    elif pulley is not None and pulley.bolts is not None:
        bolts = tuple((x, y, pulley.bolts.hole / 2) for x, y in bolt_centres(job).tolist())
    marks = tuple((mark.at_deg, mark.inner, mark.outer) for mark in wheel.marks)
    rubber = bool(turned) and pulley is not None and pulley.rubber_ring
    pieces = tuple(_pieces(job, wheel, _split(lands, recess_depth), recess_depth, rubber))
    return Metal(pieces, bore, recess, recess_depth, bolts, keyway, wheel.sense, rubber, marks, bool(turned))


def _split(lands: Sequence[Land], depth: float) -> list[Land]:
    """The lands, the one that the recess's floor lies in cut in two there."""
    z = lands[0].z_front - depth
    out: list[Land] = []
    for land in lands:
        if land.z_back + 1e-9 < z < land.z_front - 1e-9:
            out += [replace(land, z_back=z), replace(land, z_front=z)]
        else:
            out.append(land)
    return out


def _pieces(job: Job, wheel: WheelDesign, lands: Sequence[Land], depth: float, rubber: bool) -> Iterator[MetalPiece]:
    z = lands[0].z_front - depth
    for land in lands:
        core, wall = land.radius - walls.RIM.mm, walls.RIM
        if land.name == "ring":
            core, wall = wheel.floor_radius_mm - walls.SLOTS.mm, walls.SLOTS
            seen = _sensed(job, wheel)
            if seen is not None and seen - walls.SENSED.mm < core:
                core, wall = seen - walls.SENSED.mm, walls.SENSED
        elif rubber:
            core, wall = -1.0, walls.RUBBER
        elif land.groove is not None:
            core, wall = land.least_radius - walls.GROOVE.mm, walls.GROOVE
        yield MetalPiece(land, core, wall, land.z_back >= z - 1e-9)


def _sensed(job: Job, wheel: WheelDesign) -> float | None:
    """The least radius that a sensor looking along the crank sees; None for one that looks in."""
    sensor = job.sensor
    if sensor is None or sensor.looks != "along":
        return None
    return wheel.read_at_mm(sensor) - (sensor.face_diameter or 0.0) / 2


@dataclass(frozen=True)
class Seats:
    """What holes of `diameter` at `radius` go through from one face; all arrays of one shape, mm.

    fits: metal on one level with all walls kept. z_top and z_bottom: the ends of that metal, z_top the higher whichever
    face is drilled. beyond: free air past it (0: closed by other metal). stand: how high something within a chuck's
    reach stands above the face that is drilled. stop: index of the piece in the way, or -1.
    """

    radius: Floats
    diameter: Floats
    from_back: bool
    fits: Bools
    z_top: Floats
    z_bottom: Floats
    beyond: Floats
    stand: Floats
    stop: Ints

    def only(self, which: Bools | Ints) -> Seats:
        """Those of them."""
        arrays = {name: value[which] for name, value in vars(self).items() if name != "from_back"}
        return replace(self, **arrays)

    @property
    def thickness(self) -> Floats:
        """Metal to go through."""
        return self.z_top - self.z_bottom

    @property
    def point(self) -> Floats:
        """Length of the drill's point."""
        return self.diameter * point_length_mm(1.0, POINT_DEG)


def seats(metal: Metal, radius: Floats, diameter: Floats, from_back: bool = False) -> Seats:
    """Walk from the drilled face through the pieces, all holes at once. Arrays of one shape; angles do not matter."""
    inner, outer = radius - diameter / 2, radius + diameter / 2
    shape = radius.shape
    phase = np.zeros(shape, dtype=np.int64)  # 0 in front of the metal, 1 in it, 2 past it, 3 done, 9 in the way
    enter, leave, tallest = (np.zeros(shape) for _ in range(3))
    beyond = np.full(shape, math.inf)
    stop = np.full(shape, -1)
    sign = -1.0 if from_back else 1.0
    pieces = list(enumerate(metal.pieces))
    tallest[:] = -math.inf
    for i, piece in reversed(pieces) if from_back else pieces:
        land = piece.land
        near, far = (land.z_back, land.z_front) if from_back else (land.z_front, land.z_back)
        cover, clear, walled = _states(metal, piece, inner, outer)
        starts, waits = (phase == 0) & cover, (phase == 0) & clear
        goes, closed = (phase == 1) & cover, (phase == 1) & ~cover & ~clear
        opens, meets = (phase == 1) & clear, (phase == 2) & ~clear
        blocked = (phase == 0) & ~cover & ~clear
        enter, leave = np.where(starts, near, enter), np.where(starts | goes, far, leave)
        tallest = np.where(waits & walled, np.maximum(tallest, sign * near), tallest)
        beyond = np.where(closed, 0.0, np.where(meets, sign * (leave - near), beyond))
        stop = np.where(closed | blocked, i, stop)
        phase = np.where(starts, 1, np.where(opens, 2, np.where(closed | meets, 3, np.where(blocked, 9, phase))))
    fits = (phase >= 1) & (phase <= 3) & (inner >= (metal.bore + metal.bore_wall if metal.bore > 0 else 0.0))
    stand = np.maximum(tallest - sign * enter, 0.0)
    top, bottom = (leave, enter) if from_back else (enter, leave)
    return Seats(radius, diameter, from_back, fits, top, bottom, beyond, stand, stop)


def _states(metal: Metal, piece: MetalPiece, inner: Floats, outer: Floats) -> tuple[Bools, Bools, Bools]:
    """Whether a piece covers the holes with its metal, is clear of them, and stands within a chuck's reach of them."""
    cover = outer <= piece.core
    clear = inner >= piece.land.radius + walls.SHOULDER.mm
    walled = piece.land.radius > (inner + outer) / 2 - walls.CHUCK_RADIUS
    if piece.in_recess:
        within = outer <= metal.recess - walls.RECESS.mm
        cover = cover & (inner >= metal.recess + walls.RECESS.mm)
        walled = np.where(within, metal.recess < (inner + outer) / 2 + walls.CHUCK_RADIUS, walled)
        clear = clear | within
    return cover, clear, walled


def blocked_angles(metal: Metal, radius: Floats | float, diameter: Floats | float) -> Iterator[tuple[float, Floats]]:
    """Angles a hole's centre must keep away from: (middle, half width) in degrees each, 0 wide where nothing is near.

    radius, diameter: of one hole or of many, mm; half widths are of their shape.
    """
    radius, diameter = np.asarray(radius, dtype=float), np.asarray(diameter, dtype=float)
    for at_deg, from_axis, hole in metal.bolts_polar:
        yield (at_deg, _half_angle(from_axis, radius, hole + walls.bolt_wall(2 * hole) + diameter / 2))
    for other in metal.drilled:
        wall = np.maximum(walls.HOLES.mm, np.maximum(diameter, other.diameter_mm) / 2)
        keep = other.diameter_mm / 2 + wall + diameter / 2
        yield (other.at_deg, _half_angle(other.radius_mm, radius, keep))
    if metal.keyway is not None:
        at, width, reach = metal.keyway
        keep = metal.bore_wall + diameter / 2
        half = np.degrees(np.arcsin(np.minimum(1.0, (width + keep) / radius)))
        yield (at, np.where(radius - keep < reach, half, 0.0))
    keep = walls.MARKS.mm + diameter / 2
    for at, inner, outer in metal.marks:
        half = np.degrees(np.arcsin(np.minimum(1.0, keep / radius)))
        yield (at, np.where((inner - keep < radius) & (radius < outer + keep), half, 0.0))


def _half_angle(at: float, radius: Floats, keep: Floats) -> Floats:
    """Half the angle within which a point at `radius` is nearer than `keep` to a point at radius `at`, degrees."""
    cosine = (radius**2 + at**2 - keep**2) / (2 * radius * at)
    half: Floats = np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0)))
    return half


def free_at(metal: Metal, radius: Floats, diameter: Floats, at_deg: Floats) -> Bools:
    """True where the centre of a hole may be at this angle; arrays of one shape."""
    free = np.ones(np.shape(radius), dtype=bool)
    for middle, half in blocked_angles(metal, radius, diameter):
        apart = np.abs(wrap_180(at_deg - middle))
        free &= (half <= 0) | (apart >= half - 1e-9)
    return free


def is_free(blocked: Sequence[tuple[float, Floats]], at_deg: float) -> bool:
    """True when the centre of the one hole that `blocked` is for may be at this angle."""
    return all(float(half) <= 0 or apart_deg(at_deg, middle) >= float(half) - 1e-9 for middle, half in blocked)
