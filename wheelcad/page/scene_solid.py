"""Triangles for the scene from flat outlines stood up: no CAD kernel, a few milliseconds a part.

A body is a stack of slabs: metal whose plan is the same (or goes over evenly, in a groove) from one height to another.
Its sides are the outlines stood up; level faces lie where two slabs' plans differ. Lengths mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from wheelcad.arrays import Floats, Ints
from wheelcad.trade.loop import Edge, Loop

# mm between a true arc and what is drawn: under half a dot of the screen, and few enough triangles to be drawn by a
# processor thirty times a second. An outline's arcs have points where they reach furthest, so its size is true.
CHORD = 0.06  # where it bulges outwards
ROUND_SHARE = 0.0025  # of its radius at most: what is small is round as well, its volume within half a per cent
INNER_CHORD, INNER_SHARE = 0.06, 0.012  # of holes, slot floors and other arcs that bulge inwards
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
class SceneMesh:
    """points (n, 3) mm; triangles (m, 3) of indices, anticlockwise from outside; lines (k, 2, 3): edges worth drawing.

    values: (3n,) red, green, blue of each point, 0 to 1, where it has colours of its own; None else.
    """

    points: Floats
    triangles: Ints
    lines: Floats = field(default_factory=lambda: np.zeros((0, 2, 3)))
    values: Floats | None = None

    def placed(self, axes: Floats, origin: Sequence[float]) -> SceneMesh:
        """Turned and moved: axes (3, 3) rows are where x, y and z of the mesh point; right-handed."""
        at = np.asarray(origin, dtype=float)
        return SceneMesh(self.points @ axes + at, self.triangles, self.lines @ axes + at, self.values)


EMPTY = SceneMesh(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64))


def ring_of(loop: Loop, chord: float = CHORD) -> Floats:
    """An outer outline's points (n, 2), anticlockwise: arcs within `chord` and with a point wherever they reach
    furthest along x or y; those that bulge inwards within INNER_CHORD."""
    edges = loop.oriented().edges()
    return np.vstack([_outward(edge, chord) if edge.bulge > 0 else _inward(edge, INNER_CHORD) for edge in edges])


def _inward(edge: Edge, chord: float) -> Floats:
    return edge.points(chord if edge.is_line else min(chord, INNER_SHARE * edge.radius))


def _outward(edge: Edge, chord: float) -> Floats:
    if edge.is_line:
        return edge.points(chord)
    points = edge.points(min(chord, ROUND_SHARE * edge.radius))
    (cx, cy), quarter = edge.centre, math.pi / 2
    start = math.atan2(edge.y0 - cy, edge.x0 - cx)
    first, last = math.ceil(start / quarter - 1e-9), math.floor((start + edge.sweep) / quarter + 1e-9)
    furthest = quarter * np.arange(first, last + 1)
    steps = start + edge.sweep * np.arange(len(points)) / len(points)
    new = [a for a in furthest if np.abs(steps - a).min() > 1e-6 and a < start + edge.sweep - 1e-6]
    angles = np.sort(np.concatenate([steps, new]))
    return np.column_stack([cx + edge.radius * np.cos(angles), cy + edge.radius * np.sin(angles)])


def hole_of(loop: Loop, chord: float = INNER_CHORD) -> Polygon:
    """A hole's plan, arcs within `chord`."""
    return Polygon(np.vstack([_inward(edge, chord) for edge in loop.edges()]))


def area_of(loop: Loop, holes: Iterable[Loop] = (), chord: float = CHORD) -> Polygon | MultiPolygon:
    """What a loop encloses, less holes, which may reach over its edge or into each other. chord: as `ring_of`'s."""
    plan = Polygon(ring_of(loop, chord))
    cuts = [hole_of(hole, min(INNER_CHORD, 4 * chord)) for hole in holes]
    return plan.difference(shapely.union_all(cuts)) if cuts else plan


def joined(meshes: Iterable[SceneMesh]) -> SceneMesh:
    """Several as one; EMPTY for none."""
    some = [mesh for mesh in meshes if len(mesh.triangles) or len(mesh.lines)]
    if not some:
        return EMPTY
    starts = np.cumsum([0, *(len(mesh.points) for mesh in some[:-1])])
    return SceneMesh(
        np.vstack([mesh.points for mesh in some]),
        np.vstack([mesh.triangles + start for mesh, start in zip(some, starts, strict=True)]),
        np.concatenate([mesh.lines for mesh in some]),
    )


def solid(slabs: Sequence[Slab]) -> SceneMesh:
    """The skin of a stack of slabs, which may be given in any order but must not overlap."""
    parts: list[SceneMesh] = []
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


def _rings(plan: Polygon | MultiPolygon) -> Iterator[Floats]:
    """The outlines (n, 2), metal to their left, each from its leftmost point on, so that equal ones are equal."""
    for part in _polygons(plan):
        for k, ring in enumerate((part.exterior, *part.interiors)):
            points = shapely.get_coordinates(ring)[:-1]
            if ring.is_ccw == (k > 0):
                points = points[::-1]
            first = int(np.argmin(points[:, 0] + 1e-6 * points[:, 1]))
            yield np.concatenate([points[first:], points[:first]])


def _leaning(plan: Polygon | MultiPolygon, top: Polygon | MultiPolygon) -> Iterator[tuple[Floats, Floats]]:
    """Each ring at foot and head."""
    for low, high in zip(_polygons(plan), _polygons(top), strict=True):
        for k, ring in enumerate((low.exterior, *low.interiors)):
            over = (high.exterior, *high.interiors)[k]
            way = -1 if ring.is_ccw == (k > 0) else 1
            yield (shapely.get_coordinates(ring)[:-1][::way], shapely.get_coordinates(over)[:-1][::way])


def _next(points: Floats) -> Floats:
    return np.concatenate([points[1:], points[:1]])


def _side(low: Floats, high: Floats, z0: float, z1: float) -> SceneMesh:
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
    return SceneMesh(points, walls, upright)


def _level(below: Polygon | MultiPolygon | None, above: Polygon | MultiPolygon | None, z: float) -> Iterator[SceneMesh]:
    """The level faces at z between what lies below it and above it."""
    for metal, other, up in ((below, above, True), (above, below, False)):
        if metal is None or metal is other:
            continue
        bare = metal if other is None else metal.difference(other)
        yield from (_face(part, z, up) for part in _polygons(bare))


def _face(plan: Polygon, z: float, up: bool) -> SceneMesh:
    """A level face and the lines round it."""
    from ezdxf.math import Vec2
    from ezdxf.math.triangulation import mapbox_earcut_2d

    rings = [shapely.get_coordinates(ring)[:-1] for ring in (plan.exterior, *plan.interiors)]
    outer, *holes = [Vec2.list(ring.tolist()) for ring in rings]
    found = mapbox_earcut_2d(outer, holes)
    corners = np.vstack(rings)
    number = {(x, y): k for k, (x, y) in enumerate(corners.tolist())}
    triangles = np.array([[number[v.x, v.y] for v in corner] for corner in found], dtype=np.int64).reshape(-1, 3)
    (ax, ay), (bx, by), (cx, cy) = (corners[triangles[:, k]].T for k in range(3))
    wrong = ((bx - ax) * (cy - ay) - (by - ay) * (cx - ax) > 0) != up
    triangles[wrong] = triangles[wrong][:, ::-1]
    points = np.column_stack([corners, np.full(len(corners), z)])
    flat_lines = np.concatenate([np.stack([ring, _next(ring)], axis=1) for ring in rings])
    lines = np.empty((len(flat_lines), 2, 3))
    lines[:, :, :2], lines[:, :, 2] = flat_lines, z
    return SceneMesh(points, triangles, lines)
