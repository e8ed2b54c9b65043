"""What turns with the crank, as slabs: the wheel, the blank, the pulley as found, the adapter. Wheel frame, mm."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from wheelcad.arrays import Floats
from wheelcad.job.models import Job, Pulley
from wheelcad.page.scene_solid import CHORD, SceneMesh, Slab, hole_of, ring_of, solid
from wheelcad.parts.adapter.design import AdapterDesign
from wheelcad.parts.blank.design import BlankDesign
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.openings import bolt_centres
from wheelcad.parts.common.profile import outer_points
from wheelcad.parts.common.stack import Land, as_found_lands
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.marks import half_width
from wheelcad.trade.frames import point_at
from wheelcad.trade.loop import Loop

Hole = tuple[Loop, float, float]  # a hole's outline, and from which z to which it goes
LIFTED = 0.03  # mm that a mark is drawn above its face
LINE_WIDE = 0.3  # mm: how wide a scribed line is drawn


def wheel_mesh(wheel: WheelDesign, blank: BlankDesign | None, holes: Sequence[CorrectionHole] = ()) -> SceneMesh:
    """The finished wheel. blank: the turned piece it is cut from, None in plate form.

    Blind holes are drawn with a level floor that holds the same volume as the drill's point.
    """
    half = wheel.thickness_mm / 2
    cuts = [_drilled(hole, wheel.sense) for hole in holes]
    if blank is None:
        cuts += [(opening.loop, -half, half) for opening in wheel.openings]
        ring = Land("ring", -half, half, wheel.radius_mm)
        return turned_mesh((ring,), cuts, wheel.outline)
    return turned_mesh(blank.lands, [*_through(blank), *cuts], wheel.outline)


def blank_mesh(blank: BlankDesign) -> SceneMesh:
    """The turned piece before slots."""
    return turned_mesh(blank.lands, _through(blank))


def found_of(job: Job, pulley: Pulley) -> tuple[tuple[Land, ...], list[Hole]]:
    """The lands of the job's pulley as found, which must be given, and its bore, recess and bolt holes."""
    lands = as_found_lands(job)
    back, front = lands[-1].z_back, lands[0].z_front
    holes: list[Hole] = []
    if pulley.bore:
        holes.append((Loop.circle(0, 0, pulley.bore / 2), back, front))
    if pulley.recess is not None:
        holes.append((Loop.circle(0, 0, pulley.recess.diameter / 2), front - pulley.recess.depth, front))
    if pulley.bolts is not None:
        holes += [(Loop.circle(x, y, pulley.bolts.hole / 2), back, front) for x, y in bolt_centres(job).tolist()]
    return lands, holes


def found_mesh(lands: Sequence[Land], holes: Sequence[Hole]) -> SceneMesh:
    """The pulley as found."""
    return turned_mesh(lands, holes)


def adapter_mesh(adapter: AdapterDesign) -> SceneMesh:
    """The spacer between pulley and plate wheel."""
    back, front = adapter.lands[-1].z_back, adapter.lands[0].z_front
    holes: list[Hole] = [(bolt.loop, back, front) for bolt in adapter.bolts]
    if adapter.bore_radius_mm > 0:
        holes.append((Loop.circle(0, 0, adapter.bore_radius_mm), back, front))
    return turned_mesh(adapter.lands, holes)


def marks_mesh(wheel: WheelDesign) -> SceneMesh:
    """Timing marks as dark strips just above the ring's front face."""
    z = wheel.thickness_mm / 2
    slabs = []
    for mark in wheel.marks:
        wide = half_width() if mark.kind == "notch" else LINE_WIDE / 2
        out, across = point_at(1.0, mark.at_deg, wheel.sense), point_at(1.0, mark.at_deg + 90.0, wheel.sense)
        corners = [
            r * out + s * wide * across
            for r, s in ((mark.inner, -1), (mark.outer, -1), (mark.outer, 1), (mark.inner, 1))
        ]
        slabs.append(Slab(z, z + LIFTED, Polygon(corners)))
    return solid(slabs)


def _through(blank: BlankDesign) -> list[Hole]:
    """Bore with its keyway, recess and bolt holes of a turned piece."""
    holes: list[Hole] = [(bolt.loop, blank.z_back, blank.z_front) for bolt in blank.bolts]
    if blank.bore is not None:
        holes.append((blank.bore.loop, blank.z_back, blank.z_front))
    if blank.recess is not None:
        radius, depth = blank.recess
        holes.append((Loop.circle(0, 0, radius), blank.z_front - depth, blank.z_front))
    return holes


def _drilled(hole: CorrectionHole, sense: int) -> Hole:
    x, y = hole.centre(sense)
    point = hole.point_mm / 3
    low, high = hole.z_bottom, hole.z_top
    if hole.from_back:
        high += point
    else:
        low -= point
    return Loop.circle(x, y, hole.diameter_mm / 2), low, high


def turned_mesh(lands: Sequence[Land], holes: Iterable[Hole], outline: Loop | None = None) -> SceneMesh:
    """A turned piece of these lands less holes along the crank; outline: of the ring, where it is not round."""
    cuts = [(hole_of(loop), low, high) for loop, low, high in holes]
    profile = outer_points(lands)
    largest = max(land.radius for land in lands)
    count = max(12, 4 * math.ceil(math.pi / (4 * math.acos(max(1 - CHORD / largest, 0.0)))))
    ring = next((land for land in lands if land.name == "ring"), None) if outline is not None else None
    toothed = Polygon(ring_of(outline)) if outline is not None else None
    levels = sorted({round(z, 9) for _, z in profile} | {round(z, 9) for _, *ends in cuts for z in ends})
    levels = [z for z in levels if lands[-1].z_back - 1e-9 <= z <= lands[0].z_front + 1e-9]
    slabs = []
    for z0, z1 in pairwise(levels):
        middle = (z0 + z1) / 2
        here = [hole for hole, low, high in cuts if low < middle < high]
        if ring is not None and toothed is not None and ring.z_back < middle < ring.z_front:
            slabs.append(Slab(z0, z1, _less(toothed, here)))
            continue
        low, high = _radius(profile, z0, middle), _radius(profile, z1, middle)
        if abs(low - high) < 1e-9:
            slabs.append(Slab(z0, z1, _less(Polygon(_circle(low, count)), here)))
        else:  # a groove's side, which no hole of a sound hub reaches
            inner = [hole.exterior.coords for hole in shapely.get_parts(shapely.union_all(here))] if here else []
            slabs.append(Slab(z0, z1, Polygon(_circle(low, count), inner), Polygon(_circle(high, count), inner)))
    return solid(slabs)


def _less(plan: Polygon, holes: list[Polygon]) -> Polygon | MultiPolygon:
    return plan.difference(shapely.union_all(holes)) if holes else plan


def _circle(radius: float, count: int) -> Floats:
    a = 2 * math.pi * np.arange(count) / count
    return np.column_stack([radius * np.cos(a), radius * np.sin(a)])


def _radius(profile: Sequence[tuple[float, float]], z: float, beside: float) -> float:
    """Outside radius at z, on the same side of a step as `beside`."""
    for (r0, z0), (r1, z1) in pairwise(profile):
        if z1 < beside < z0:
            return r0 + (r1 - r0) * (z0 - z) / (z0 - z1)
    raise ValueError(f"nothing stands at z = {beside:g}")
