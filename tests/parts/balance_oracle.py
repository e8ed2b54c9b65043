"""A second opinion on correction holes: points of the piece asked one by one whether they are metal.

It knows lands, outline and openings, and nothing of how the planner thinks.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from itertools import combinations

import numpy as np
import shapely

from wheelcad.errors import Faults
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.openings import bolt_centres, pulley_bore
from wheelcad.parts.common.profile import radius_at
from wheelcad.parts.common.stack import ring_land, turned_lands
from wheelcad.parts.wheel.design import WheelDesign

STEPS = np.radians(np.arange(0, 360, 10))
SLACK = 0.02  # mm under the stated walls: sampling and rounding to the table's marks


class Body:
    """The piece before drilling."""

    def __init__(self, job: Job, wheel: WheelDesign) -> None:
        self.wheel = wheel
        self.lands = turned_lands(job) or (ring_land(job),)
        turned = bool(turned_lands(job))
        pulley = job.pulley
        opening = pulley_bore(job, Faults()) if turned else None
        loops = [o.loop for o in wheel.openings] + ([opening.loop] if opening is not None else [])
        self.openings = [shapely.Polygon(loop.flatten(1e-4)) for loop in loops]
        self.outline = shapely.Polygon(wheel.outline.flatten(1e-4))
        self.bolts = [] if pulley is None or pulley.bolts is None else bolt_centres(job).tolist()
        self.bolt_radius = 0.0 if pulley is None or pulley.bolts is None else pulley.bolts.hole / 2
        self.recess = (0.0, 0.0)
        if turned and pulley is not None and pulley.recess is not None:
            self.recess = (pulley.recess.diameter / 2, pulley.recess.depth)
        for polygon in (*self.openings, self.outline):
            shapely.prepare(polygon)
        self.front, self.back = self.lands[0].z_front, self.lands[-1].z_back

    def in_recess(self, x: float, y: float, z: float) -> bool:
        """Air because of the recess."""
        return math.hypot(x, y) < self.recess[0] and z > self.front - self.recess[1]

    def metal(self, x: float, y: float, z: float) -> bool:
        """Whether there is metal at a point."""
        if not self.back < z < self.front or self.in_recess(x, y, z):
            return False
        if any(math.hypot(x - bx, y - by) < self.bolt_radius for bx, by in self.bolts):
            return False
        if any(shapely.contains_xy(opening, x, y) for opening in self.openings):
            return False
        if abs(z) < self.wheel.thickness_mm / 2:
            return bool(shapely.contains_xy(self.outline, x, y))
        return math.hypot(x, y) < radius_at(self.lands, z)


def broken_walls(job: Job, wheel: WheelDesign, holes: Sequence[CorrectionHole]) -> list[str]:
    """Every stated wall that a hole breaks, in words; empty when all hold."""
    body = Body(job, wheel)
    out = []
    for hole in holes:
        x, y = hole.centre(wheel.sense)
        heights = np.linspace(hole.z_bottom + 0.01, hole.z_top - 0.01, 5)
        for z in heights.tolist():
            for wall in (0.98, 1.98):
                for px, py in _ring(x, y, hole.diameter_mm / 2 + wall):
                    if not body.metal(px, py, z) and not (wall > 1 and body.in_recess(px, py, z)):
                        out.append(f"{wall} mm from {hole} at z {z:.2f} there is no metal")
                        break
        out += _path(body, hole, x, y)
    for a, b in combinations(holes, 2):
        apart = math.dist(a.centre(1), b.centre(1)) - (a.diameter_mm + b.diameter_mm) / 2
        if a.from_back == b.from_back and apart < 3 - SLACK:
            out.append(f"{apart:.2f} mm between {a} and {b}")
    return out


def _path(body: Body, hole: CorrectionHole, x: float, y: float) -> list[str]:
    """The drill's way in must be free; a through hole must come out, a blind one must not."""
    out = []
    sign = -1.0 if hole.from_back else 1.0
    near, far = (hole.z_bottom, hole.z_top) if hole.from_back else (hole.z_top, hole.z_bottom)
    end = body.back if hole.from_back else body.front
    for z in np.linspace(near + sign * 0.01, end, 9)[:-1].tolist() if abs(end - near) > 0.05 else []:
        if any(body.metal(px, py, z) for px, py in _ring(x, y, hole.diameter_mm / 2 + 0.98)):
            out.append(f"{hole} is reached through metal at z {z:.2f}")
            break
    if hole.through:
        z = far - sign * (1.0 + 0.3 * hole.diameter_mm)
        if any(body.metal(px, py, z) for px, py in _ring(x, y, hole.diameter_mm / 4)):
            out.append(f"{hole} does not come out into the open")
    else:
        z = far - sign * (hole.point_mm + 1.98)
        if not body.metal(x, y, z):
            out.append(f"{hole} leaves too thin a floor")
    return out


def _ring(x: float, y: float, radius: float) -> list[tuple[float, float]]:
    return [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in STEPS.tolist()]


def random_job(seed: int) -> Job:
    """Some wheel that can exist, of either form; ValueError or a JobError for one that cannot."""
    draw = random.Random(seed)
    teeth = draw.choice([12, 18, 24, 30, 36, 48, 60, 72, 90, 120])
    missing = draw.choice([1, 1, 2]) if teeth > 12 else 1
    diameter = round(draw.uniform(max(60.0, teeth * 2.4), 300.0), 1)
    thickness = round(draw.uniform(2.5, 8.0), 2)
    width = round(math.pi * diameter / teeth * draw.uniform(0.35, 0.6), 2)
    depth = round(min(draw.uniform(0.6, 1.4) * width, diameter * 0.09), 2)
    sides = draw.choice(["parallel, floor: round", "parallel, floor: flat", "radial, floor: flat"])
    if "round" in sides:
        depth = max(depth, round(width * 0.75, 2))
    turns = draw.choice(["clockwise", "anticlockwise"])
    wheel = (
        f"teeth: {teeth}, missing: {missing}, gap_at: {round(draw.uniform(0, 360), 2)}, outside_diameter: {diameter}, "
        f"thickness: {thickness}, material: {draw.choice(['mild-steel', 'grey-iron', 'ductile-iron'])}, "
        f"slot: {{width: {width}, depth: {depth}, sides: {sides}}}"
    )
    floor = diameter / 2 - depth
    count, circle, first_at = (
        draw.choice([2, 3, 4, 6]),
        round(floor * draw.uniform(0.7, 1.2), 1),
        draw.randrange(0, 900) / 10,
    )
    bolts = f"bolts: {{count: {count}, circle: {circle}, hole: 6.6, first_at: {first_at}}}"
    table = draw.choice(
        ["", "rotary_table: {ratio: 40, dial_step: 0.05}, ", "rotary_table: {ratio: 90, dial_step: 1'}, "]
    )
    tail = (
        f"balance: {{grade: {draw.choice(['G6.3', 'G16', 'G40'])}, largest_drill: {draw.choice([6, 8, 10, 12])}}}\n"
        f"shop: {{{table}drills: {draw.choice(['metric', 'inch'])}}}\n"
    )
    head = f"job: any\nengine: {{cylinders: 4, turns: {turns}, max_speed: {draw.choice([3500, 5500, 7500])}}}\n"
    if draw.random() < 0.5:
        bore = round(floor * draw.uniform(0.3, 0.6), 1)
        return parse_job(
            f"{head}wheel: {{form: plate, {wheel}, bore: {bore}}}\npulley: {{bore: 20, {bolts}}}\n{tail}", "any.yaml"
        )
    return parse_job(head + f"wheel: {{form: turned-down, {wheel}}}\n" + _pulley(draw, floor, bolts) + tail, "any.yaml")


def _pulley(draw: random.Random, floor: float, bolts: str) -> str:
    """A pulley around the ring: shoulders in front and behind, sometimes a grooved rim, a recess, a keyway."""
    shoulder = round(2 * floor * draw.uniform(0.65, 0.95), 1)
    bore = round(floor * draw.uniform(0.25, 0.4), 1)
    parts = [f"bore: {bore}"]
    if draw.random() < 0.7:
        parts.append(
            f"keyway: {{width: {round(bore / 4, 1)}, depth: {round(bore / 10, 1)}, at: {draw.randrange(0, 360, 15)}}}"
        )
    if draw.random() < 0.7:
        parts.append(bolts)
    if draw.random() < 0.5:
        parts.append(
            f"recess: {{diameter: {round(bore * draw.uniform(1.4, 1.8), 1)}, depth: {draw.choice([2, 5, 8])}}}"
        )
    lands = []
    if draw.random() < 0.7:
        lands.append(f"{{length: {draw.choice([3, 8, 15])}, diameter: {shoulder}}}")
    lands.append("wheel")
    lands.append(f"{{length: {draw.choice([4, 10, 16])}, diameter: {round(shoulder * draw.uniform(0.85, 1.0), 1)}}}")
    if draw.random() < 0.6:
        groove = ", groove: {width: 10, depth: 8, angle: 36}" if draw.random() < 0.7 else ""
        lands.append(f"{{length: 14, diameter: {round(2 * floor * draw.uniform(0.8, 0.99), 1)}{groove}}}")
    return f"pulley: {{{', '.join(parts)}, turned: [{', '.join(lands)}]}}\n"
