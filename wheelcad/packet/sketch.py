"""Small line pictures with lettered balloons, as SVG: what the measuring sheet and the documentation show.

Points are in mm of the thing drawn, y upwards; strokes, letters and arrow heads are sized for the page, so a picture of
a keyway and one of an engine read alike. A balloon remembers the point it belongs to.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop

Point = tuple[float, float]
THIN, THICK = 0.18, 0.5  # mm on the page
BALLOON = 2.9  # radius of a letter's circle, mm on the page
FONT = "font-family='DejaVu Sans, sans-serif'"


@dataclass
class Sketch:
    """A picture of things between `low` and `high` (corners, mm), at most `widest` × `tallest` mm on the page.

    anchors: label -> the point it names, filled as balloons are drawn.
    """

    low: Point
    high: Point
    widest: float = 110.0
    tallest: float = 74.0
    anchors: dict[str, Point] = field(default_factory=dict)
    _parts: list[str] = field(default_factory=list)

    @property
    def scale(self) -> float:
        """Page mm for one mm of the thing."""
        return min(self.widest / (self.high[0] - self.low[0]), self.tallest / (self.high[1] - self.low[1]))

    @property
    def width(self) -> float:
        """On the page, mm."""
        return (self.high[0] - self.low[0]) * self.scale

    @property
    def height(self) -> float:
        """On the page, mm."""
        return (self.high[1] - self.low[1]) * self.scale

    def at(self, point: Point) -> Point:
        """A point of the thing on the page, y downwards."""
        return (point[0] - self.low[0]) * self.scale, (self.high[1] - point[1]) * self.scale

    def line(
        self, *points: Point, thick: bool = False, dash: str = "", closed: bool = False, fill: str = "none"
    ) -> None:
        """Straight lines through points. dash: an SVG pattern in page mm."""
        self._path([self.at(point) for point in points], thick, dash, closed, fill)

    def _path(self, page: list[Point], thick: bool, dash: str, closed: bool, fill: str) -> None:
        words = " ".join(f"{'M' if i == 0 else 'L'}{x:.2f} {y:.2f}" for i, (x, y) in enumerate(page))
        pattern = f" stroke-dasharray='{dash}'" if dash else ""
        self._parts.append(
            f"<path d='{words}{'Z' if closed else ''}' fill='{fill}' stroke='black' "
            f"stroke-width='{THICK if thick else THIN}'{pattern} stroke-linejoin='round'/>"
        )

    def circle(self, centre: Point, radius: float, thick: bool = False, dash: str = "", fill: str = "none") -> None:
        """A circle."""
        x, y = self.at(centre)
        pattern = f" stroke-dasharray='{dash}'" if dash else ""
        self._parts.append(
            f"<circle cx='{x:.2f}' cy='{y:.2f}' r='{radius * self.scale:.2f}' fill='{fill}' stroke='black' "
            f"stroke-width='{THICK if thick else THIN}'{pattern}/>"
        )

    def loop(self, loop: Loop, thick: bool = True) -> None:
        """An outline."""
        points = [(float(x), float(y)) for x, y in loop.flatten(0.05 / self.scale)]
        self.line(*points, thick=thick, closed=True)

    def arc(self, radius: float, start_deg: float, end_deg: float, sense: int, thick: bool = False) -> list[Point]:
        """An arc about the axis from one angle to another the way the crank turns; its points."""
        span = (end_deg - start_deg) % 360.0 or 360.0
        angles = start_deg + np.linspace(0.0, span, max(3, int(span / 3) + 2))
        points = [(float(x), float(y)) for x, y in point_at(radius, angles, sense)]
        self.line(*points, thick=thick)
        return points

    def angle(self, label: str, radius: float, to_deg: float, sense: int) -> None:
        """An angle from the TDC line, with an arrow at its end and its letter half-way."""
        if abs(to_deg % 360.0) < 1e-6:
            self.balloon(label, (0.0, radius), push=(0.0, 1.0))
            return
        points = self.arc(radius, 0.0, to_deg, sense)
        self._head(points[-2], points[-1])
        self.balloon(label, points[len(points) // 2], push=None)

    def size(self, label: str, a: Point, b: Point, off: Point) -> None:
        """A dimension between two points: lines out to `off` (mm of the thing), arrows, and its letter."""
        c, d = (a[0] + off[0], a[1] + off[1]), (b[0] + off[0], b[1] + off[1])
        self.line(a, c)
        self.line(b, d)
        self.line(c, d)
        self._head(d, c)
        self._head(c, d)
        self.balloon(
            label, ((c[0] + d[0]) / 2, (c[1] + d[1]) / 2), push=None, names=((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        )

    def balloon(self, label: str, point: Point, push: Point | None, names: Point | None = None) -> None:
        """The letter in a circle, on `point` or pushed off along a direction with a line back. names: what it is of."""
        self.anchors[label] = names or point
        x, y = self.at(point)
        if push is not None:
            size = math.hypot(*push) or 1.0
            tx, ty = x + push[0] / size * 9.0, y - push[1] / size * 9.0
            self._path([(x, y), (tx, ty)], False, "", False, "none")
            self._parts.append(f"<circle cx='{x:.2f}' cy='{y:.2f}' r='0.6' fill='black'/>")
            x, y = tx, ty
        self._parts.append(
            f"<circle cx='{x:.2f}' cy='{y:.2f}' r='{BALLOON}' fill='white' stroke='black' stroke-width='0.25'/>"
            f"<text x='{x:.2f}' y='{y + 1.05:.2f}' {FONT} font-size='2.9' text-anchor='middle'>{label}</text>"
        )

    def words(self, text: str, point: Point, anchor: str = "middle", shift: float = 0.0) -> None:
        """A few words at a point; shift: page mm downwards."""
        x, y = self.at(point)
        self._parts.append(
            f"<text x='{x:.2f}' y='{y + shift:.2f}' {FONT} font-size='2.8' text-anchor='{anchor}'>{text}</text>"
        )

    def _head(self, before: Point, tip: Point) -> None:
        (ax, ay), (bx, by) = self.at(before), self.at(tip)
        a = math.atan2(by - ay, bx - ax)
        sides = [(bx - 2.2 * math.cos(a + s), by - 2.2 * math.sin(a + s)) for s in (-0.2, 0.2)]
        self._path([(bx, by), *sides], False, "", True, "black")

    def turning(self, radius: float, sense: int) -> None:
        """An arrow the way the crank turns, at the top right."""
        points = self.arc(radius, 25.0 if sense > 0 else 300.0, 60.0 if sense > 0 else 335.0, sense, thick=True)
        self._head(points[-2], points[-1])

    def svg(self) -> str:
        """The picture."""
        return (
            f"<svg xmlns='http://www.w3.org/2000/svg' width='{self.width:.1f}mm' height='{self.height:.1f}mm' "
            f"viewBox='0 0 {self.width:.2f} {self.height:.2f}'>{''.join(self._parts)}</svg>"
        )
