"""Measures bracket.stl: bend angles, thickness, tab face, air gap, hole places, and its metal against the flat.

The mesh is split into its separate bodies; the largest is the folded plate, the others gussets. Lengths mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.checks.mesh import fitted_circle, mesh_moments
from wheelcad.codes import Check
from wheelcad.errors import UnreadableError
from wheelcad.files.stl import read_stl
from wheelcad.findings import OWN, About, Finding, at_most, holds
from wheelcad.parts.bracket.model import BracketDesign, Frame, Hole, Region
from wheelcad.trade.rows import distinct_rows
from wheelcad.words import angle as angle_text
from wheelcad.words import count, length, quantity

SOLID = "bracket.stl"
ABOUT = About(SOLID, OWN)
ANGLE_LIMIT = 0.02  # degrees, between plane faces; the mesh's corners are float32
PLACE_LIMIT = 0.01  # mm: faces, thickness and hole centres of the mesh
LENGTH_LIMIT = 0.05  # mm of flat length, against the folded solid
WALL_WITHIN = 0.5  # mm: corners of the mesh this near to where a hole's wall should be are taken as its wall
PLANE = 1e-3  # how far two unit normals may differ and still be of one plane; mm for its offset times ten


@dataclass(frozen=True)
class PlaneFace:
    """A plane face found in the mesh: outward unit normal (3,), offset along it (mm), area (mm²)."""

    normal: Floats
    offset: float
    area: float


def check_folded(folder: Path, design: BracketDesign, flat_area: float) -> Iterator[Finding]:
    """All findings of the folded solid.

    flat_area: of the written flat, holes out, mm². OSError or ValueError if unreadable.
    """
    bodies = separate_bodies(read_stl(folder / SOLID))
    wanted = 1 + len(design.gussets)
    yield ABOUT.holds(Check.BODIES, len(bodies) == wanted, count(len(bodies), "body", "bodies"), f"wanted: {wanted}")
    plate = bodies[0]
    yield from _flat_length(plate, design, flat_area)
    faces = plane_faces(plate)
    yield from _thickness(faces, design)
    yield from _angles(faces, design)
    yield from _air_gap(faces, design)
    yield from _hole_places(plate, design)


def separate_bodies(triangles: Floats) -> list[Floats]:
    """Triangles (n, 3, 3) split into bodies that share no edge, largest volume first; touching in a point is apart."""
    if len(triangles) == 0:
        raise UnreadableError(f"{SOLID} is empty")
    _, corner = distinct_rows(np.round(triangles.reshape(-1, 3), 5))
    corner = corner.reshape(-1, 3)
    ends = np.sort(np.stack([corner, np.roll(corner, -1, axis=1)], axis=2), axis=2)
    _, edge = distinct_rows(ends.reshape(-1, 2))
    edge = edge.reshape(-1, 3)
    body = np.arange(len(triangles))
    while True:  # the least number spreads from triangle to triangle across shared edges
        least = np.full(edge.max() + 1, len(triangles))
        np.minimum.at(least, edge.ravel(), np.repeat(body, 3))
        spread = least[edge].min(axis=1)
        if np.array_equal(spread, body):
            break
        body = spread[spread]
    parts = [triangles[body == k] for k in np.unique(body)]
    return sorted(parts, key=lambda part: -mesh_moments(part).volume)


def plane_faces(triangles: Floats) -> list[PlaneFace]:
    """Plane faces, largest first: triangles with the same normal and offset taken together."""
    cross = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    double = np.linalg.norm(cross, axis=1)
    solid = double > 1e-9
    normals, areas, corners = cross[solid] / double[solid, None], double[solid] / 2, triangles[solid]
    offsets = np.einsum("ij,ij->i", normals, corners.mean(axis=1))
    out = []
    left = np.ones(len(areas), dtype=bool)
    level = np.argsort(offsets, kind="stable")  # only those at about the same offset need be looked at
    low = np.searchsorted(offsets[level], offsets - 10 * PLANE, side="right")
    high = np.searchsorted(offsets[level], offsets + 10 * PLANE, side="left")
    for k in np.argsort(-areas, kind="stable"):
        if not left[k]:
            continue
        near = level[low[k] : high[k]]
        same = near[left[near] & (np.abs(normals[near] - normals[k]).max(axis=1) < PLANE)]
        left[same] = False
        weight = areas[same]
        normal = (normals[same] * weight[:, None]).sum(axis=0)
        normal /= np.linalg.norm(normal)
        out.append(PlaneFace(normal, float((offsets[same] * weight).sum() / weight.sum()), float(weight.sum())))
    return sorted(out, key=lambda face: -face.area)


def _flat_length(plate: Floats, design: BracketDesign, flat_area: float) -> list[Finding]:
    """Folded volume ÷ thickness less the flat's area must be what the bends' allowances leave, as a length
    across the width."""
    t = design.thickness
    known = sum((math.radians(b.angle_deg) * (b.inside_radius + t / 2) - b.allowance) * b.width for b in design.bends)
    difference = mesh_moments(plate).volume / t - flat_area - known
    return [
        at_most(
            Check.FLAT_LENGTH,
            f"{SOLID} and bracket-flat.dxf",
            round(abs(difference) / design.width, 5),
            "mm",
            LENGTH_LIMIT,
            f"folded volume ÷ thickness less flat area, beyond the {quantity(known, 'area', 2)} that bending at "
            "the neutral fibre explains, over the width",
            "DIN 6935 neutral fibre, or the job's own allowance",
        )
    ]


def _expected(region: Region, thickness: float, upper: bool) -> tuple[Floats, float]:
    """Outward normal and offset of a region's upper or lower side when folded."""
    normal = np.array(region.frame.ez) * (1.0 if upper else -1.0)
    return normal, float(normal @ region.frame.points((0.0, 0.0, thickness if upper else 0.0)))


def _pick(faces: list[PlaneFace], normal: Floats, offset: float) -> PlaneFace | None:
    """The large face nearest to the expected one: within 10 degrees of its normal, nearest in offset."""
    near = [face for face in faces if float(face.normal @ normal) > math.cos(math.radians(10)) and face.area > 25.0]
    return min(near, key=lambda face: abs(face.offset - offset), default=None)


def _thickness(faces: list[PlaneFace], design: BracketDesign) -> Iterator[Finding]:
    for region in design.regions:
        sides = [_pick(faces, *_expected(region, design.thickness, upper)) for upper in (True, False)]
        subject = f"{SOLID}, {region.name}"
        if sides[0] is None or sides[1] is None:
            yield holds(Check.THICKNESS, subject, False, "no plane face found", "both sides must be plane", OWN)
            continue
        off = abs(sides[0].offset + sides[1].offset - design.thickness)
        why = f"{length(sides[0].offset + sides[1].offset, 3)} thick, plate of {length(design.thickness, 3)}"
        yield at_most(Check.THICKNESS, subject, round(off, 5), "mm", PLACE_LIMIT, why, OWN)


def _angles(faces: list[PlaneFace], design: BracketDesign) -> Iterator[Finding]:
    for number, bend in enumerate(design.bends, 1):
        pair = [_pick(faces, *_expected(design.regions[number - 1 + k], design.thickness, True)) for k in (0, 1)]
        subject = f"{SOLID}, bend {number}"
        if pair[0] is None or pair[1] is None:
            yield holds(Check.BEND_ANGLE, subject, False, "no plane face found", "both legs must be plane", OWN)
            continue
        angle = math.degrees(math.acos(max(-1.0, min(1.0, float(pair[0].normal @ pair[1].normal)))))
        off = abs(angle - bend.angle_deg)
        why = f"{angle_text(angle, 3)} found, {angle_text(bend.angle_deg)} wanted"
        yield at_most(Check.BEND_ANGLE, subject, round(off, 5), "deg", ANGLE_LIMIT, why, OWN)


def _air_gap(faces: list[PlaneFace], design: BracketDesign) -> list[Finding]:
    """The tab's outer face from the mesh, less the nose and the wheel: the air gap that the bracket gives."""
    place, wheel = design.asked.place, design.asked.job.wheel
    outward = -np.array(place.look)
    wanted = float(outward @ np.array(place.face))
    face = _pick(faces, outward, wanted)
    if face is None:
        why = "the sensor needs a plane face square to its nose"
        return [ABOUT.holds(Check.TAB_FACE, False, "no plane face found", why)]
    tilt = math.degrees(math.acos(min(1.0, float(face.normal @ outward))))
    wheel_at = (wheel.outside_diameter if design.asked.sensor.looks == "in" else wheel.thickness) / 2
    gap = face.offset - place.nose_length - wheel_at
    return [
        ABOUT.at_most(
            Check.TAB_FACE,
            round(abs(face.offset - wanted), 5),
            "mm",
            PLACE_LIMIT,
            f"the face that the sensor sits on stands at {length(face.offset, 3)}",
        ),
        ABOUT.at_most(
            Check.TAB_SQUARE, round(tilt, 5), "deg", ANGLE_LIMIT, "the face must be square to the sensor's nose"
        ),
        ABOUT.at_most(
            Check.AIR_GAP,
            round(abs(gap - design.gap), 5),
            "mm",
            PLACE_LIMIT,
            f"{length(gap, 3)} from nose to wheel, {length(design.gap, 3)} wanted",
        ),
    ]


def _wall_centres(plate: Floats, frame: Frame, hole: Hole, thickness: float) -> Iterator[tuple[float, float]]:
    """Centres of a hole's round ends in its region's flat, fitted to the mesh corners on its wall.

    Empty when there is none.
    """
    flat = frame.back(plate.reshape(-1, 3))
    flat = flat[(flat[:, 2] > -PLACE_LIMIT) & (flat[:, 2] < thickness + PLACE_LIMIT)][:, :2]
    along = np.array([hole.x1 - hole.x0, hole.y1 - hole.y0])
    for x, y, way in ((hole.x0, hole.y0, -1.0), (hole.x1, hole.y1, 1.0)):
        delta = flat - np.array([x, y])
        near = np.abs(np.linalg.norm(delta, axis=1) - hole.diameter / 2) < WALL_WITHIN
        if not hole.round:
            near &= way * (delta @ along) > -1e-6 * hole.travel
        points = np.unique(np.round(flat[near], 5), axis=0)
        if len(points) >= 6:
            cx, cy, _ = fitted_circle(points)
            yield (cx, cy)


def _hole_places(plate: Floats, design: BracketDesign) -> Iterator[Finding]:
    """The sensor's hole against the sensor's axis, and the mount holes' nominal ends against the block's threads."""
    targets = {f"mount {n}": np.array([x, y, 0.0]) for n, (x, y) in enumerate(design.mount_points, 1)}
    targets["body"] = np.array(design.asked.place.face)
    for hole in design.holes:
        if hole.name not in targets:
            continue
        subject = f"{SOLID}, {hole.name}"
        frame = design.region(hole.region).frame
        ends = list(_wall_centres(plate, frame, hole, design.thickness))
        if len(ends) < 2:
            yield holds(Check.FOLDED_HOLE, subject, False, "not found", "the hole must be in the solid", OWN)
            continue
        line = [frame.points((x, y, 0.0)) for x, y in ends]
        # nominal: as far along the slot as the design's own nominal end, measured square to the hole's axis
        axis = np.array(frame.ez)
        share = 0.0 if hole.round else -design.slide.low / max(design.slide.high - design.slide.low, 1e-9)
        if hole.name == "body":
            share = 0.5
        at = line[0] + share * (line[1] - line[0])
        miss = at - targets[hole.name]
        miss -= axis * float(miss @ axis)
        why = (
            "off the sensor's axis" if hole.name == "body" else "nominal place in the slot off the thread in the block"
        )
        yield at_most(Check.FOLDED_HOLE, subject, round(float(np.linalg.norm(miss)), 5), "mm", PLACE_LIMIT, why, OWN)
