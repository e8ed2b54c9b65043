"""How a turned piece is drawn: upper half in section, lower half from outside; x is z along the crank, y the radius."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from wheelcad.drawing.model import CentreLine, Entity, Hatch, Line, Outline, Path
from wheelcad.job.models import Keyway
from wheelcad.parts.common.profile import outer_points
from wheelcad.parts.common.stack import Land
from wheelcad.trade.loop import Loop
from wheelcad.trade.nearness import SAME_MM


def upper_half(section: Loop, hole: Loop | None = None, pitch_mm: float = 3.0) -> Iterator[Entity]:
    """The half section (x is r, y is z) hatched, with a bolt hole in it where one is given."""
    upper = Loop([(z, r, 0.0) for r, z, _ in section.vertices.tolist()])
    yield Outline(upper)
    yield Hatch((upper,) if hole is None else (upper, hole), pitch_mm=pitch_mm)
    if hole is not None:
        z0, low, z1, high = hole.bounds()
        middle = (low + high) / 2
        yield Line((z0, low), (z1, low))
        yield Line((z0, high), (z1, high))
        yield CentreLine((z0, middle), (z1, middle), beyond=2.0)
    yield from behind_cut(section)


def keyed_section(section: Loop, bore_radius: float, keyway: Keyway | None) -> tuple[Loop, list[Entity]]:
    """The half section with the keyway turned into its plane, and the edge where the keyway's side meets the bore."""
    if keyway is None or bore_radius <= 0 or keyway.width / 2 >= bore_radius:
        return section, []
    rows = section.vertices.tolist()
    on_bore = [z for r, z, _ in rows if abs(r - bore_radius) < SAME_MM]
    floor = bore_radius + keyway.depth
    if not on_bore or any(bore_radius + SAME_MM < r < floor + SAME_MM for r, _, _ in rows):
        return section, []
    moved = Loop([(floor if abs(r - bore_radius) < SAME_MM else r, z, b) for r, z, b in rows])
    edge = math.sqrt(bore_radius**2 - (keyway.width / 2) ** 2)
    return moved, [Line((min(on_bore), edge), (max(on_bore), edge))]


def behind_cut(section: Loop) -> Iterator[Entity]:
    """The edges of bores, recesses and steps seen behind the plane of a half section, down to the axis."""
    rows = section.vertices.tolist()
    heights = sorted({round(z, 6) for _, z, _ in rows})
    for z in heights:
        either = [_inner(rows, z + step) for step in (-SAME_MM * 10, SAME_MM * 10)]
        found = [r for r in either if r is not None]
        changes = len(found) < 2 or abs(found[0] - found[1]) > SAME_MM
        if found and changes and min(found) > SAME_MM:
            yield Line((z, 0.0), (z, min(found)))


def _inner(rows: list[list[float]], z: float) -> float | None:
    """The least radius of the section's metal at a height, None outside it."""
    hits = []
    for (r0, z0, _), (r1, z1, _) in zip(rows, [*rows[1:], rows[0]], strict=True):
        if (z0 - z) * (z1 - z) < 0:
            hits.append(r0 + (r1 - r0) * (z - z0) / (z1 - z0))
    return min(hits, default=None)


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
