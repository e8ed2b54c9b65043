"""Measures bracket.step: thickness everywhere, bend angles and radii, and where the tab's face stands. Lengths mm.

`step_faces` runs where the kernel is; `check_step` judges its plain numbers anywhere.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.codes import Check
from wheelcad.files.figures import FaceFigure
from wheelcad.findings import OWN, About, Finding, at_most, holds
from wheelcad.parts.bracket.model import Bend, BracketDesign
from wheelcad.words import angle as angle_text
from wheelcad.words import length

SOLID = "bracket.step"
ABOUT = About(SOLID, OWN)
PLACE_LIMIT = 0.001  # mm: faces and radii of a B-rep are exact to the file's digits
ANGLE_LIMIT = 0.001  # degrees
PARALLEL = 1e-6  # sine of the angle between directions that count as parallel
SMALL = 1.0  # mm²: smaller plane faces are edges of tangents, not sides of the plate


def step_faces(path: Path) -> tuple[FaceFigure, ...]:
    """Every face of the file's solids; needs the kernel. KernelError or OSError when it cannot be read."""
    from wheelcad.files.brep import face_figures  # the kernel is loaded in its own process alone
    from wheelcad.files.step import read_step

    return face_figures(read_step(path))


def check_step(faces: tuple[FaceFigure, ...], design: BracketDesign) -> Iterator[Finding]:
    """All findings of the re-read STEP file; `faces` empty counts as a file that was not there."""
    solids = {face.solid for face in faces}
    wanted = 1 + len(design.gussets)
    yield ABOUT.holds(Check.BODIES, len(solids) == wanted, f"{len(solids)} solids", f"{wanted} pieces are wanted")
    if not solids:
        return
    largest = max(solids, key=lambda n: sum(face.area for face in faces if face.solid == n))
    plate = [face for face in faces if face.solid == largest]
    yield from _thickness(plate, design)
    yield from _bends(plate, design)
    yield _tab_face(plate, design)


def _planes(faces: list[FaceFigure]) -> list[FaceFigure]:
    return [face for face in faces if face.kind == "plane" and face.area > SMALL]


def _thickness(faces: list[FaceFigure], design: BracketDesign) -> list[Finding]:
    """Each plane side of every region has its opposite one thickness away; each bend's two cylinders too."""
    worst, pairs = 0.0, 0
    for region in design.regions:
        normal = np.array(region.frame.ez)
        low, high = (float(normal @ region.frame.points((0.0, 0.0, w))) for w in (0.0, design.thickness))
        near = design.thickness / 2  # edges of other regions may look the same way; they stand elsewhere
        sides = [(float(normal @ f.direction), float(normal @ np.array(f.point))) for f in _planes(faces)]
        upper = [at for way, at in sides if way > 1 - PARALLEL and abs(at - high) < near]
        lower = [at for way, at in sides if way < -1 + PARALLEL and abs(at - low) < near]
        if not upper or not lower:
            return [ABOUT.holds(Check.STEP_THICKNESS, False, f"{region.name} lacks a side", "both sides are wanted")]
        worst = max(worst, *(abs(a - b - design.thickness) for a in upper for b in lower))
        pairs += 1
    for inner, outer in _bend_cylinders(faces, design):
        worst, pairs = max(worst, abs(outer.radius - inner.radius - design.thickness)), pairs + 1
    least = len(design.regions) + sum(bend.inside_radius > 0 for bend in design.bends)
    if pairs < least:
        said = f"{pairs} pairs of sides"
        return [ABOUT.holds(Check.STEP_THICKNESS, False, said, f"at least {least} pairs of sides are wanted")]
    why = f"greatest departure from {length(design.thickness)} over {pairs} pairs of opposite sides, bends included"
    return [ABOUT.at_most(Check.STEP_THICKNESS, round(worst, 6), "mm", PLACE_LIMIT, why)]


def _bend_cylinders(faces: list[FaceFigure], design: BracketDesign) -> Iterator[tuple[FaceFigure, FaceFigure]]:
    """Pairs of cylinders about the bend lines' direction, coaxial, about a thickness apart: a bend's two sides."""
    thickness, along = design.thickness, np.array(design.regions[0].frame.ey)
    round_faces = [f for f in faces if f.kind == "cylinder" and abs(float(along @ f.direction)) > 1 - PARALLEL]
    for inner in round_faces:
        for outer in round_faces:
            if abs(outer.radius - inner.radius - thickness) < thickness / 4 and _coaxial(inner, outer):
                yield (inner, outer)


def _coaxial(a: FaceFigure, b: FaceFigure) -> bool:
    axis, between = np.array(a.direction), np.array(b.point) - np.array(a.point)
    if float(np.linalg.norm(np.cross(axis, b.direction))) > PARALLEL:
        return False
    return float(np.linalg.norm(between - axis * (between @ axis))) < PLACE_LIMIT


def _bends(faces: list[FaceFigure], design: BracketDesign) -> Iterator[Finding]:
    pairs = list(_bend_cylinders(faces, design))
    wanted = sum(bend.inside_radius > 0 for bend in design.bends)  # a sharp inside has no cylinder
    yield ABOUT.holds(Check.STEP_BENDS, len(pairs) == wanted, f"{len(pairs)} bends", f"{wanted} bends are wanted")
    for number, bend in enumerate(design.bends, 1):
        sides = [_upper(faces, design, number - 1 + k) for k in (0, 1)]
        subject = f"{SOLID}, bend {number}"
        if sides[0] is None or sides[1] is None:
            yield holds(Check.STEP_BEND_ANGLE, subject, False, "a leg is missing", "both legs must be there", OWN)
            continue
        angle = math.degrees(math.acos(max(-1.0, min(1.0, float(np.dot(sides[0], sides[1]))))))
        why = f"{angle_text(angle, 4)} between the legs, {angle_text(bend.angle_deg)} wanted"
        off = round(abs(angle - bend.angle_deg), 6)
        yield at_most(Check.STEP_BEND_ANGLE, subject, off, "deg", ANGLE_LIMIT, why, OWN)
        yield from _radius(pairs, bend, subject)


def _radius(pairs: list[tuple[FaceFigure, FaceFigure]], bend: Bend, subject: str) -> list[Finding]:
    if not pairs or bend.inside_radius == 0:
        return []
    nearest = min((inner.radius for inner, _ in pairs), key=lambda r: abs(r - bend.inside_radius))
    why = f"inside radius {length(nearest, 3)}, {length(bend.inside_radius)} wanted"
    off = round(abs(nearest - bend.inside_radius), 6)
    return [at_most(Check.STEP_BEND_RADIUS, subject, off, "mm", PLACE_LIMIT, why, OWN)]


def _upper(faces: list[FaceFigure], design: BracketDesign, number: int) -> Floats | None:
    """The normal of a region's upper side: of the largest plane within 10 degrees of where it should look."""
    wanted = np.array(design.regions[number].frame.ez)
    near = [f for f in _planes(faces) if float(wanted @ f.direction) > math.cos(math.radians(10))]
    face = max(near, key=lambda f: f.area, default=None)
    return None if face is None else np.array(face.direction)


def _tab_face(faces: list[FaceFigure], design: BracketDesign) -> Finding:
    outward = -np.array(design.look)
    wanted = float(outward @ np.array(design.face))
    near = [f for f in _planes(faces) if float(outward @ f.direction) > 1 - PARALLEL]
    if not near:
        why = "the sensor needs a plane face square to its nose"
        return ABOUT.holds(Check.STEP_TAB_FACE, False, "no face square to the sensor's nose", why)
    off = min(abs(float(outward @ np.array(face.point)) - wanted) for face in near)
    why = f"the sensor's mounting face, wanted {length(wanted, 3)} along its axis"
    return ABOUT.at_most(Check.STEP_TAB_FACE, round(off, 6), "mm", PLACE_LIMIT, why)
