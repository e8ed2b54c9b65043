"""The gauge's paper twin as numbers: how the full-size drawing lies on sheets, and where every mark must then be.

Drawn as one sees the front: x to the right, y up. Pages, bars and crosses: parts/common/paper.py.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely

from wheelcad.job.models import Job
from wheelcad.parts.common.paper import CROSS, Point, Tiling, page_paper, tiled
from wheelcad.parts.gauge.cover import Cover
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import point_at

TICK_FROM, TICK_TO = 1.5, 7.0  # mm beyond the rim: the tick at every slot's middle
TEETH_ROOM = 10.0  # mm inside the slots' floors: their numbers
CENTRE_ROOM = 14.0  # mm about the crank's centre: its cross
BOLT_ROOM = 4.0  # mm beyond a bolt's hole: its cross, which reaches out 3
CIRCLE_ROOM = 1.0  # mm between a circle and a joining cross, whose stroke it could run along


@dataclass(frozen=True)
class PaperPlan(Tiling):
    """The pages, in the wheel's x and y. ticks: each slot's tick from its inner to its outer end; bolts: centres."""

    ticks: tuple[tuple[Point, Point], ...]
    bolts: tuple[Point, ...]
    hole_radius: float


def plan_paper(
    job: Job, wheel: WheelDesign, cover: Cover, bolts: tuple[Point, ...], hole_radius: float, circles: tuple[float, ...]
) -> PaperPlan:
    """The pages for a job's gauge, on A4 or Letter. circles: radii (mm) of what is drawn round the axis."""
    radii = wheel.radius_mm + TICK_FROM, wheel.radius_mm + TICK_TO
    inner, outer = (point_at(r, [m.at_deg for m in cover.marks], wheel.sense).tolist() for r in radii)
    ticks = tuple(((a[0], a[1]), (b[0], b[1])) for a, b in zip(inner, outer, strict=True))

    def blocked(p: Point) -> bool:
        return in_the_way(p, wheel, bolts, hole_radius, circles)

    plan = tiled(page_paper(job), job.units, drawn_area(wheel.radius_mm, cover).bounds, blocked)
    return PaperPlan(plan.paper, plan.window, plan.tiles, plan.bars, plan.crosses, ticks, bolts, hole_radius)


def in_the_way(
    p: Point, wheel: WheelDesign, bolts: tuple[Point, ...], hole_radius: float, circles: tuple[float, ...]
) -> bool:
    """Whether a joining cross at p would lie over what is drawn: bolts, crank centre, teeth and ticks, circles."""
    away = math.hypot(*p)
    bands = [(wheel.floor_radius_mm - TEETH_ROOM, wheel.radius_mm + TICK_TO + CROSS + 1.0)]
    bands += [(r - CIRCLE_ROOM, r + CIRCLE_ROOM) for r in circles if r]
    return (
        away <= CENTRE_ROOM
        or any(math.dist(p, bolt) <= hole_radius + BOLT_ROOM + CROSS for bolt in bolts)
        or any(near <= away <= far for near, far in bands)
    )


def drawn_area(rim_radius: float, cover: Cover) -> shapely.Geometry:
    """What is drawn: the whole wheel with its ticks, or what the gauge keeps of it."""
    area = shapely.Point(0, 0).buffer(rim_radius + TICK_TO + 1.0, 64)
    return area if cover.keep is None else area.intersection(shapely.Polygon(cover.keep.flatten(0.05)))
