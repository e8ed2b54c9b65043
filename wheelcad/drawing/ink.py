"""What finally stands on paper: strokes, arcs, filled shapes, hatching and letters in paper millimetres.

The layout turns a sheet into groups of ink; the back ends only translate ink, so that no drawing is drawn twice.
Paper: x to the right, y up, from the lower left corner of the trimmed sheet (or from a view's origin until it
is placed).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.drawing import font
from wheelcad.trade.layers import LAYERS
from wheelcad.trade.loop import Edge, Loop

Box = tuple[float, float, float, float]  # xmin, ymin, xmax, ymax
Vertex = tuple[float, float, float]
Role = Literal["", "dimension-line", "extension-line", "leader"]

CHORD = 0.02  # mm on paper: arcs are taken as chords this close where boxes and crossings are worked out


@dataclass(frozen=True)
class Pen:
    """Layer, line type and width (mm) of a stroke."""

    layer: str
    line: str
    width: float


def pen(layer: str, line: str | None = None, width: float | None = None) -> Pen:
    """The layer's own pen, or with another line type (which is then narrow, ISO 128-2) or width."""
    own = LAYERS[layer]
    return Pen(layer, line or own.line, own.width_mm if width is None else width)


@dataclass(frozen=True)
class Stroke:
    """A run of lines and arcs: vertices x, y, bulge (as in a Loop); closed returns to the start."""

    vertices: tuple[Vertex, ...]
    pen: Pen
    closed: bool = False
    role: Role = ""

    def edges(self) -> Iterator[Edge]:
        """The lines and arcs in order."""
        v = self.vertices
        for i in range(len(v) if self.closed else len(v) - 1):
            x1, y1, _ = v[(i + 1) % len(v)]
            yield Edge(v[i][0], v[i][1], x1, y1, v[i][2])

    def points(self) -> Floats:
        """(n, 2) points along the stroke, its end included."""
        if all(v[2] == 0.0 for v in self.vertices):
            p = np.array(self.vertices)[:, :2]
            return np.vstack([p, p[:1]]) if self.closed else p
        last = self.vertices[0 if self.closed else -1][:2]
        return np.vstack([*(e.points(CHORD) for e in self.edges()), [last]])

    def moved(self, dx: float, dy: float) -> Stroke:
        """Shifted by dx, dy."""
        return replace(self, vertices=tuple((x + dx, y + dy, b) for x, y, b in self.vertices))


@dataclass(frozen=True)
class RingStroke:
    """A whole circle, or where start and end (degrees, anticlockwise) are given an arc."""

    x: float
    y: float
    radius: float
    pen: Pen
    start: float | None = None
    end: float | None = None
    role: Role = ""

    @property
    def sweep(self) -> float:
        """Degrees covered, anticlockwise; 360 for a circle."""
        if self.start is None or self.end is None:
            return 360.0
        return (self.end - self.start) % 360.0 or 360.0

    def points(self) -> Floats:
        """(n, 2) points along it, its end included."""
        step = 2 * math.degrees(math.acos(max(1 - CHORD / self.radius, 0.0))) if self.radius > CHORD else 90.0
        n = max(4, math.ceil(self.sweep / step))
        a = np.radians((self.start or 0.0) + self.sweep * np.arange(n + 1) / n)
        return np.column_stack([self.x + self.radius * np.cos(a), self.y + self.radius * np.sin(a)])

    def moved(self, dx: float, dy: float) -> RingStroke:
        """Shifted by dx, dy."""
        return replace(self, x=self.x + dx, y=self.y + dy)


@dataclass(frozen=True)
class Fill:
    """A filled polygon of three or four corners (arrowheads, datum triangles)."""

    corners: tuple[tuple[float, float], ...]
    layer: str = "DIM"

    def points(self) -> Floats:
        """(n, 2) corners, the first repeated at the end."""
        return np.array([*self.corners, self.corners[0]])

    def moved(self, dx: float, dy: float) -> Fill:
        """Shifted by dx, dy."""
        return replace(self, corners=tuple((x + dx, y + dy) for x, y in self.corners))


@dataclass(frozen=True)
class HatchArea:
    """Parallel lines inside an odd number of the loops."""

    loops: tuple[Loop, ...]
    angle: float
    pitch: float
    pen: Pen

    def segments(self) -> Floats:
        """(n, 4) the hatch lines x0, y0, x1, y1. Found by turning the region until the lines are level."""
        a = math.radians(self.angle)
        turn = np.array([[math.cos(a), -math.sin(a)], [math.sin(a), math.cos(a)]])
        starts, ends = [], []
        for loop in self.loops:
            p = loop.flatten(CHORD) @ turn
            starts.append(p)
            ends.append(np.roll(p, -1, axis=0))
        p, q = np.vstack(starts), np.vstack(ends)
        out: list[tuple[float, float, float, float]] = []
        low = np.minimum(p[:, 1], q[:, 1])
        high = np.maximum(p[:, 1], q[:, 1])
        for k in range(math.ceil(low.min() / self.pitch), math.floor(high.max() / self.pitch) + 1):
            y = k * self.pitch
            hit = (low <= y) & (y < high)
            t = (y - p[hit, 1]) / (q[hit, 1] - p[hit, 1])
            xs = np.sort(p[hit, 0] + t * (q[hit, 0] - p[hit, 0]))
            out.extend((x0, y, x1, y) for x0, x1 in zip(xs[::2], xs[1::2], strict=False) if x1 - x0 > 0.05)
        level: Floats = np.array(out).reshape(-1, 2, 2) @ turn.T
        return np.asarray(level.reshape(-1, 4))

    def moved(self, dx: float, dy: float) -> HatchArea:
        """Shifted by dx, dy (the lines keep their places on the sheet)."""
        return replace(self, loops=tuple(loop.moved(dx, dy) for loop in self.loops))


@dataclass(frozen=True)
class Letters:
    """One line of text; (x, y) on its base line at the left, centre or right; height: of a capital."""

    x: float
    y: float
    text: str
    height: float
    align: Literal["left", "centre", "right"] = "left"
    rotation: float = 0.0
    layer: str = "TEXT"
    bold: bool = False

    @property
    def width(self) -> float:
        """Width in mm."""
        return font.text_width(self.text, self.height, self.bold)

    def corners(self) -> Floats:
        """(4, 2) corners of the box round the text, from under the base line to the top of the capitals."""
        w = self.width
        left = {"left": 0.0, "centre": -w / 2, "right": -w}[self.align]
        drop = -0.15 * self.height
        a = math.radians(self.rotation)
        box = np.array([[left, drop], [left + w, drop], [left + w, self.height], [left, self.height]])
        turn = np.array([[math.cos(a), math.sin(a)], [-math.sin(a), math.cos(a)]])
        out: Floats = box @ turn + np.array([self.x, self.y])
        return out

    def moved(self, dx: float, dy: float) -> Letters:
        """Shifted by dx, dy."""
        return replace(self, x=self.x + dx, y=self.y + dy)


Ink = Stroke | RingStroke | Fill | HatchArea | Letters


@dataclass(frozen=True)
class InkMeasure:
    """What a group of ink measures, for the DXF's DIMENSION entity.

    kind: linear, aligned, diameter, radius or angular. points: linear and aligned: first and second feature, a point on
    the dimension line; diameter: both ends; radius: centre, point on the arc; angular: vertex, first and second ray, a
    point on the arc (paper mm). angle: of a linear dimension's line, degrees. value: in model mm or degrees. text: as
    printed. text_at: middle of the text.
    """

    kind: Literal["linear", "aligned", "diameter", "radius", "angular"]
    points: tuple[tuple[float, float], ...]
    value: float
    text: str
    text_at: tuple[float, float]
    angle: float = 0.0
    scale: float = 1.0

    def moved(self, dx: float, dy: float) -> InkMeasure:
        """Shifted by dx, dy."""
        shifted = tuple((x + dx, y + dy) for x, y in self.points)
        return replace(self, points=shifted, text_at=(self.text_at[0] + dx, self.text_at[1] + dy))


Kind = Literal["geometry", "dimension", "pointer", "text", "caption", "block", "frame", "title"]


@dataclass(frozen=True)
class Group:
    """Ink that belongs together: a view's geometry, one dimension, one leader, a table, the frame.

    keep: boxes round drawn signs that nothing else may enter, as nothing may enter text.
    """

    name: str
    kind: Kind
    ink: tuple[Ink, ...]
    measure: InkMeasure | None = None
    view: str = ""
    keep: tuple[Box, ...] = ()

    def moved(self, dx: float, dy: float) -> Group:
        """Shifted by dx, dy."""
        measure = self.measure.moved(dx, dy) if self.measure else None
        keep = tuple((x0 + dx, y0 + dy, x1 + dx, y1 + dy) for x0, y0, x1, y1 in self.keep)
        return replace(self, ink=tuple(i.moved(dx, dy) for i in self.ink), measure=measure, keep=keep)


def segments_of(ink: Ink) -> Floats:
    """(n, 4) straight pieces x0, y0, x1, y1 of strokes, rings, fills and hatching; none for letters."""
    if isinstance(ink, Letters):
        return np.empty((0, 4))
    if isinstance(ink, HatchArea):
        return ink.segments()
    if isinstance(ink, Stroke) and len(ink.vertices) == 2 and ink.vertices[0][2] == 0.0:
        (x0, y0, _), (x1, y1, _) = ink.vertices
        return np.array([[x0, y0, x1, y1]])
    p = ink.points()
    return np.hstack([p[:-1], p[1:]])


def box_of(inks: Iterable[Ink]) -> Box:
    """The box round all the ink, hatching counted by its loops. ValueError when there is none."""
    points = []
    for ink in inks:
        if isinstance(ink, Letters):
            points.append(ink.corners())
        elif isinstance(ink, HatchArea):
            points.extend(loop.flatten(CHORD) for loop in ink.loops)
        else:
            points.append(ink.points())
    if not points:
        raise ValueError("no ink to put a box round")
    p = np.vstack(points)
    return float(p[:, 0].min()), float(p[:, 1].min()), float(p[:, 0].max()), float(p[:, 1].max())


def letters_box(letters: Letters) -> Box:
    """The upright box round a text."""
    if letters.rotation in (0.0, 90.0):
        w, h = letters.width, letters.height
        back = {"left": 0.0, "centre": w / 2, "right": w}[letters.align]
        if letters.rotation == 0.0:
            return letters.x - back, letters.y - 0.15 * h, letters.x - back + w, letters.y + h
        return letters.x - h, letters.y - back, letters.x + 0.15 * h, letters.y - back + w
    c = letters.corners()
    return float(c[:, 0].min()), float(c[:, 1].min()), float(c[:, 0].max()), float(c[:, 1].max())


def line(
    a: tuple[float, float], b: tuple[float, float], layer: str = "DIM", role: Role = "", width: float | None = None
) -> Stroke:
    """A straight stroke."""
    return Stroke(((a[0], a[1], 0.0), (b[0], b[1], 0.0)), pen(layer, width=width), role=role)
