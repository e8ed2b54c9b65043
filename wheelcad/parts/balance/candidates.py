"""What the planner is asked, what it answers, and the holes it may choose from.

Amounts are unbalances in g·mm, angles degrees from the TDC line the way the crank turns, lengths mm, density g/mm³.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from wheelcad.arrays import Bools, Floats, Ints
from wheelcad.parts.balance import walls
from wheelcad.parts.balance.marks import ShopSteps
from wheelcad.parts.balance.metal import Metal, Seats, blocked_angles, is_free, seats
from wheelcad.parts.balance.spread import figure, spread
from wheelcad.parts.common.holes import CorrectionHole, taken_out
from wheelcad.trade.drills import Drill, flute_length_mm
from wheelcad.trade.frames import point_at, wrap_180
from wheelcad.trade.unbalance import POINT_DEG

WIDEST_HALF_DEG = 75.0  # beyond it two holes take out much more metal than they are worth, and their errors with it
DRAWS = 4000  # of the errors, where plans are compared
FULL_TURN_COMBINATIONS = 2  # holes up to which all neighbouring marks are tried together


@dataclass(frozen=True)
class HoleSearch:
    """Take out `amount` at `at_deg` (the heavy side) lying at z = plane_mm.

    at_worst: residual that a plan may leave on the shop's marks. doubtful: g·mm of the amount that are as uncertain as
    the metal that was cut away. couple_limit: g·mm² that may be left about the plane, None when it does not matter.
    faces: False drills from the front, True from the back. reading: which reading the holes follow from, 0 for none.
    """

    amount: float
    at_deg: float
    plane_mm: float
    density: float
    metal: Metal
    marks: ShopSteps
    drills: tuple[Drill, ...]
    radii: Floats
    faces: tuple[bool, ...]
    at_worst: float
    doubtful: float
    couple_limit: float | None
    reading: int = 0

    @cached_property
    def grids(self) -> tuple[Cells, ...]:
        """All holes there could be, one set a face."""
        return tuple(cells_of(self, back) for back in self.faces)


@dataclass(frozen=True)
class Plan:
    """Holes that do it. residual g·mm after rounding; half_deg: the widest angle of a hole from the heavy line; couple
    g·mm² left. kind: through-pair, through-pairs, unequal-pair, blind-hole, blind-pair, two-planes."""

    kind: str
    holes: tuple[CorrectionHole, ...]
    residual: float
    half_deg: float
    couple: float


@dataclass(frozen=True)
class Cells:
    """Every drill at every radius that fits from one face: flat arrays.

    one: g·mm a hole takes out for each mm of depth. through: may be drilled right through. deepest: full-diameter
    depth of a blind hole that keeps its floor. least_half: half angle at which two of them keep their wall. drill:
    index into the sought's drills.
    """

    seats: Seats
    drill: Ints
    one: Floats
    through: Bools
    deepest: Floats
    least_half: Floats

    @property
    def taken_through(self) -> Floats:
        """g·mm a through hole takes out."""
        return self.one * self.seats.thickness

    def taken_blind(self, depth: Floats) -> Floats:
        """g·mm a blind hole of this full-diameter depth takes out, point included."""
        return self.one * (depth + self.seats.point / 3)

    def blind_z(self, depth: Floats) -> Floats:
        """z of the middle of a blind hole's metal, its point counted as a cylinder of a third its length."""
        half = (depth + self.seats.point / 3) / 2
        return self.seats.z_bottom + half if self.seats.from_back else self.seats.z_top - half

    def through_z(self) -> Floats:
        """z of the middle of a through hole."""
        return (self.seats.z_top + self.seats.z_bottom) / 2


def cells_of(sought: HoleSearch, from_back: bool) -> Cells:
    """All cells of one face, smaller drills first, then smaller radii."""
    sizes = np.array([drill.diameter_mm for drill in sought.drills])
    d, r = (grid.ravel() for grid in np.meshgrid(sizes, sought.radii, indexing="ij"))
    index = np.repeat(np.arange(len(sizes)), len(sought.radii))
    found = seats(sought.metal, r, d, from_back)
    index, found = index[found.fits], found.only(found.fits)
    flutes = np.array([flute_length_mm(size) for size in sizes])[index]
    d, r, thick = found.diameter, found.radius, found.thickness
    reach = found.stand + thick + found.point + walls.BREAK_THROUGH
    through = (found.beyond >= found.point + walls.BREAK_THROUGH) & (thick <= walls.DEEPEST * d) & (reach <= flutes)
    deepest = np.minimum(thick - found.point - walls.FLOOR.mm, walls.DEEPEST * d)
    deepest = np.minimum(deepest, flutes - found.stand - found.point)
    apart = (d + np.maximum(walls.HOLES.mm, d / 2)) / 2
    least_half = np.degrees(np.arcsin(np.minimum(apart / r, 1.0)))
    return Cells(found, index, sought.density * math.pi / 4 * d**2 * r, through, deepest, least_half)


@dataclass(frozen=True)
class Picked:
    """One hole of a proposal: which cell, how far from the heavy line (signed degrees), depth (None: through)."""

    cells: Cells
    cell: int
    off_deg: float
    depth: float | None = None


def made(sought: HoleSearch, kind: str, wanted: Sequence[Picked]) -> Plan | None:
    """The proposal with angles the shop can set, or None when a wall would not hold."""
    holes = [_hole(sought, want) for want in wanted]
    marks = [sought.marks.around(hole.at_deg) for hole in holes]
    if len(holes) <= FULL_TURN_COMBINATIONS:
        choices: Sequence[Sequence[float]] = list(itertools.product(*marks))
        best = min(choices, key=lambda angles: round(abs(_left(sought, holes, angles)), 9))
    else:
        best = _one_by_one(sought, holes, marks)
    holes = [replace(hole, at_deg=angle) for hole, angle in zip(holes, best, strict=True)]
    if not walls_hold(sought.metal, holes):
        return None
    off = [abs(float(wrap_180(hole.at_deg - sought.at_deg))) for hole in holes]
    couple = abs(sum(_vector(sought, hole, hole.at_deg) * (hole.z_mean - sought.plane_mm) for hole in holes))
    ordered = sorted(holes, key=lambda hole: (hole.from_back, hole.at_deg, hole.radius_mm))
    return Plan(kind, tuple(ordered), abs(_left(sought, holes, best)), max(off), couple)


def _hole(sought: HoleSearch, want: Picked) -> CorrectionHole:
    at, cell = want.cells.seats, want.cell
    top, bottom = float(at.z_top[cell]), float(at.z_bottom[cell])
    if want.depth is not None:
        top, bottom = (bottom + want.depth, bottom) if at.from_back else (top, top - want.depth)
    drill = sought.drills[int(want.cells.drill[cell])]
    return CorrectionHole(
        sought.marks.nearest(sought.at_deg + want.off_deg),
        float(at.radius[cell]),
        drill.diameter_mm,
        round(top, 9),
        round(bottom, 9),
        want.depth is None,
        None if want.depth is None else POINT_DEG,
        at.from_back,
        drill.name,
        where(sought.metal, top, bottom),
        sought.reading,
    )


def where(metal: Metal, top: float, bottom: float) -> str:
    """The metal between two heights, in words."""
    if len(metal.pieces) == 1:
        return "plate"
    names = {p.land.name for p in metal.pieces if p.land.z_front > bottom + 1e-9 and p.land.z_back < top - 1e-9}
    return "tooth ring" if names == {"ring"} else "hub" if "ring" in names else "pulley"


def _vector(sought: HoleSearch, hole: CorrectionHole, at_deg: float) -> complex:
    amount = sought.density * hole.volume_mm3 * hole.radius_mm
    return cmath.rect(amount, math.radians(at_deg - sought.at_deg))


def _left(sought: HoleSearch, holes: Sequence[CorrectionHole], angles: Sequence[float]) -> complex:
    """What is left, seen from the heavy line, g·mm."""
    return sought.amount - sum(_vector(sought, hole, angle) for hole, angle in zip(holes, angles, strict=True))


def _one_by_one(sought: HoleSearch, holes: Sequence[CorrectionHole], marks: Sequence[Sequence[float]]) -> list[float]:
    """Angles on the marks, bettered hole by hole until no neighbouring mark leaves less."""
    angles = [choices[0] for choices in marks]
    before: list[float] = []
    while angles != before:  # ends: each change leaves less, or as much with an earlier choice
        before = angles
        for i, choices in enumerate(marks):
            trials = [[*angles[:i], choice, *angles[i + 1 :]] for choice in choices]
            angles = min(trials, key=lambda trial: round(abs(_left(sought, holes, trial)), 9))
    return angles


def figure_95(sought: HoleSearch, plan: Plan) -> float:
    """The 95 % figure of what the plan leaves once its errors are drawn, g·mm."""
    heavy = point_at(1.0, sought.at_deg, sought.metal.sense)
    left = sought.amount * heavy - taken_out(plan.holes, sought.density * 1e6, sought.metal.sense)
    vectors, _ = spread(left, sought.doubtful * heavy, plan.holes, sought.density, sought.metal.sense, DRAWS)
    return figure(vectors)


def walls_hold(metal: Metal, holes: Sequence[CorrectionHole]) -> bool:
    """Whether bolts, keyway and the other holes keep their distance (radii and depths are settled by the seats)."""
    for hole in holes:
        if not is_free(list(blocked_angles(metal, hole.radius_mm, hole.diameter_mm)), hole.at_deg):
            return False
    return all(_apart(a, b) for a, b in itertools.combinations(holes, 2))


def _apart(a: CorrectionHole, b: CorrectionHole) -> bool:
    wall = walls.hole_wall(max(a.diameter_mm, b.diameter_mm))
    ax, ay = a.centre(1)
    bx, by = b.centre(1)
    if math.hypot(ax - bx, ay - by) >= (a.diameter_mm + b.diameter_mm) / 2 + wall - 1e-9:
        return True
    return a.lowest - b.highest >= walls.FLOOR.mm or b.lowest - a.highest >= walls.FLOOR.mm
