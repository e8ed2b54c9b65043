"""The folded bracket's solids against the design: outline, holes and pose of every plane part, and every gusset.

A mesh is laid into each part's own frame and cut in the middle of the plate there; what the section shows is held
against the part's outline and holes, both ways. It is the pose that puts the frame where mounts and sensor are, so a
bracket that is whole but stands elsewhere fails as well. Lengths mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from wheelcad.arrays import Bools, Floats
from wheelcad.checks.mesh import extent_off, section_segments
from wheelcad.checks.metal import region as inside
from wheelcad.checks.sections import MESH_LIMIT, away_from, border_pieces
from wheelcad.codes import Check
from wheelcad.findings import OWN, Finding, at_most
from wheelcad.parts.bracket.model import BracketDesign, Frame
from wheelcad.words import length

BESIDE = 0.05  # mm from a bend's line: nearer to it the section goes on into the bend
STEP = 2.0  # mm between the points of a border that are looked at


def check_bracket_metal(
    name: str, triangles: Floats, design: BracketDesign, limit: float = MESH_LIMIT
) -> Iterator[Finding]:
    """A written bracket, all its bodies, engine frame, against the design. limit: how far its mesh may lie off."""
    for part in design.regions:
        holes = [inside(hole.loop) for hole in design.holes if hole.region == part.name]
        off = _off(triangles, part.frame, design.thickness, inside(part.loop), holes, _bend_lines(design))
        why = f"outline, {len(holes)} holes and place of the {part.name}, in the middle of its thickness"
        yield at_most(Check.SECTIONS, f"{name}, {part.name}", off, "mm", limit, why, OWN)
    for number, gusset in enumerate(design.gussets, 1):
        off = _off(triangles, gusset.frame, gusset.thickness, inside(gusset.loop), [], ())
        why = f"outline and place of gusset {number}, in the middle of its thickness"
        yield at_most(Check.SECTIONS, f"{name}, gusset {number}", off, "mm", limit, why, OWN)
    yield _extent(name, triangles, design, limit)


def _bend_lines(design: BracketDesign) -> tuple[float, ...]:
    """x in the flat where plane parts end and bends begin."""
    return tuple(x for bend in design.bends for x in (bend.x_tab, bend.x_arm))


def _off(
    triangles: Floats,
    frame: Frame,
    thickness: float,
    outline: Polygon,
    holes: Sequence[Polygon],
    bends: Sequence[float],
) -> float:
    """Largest distance, both ways, in the part's own frame; border along a bend is no border."""
    segments, _ = section_segments(frame.back(triangles), thickness / 2)
    if not len(segments):
        return float("inf")
    wanted: BaseGeometry = outline
    for hole in holes:
        wanted = wanted.difference(hole)
    border = wanted.boundary
    points = shapely.get_coordinates(shapely.segmentize(border, STEP))
    points = points[~_on(points, bends)]
    back = away_from(points, segments)
    found = np.concatenate([segments.reshape(-1, 2), segments.mean(axis=1)])
    found = found[shapely.contains_xy(outline.buffer(-BESIDE), found)]
    there = away_from(found, border_pieces(border)) if len(found) else np.zeros(1)
    return float(max(back.max(), there.max()))


def _on(points: Floats, bends: Sequence[float]) -> Bools:
    on = np.zeros(len(points), dtype=bool)
    for x in bends:
        on |= np.abs(points[:, 0] - x) < BESIDE
    return on


def _extent(name: str, triangles: Floats, design: BracketDesign, limit: float) -> Finding:
    """Over all in the engine frame, against what outlines and bends reach to: nothing stands out of them."""
    found = triangles.reshape(-1, 3)
    corners = [
        frame.points([(x, y, w) for x, y in loop.flatten(limit / 4).tolist() for w in (0.0, thick)])
        for frame, loop, thick in [
            *((r.frame, r.loop, design.thickness) for r in design.regions),
            *((g.frame, g.loop, g.thickness) for g in design.gussets),
        ]
    ]
    corners += _bends(design)
    off = extent_off(found, np.concatenate(corners))
    size = " × ".join(length(float(v)) for v in np.ptp(found, axis=0))
    return at_most(Check.EXTENT, name, off, "mm", 2 * limit, f"over all {size}, in the engine's frame", OWN)


def _bends(design: BracketDesign) -> Iterator[Floats]:
    """Points on the outside of every bend."""
    for bend, arm in zip(design.bends, design.regions, strict=False):
        frame, t = arm.frame, design.thickness
        x, w = frame.centre_of(bend, t)
        turns = np.radians(np.linspace(0.0, bend.angle_deg, 91))
        sign = 1.0 if bend.up else -1.0
        for radius in (bend.inside_radius, bend.inside_radius + t):
            xs, ws = x - radius * np.sin(turns), w - sign * radius * np.cos(turns)
            for y in (bend.y_from, bend.y_to):
                yield frame.points(np.column_stack([xs, np.full_like(xs, y), ws]))
