"""The printed gauge for the scene: its walls as slabs. Wheel frame, mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from wheelcad.arrays import Floats
from wheelcad.page.scene_solid import SceneMesh, Slab, ring_of, solid
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.trade.wall import Wall


def gauge_mesh(gauge: GaugeDesign) -> SceneMesh:
    """The gauge where it sits on the pulley or the wheel. Edges set back on the printer's bed are drawn upright, half
    as far back."""
    levels = sorted({round(z, 9) for wall in gauge.walls for z in (wall.z0, wall.z1)})
    rings = [_outline(wall) for wall in gauge.walls]
    keep = None if gauge.keep is None else Polygon(ring_of(gauge.keep))
    saw = shapely.union_all([Polygon(ring_of(cut)) for cut in gauge.joints]) if gauge.joints else None
    slabs = []
    for z0, z1 in pairwise(levels):
        middle = (z0 + z1) / 2
        plan = _inside([ring for ring, wall in zip(rings, gauge.walls, strict=True) if wall.z0 < middle < wall.z1])
        if keep is not None:
            plan = plan.intersection(keep)
        if saw is not None:
            plan = plan.difference(saw)
        if not plan.is_empty:
            slabs.append(Slab(z0, z1, plan))
    return solid([*slabs, *_skirt_teeth(gauge, slabs)])


def _outline(wall: Wall) -> Floats:
    if wall.top is None:
        return ring_of(wall.loop)
    return (wall.loop.vertices[:, :2] + wall.upper.vertices[:, :2]) / 2


def _inside(rings: Sequence[Floats]) -> Polygon | MultiPolygon:
    """What lies inside an odd number of rings, none of which touch or cross."""
    closed = [np.vstack([ring, ring[:1]]) for ring in rings]
    return shapely.build_area(shapely.MultiLineString(closed))


def _skirt_teeth(gauge: GaugeDesign, slabs: Sequence[Slab]) -> Iterator[Slab]:
    """Teeth below the plate, of a gauge whose shoulder leaves no ring inside the slots' floors."""
    skirt, seat = gauge.body.skirt, gauge.seat
    if skirt is None or seat.z - seat.z_ring < 1e-9:
        return
    plate = min((slab.z0 for slab in slabs), default=seat.z)
    levels = sorted({seat.z_ring, min(seat.z, plate), *(z for c in seat.cavities for z in (c.z0, c.z1))})
    outer = Polygon(ring_of(skirt))
    if gauge.keep is not None:
        outer = outer.intersection(Polygon(ring_of(gauge.keep)))
    for z0, z1 in pairwise([z for z in levels if seat.z_ring <= z <= seat.z]):
        rooms = [c.radius for c in seat.cavities if c.z0 <= (z0 + z1) / 2 <= c.z1]
        plan = outer.difference(shapely.Point(0, 0).buffer(max(rooms), 64)) if rooms else outer
        yield Slab(z0, z1, plan)
