"""Where metal should be at a height: what the sections of a written solid are held against.

Built from the design's numbers (lands, outlines, openings, holes), not from the solid that was made of them. Wheel
frame, or the cam's; mm. A `Body` is a stack of heights at which something changes, and the flat region at any height.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from wheelcad.parts.adapter.design import AdapterDesign
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.cam.design import CamDesign
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.openings import Opening, bore_opening
from wheelcad.parts.common.profile import outer_points, radius_at
from wheelcad.parts.common.stack import Land
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.marks import WheelMark, half_width
from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop

ROUND = 5e-4  # mm: how far the straight pieces lie from the arcs they stand for
APART = 0.02  # mm: heights nearer than this are one


@dataclass(frozen=True)
class MetalBody:
    """A part as heights and regions.

    faces: heights of its flat faces and of the corners of its outside, rising. tips: heights of drill points. cones:
    (low, high) between which a hole tapers, where no section is taken. at: the region at a height.
    """

    faces: tuple[float, ...]
    tips: tuple[float, ...]
    cones: tuple[tuple[float, float], ...]
    at: Callable[[float], BaseGeometry]

    @property
    def heights(self) -> tuple[float, ...]:
        """Where it is cut: half-way between every two heights at which something changes, outside drill points."""
        ends = sorted({*self.faces, *(z for cone in self.cones for z in cone)})
        out = [(low + high) / 2 for low, high in itertools.pairwise(ends) if high - low > APART]
        return tuple(z for z in out if not any(low < z < high for low, high in self.cones))


def region(loop: Loop) -> Polygon:
    """The inside of a loop."""
    return Polygon(loop.flatten(ROUND))


def _disc(radius: float) -> Polygon:
    return region(Loop.circle(0.0, 0.0, radius))


def _heights(values: Iterable[float]) -> tuple[float, ...]:
    out: list[float] = []
    for z in sorted(values):
        if not out or z - out[-1] > 1e-6:
            out.append(z)
    return tuple(out)


def _corners(lands: Sequence[Land]) -> Iterator[float]:
    """Heights of the corners of an outside; where two lands of one radius meet there is none."""
    points = outer_points(lands)
    yield points[0][1]
    yield points[-1][1]
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        if not (abs(before[0] - here[0]) < 1e-9 and abs(here[0] - after[0]) < 1e-9):
            yield here[1]


def _less(whole: BaseGeometry, parts: Iterable[BaseGeometry]) -> BaseGeometry:
    for part in parts:
        whole = whole.difference(part)
    return whole


def lands_body(lands: Sequence[Land], openings: Iterable[Opening], recess: tuple[float, float] | None) -> MetalBody:
    """A turned piece: lands and grooves, holes right through, a recess of (radius, depth) in the front face."""
    through = [region(opening.loop) for opening in openings]
    floor = lands[0].z_front - recess[1] if recess is not None else math.inf

    def at(z: float) -> BaseGeometry:
        hollow = [_disc(recess[0])] if recess is not None and z > floor else []
        return _less(_disc(radius_at(lands, z)), [*through, *hollow])

    return MetalBody(_heights([*_corners(lands), *([floor] if recess is not None else [])]), (), (), at)


def blank_body(blank: BlankDesign) -> MetalBody:
    """The turned piece: lands, grooves, bore with keyway, bolt holes, recess."""
    bore = [blank.bore] if blank.bore is not None else []
    return lands_body(blank.lands, [*bore, *blank.bolts], blank.recess)


def wheel_body(wheel: WheelDesign, blank: BlankDesign | None, holes: Sequence[CorrectionHole]) -> MetalBody:
    """The finished wheel: teeth in the ring's thickness, the turned piece before and behind it, holes and notches."""
    half = wheel.thickness_mm / 2
    teeth = _less(region(wheel.outline), (region(opening.loop) for opening in wheel.openings))
    turned = blank_body(blank) if blank is not None else None
    notches = [mark for mark in wheel.marks if mark.deep is not None]

    def at(z: float) -> BaseGeometry:
        ring = abs(z) < half
        metal = teeth if turned is None else turned.at(z)
        if turned is not None and ring:
            metal = metal.intersection(teeth)
        cut = [_drilled(hole, wheel.sense) for hole in holes if hole.z_bottom < z < hole.z_top]
        cut += [_notched(mark, wheel, half - z) for mark in notches if ring and half - z < (mark.deep or 0.0)]
        return _less(metal, cut)

    faces = [-half, half, *(turned.faces if turned is not None else ()), *(half - (m.deep or 0.0) for m in notches)]
    tips, cones = [], []
    for hole in holes:
        if hole.through:
            continue
        blind = hole.z_top if hole.from_back else hole.z_bottom
        tips += [hole.highest if hole.from_back else hole.lowest, blind]
        cones.append((min(hole.lowest, hole.z_bottom), hole.z_bottom))
        cones.append((hole.z_top, max(hole.highest, hole.z_top)))
    return MetalBody(_heights(faces), tuple(tips), tuple(cone for cone in cones if cone[1] > cone[0]), at)


def _drilled(hole: CorrectionHole, sense: int) -> Polygon:
    x, y = hole.centre(sense)
    return region(Loop.circle(x, y, hole.diameter_mm / 2))


def _notched(mark: WheelMark, wheel: WheelDesign, below: float) -> Polygon:
    """The notch `below` the front face: as wide as its V is there, from its inner to its outer end."""
    wide = half_width((mark.deep or 0.0) - below)
    along, across = point_at(1.0, [mark.at_deg, mark.at_deg + 90.0], wheel.sense)
    ends = [(mark.inner, -wide), (mark.outer, -wide), (mark.outer, wide), (mark.inner, wide)]
    return Polygon([np.asarray(along) * s + np.asarray(across) * t for s, t in ends])


def adapter_body(adapter: AdapterDesign) -> MetalBody:
    """The spacer: lands, bore, bolt holes."""
    bore = [bore_opening(adapter.bore_radius_mm)] if adapter.bore_radius_mm > 0 else []
    return lands_body(adapter.lands, [*bore, *adapter.bolts], None)


def cam_body(cam: CamDesign) -> MetalBody:
    """The cam's target: one outline through its thickness, less its holes."""
    half = cam.thickness_mm / 2
    whole = _less(region(cam.outline), (region(opening.loop) for opening in cam.openings))
    return MetalBody((-half, half), (), (), lambda z: whole)
