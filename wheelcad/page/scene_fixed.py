"""What stands still, for the scene: bracket, sensor and its fasteners, bolts, block face, belts. Engine frame, mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box

from wheelcad.job.models import Belt, Job
from wheelcad.page.scene_solid import SceneMesh, Slab, area_of, joined, solid
from wheelcad.parts.bracket.clear import BELT_PROUD
from wheelcad.parts.bracket.model import Bend, BracketDesign, Frame, Gusset, Hole, Region
from wheelcad.parts.common.stack import pulley_front_z, rotating_lands
from wheelcad.parts.sensor.design import (
    FLANGE_THICKNESS,
    TAIL_LENGTH,
    SensorBody,
    SensorPlace,
    flange_of,
    hexagon,
    seat_axes,
)
from wheelcad.trade.frames import point_at
from wheelcad.trade.heads import BARREL_NUT_HEIGHT, HEAD_HEIGHT, NUT_HEIGHT
from wheelcad.trade.loop import Loop
from wheelcad.trade.threads import CAST_IRON_ENGAGEMENT_D

PLATE_CHORD = 0.01  # mm: a bracket's plates stand at any angle, so that its size lies anywhere on their arcs
BLOCK_THICK = 12.0  # mm of the block that is shown behind its face
BLOCK_ROUND = 30.0  # mm of face shown round the mounts
BELT_RUN = 90.0  # mm of a belt's straight runs that are shown
WASHER_RADIUS, HEAD_RADIUS, WASHER_HEIGHT = 1.0, 0.85, 2.0  # as the assembly's bolts, in diameters but for the height


def plate_mesh(
    regions: Sequence[Region], bends: Sequence[Bend], holes: Sequence[Hole], gussets: Sequence[Gusset], thickness: float
) -> SceneMesh:
    """The folded bracket with its gussets: plane regions, bends between them."""
    parts = []
    for region in regions:
        plan = area_of(region.loop, [hole.loop for hole in holes if hole.region == region.name], PLATE_CHORD)
        parts.append(in_frame(solid([Slab(0.0, thickness, plan)]), region.frame))
    frame = regions[0].frame
    for bend, beyond in zip(bends, regions[1:], strict=True):
        parts.append(_sector(frame, bend, thickness))
        frame = beyond.frame
    parts += [in_frame(solid([Slab(0.0, g.thickness, area_of(g.loop, (), PLATE_CHORD))]), g.frame) for g in gussets]
    return joined(parts)


def flat_mesh(design: BracketDesign) -> SceneMesh:
    """The plate before bending, where its arm lies when folded: slits are not cut out."""
    plan = area_of(design.outline, [hole.loop for hole in design.holes], PLATE_CHORD)
    return in_frame(solid([Slab(0.0, design.thickness, plan)]), design.regions[0].frame)


def in_frame(mesh: SceneMesh, frame: Frame) -> SceneMesh:
    """A mesh of a frame's x, y, w in the engine frame."""
    return mesh.placed(frame.axes, frame.origin)


def _sector(frame: Frame, bend: Bend, thickness: float) -> SceneMesh:
    """The bent metal between two regions: a ring's sector as wide as the bend line."""
    x, w = frame.centre_of(bend, thickness)
    sign = 1.0 if bend.up else -1.0
    turn = math.radians(bend.angle_deg)
    outer = bend.inside_radius + thickness
    steps = np.linspace(0.0, turn, max(4, math.ceil(turn / (2 * math.acos(1 - 0.01 / outer)))) + 1)

    def arc(radius: float, angles: np.ndarray) -> list[tuple[float, float]]:
        return [(x - radius * math.sin(a), w - sign * radius * math.cos(a)) for a in angles.tolist()]

    inner = arc(bend.inside_radius, steps[::-1]) if bend.inside_radius > 0 else arc(0.0, steps[:1])
    section = Polygon([*arc(outer, steps), *inner])
    # the section lies in x, w; it is stood up along -y so that the axes stay right-handed
    ex, ey, ez = frame.axes
    return solid([Slab(-bend.y_to, -bend.y_from, section)]).placed(np.array([ex, ez, -ey]), frame.origin)


def sensor_mesh(body: SensorBody, place: SensorPlace, along: np.ndarray | None) -> SceneMesh:
    """The sensor: nose, flange and tail. along: from the face to the fixing bolt's middle, None without one."""
    tube = Loop.circle(0, 0, body.diameter / 2)
    if body.barrel:
        return _seated(solid([Slab(-body.nose_length, TAIL_LENGTH, area_of(tube))]), place, along)
    edge, holes = flange_of(body)
    slabs = [
        Slab(-body.nose_length, 0.0, area_of(tube)),
        Slab(0.0, FLANGE_THICKNESS, area_of(edge, holes)),
        Slab(FLANGE_THICKNESS, TAIL_LENGTH, area_of(tube)),
    ]
    return _seated(solid(slabs), place, along)


def fasteners_mesh(body: SensorBody, place: SensorPlace, plate_mm: float, along: np.ndarray | None) -> SceneMesh:
    """What holds the sensor: bolt and nut, or two nuts."""
    d = body.bolt
    parts = []
    if body.barrel:
        tall = BARREL_NUT_HEIGHT * d
        parts = [_nut(d, 0.0, tall), _nut(d, -plate_mm - tall, -plate_mm)]
    elif along is not None and d:
        x, top = body.bolt_offset, FLANGE_THICKNESS
        parts = [
            _hexagon(d, x, top, top + HEAD_HEIGHT * d),
            solid([Slab(-plate_mm - NUT_HEIGHT * d, top, area_of(Loop.circle(x, 0, d / 2)))]),
            _nut(d, -plate_mm - 0.8 * d, -plate_mm, x),
        ]
    return _seated(joined(parts), place, along)


def _seated(mesh: SceneMesh, place: SensorPlace, along: np.ndarray | None) -> SceneMesh:
    """From the sensor's own frame (z out of its mounting face, x to its bolt) to the engine's."""
    return mesh.placed(seat_axes(place, along), place.face)


def _hexagon(d: float, x: float, z0: float, z1: float, hole: float = 0.0) -> SceneMesh:
    return solid([Slab(z0, z1, area_of(hexagon(d, x), [Loop.circle(x, 0, hole)] if hole else ()))])


def _nut(d: float, z0: float, z1: float, x: float = 0.0) -> SceneMesh:
    return _hexagon(d, x, z0, z1, d / 2)


def mount_bolts_mesh(
    points: Sequence[tuple[float, float]], bolts: Sequence[float], low: float, plate: float
) -> SceneMesh:
    """The bolts through the mounts. low: z of the block's face; plate: the bracket's thickness."""
    slabs = []
    parts = []
    top = low + plate + WASHER_HEIGHT
    for (x, y), d in zip(points, bolts, strict=True):
        shank, washer, head = (area_of(Loop.circle(x, y, r)) for r in (d / 2, WASHER_RADIUS * d, HEAD_RADIUS * d))
        slabs = [
            Slab(low - CAST_IRON_ENGAGEMENT_D * d, top - WASHER_HEIGHT, shank),
            Slab(top - WASHER_HEIGHT, top, washer),
            Slab(top, top + HEAD_HEIGHT * d, head),
        ]
        parts.append(solid(slabs))
    return joined(parts)


def block_mesh(points: Sequence[tuple[float, float]], bolts: Sequence[float], face: float) -> SceneMesh:
    """A piece of the block's face round the mounts, their holes in it."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    plan = box(min(xs) - BLOCK_ROUND, min(ys) - BLOCK_ROUND, max(xs) + BLOCK_ROUND, max(ys) + BLOCK_ROUND)
    holes = [shapely.Point(x, y).buffer(d / 2, 16) for (x, y), d in zip(points, bolts, strict=True)]
    return solid([Slab(face - BLOCK_THICK, face, plan.difference(shapely.union_all(holes)))])


def belt_mesh(job: Job, belt: Belt) -> SceneMesh:
    """A belt where it touches the pulley, and the straight runs along the tangents at the ends of its arc."""
    sense = job.sense
    z = pulley_front_z(job) - belt.at
    radii = [land.radius for land in rotating_lands(job) if land.name == "pulley" and land.z_back <= z <= land.z_front]
    radius = (radii[0] if radii else job.wheel.outside_diameter / 2) + BELT_PROUD / 2
    span = (belt.to_deg - belt.from_deg) % 360 or 360.0
    arc = point_at(radius, belt.from_deg + np.linspace(0, span, max(3, math.ceil(span / 3))), sense)
    points = arc.tolist()
    if span < 360:
        into, out = point_at(1.0, belt.from_deg - 90.0, sense), point_at(1.0, belt.to_deg + 90.0, sense)
        points = [(arc[0] + BELT_RUN * into).tolist(), *points, (arc[-1] + BELT_RUN * out).tolist()]
    band = LineString(points).buffer(BELT_PROUD / 2, cap_style="flat")
    return solid([Slab(z - belt.width / 2, z + belt.width / 2, band)])
