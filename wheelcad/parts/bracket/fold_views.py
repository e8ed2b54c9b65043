"""Views of the folded bracket: its profile along the bend line, and how it sits on the engine. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wheelcad.drawing.model import SMALL, CentreLine, CentreMark, Circle, Entity, Linear, Note, Outline, Path, View
from wheelcad.job.models import Job
from wheelcad.parts.bracket.fold_shapes import plan_loop, plan_outlines, profile, profile_point
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.common.sheets import at_angle, reference_marks
from wheelcad.trade.layers import DOUBLE_CHAIN
from wheelcad.trade.loop import Loop
from wheelcad.words import length

RING_SHOWN = 14.0  # mm of the tooth ring's section drawn behind its rim


def side_view(design: BracketDesign, tolerance: float) -> View:
    """The profile with sensor and tooth ring as neighbours; tolerance: of the sensor's place, ± mm."""
    loop = profile(design)
    entities: list[Entity] = [Outline(loop)]
    place = design.asked.place
    face, tip = profile_point(design, np.array(place.face)), profile_point(design, np.array(place.tip))
    entities += _sensor(design, face, tip)
    entities += _ring(design, tip)
    for gusset in design.gussets[:1]:
        corners = [profile_point(design, gusset.frame.points((x, y, 0.0))) for x, y, _ in gusset.loop.vertices.tolist()]
        entities.append(Outline(Loop.polygon(corners)))
    x0, y0, x1, y1 = loop.bounds()
    mount = min(design.mounts, key=lambda hole: hole.x0)
    t = design.thickness
    entities.append(CentreLine((mount.x0, 0.0), (mount.x0, t)))
    entities.append(Linear((face[0], y0), (face[0], face[1]), "left", upper=tolerance, lower=-tolerance))
    if len(design.bends) == 1:
        entities.append(Linear((face[0], face[1]), (mount.x0, 0.0), "above" if y1 < 0 else "below", suffix="to mount"))
    else:
        entities.append(Linear((tip[0], y1), (mount.x0, 0.0), "below", suffix="to mount"))
    if abs(face[1] - y1) > 1e-6:
        entities.append(Linear((x0, y0), (x0, y1), "left"))
    entities.append(Linear((x1, 0.0), (x1, t), "right"))
    return View("side", tuple(entities), caption="Folded, seen along the bend line", cell=(0, 1))


def _sensor(design: BracketDesign, face: tuple[float, float], tip: tuple[float, float]) -> list[Entity]:
    """The nose as a neighbouring part, and the sensor's axis."""
    way = np.array(tip) - np.array(face)
    way /= np.linalg.norm(way)
    half = design.asked.body.diameter / 2 * np.array([-way[1], way[0]])
    a, b, c, d = (tuple((np.array(p) + s * half).tolist()) for p, s in ((face, 1), (tip, 1), (tip, -1), (face, -1)))
    run = tuple((float(p[0]), float(p[1]), 0.0) for p in (a, b, c, d))
    beyond = np.array(face) - 10 * way
    return [Path(run, "HIDDEN", DOUBLE_CHAIN), CentreLine((float(beyond[0]), float(beyond[1])), tip, beyond=2.0)]


def _ring(design: BracketDesign, tip: tuple[float, float]) -> list[Entity]:
    """The tooth ring in front of the nose, broken off; its surface stands off by the air gap."""
    frame = design.regions[0].frame
    sight, thick = design.asked.place.look, design.asked.job.wheel.thickness
    look = np.array([float(np.dot(sight, frame.ex)), float(np.dot(sight, frame.ez))])
    across = np.array([-look[1], look[0]])
    start = np.array(tip) + design.gap * look
    half, depth = (thick / 2, RING_SHOWN) if abs(sight[2]) < 0.5 else (RING_SHOWN / 2, thick)
    corners = [start + depth * look + half * across, start + half * across, start - half * across]
    corners.append(start + depth * look - half * across)
    run = tuple((float(x), float(y), 0.0) for x, y in corners)
    words = f"tooth ring, air gap {length(design.gap)}"
    return [Path(run, "HIDDEN", DOUBLE_CHAIN), Note((run[3][0], run[3][1]), words, 240, end="none", height=SMALL)]


def fitted_view(design: BracketDesign, job: Job) -> View:
    """The bracket on the engine, seen from the front: TDC line, wheel, sensor, and mounts from the crank axis."""
    at_deg = design.asked.sensor.at
    sense, rim = job.sense, job.wheel.outside_diameter / 2
    entities: list[Entity] = [Circle(0.0, 0.0, rim, "HIDDEN", DOUBLE_CHAIN), CentreMark(0.0, 0.0, rim)]
    entities += [Outline(loop) for loop in plan_outlines(design)]
    for hole in design.holes:
        region = design.region(hole.region)
        if abs(region.frame.ez[2]) > 1 - 1e-9:
            entities.append(Outline(plan_loop(region, hole.loop), "HOLES"))
    face = np.array(design.asked.place.face[:2])
    reach = float(np.hypot(*face)) + 12.0
    entities.append(CentreLine((0.0, 0.0), at_angle(reach, at_deg, sense), beyond=0.0))
    words = f"sensor at {at_deg % 360:g}°"
    entities.append(Note(at_angle(reach, at_deg, sense), words, 90 - sense * at_deg, end="none"))
    for number, (x, y) in enumerate(design.mount_points, 1):
        entities.append(CentreMark(x, y, 4.0))
        entities.append(Note((x, y), f"M{number}", 30, end="none", height=SMALL, on_part=True))
    for x, y in _first_of_each(design.mount_points, 0):
        entities.append(Linear((0.0, 0.0), (x, y), "below" if y < 0 else "above", exact=True))
    for x, y in _first_of_each(design.mount_points, 1):
        entities.append(Linear((0.0, 0.0), (x, y), "left" if x < 0 else "right", exact=True))
    entities += reference_marks(rim, sense, "TDC line", left=face[0] > 0)
    entities.append(Note(at_angle(rim, at_deg + 180.0, sense), "tooth tops", 90 - sense * (at_deg + 180.0), end="none"))
    return View("fitted", tuple(entities), caption="As fitted, seen from the front", steps=-1, cell=(1, 1))


def _first_of_each(points: Sequence[tuple[float, float]], axis: int) -> list[tuple[float, float]]:
    """The points whose coordinate on the axis no earlier one has, those on the axis itself left out."""
    out: dict[float, tuple[float, float]] = {}
    for point in points:
        if abs(point[axis]) > 1e-6:
            out.setdefault(round(point[axis], 6), point)
    return list(out.values())
