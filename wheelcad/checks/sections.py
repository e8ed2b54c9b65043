"""A written solid against where its metal should be: sections at every height, faces and drill points.

Both ways, so that nothing is missing and nothing is too much: every piece of a section lies on the border of the region
it should fill, and every point of that border has a piece of the section beside it. Lengths mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from wheelcad.arrays import Floats
from wheelcad.checks.mesh import section_segments
from wheelcad.checks.metal import MetalBody
from wheelcad.codes import Check
from wheelcad.findings import OWN, Finding, at_most
from wheelcad.words import length

MESH_LIMIT = 0.01  # twice the mesh's deflection: chords inside arcs, and single precision
FACE_LIMIT = 0.002  # heights of faces: corners of a mesh lie on the surface itself
NEAR = 0.05  # a piece this near to a point is found by its box
FLAT = 1e-4  # how far the corners of a level triangle may differ in height


@dataclass(frozen=True)
class WorstSection:
    """The largest distance, where it was found (x, y), and the height of the section."""

    off: float
    x: float = 0.0
    y: float = 0.0
    z: float = 0.0


def off_border(segments: Floats, wanted: BaseGeometry) -> WorstSection:
    """The largest distance between the pieces (m, 2, 2) of a section and the border of the region it should fill."""
    border = wanted.boundary
    if not len(segments) or border.is_empty:
        nothing = not len(segments) and border.is_empty
        return WorstSection(0.0 if nothing else float("inf"))
    found = np.concatenate([segments.reshape(-1, 2), segments.mean(axis=1)])
    there = away_from(found, border_pieces(border))
    points = shapely.get_coordinates(shapely.segmentize(border, 2.0))
    back = away_from(points, segments)
    worst, at = (there, found) if there.max() >= back.max() else (back, points)
    k = int(worst.argmax())
    return WorstSection(float(worst[k]), float(at[k, 0]), float(at[k, 1]))


def border_pieces(border: BaseGeometry) -> Floats:
    """Every straight piece of a border, (n, 2, 2)."""
    out = []
    for line in shapely.get_parts(border):
        ends = shapely.get_coordinates(line)
        out.append(np.stack([ends[:-1], ends[1:]], axis=1))
    return np.concatenate(out) if out else np.zeros((0, 2, 2))


def away_from(points: Floats, pieces: Floats) -> Floats:
    """Distance of each point (n, 2) from the nearest of the straight pieces (m, 2, 2).

    Nearly every point lies beside a piece: what comes within NEAR is found by boxes and measured all at once, and only
    the rest looks for its nearest piece one by one.
    """
    low, high = pieces.min(axis=1) - NEAR, pieces.max(axis=1) + NEAR
    boxes = shapely.STRtree(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
    of_point, of_piece = boxes.query(shapely.points(points))
    out = np.full(len(points), np.inf)
    np.minimum.at(out, of_point, _distances(points[of_point], pieces[of_piece]))
    far = np.flatnonzero(out > NEAR)  # no box tells which piece is nearest beyond
    if len(far):
        lines = shapely.STRtree(shapely.linestrings(pieces))
        pairs, away = lines.query_nearest(shapely.points(points[far]), return_distance=True, all_matches=False)
        out[far[pairs[0]]] = away
    return out


def _distances(points: Floats, pieces: Floats) -> Floats:
    """Distance of each point (n, 2) from the straight piece (n, 2, 2) that goes with it."""
    start, along = pieces[:, 0], pieces[:, 1] - pieces[:, 0]
    square = np.einsum("ij,ij->i", along, along)
    share = np.einsum("ij,ij->i", points - start, along) / np.where(square > 0, square, 1.0)
    off = points - start - np.clip(share, 0.0, 1.0)[:, None] * along
    return np.asarray(np.hypot(off[:, 0], off[:, 1]))


def worst_section(triangles: Floats, body: MetalBody) -> WorstSection:
    """The worst of all the sections of a mesh."""
    worst = WorstSection(0.0)
    for z in body.heights:
        here = off_border(section_segments(triangles, z)[0], body.at(z))
        if here.off > worst.off:
            worst = WorstSection(here.off, here.x, here.y, z)
    return worst


def worst_height(triangles: Floats, body: MetalBody) -> float:
    """The largest distance between a height at which something should change and the mesh, and the other way round."""
    corners = np.unique(np.round(triangles[:, :, 2], 6))
    wanted = np.array([*body.faces, *body.tips])
    off = float(np.abs(corners[None, :] - wanted[:, None]).min(axis=1).max())
    level = np.ptp(triangles[:, :, 2], axis=1) < FLAT
    faces = np.unique(np.round(triangles[level][:, :, 2], 6))
    if len(faces):
        off = max(off, float(np.abs(faces[None, :] - np.array(body.faces)[:, None]).min(axis=0).max()))
    return off


def check_body(name: str, triangles: Floats, body: MetalBody, limit: float = MESH_LIMIT) -> list[Finding]:
    """A written solid against the design: its sections and its heights. limit: how far its mesh may lie off."""
    worst = worst_section(triangles, body)
    place = f"x {length(worst.x, 2)}, y {length(worst.y, 2)}, z {length(worst.z, 2)}"
    why = f"largest distance of {len(body.heights)} sections from the design's outlines, at {place}"
    heights = f"{len(body.faces) + len(body.tips)} heights of faces, shoulders and drill points against the design's"
    return [
        at_most(Check.SECTIONS, name, worst.off, "mm", limit, why, OWN),
        at_most(Check.HEIGHTS, name, worst_height(triangles, body), "mm", max(FACE_LIMIT, limit / 5), heights, OWN),
    ]
