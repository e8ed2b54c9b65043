"""The folded solid unfolded again, from its own faces, must give the flat that goes to the cutting table.

Nothing of the design is used but the flat's outline: planes and bend cylinders are found in the B-rep, each skin is
laid out by rolling it round the neutral fibre after DIN 6935 (k = 0.65 + 0.5·log10(r/s), at most 1; the fibre lies
k·s/2 from the inside).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cadquery as cq
import numpy as np
import pytest
from shapely.geometry import MultiLineString, Point

from tests.parts.bracket_jobs import along_job, in_job, random_job
from wheelcad.errors import DesignError
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.bracket.solid import bracket_solids

LIMIT = 0.01  # mm between the unfolded solid and the flat


def k_of(r: float, s: float) -> float:
    """DIN 6935."""
    return min(1.0, 0.65 + 0.5 * math.log10(r / s))


@dataclass
class Cylinder:
    """A bend found in the solid: a point on its axis, the axis and the inner radius."""

    point: np.ndarray
    axis: np.ndarray
    inner: float

    def distance(self, plane: Plane) -> float:
        return abs(float((self.point - plane.origin) @ plane.normal))


@dataclass
class Plane:
    face: cq.Face
    origin: np.ndarray
    normal: np.ndarray

    def boundary(self) -> list[np.ndarray]:
        """Runs of points (n, 3) along each of its edges."""
        out = []
        for edge in self.face.Edges():
            count = 2 if edge.geomType() == "LINE" else 121
            out.append(np.array([edge.positionAt(s).toTuple() for s in np.linspace(0, 1, count)]))
        return out

    def hole_centres(self) -> np.ndarray:
        """Centres (n, 3) of the arcs of its holes, each hole's two ends or twice its middle."""
        out = []
        for wire in self.face.innerWires():
            arcs = [vector(edge.arcCenter()) for edge in wire.Edges() if edge.geomType() == "CIRCLE"]
            out += arcs if len(arcs) == 2 else arcs * 2
        return np.array(out)


def vector(v: cq.Vector) -> np.ndarray:
    return np.array(v.toTuple())


def planes(solid: cq.Solid) -> list[Plane]:
    out = []
    for face in solid.Faces():
        if face.geomType() == "PLANE":
            out.append(Plane(face, vector(face.Center()), vector(face.normalAt())))
    return out


def bends(solid: cq.Solid, thickness: float) -> list[Cylinder]:
    """Pairs of coaxial cylinders whose radii differ by the thickness."""
    round_faces = []
    for face in solid.Faces():
        if face.geomType() == "CYLINDER":
            cylinder = face._geomAdaptor().Cylinder()
            place, way = cylinder.Axis().Location(), cylinder.Axis().Direction()
            point, axis = np.array([place.X(), place.Y(), place.Z()]), np.array([way.X(), way.Y(), way.Z()])
            round_faces.append((point, axis, cylinder.Radius()))
    out = []
    for point, axis, radius in round_faces:
        for other, _, outer in round_faces:
            off = other - point
            apart = np.linalg.norm(off - axis * (off @ axis))
            if apart < 1e-6 and abs(outer - radius - thickness) < 1e-6:
                out.append(Cylinder(point, axis, radius))
    return out


def unfolded(solid: cq.Solid, thickness: float, up: np.ndarray) -> tuple[list[np.ndarray], np.ndarray]:
    """Runs of boundary points (n, 2) of one skin laid flat, x away from the first bend; and the arm's hole centres.

    up: which way the first bend turns from the arm.
    """
    found = bends(solid, thickness)
    faces = [p for p in planes(solid) if p.face.Area() > 50]
    # the arm's lower skin: square to the crank, looking away from the bend
    lower = [p for p in faces if float(p.normal @ up) < -0.999 and any(bends_from(p, b, thickness) for b in found)]
    skin = max(lower, key=lambda p: float(-up @ p.origin) * 1e6 + p.face.Area())
    frame: Frame | None = None
    runs: list[np.ndarray] = []
    left = list(found)
    while True:
        ahead = [b for b in left if bends_from(skin, b, thickness)]
        if frame is None:
            frame = Frame.first(skin, ahead[0], up)
            centres = frame.lay(skin.hole_centres())
        runs += [frame.lay(run) for run in skin.boundary()]
        if not ahead:
            return runs, centres
        bend = min(ahead, key=lambda b: abs(frame.along(b.point)))
        left = [b for b in left if b is not bend]
        following = [p for p in faces if p is not skin and bends_from(p, bend, thickness) and same_side(skin, p, bend)]
        beyond = max(following, key=lambda p: p.face.Area())
        turn = math.acos(max(-1.0, min(1.0, float(skin.normal @ beyond.normal))))
        frame = frame.beyond(beyond, bend, turn * (bend.inner + k_of(bend.inner, thickness) * thickness / 2))
        skin = beyond


def bends_from(plane: Plane, bend: Cylinder, thickness: float) -> bool:
    """Whether the plane runs into the bend: parallel to its axis and tangent to one of its two cylinders."""
    if abs(float(plane.normal @ bend.axis)) > 1e-9:
        return False
    distance = bend.distance(plane)
    return min(abs(distance - bend.inner), abs(distance - bend.inner - thickness)) < 1e-6


def same_side(a: Plane, b: Plane, bend: Cylinder) -> bool:
    """Both on the bend's inside, or both on its outside."""
    return abs(bend.distance(a) - bend.distance(b)) < 1e-6


@dataclass
class Frame:
    """Where a skin is laid: flat x = at + (p - origin)·ex, y = p·ey."""

    origin: np.ndarray
    ex: np.ndarray
    ey: np.ndarray
    at: float

    @classmethod
    def first(cls, skin: Plane, bend: Cylinder, up: np.ndarray) -> Frame:
        away = skin.origin - bend.point
        away = away - bend.axis * (away @ bend.axis) - up * (away @ up)
        ex = away / np.linalg.norm(away)
        return cls(bend.point, ex, np.cross(up, ex), 0.0)

    def lay(self, points: np.ndarray) -> np.ndarray:
        """Flat points (n, 2) of points (n, 3) of the skin."""
        return np.column_stack([self.at + (points - self.origin) @ self.ex, points @ self.ey])

    def along(self, point: np.ndarray) -> float:
        return float((point - self.origin) @ self.ex)

    def beyond(self, skin: Plane, bend: Cylinder, allowance: float) -> Frame:
        """The frame on the far side: the tangent line moves by the allowance, and x keeps running towards the arm."""
        before = self.at + self.along(bend.point)
        middle = skin.origin - bend.point
        middle = middle - bend.axis * (middle @ bend.axis) - skin.normal * (middle @ skin.normal)
        ex = -middle / np.linalg.norm(middle)
        return Frame(bend.point, ex, self.ey, before - allowance)


def compare(design: BracketDesign) -> float:
    """Largest distance, mm, between unfolded solid and flat, taken both ways; the bends' own edges left out."""
    _, solid = bracket_solids(design)[0]
    runs, centres = unfolded(solid, design.thickness, np.array(design.regions[0].frame.ez))
    # laid on the flat by the mount holes alone: everything on the tab has to follow
    mounts = np.array([(x, y) for h in design.holes if h.region == "arm" for x, y in ((h.x0, h.y0), (h.x1, h.y1))])
    shift = mounts.mean(axis=0) - centres.mean(axis=0)
    loops = [design.outline, *(hole.loop for hole in design.holes)]
    tangents = [x for bend in design.bends for x in (bend.x_tab, bend.x_arm)]
    worst = 0.0
    for run in runs:
        for x, y in run + shift:
            if min(abs(x - t) for t in tangents) > 0.02:
                worst = max(worst, min(loop.distance(x, y) for loop in loops))
    lines = MultiLineString([(run + shift).tolist() for run in runs])
    for loop in loops:
        for x, y in loop.flatten(0.2):
            if all(abs(x - t) > 0.02 for t in tangents):
                worst = max(worst, float(lines.distance(Point(x, y))))
    return worst


JOBS = {
    "L outside, behind": in_job(),
    "L in front": in_job(bracket={"mount_face": 40, "plate": {"thickness": 4.7625, "inside_radius": 6}}),
    "L inside": in_job(bracket={"mounts": [{"x": 60, "y": 20, "hole": 9}, {"x": 40, "y": 60, "hole": 9}]}),
    "L anticlockwise": in_job(
        engine={"turns": "anticlockwise"}, sensor={"at": 300}, bracket={"plate": {"thickness": 6, "inside_radius": 9}}
    ),
    "Z": along_job(),
    "Z at 45 degrees": along_job(bracket={"mount_face": 2.5 + 0.8 + 24 - 5 - 12}),
    "Z from behind": along_job(sensor={"from": "back"}, bracket={"mount_face": -80}),
}


@pytest.mark.parametrize("name", list(JOBS))
def test_unfolding_the_solid_gives_the_flat(name: str) -> None:
    design = design_bracket(JOBS[name])
    assert design is not None
    assert compare(design) < LIMIT


@pytest.mark.parametrize("name", list(JOBS))
def test_volume_over_thickness_against_the_flat_area(name: str) -> None:
    """In each bend the solid is (1 - k)·s/2 per radian longer at mid thickness than the flat at the neutral fibre."""
    design = design_bracket(JOBS[name])
    assert design is not None
    _, solid = bracket_solids(design)[0]
    t, width = design.thickness, design.width
    known = sum(math.radians(b.angle_deg) * (1 - k_of(b.inside_radius, t)) * t / 2 * width for b in design.bends)
    flat = design.outline.area - sum(hole.area for hole in design.holes)
    assert solid.Volume() / t - flat == pytest.approx(known, abs=0.01 * width)


@pytest.mark.slow
def test_unfolding_random_brackets() -> None:
    done = 0
    for seed in range(120):
        try:
            design = design_bracket(random_job(seed))
        except DesignError:
            continue
        if design is not None and design.bends:
            assert compare(design) < LIMIT, seed
            done += 1
    assert done >= 25
