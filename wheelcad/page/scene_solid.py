"""Triangles for the scene from flat outlines stood up: no CAD kernel, a few milliseconds a part.

A body is a stack of slabs: metal whose plan is the same (or goes over evenly, in a groove) from one height to another.
Its sides are the outlines stood up; level faces lie where two slabs' plans differ. Lengths mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from wheelcad.arrays import Floats, Ints
from wheelcad.trade.loop import Loop

CHORD = 0.01  # mm between a true arc and what is drawn, where it bulges outwards and so decides a body's size
INNER_CHORD = 0.04  # mm, of holes, slot floors and other arcs that bulge inwards
SPLINTER = 1e-4  # mm²: a level face no larger than this is rounding
CREASE_COS = 0.9  # cosine of the bend in an outline from which on its edge is drawn as a line (26 degrees)


@dataclass(frozen=True)
class Slab:
    """Metal from z0 up to z1 > z0. plan: seen from above, a polygon or several; top: the plan at z1 where that is
    another (the same rings with the same numbers of points), None where the sides are upright."""

    z0: float
    z1: float
    plan: Polygon | MultiPolygon
    top: Polygon | MultiPolygon | None = None

    @property
    def upper(self) -> Polygon | MultiPolygon:
        """The plan at z1."""
        return self.plan if self.top is None else self.top


@dataclass(frozen=True, eq=False)
class Mesh:
    """points (n, 3) mm; triangles (m, 3) of indices, anticlockwise from outside; lines (k, 2, 3): edges worth drawing.

    values: (3n,) red, green, blue of each point, 0 to 1, where it has colours of its own; None else.
    """

    points: Floats
    triangles: Ints
    lines: Floats = field(default_factory=lambda: np.zeros((0, 2, 3)))
    values: Floats | None = None

    @property
    def volume(self) -> float:
        """mm³, by the divergence theorem: true where the faces close a body."""
        a, b, c = (self.points[self.triangles[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)

    @property
    def box(self) -> tuple[Floats, Floats]:
        """Least and greatest x, y, z."""
        return self.points.min(axis=0), self.points.max(axis=0)

    def placed(self, axes: Floats, origin: Sequence[float]) -> Mesh:
        """Turned and moved: axes (3, 3) rows are where x, y and z of the mesh point; right-handed."""
        at = np.asarray(origin, dtype=float)
        return Mesh(self.points @ axes + at, self.triangles, self.lines @ axes + at, self.values)


EMPTY = Mesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))


def ring_of(loop: Loop) -> Floats:
    """An outer outline's points (n, 2), anticlockwise: arcs within CHORD, those that bulge inwards within
    INNER_CHORD."""
    edges = loop.oriented().edges()
    return np.vstack([edge.points(CHORD if edge.bulge > 0 else INNER_CHORD) for edge in edges])


def hole_of(loop: Loop) -> Polygon:
    """A hole's plan, arcs within INNER_CHORD."""
    return Polygon(loop.flatten(INNER_CHORD))


def area_of(loop: Loop, holes: Iterable[Loop] = ()) -> Polygon | MultiPolygon:
    """What a loop encloses, less holes, which may reach over its edge or into each other."""
    plan = Polygon(ring_of(loop))
    cuts = [hole_of(hole) for hole in holes]
    return plan.difference(shapely.union_all(cuts)) if cuts else plan


def joined(meshes: Iterable[Mesh]) -> Mesh:
    """Several as one; EMPTY for none."""
    some = [mesh for mesh in meshes if len(mesh.triangles) or len(mesh.lines)]
    if not some:
        return EMPTY
    starts = np.cumsum([0, *(len(mesh.points) for mesh in some[:-1])])
    return Mesh(
        np.vstack([mesh.points for mesh in some]),
        np.vstack([mesh.triangles + start for mesh, start in zip(some, starts, strict=True)]),
        np.concatenate([mesh.lines for mesh in some]),
    )


def solid(slabs: Sequence[Slab]) -> Mesh:
    """The skin of a stack of slabs, which may be given in any order but must not overlap."""
    parts: list[Mesh] = []
    walls: dict[tuple[bytes, float], tuple[Floats, float]] = {}  # upright ones, by outline and head: foot
    for slab in sorted(slabs, key=lambda one: one.z0):
        if slab.top is not None:
            parts += [_side(low, high, slab.z0, slab.z1) for low, high in _leaning(slab.plan, slab.top)]
            continue
        for ring in _rings(slab.plan):  # a wall that stands on one of the same outline goes on with it
            key = ring.tobytes()
            _, foot = walls.pop((key, slab.z0), (ring, slab.z0))
            walls[key, slab.z1] = ring, foot
    parts += [_side(ring, ring, foot, head) for (_, head), (ring, foot) in walls.items()]
    for z in sorted({z for slab in slabs for z in (slab.z0, slab.z1)}):
        below = _together([slab.upper for slab in slabs if slab.z1 == z])
        above = _together([slab.plan for slab in slabs if slab.z0 == z])
        parts += _level(below, above, z)
    return joined(parts)


def _together(plans: list[Polygon | MultiPolygon]) -> Polygon | MultiPolygon | None:
    if not plans:
        return None
    return plans[0] if len(plans) == 1 else shapely.union_all(plans)


def _polygons(plan: Polygon | MultiPolygon) -> list[Polygon]:
    return [part for part in shapely.get_parts(plan) if part.geom_type == "Polygon" and part.area > SPLINTER]


def _rings(plan: Polygon | MultiPolygon) -> list[Floats]:
    """The outlines (n, 2), metal to their left, each from its leftmost point on, so that equal ones are equal."""
    out = []
    for part in _polygons(plan):
        for k, ring in enumerate((part.exterior, *part.interiors)):
            points = shapely.get_coordinates(ring)[:-1]
            if ring.is_ccw == (k > 0):
                points = points[::-1]
            first = int(np.argmin(points[:, 0] + 1e-6 * points[:, 1]))
            out.append(np.concatenate([points[first:], points[:first]]))
    return out


def _leaning(plan: Polygon | MultiPolygon, top: Polygon | MultiPolygon) -> list[tuple[Floats, Floats]]:
    """Each ring at foot and head."""
    out = []
    for low, high in zip(_polygons(plan), _polygons(top), strict=True):
        for k, ring in enumerate((low.exterior, *low.interiors)):
            over = (high.exterior, *high.interiors)[k]
            way = -1 if ring.is_ccw == (k > 0) else 1
            out.append((shapely.get_coordinates(ring)[:-1][::way], shapely.get_coordinates(over)[:-1][::way]))
    return out


def _next(points: Floats) -> Floats:
    return np.concatenate([points[1:], points[:1]])


def _side(low: Floats, high: Floats, z0: float, z1: float) -> Mesh:
    """A ring stood up: its wall, and lines at its corners."""
    n = len(low)
    points = np.empty((2 * n, 3))
    points[:n, :2], points[n:, :2] = low, high
    points[:n, 2], points[n:, 2] = z0, z1
    here = np.arange(n)
    following = np.append(here[1:], 0)
    walls = np.empty((2 * n, 3), dtype=np.int64)
    walls[:n] = np.stack([here, following, following + n], axis=1)
    walls[n:] = np.stack([here, following + n, here + n], axis=1)
    step = _next(low) - low
    long = np.hypot(step[:, 0], step[:, 1])
    ahead = np.concatenate([step[-1:], step[:-1]])
    sharp = (step * ahead).sum(axis=1) < CREASE_COS * long * np.concatenate([long[-1:], long[:-1]])
    upright = np.stack([points[:n][sharp], points[n:][sharp]], axis=1)
    return Mesh(points, walls, upright)


def _level(below: Polygon | MultiPolygon | None, above: Polygon | MultiPolygon | None, z: float) -> list[Mesh]:
    """The level faces at z between what lies below it and above it."""
    out = []
    for metal, other, up in ((below, above, True), (above, below, False)):
        if metal is None or metal is other:
            continue
        bare = metal if other is None else metal.difference(other)
        out += [_face(part, z, up) for part in _polygons(bare)]
    return out


def _face(plan: Polygon, z: float, up: bool) -> Mesh:
    """A level face and the lines round it."""
    from ezdxf.math import Vec2
    from ezdxf.math.triangulation import mapbox_earcut_2d

    rings = [shapely.get_coordinates(ring)[:-1] for ring in (plan.exterior, *plan.interiors)]
    outer, *holes = [Vec2.list(ring.tolist()) for ring in rings]
    found = mapbox_earcut_2d(outer, holes)
    flat = np.array([(a.x, a.y, b.x, b.y, c.x, c.y) for a, b, c in found]).reshape(-1, 3, 2)
    (ax, ay), (bx, by), (cx, cy) = (flat[:, k].T for k in range(3))
    wrong = ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax) > 0) != up
    flat[wrong] = flat[wrong][:, ::-1]
    points = np.empty((3 * len(flat), 3))
    points[:, :2], points[:, 2] = flat.reshape(-1, 2), z
    flat_lines = np.concatenate([np.stack([ring, _next(ring)], axis=1) for ring in rings])
    lines = np.empty((len(flat_lines), 2, 3))
    lines[:, :, :2], lines[:, :, 2] = flat_lines, z
    return Mesh(points, np.arange(len(points)).reshape(-1, 3), lines)
