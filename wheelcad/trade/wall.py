"""Bodies bounded by upright walls and level floors, described by their walls alone.

A wall is a closed outline that stands from one height to another. Between two heights the body is what lies inside an
odd number of the walls standing there; floors close it wherever walls begin or end. Walls may lie inside each other but
never touch or cross, so a whole printed plate with pockets, holes and engraved letters is a list of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.trade.loop import Loop

PROBE = 1e-3  # mm inside a wall, where it is asked what lies there
LEVEL = 1e-9  # mm: heights that differ by less are the same


@dataclass(frozen=True)
class Wall:
    """An outline from z0 up to z1 > z0, mm. top: the outline at z1 where the wall leans (straight edges only, parallel
    to those of `loop`), None where it is upright."""

    loop: Loop
    z0: float
    z1: float
    top: Loop | None = None

    @property
    def upper(self) -> Loop:
        """The outline at z1."""
        return self.loop if self.top is None else self.top


@dataclass(frozen=True)
class Floor:
    """A level face at height z: indexes of the wall around it and of those in it; up: its metal lies below."""

    z: float
    outer: int
    inner: tuple[int, ...]
    up: bool


def turns_inwards(walls: Sequence[Wall]) -> list[bool]:
    """For each wall: True where the body lies outside it (a hole or pocket), False where it lies inside.

    Looked at just above its foot, as floors are: higher up, half-way too, another wall may end.
    """
    nest = _Nest(walls)
    return [nest.metal_inside(i, wall.z0 + LEVEL * 10) is False for i, wall in enumerate(walls)]


def floors_of(walls: Sequence[Wall]) -> Iterator[Floor]:
    """The level faces that close the walls, from below upwards. ValueError where they cannot."""
    nest = _Nest(walls)
    levels = sorted({round(z, 9) for wall in walls for z in (wall.z0, wall.z1)})
    for z in levels:
        here = [i for i, w in enumerate(walls) if abs(w.z0 - z) < LEVEL or abs(w.z1 - z) < LEVEL]
        if nest.doubled(here):
            raise ValueError(f"walls at z = {z:g} mm stand on each other and enclose no floor")
        depth = {i: sum(nest.holds(j, i) for j in here if j != i) for i in here}
        for i in here:
            if depth[i] % 2:
                continue
            inner = tuple(j for j in here if depth[j] == depth[i] + 1 and nest.holds(i, j))
            below, above = nest.metal_inside(i, z - LEVEL * 10), nest.metal_inside(i, z + LEVEL * 10)
            if below == above:
                raise ValueError(f"walls at z = {z:g} mm enclose no floor")
            yield Floor(z, i, inner, below)


class _Nest:
    """Which wall lies inside which, from the outline at the foot of each (leaning walls keep their order)."""

    def __init__(self, walls: Sequence[Wall]) -> None:
        self.walls = walls
        self._points = [wall.loop.flatten(0.02) for wall in walls]
        self._boxes = np.array([[*p.min(axis=0), *p.max(axis=0)] for p in self._points])
        self._about = [self._around(p[0]) for p in self._points]
        self._about_inside = [self._around(_just_inside(p)) for p in self._points]

    def doubled(self, which: Sequence[int]) -> bool:
        """Whether two of the walls fill the same box in plan: one outline twice."""
        boxes = np.round(self._boxes[list(which)], 6)
        return len(np.unique(boxes, axis=0)) < len(boxes)

    def holds(self, outer: int, inner: int) -> bool:
        """Whether wall `inner` lies inside wall `outer` in plan."""
        return outer in self._about[inner]

    def metal_inside(self, i: int, z: float) -> bool:
        """Whether there is metal just inside wall i at height z, its own presence there counted."""
        return sum(self.walls[j].z0 < z < self.walls[j].z1 for j in self._about_inside[i]) % 2 == 1

    def _around(self, point: Floats) -> set[int]:
        """The walls that have a point (2,) inside them in plan."""
        x, y = float(point[0]), float(point[1])
        boxes = self._boxes
        near = (boxes[:, 0] <= x) & (x <= boxes[:, 2]) & (boxes[:, 1] <= y) & (y <= boxes[:, 3])
        return {int(i) for i in np.flatnonzero(near) if _contains(self._points[i], x, y)}


def _contains(points: Floats, x: float, y: float) -> bool:
    """Whether a closed run of points (n, 2) goes round x, y: a ray to the right crosses it an odd number of times."""
    p, q = points, np.roll(points, -1, axis=0)
    above = (p[:, 1] > y) != (q[:, 1] > y)
    p, q = p[above], q[above]
    at = p[:, 0] + (y - p[:, 1]) * (q[:, 0] - p[:, 0]) / (q[:, 1] - p[:, 1])
    return bool(np.count_nonzero(x < at) % 2)


def _just_inside(points: Floats) -> Floats:
    """A point PROBE mm inside a closed run of points (n, 2), beside the middle of its longest edge."""
    q = np.roll(points, -1, axis=0)
    d = q - points
    anticlockwise = float((points[:, 0] * q[:, 1] - q[:, 0] * points[:, 1]).sum()) > 0
    i = int(np.argmax(np.hypot(d[:, 0], d[:, 1])))
    normal = np.array([-d[i, 1], d[i, 0]]) / np.hypot(*d[i]) * (1 if anticlockwise else -1)
    inside: Floats = (points[i] + q[i]) / 2 + PROBE * normal
    return inside
