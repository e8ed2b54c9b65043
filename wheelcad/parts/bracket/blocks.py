"""The folded bracket and its sensor as blocks, for `clear` to measure. Engine frame, mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from shapely.geometry import MultiPoint

from wheelcad.arrays import Floats
from wheelcad.parts.bracket.clear import Block, Slide
from wheelcad.parts.bracket.model import Bend, BracketDesign, Frame, Gusset, Region, bolt_place
from wheelcad.parts.sensor.design import SensorBody, SensorPlace
from wheelcad.trade.heads import BARREL_NUT_HEIGHT, NUT_HEIGHT, nut_radius_mm

SLICES = 8  # stretches of z that a sloping or round piece is cut into
CHORD = 0.02  # mm between an arm's arcs and the footprint's chords

Points = Floats


def slide_of(design: BracketDesign) -> Slide:
    """How the slots let it move."""
    return Slide(design.slide[0], design.slide[1], design.travel_from, design.travel_to)


def held_blocks(design: BracketDesign) -> list[Block]:
    """The plate and what holds the sensor in it: the nose left out, which may come as near as its air gap."""
    place, body = design.asked.place, design.asked.body
    out = plate_blocks(design.regions, design.bends, design.gussets, design.thickness)
    return out + fastener_blocks(
        place, body, bolt_place(design.holes, design.regions[-1].frame, place), design.thickness
    )


def plate_blocks(
    regions: Sequence[Region], bends: Sequence[Bend], gussets: Sequence[Gusset], thickness: float
) -> list[Block]:
    """Every piece of the folded plate and its gussets."""
    out = []
    for region in regions:
        out += _region_blocks(region, thickness)
    frame = regions[0].frame
    for bend, beyond in zip(bends, regions[1:], strict=True):
        out += _bend_blocks(frame, bend, thickness)
        frame = beyond.frame
    for gusset in gussets:
        out += _box_blocks("the gusset", gusset.frame, gusset.loop.bounds(), gusset.thickness)
    return out


def _hull(points: Points) -> tuple[tuple[float, float], ...]:
    shape = MultiPoint(points[:, :2]).convex_hull
    if shape.geom_type != "Polygon":  # a face seen edge on
        shape = shape.buffer(1e-9, quad_segs=1)
    return tuple((float(x), float(y)) for x, y in shape.exterior.coords)


def _block(what: str, points: Points) -> Block:
    return Block(what, _hull(points), float(points[:, 2].min()), float(points[:, 2].max()))


def _region_blocks(region: Region, thickness: float) -> list[Block]:
    what = f"the {region.name}"
    if abs(region.frame.ez[2]) > 1 - 1e-9:
        flat = region.loop.flatten(CHORD)
        points = np.vstack(
            [region.frame.points(np.column_stack([flat, np.full(len(flat), w)])) for w in (0.0, thickness)]
        )
        n = len(flat)
        footprint = tuple((float(x), float(y)) for x, y in points[:n, :2])
        return [Block(what, footprint, float(points[:, 2].min()), float(points[:, 2].max()))]
    return _box_blocks(what, region.frame, region.loop.bounds(), thickness)


def _box_blocks(what: str, frame: Frame, bounds: tuple[float, float, float, float], thickness: float) -> list[Block]:
    """A box of the frame, cut into slices along x so that a sloping one is followed closely."""
    x0, y0, x1, y1 = bounds
    edges = np.linspace(x0, x1, SLICES + 1)
    out = []
    for a, b in pairwise(edges.tolist()):
        corners = [(x, y, w) for x in (a, b) for y in (y0, y1) for w in (0.0, thickness)]
        out.append(_block(what, frame.points(corners)))
    return out


def _bend_blocks(frame: Frame, bend: Bend, thickness: float) -> Iterator[Block]:
    cx, cw = frame.centre_of(bend, thickness)
    turn = math.radians(bend.angle_deg)
    sign = 1.0 if bend.up else -1.0
    outer = (bend.inside_radius + thickness) / math.cos(turn / SLICES / 2)
    angles = np.linspace(0.0, turn, SLICES + 1)
    for a, b in pairwise(angles.tolist()):
        corners = [
            (cx - r * math.sin(c), y, cw - sign * r * math.cos(c))
            for c in (a, b)
            for r in (bend.inside_radius, outer)
            for y in (bend.y_from, bend.y_to)
        ]
        yield _block("the bend", frame.points(corners))


def cylinder_blocks(what: str, start: Points, axis: Points, length: float, radius: float) -> list[Block]:
    """A cylinder that lies square to the crank or along it, from `start` along the unit vector `axis`."""
    end = start + length * axis
    if abs(axis[2]) > 0.5:
        a = np.linspace(0, 2 * math.pi, 73)
        r = radius / math.cos(math.pi / 72)
        rim = [(start[0] + r * math.cos(t), start[1] + r * math.sin(t)) for t in a[:-1]]
        z = sorted((float(start[2]), float(end[2])))
        return [Block(what, tuple((float(x), float(y)) for x, y in rim), z[0], z[1])]
    across = np.array([-axis[1], axis[0], 0.0])
    levels = radius * np.cos(np.linspace(math.pi, 0.0, 2 * SLICES + 1))
    out = []
    for low, high in pairwise(levels.tolist()):
        half = math.sqrt(max(radius**2 - min(abs(low), abs(high)) ** 2, 0.0)) if low * high > 0 else radius
        points = [p + s * half * across for p in (start, end) for s in (-1, 1)]
        low_z, high_z = float(start[2] + low), float(start[2] + high)
        out.append(Block(what, _hull(np.array(points)), low_z, high_z))
    return out


def nose_blocks(place: SensorPlace) -> list[Block]:
    """The nose, from the mounting face to the sensing face."""
    radius = place.body_diameter / 2
    return cylinder_blocks("the sensor's nose", np.array(place.face), np.array(place.look), place.nose_length, radius)


def fastener_blocks(place: SensorPlace, body: SensorBody, bolt_at: Points | None, thickness: float) -> list[Block]:
    """The nut on the wheel's side of the tab: of the fixing bolt at `bolt_at` (engine point on the tab's outer face),
    or of a barrel. Empty when the job gives neither."""
    if body.bolt == 0.0:
        return []
    look = np.array(place.look)
    at = np.array(place.face) if bolt_at is None else bolt_at
    height = (BARREL_NUT_HEIGHT if body.barrel else NUT_HEIGHT) * body.bolt
    return cylinder_blocks("the sensor's nut", at + thickness * look, look, height, nut_radius_mm(body.bolt))
