"""Closed flat outlines of straight lines and circular arcs, with exact areas and moments.

A loop's vertices are rows x, y, bulge (mm, mm, -) as in a DXF LWPOLYLINE: the bulge belongs to the edge that starts
at its vertex and is tan(sweep/4), positive where the arc turns anticlockwise. One description serves the closed
form (area and moments by Green's theorem), the solid (wires of lines and arcs), the cutting file and the drawing.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats

STRAIGHT = 1e-12  # a bulge smaller than this (no unit) is a straight line


@dataclass(frozen=True)
class Edge:
    """One edge of a loop: from (x0, y0) to (x1, y1), mm; bulge as in the loop."""

    x0: float
    y0: float
    x1: float
    y1: float
    bulge: float

    @property
    def is_line(self) -> bool:
        """True for a straight edge."""
        return abs(self.bulge) < STRAIGHT

    @property
    def chord(self) -> float:
        """Distance between the ends, mm."""
        return math.hypot(self.x1 - self.x0, self.y1 - self.y0)

    @property
    def sweep(self) -> float:
        """Signed angle of the arc, radians, positive anticlockwise; 0 for a line."""
        return 4.0 * math.atan(self.bulge)

    @property
    def radius(self) -> float:
        """Radius of the arc, mm; infinite for a line."""
        if self.is_line:
            return math.inf
        return self.chord * (1 + self.bulge**2) / (4 * abs(self.bulge))

    @property
    def centre(self) -> tuple[float, float]:
        """Centre of the arc, mm. ValueError for a line."""
        if self.is_line:
            raise ValueError("a straight edge has no centre")
        offset = (1 - self.bulge**2) / (4 * self.bulge)
        mx, my = (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2
        return mx - offset * (self.y1 - self.y0), my + offset * (self.x1 - self.x0)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """xmin, ymin, xmax, ymax, mm, exactly: of its ends, and of the quarter points that an arc runs through."""
        xs, ys = [self.x0, self.x1], [self.y0, self.y1]
        if not self.is_line:
            cx, cy = self.centre
            first = math.atan2(self.y0 - cy, self.x0 - cx)
            low, high = sorted((first, first + self.sweep))
            for k in range(math.ceil(low / (math.pi / 2)), math.floor(high / (math.pi / 2)) + 1):
                xs.append(cx + self.radius * math.cos(k * math.pi / 2))
                ys.append(cy + self.radius * math.sin(k * math.pi / 2))
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def middle(self) -> tuple[float, float]:
        """The point half-way along the edge, mm."""
        mx, my = (self.x0 + self.x1) / 2, (self.y0 + self.y1) / 2
        half = self.bulge / 2
        return mx + half * (self.y1 - self.y0), my - half * (self.x1 - self.x0)

    @property
    def length(self) -> float:
        """Length along the edge, mm."""
        return self.chord if self.is_line else self.radius * abs(self.sweep)

    def distance(self, x: float, y: float) -> float:
        """Least distance from a point to the edge, mm."""
        if self.is_line:
            dx, dy = self.x1 - self.x0, self.y1 - self.y0
            t = ((x - self.x0) * dx + (y - self.y0) * dy) / max(dx * dx + dy * dy, 1e-300)
            t = min(1.0, max(0.0, t))
            return math.hypot(self.x0 + t * dx - x, self.y0 + t * dy - y)
        cx, cy = self.centre
        start = math.atan2(self.y0 - cy, self.x0 - cx)
        turned = (math.atan2(y - cy, x - cx) - start) * (1 if self.bulge > 0 else -1)
        if turned % (2 * math.pi) <= abs(self.sweep):
            return abs(math.hypot(x - cx, y - cy) - self.radius)
        return min(math.hypot(x - self.x0, y - self.y0), math.hypot(x - self.x1, y - self.y1))

    def points(self, tolerance: float) -> Floats:
        """Points (n, 2) along the edge, start included and end left out, within `tolerance` mm of the arc."""
        if self.is_line:
            return np.array([[self.x0, self.y0]])
        cx, cy = self.centre
        step = 2 * math.acos(max(1 - tolerance / self.radius, 0.0)) if tolerance < self.radius else math.pi / 2
        n = max(1, math.ceil(abs(self.sweep) / max(step, 1e-4)))
        a = math.atan2(self.y0 - cy, self.x0 - cx) + self.sweep * np.arange(n) / n
        return np.column_stack([cx + self.radius * np.cos(a), cy + self.radius * np.sin(a)])


class Loop:
    """A closed outline. `vertices`: (n, 3) of x, y (mm) and bulge; the last edge returns to the first vertex.

    Equal where every vertex is, bit by bit and in the same order: what was drawn of one is what another would show.
    """

    __slots__ = ("_vertices",)

    def __init__(self, vertices: Iterable[Sequence[float]]) -> None:
        array = np.array(vertices if isinstance(vertices, np.ndarray) else [tuple(v) for v in vertices], dtype=float)
        if array.ndim != 2 or array.shape[1] != 3 or len(array) < 2:
            raise ValueError("a loop takes at least two vertices of x, y, bulge")
        array.setflags(write=False)
        self._vertices = array

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Loop) and self._vertices.tobytes() == other._vertices.tobytes()

    def __hash__(self) -> int:
        return hash(self._vertices.tobytes())

    @classmethod
    def circle(cls, x: float, y: float, radius: float) -> Loop:
        """A whole circle, anticlockwise, as two half arcs."""
        return cls([(x + radius, y, 1.0), (x - radius, y, 1.0)])

    @classmethod
    def polygon(cls, points: Iterable[Sequence[float]]) -> Loop:
        """Straight edges through the points x, y."""
        return cls([(p[0], p[1], 0.0) for p in points])

    @classmethod
    def slot(cls, x0: float, y0: float, x1: float, y1: float, width: float) -> Loop:
        """A slot with round ends whose end centres are (x0, y0) and (x1, y1), anticlockwise."""
        length = math.hypot(x1 - x0, y1 - y0)
        if length < 1e-9:
            return cls.circle(x0, y0, width / 2)
        nx, ny = -(y1 - y0) / length * width / 2, (x1 - x0) / length * width / 2
        return cls([(x0 - nx, y0 - ny, 0), (x1 - nx, y1 - ny, 1), (x1 + nx, y1 + ny, 0), (x0 + nx, y0 + ny, 1)])

    @property
    def vertices(self) -> Floats:
        """(n, 3) array of x, y, bulge; read-only."""
        return self._vertices

    def __len__(self) -> int:
        return len(self._vertices)

    def edges(self) -> Iterator[Edge]:
        """The edges in order."""
        v = self._vertices.tolist()
        for i, (x0, y0, bulge) in enumerate(v):
            x1, y1, _ = v[(i + 1) % len(v)]
            yield Edge(x0, y0, x1, y1, bulge)

    segments = edges

    def moments(self) -> tuple[float, float, float, float]:
        """Exact signed area (mm²), first moments ∫x dA and ∫y dA (mm³), and polar moment ∫(x²+y²) dA (mm⁴).

        Polygon by Green's theorem, plus for each arc the circular segment between it and its chord. Positive when
        the loop runs anticlockwise.
        """
        x0, y0, bulge = self._vertices.T
        x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
        cross = x0 * y1 - x1 * y0
        area, mx, my = cross.sum() / 2, (cross * (x0 + x1)).sum() / 6, (cross * (y0 + y1)).sum() / 6
        polar = (cross * _triangle_square(x0, y0, x1, y1)).sum()
        arcs = np.abs(bulge) >= STRAIGHT
        if arcs.any():
            a, sx, sy, j = _segment_moments(x0[arcs], y0[arcs], x1[arcs], y1[arcs], bulge[arcs])
            area, mx, my, polar = area + a, mx + sx, my + sy, polar + j
        return float(area), float(mx), float(my), float(polar)

    @property
    def area(self) -> float:
        """Signed area, mm²; positive when the loop runs anticlockwise."""
        return self.moments()[0]

    @property
    def length(self) -> float:
        """Length of the whole outline, mm."""
        return sum(e.length for e in self.edges())

    def distance(self, x: float, y: float) -> float:
        """Least distance from a point to the outline, mm (never negative, inside or out)."""
        return min(e.distance(x, y) for e in self.edges())

    def flatten(self, tolerance: float = 0.01) -> Floats:
        """Points (m, 2) along the outline, arcs within `tolerance` mm; not closed by a repeated point."""
        return np.vstack([e.points(tolerance) for e in self.edges()])

    def contains(self, x: float, y: float) -> bool:
        """True when the point lies inside (arcs taken to 1 µm)."""
        p = self.flatten(1e-3)
        q = np.roll(p, -1, axis=0)
        above = (p[:, 1] > y) != (q[:, 1] > y)
        dy = np.where(q[:, 1] == p[:, 1], 1.0, q[:, 1] - p[:, 1])
        at = p[:, 0] + (y - p[:, 1]) * (q[:, 0] - p[:, 0]) / dy
        return bool(np.count_nonzero(above & (x < at)) % 2)

    def bounds(self) -> tuple[float, float, float, float]:
        """xmin, ymin, xmax, ymax in mm, exactly."""
        boxes = np.array([edge.box for edge in self.edges()])
        (x0, y0), (x1, y1) = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    def extent(self) -> tuple[float, float]:
        """Size in x and y, mm, exactly."""
        x0, y0, x1, y1 = self.bounds()
        return x1 - x0, y1 - y0

    def reversed(self) -> Loop:
        """The same outline run the other way."""
        v = self._vertices
        points = v[::-1, :2]
        bulges = -np.roll(v[::-1, 2], -1)
        return Loop(np.column_stack([points, bulges]))

    def oriented(self, anticlockwise: bool = True) -> Loop:
        """The loop run anticlockwise (or clockwise)."""
        return self if (self.area > 0) == anticlockwise else self.reversed()

    def moved(self, dx: float, dy: float) -> Loop:
        """The loop shifted by dx, dy mm."""
        return Loop(self._vertices + np.array([dx, dy, 0.0]))

    def rotated(self, degrees: float) -> Loop:
        """The loop turned about the origin, degrees anticlockwise in the x-y plane."""
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        x, y, b = self._vertices.T
        return Loop(np.column_stack([c * x - s * y, s * x + c * y, b]))

    def mirrored_x(self) -> Loop:
        """The loop with x turned into -x, run so that its sense (sign of area) stays."""
        v = self._vertices * np.array([-1.0, 1.0, -1.0])
        return Loop(v).reversed()


def arc_bulge(sweep_rad: float) -> float:
    """Bulge of an arc of signed sweep (radians, positive anticlockwise)."""
    return math.tan(sweep_rad / 4)


def _triangle_square(x0: Floats, y0: Floats, x1: Floats, y1: Floats) -> Floats:
    """∫(x²+y²) over the triangles origin-p0-p1, each divided by its cross product p0 × p1."""
    return (x0 * x0 + x0 * x1 + x1 * x1 + y0 * y0 + y0 * y1 + y1 * y1) / 12


def _segment_moments(
    x0: Floats, y0: Floats, x1: Floats, y1: Floats, bulge: Floats
) -> tuple[float, float, float, float]:
    """Signed area, first moments and polar moment about the origin of the circular segments between arcs and chords."""
    sweep = 4.0 * np.arctan(bulge)
    r = np.hypot(x1 - x0, y1 - y0) * (1 + bulge**2) / (4 * np.abs(bulge))
    offset = (1 - bulge**2) / (4 * bulge)
    cx, cy = (x0 + x1) / 2 - offset * (y1 - y0), (y0 + y1) / 2 + offset * (x1 - x0)
    ax, ay, bx, by = x0 - cx, y0 - cy, x1 - cx, y1 - cy
    area = r * r / 2 * (sweep - np.sin(sweep))
    # first moment about the arc's centre: sector less triangle, along the bisector of the arc
    moment = 2 * r**3 / 3 * np.sin(np.abs(sweep) / 2) ** 3 * np.sign(sweep)
    middle = np.arctan2(ay, ax) + sweep / 2
    mx, my = moment * np.cos(middle), moment * np.sin(middle)
    polar = r**4 * sweep / 4 - (ax * by - bx * ay) * _triangle_square(ax, ay, bx, by)
    polar += 2 * (cx * mx + cy * my) + (cx * cx + cy * cy) * area
    return area.sum(), (mx + cx * area).sum(), (my + cy * area).sum(), polar.sum()
