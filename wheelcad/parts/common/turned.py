"""How a turned piece is drawn: upper half in section, lower half from outside; x is z along the crank, y the radius."""

from __future__ import annotations

import math
from collections.abc import Sequence

from wheelcad.drawing.model import CentreLine, Entity, Hatch, Line, Outline, Path
from wheelcad.parts.common.profile import outer_points
from wheelcad.parts.common.stack import Land
from wheelcad.trade.loop import Loop
from wheelcad.trade.nearness import SAME_MM


def upper_half(section: Loop, hole: Loop | None = None, pitch_mm: float = 3.0) -> list[Entity]:
    """The half section (x is r, y is z) hatched, with a bolt hole in it where one is given."""
    upper = Loop([(z, r, 0.0) for r, z, _ in section.vertices.tolist()])
    out: list[Entity] = [Outline(upper), Hatch((upper,) if hole is None else (upper, hole), pitch_mm=pitch_mm)]
    if hole is not None:
        z0, low, z1, high = hole.bounds()
        middle = (low + high) / 2
        out += [Line((z0, low), (z1, low)), Line((z0, high), (z1, high))]
        out.append(CentreLine((z0, middle), (z1, middle), beyond=2.0))
    return out


def bolt_in_section(hole: tuple[float, float, float], z_back: float, z_front: float) -> Loop:
    """A bolt hole (x, y, radius) turned into the plane of the section, from z_back to z_front."""
    x, y, r = hole
    low, high = math.hypot(x, y) - r, math.hypot(x, y) + r
    return Loop.polygon([(z_back, low), (z_front, low), (z_front, high), (z_back, high)])


def lower_half(lands: Sequence[Land]) -> list[Entity]:
    """The lower half seen from outside: its profile, and a line at every edge."""
    points = outer_points(lands)
    z_front, z_back = lands[0].z_front, lands[-1].z_back
    profile = [(z_front, 0.0, 0.0), *((z, -r, 0.0) for r, z in points), (z_back, 0.0, 0.0)]
    heights: dict[float, float] = {}
    for r, z in points:
        if z_back + SAME_MM < z < z_front - SAME_MM:
            heights[round(z, 6)] = max(heights.get(round(z, 6), 0.0), r)
    return [Path(tuple(profile)), *(Line((z, 0.0), (z, -r)) for z, r in heights.items())]
