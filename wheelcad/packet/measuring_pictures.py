"""The lettered pictures of the measuring sheet, drawn from a job: each letter stands where its key is."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from wheelcad.job.consistency import form_of
from wheelcad.job.models import BehindFront, Job, Keyway, Step
from wheelcad.packet.sketch import Point, Sketch
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import point_at

DASH, CHAIN = "2 1.2", "5 1 1 1"


def pictures(job: Job, wheel: WheelDesign) -> dict[str, Sketch]:
    """Picture letter -> sketch; those whose sections the job lacks are left out."""
    draw: Mapping[str, Callable[[Job, WheelDesign], Sketch | None]] = {
        "A": _side, "B": _front, "C": _belts, "D": _sensor, "E": _block, "F": _block_side, "G": _wheel,
        "H": _thing,
    }  # fmt: skip
    made = {letter: make(job, wheel) for letter, make in draw.items()}
    return {letter: sketch for letter, sketch in made.items() if sketch is not None}


def _at(radius: float, angle_deg: float, sense: int) -> Point:
    x, y = point_at(radius, angle_deg, sense)
    return float(x), float(y)


def _steps(job: Job) -> list[Step]:
    return list(job.pulley.as_found) if job.pulley is not None else []


def _outer(job: Job) -> float:
    return max((step.diameter / 2 for step in _steps(job)), default=job.wheel.outside_diameter / 2)


def _side(job: Job, wheel: WheelDesign) -> Sketch | None:
    """A: the pulley cut in half, front face to the left."""
    steps, pulley = _steps(job), job.pulley
    if pulley is None or not steps:
        return None
    long, radius = sum(step.length for step in steps), _outer(job)
    sketch = Sketch((-0.75 * long - 12, -1.42 * radius), (long * 1.75 + 12, 1.42 * radius))
    bore = (pulley.bore or 0.2 * radius) / 2
    z = 0.0
    for sign in (1, -1):
        z = 0.0
        for step in steps:
            _land(sketch, step, z, sign, bore)
            z += step.length
    sketch.line((-0.1 * long, 0), (long * 1.1, 0), dash=CHAIN)
    sketch.words("front face", (-0.06 * long, 1.3 * radius), "end")
    if pulley.recess is not None:
        deep, wide = pulley.recess.depth, pulley.recess.diameter / 2
        sketch.line((0, wide), (deep, wide), (deep, -wide), (0, -wide), thick=True)
        sketch.size("A8", (0, -wide), (deep, -wide), (0, -(radius - wide) * 0.5))
    named = ("A1", "A2") if form_of(job) == "turned-down" else ("A3", "A4")
    first = steps[0]
    sketch.size(
        named[0], (0, first.diameter / 2), (first.length, first.diameter / 2), (0, 1.2 * radius - first.diameter / 2)
    )
    sketch.size(named[1], (0, first.diameter / 2), (0, -first.diameter / 2), (-0.45 * long, 0))
    if len(steps) > 1 and form_of(job) == "turned-down":
        second, start = steps[1], first.length
        top = second.diameter / 2
        sketch.size("A3", (start, top), (start + second.length, top), (0, 1.2 * radius - top))
        sketch.size("A4", (start + second.length, top), (start + second.length, -top), (0.45 * long, 0))
    _groove_letters(sketch, steps, radius)
    return sketch


def _groove_letters(sketch: Sketch, steps: list[Step], radius: float) -> None:
    z = 0.0
    for step in steps:
        groove = step.groove
        if groove is not None:
            middle, bottom = z + step.length / 2, -step.diameter / 2
            left, right = (middle - groove.width / 2, bottom), (middle + groove.width / 2, bottom)
            sketch.size("A5", left, right, (0, -(1.25 * radius + bottom)))
            sketch.balloon("A6", (middle, bottom + groove.depth), (0.6, 1.0))
            sketch.balloon("A7", (middle + groove.width / 4, bottom + groove.depth / 2), (1.0, 0.25))
            return
        z += step.length


def _land(sketch: Sketch, step: Step, z: float, sign: int, bore: float) -> None:
    """One half of a length of the pulley, its groove cut in."""
    top, end = step.diameter / 2, z + step.length
    points: list[Point] = [(z, bore), (z, top)]
    if step.groove is not None:
        middle, half, deep = z + step.length / 2, step.groove.width / 2, step.groove.depth
        floor = max(0.0, half - deep * math.tan(math.radians(step.groove.angle / 2)))
        points += [
            (middle - half, top),
            (middle - floor, top - deep),
            (middle + floor, top - deep),
            (middle + half, top),
        ]
    points += [(end, top), (end, bore)]
    sketch.line(*((x, sign * y) for x, y in points), thick=True, closed=True, fill="#eeeeee")


def _front(job: Job, wheel: WheelDesign) -> Sketch | None:
    """B: the pulley's face."""
    pulley, sense = job.pulley, job.sense
    if pulley is None:
        return None
    radius = _outer(job)
    sketch = Sketch((-1.35 * radius, -1.15 * radius), (1.35 * radius, 1.4 * radius), 140.0, 125.0)
    sketch.circle((0, 0), radius, thick=True)
    _tdc(sketch, radius)
    sketch.turning(1.12 * radius, sense)
    if pulley.bore is not None:
        _bore(sketch, pulley.bore / 2, pulley.keyway, radius, sense)
    bolts = pulley.bolts
    if bolts is not None:
        circle = bolts.circle / 2
        sketch.circle((0, 0), circle, dash=CHAIN)
        places = [_at(circle, bolts.first_at + 360 / bolts.count * i, sense) for i in range(bolts.count)]
        for place in places:
            sketch.circle(place, bolts.hole / 2, thick=True, fill="white")
        sketch.angle("B8", 0.88 * radius, bolts.first_at, sense)
        sketch.balloon("B5", places[1 % len(places)], places[1 % len(places)])
        sketch.balloon("B7", places[-1], places[-1] if bolts.count > 1 else (1, 0))
        between = _at(circle, bolts.first_at + 180 / bolts.count + 360 / bolts.count, sense)
        sketch.balloon("B6", between, between)
    if pulley.recess is not None:
        wide = pulley.recess.diameter / 2
        sketch.circle((0, 0), wide)
        sketch.balloon("B9", _at(wide, 200, sense), _at(1, 200, sense))
    return sketch


def _tdc(sketch: Sketch, radius: float) -> None:
    sketch.line((0, 0), (0, 1.25 * radius), dash=CHAIN)
    sketch.words("TDC line, straight up", (0.04 * radius, 1.24 * radius), "start")


def _bore(sketch: Sketch, bore: float, key: Keyway | None, radius: float, sense: int) -> None:
    sketch.circle((0, 0), bore, thick=True)
    sketch.balloon("B1", _at(bore, 250, sense), _at(1, 250, sense))
    if key is None:
        return
    half = math.degrees(math.asin(min(1.0, key.width / 2 / bore)))
    foot = [_at(bore, key.at - half, sense), _at(bore, key.at + half, sense)]
    out = _at(bore + key.depth, key.at, sense)
    across = (foot[1][0] - foot[0][0]) / 2, (foot[1][1] - foot[0][1]) / 2
    corners = [(out[0] - across[0], out[1] - across[1]), (out[0] + across[0], out[1] + across[1])]
    sketch.line(foot[0], corners[0], corners[1], foot[1], thick=True, fill="white")
    sketch.balloon(
        "B2", ((corners[0][0] + foot[0][0]) / 2, (corners[0][1] + foot[0][1]) / 2), (-across[0], -across[1] + 0.01)
    )
    sketch.balloon("B3", out, (across[0] + out[0] * 0.2, across[1] + out[1] * 0.2))
    if abs(key.at % 360) > 1e-6:
        sketch.angle("B4", 1.5 * bore, key.at, sense)
    else:
        sketch.balloon("B4", (0, 0.72 * radius), (1, 0))


def _belts(job: Job, wheel: WheelDesign) -> Sketch | None:
    """C: where a belt touches, from the front, and beside it how far back it runs."""
    pulley, sense = job.pulley, job.sense
    if pulley is None or not pulley.belts:
        return None
    radius, belt = _outer(job), pulley.belts[0]
    sketch = Sketch((-1.75 * radius, -1.5 * radius), (3.3 * radius, 1.5 * radius))
    sketch.circle((0, 0), radius, thick=True)
    _tdc(sketch, radius)
    sketch.arc(1.04 * radius, belt.from_deg, belt.to_deg, sense, thick=True)
    for at, way, label, share in ((belt.from_deg, -1, "C3", 0.75), (belt.to_deg, 1, "C4", 0.55)):
        x, y = _at(1.04 * radius, at, sense)
        along = _at(1.0, at + 90, sense)
        sketch.line((x, y), (x + way * along[0] * radius, y + way * along[1] * radius), thick=True)
        sketch.angle(label, share * radius, at, sense)
    left, long = 2.1 * radius, max(sum(step.length for step in _steps(job)), belt.at + belt.width)
    show = 0.9 * radius / long
    sketch.line((left, -0.9 * radius), (left, 0.9 * radius), (left + long * show, 0.9 * radius),
                (left + long * show, -0.9 * radius), thick=True, closed=True)  # fmt: skip
    a, b = left + (belt.at - belt.width / 2) * show, left + (belt.at + belt.width / 2) * show
    sketch.line((a, 0.9 * radius), (a, 1.0 * radius), (b, 1.0 * radius), (b, 0.9 * radius), thick=True, fill="#bbbbbb")
    sketch.size("C2", (a, radius), (b, radius), (0, 0.3 * radius))
    sketch.size("C1", (left, -0.9 * radius), ((a + b) / 2, -0.9 * radius), (0, -0.3 * radius))
    sketch.words("from the side", (left + long * show / 2, 0.0))
    return sketch


def _sensor(job: Job, wheel: WheelDesign) -> Sketch | None:
    """D: the sensor over a tooth, its flange to the right."""
    sensor = job.sensor
    if sensor is None:
        return None
    body = sensor.body_diameter or 15.0
    nose = sensor.nose_length or 25.0
    face = sensor.face_diameter or body / 3
    offset = sensor.bolt.offset if sensor.bolt is not None else 1.3 * body
    hole = sensor.bolt.hole if sensor.bolt is not None else body / 3
    gap = max(sensor.air_gap, 0.03 * nose)
    sketch = Sketch((-0.45 * nose, -1.3 * body), (1.75 * nose, offset + 1.1 * body))
    half, flange = body / 2, 0.25 * nose
    sketch.line((0, half), (nose, half), (nose, -half), (0, -half), thick=True, closed=True, fill="#eeeeee")
    sketch.line(
        (0, face / 2), (0.12 * nose, face / 2), (0.12 * nose, -face / 2), (0, -face / 2), thick=True, fill="#999999"
    )
    low, high = -half - 0.15 * body, offset + 1.2 * hole
    sketch.line((nose, low), (nose + flange, low), (nose + flange, high), (nose, high), thick=True, closed=True)
    for y in (offset - hole / 2, offset + hole / 2):
        sketch.line((nose, y), (nose + flange, y))
    sketch.line((nose * 0.9, offset), (nose + flange * 1.6, offset), dash=CHAIN)
    sketch.line((-0.1 * nose, 0), (nose + 2.2 * flange, 0), dash=CHAIN)
    tooth = -gap
    sketch.line((tooth, 0.9 * half), (tooth - 0.3 * nose, 0.9 * half), thick=True)
    sketch.line((tooth, 0.9 * half), (tooth, -0.9 * half), (tooth - 0.3 * nose, -0.9 * half), thick=True)
    sketch.words("tooth", (tooth - 0.17 * nose, 0), shift=1.0)
    sketch.size("D1", (0, -half), (nose, -half), (0, -0.55 * body))
    sketch.size("D2", (0.6 * nose, half), (0.6 * nose, -half), (0, 0))
    sketch.balloon("D3", (0.12 * nose, face / 2), (0.4, 1.0))
    sketch.balloon("D4", (nose + flange, offset + hole / 2), (1.0, 0.6))
    sketch.size("D5", (nose + flange, 0), (nose + flange, offset), (1.2 * flange, 0))
    sketch.balloon("D6", (-gap / 2, -0.7 * half), (-0.4, -1.0))
    return sketch


def _mounts(job: Job) -> list[Point]:
    """Where the first two mounts are; where a job has none yet, where they might be."""
    rim = job.wheel.outside_diameter / 2
    found = [(m.given_x, m.given_y) for m in job.mounts]
    places = [(x, y) for x, y in found if x is not None and y is not None]
    return [*places, (-1.6 * rim, 0.7 * rim), (-1.6 * rim, 1.3 * rim)][:2] if len(places) < 2 else places[:2]


def _block(job: Job, wheel: WheelDesign) -> Sketch | None:
    """E: the block's bolt holes and the sensor's place, from the front."""
    rim, sense = job.wheel.outside_diameter / 2, job.sense
    (x1, y1), (x2, y2) = _mounts(job)
    xs, ys = [x1, x2, -rim, rim], [y1, y2, -rim, rim]
    sketch = Sketch((min(xs) - 0.75 * rim, min(ys) - 0.7 * rim), (max(xs) + 0.75 * rim, max(ys) + 0.55 * rim))
    sketch.circle((0, 0), rim, dash=DASH)
    sketch.line((-1.2 * rim, 0), (1.2 * rim, 0), dash=CHAIN)
    _tdc(sketch, rim)
    hole = 0.07 * rim
    for x, y in ((x1, y1), (x2, y2)):
        sketch.circle((x, y), hole, thick=True)
        sketch.line((0, 0), (x, y), dash=DASH)
    under = -1.25 * rim
    sketch.size("E2", (0, 0), (x1, 0), (0, under))
    sketch.anchors["E2"] = sketch.anchors["E3"] = (x1, y1)
    side = min(xs) - 0.25 * rim
    sketch.size("E3", (x1, 0), (x1, y1), (side - x1, 0))
    sketch.size("E4", (0, y2), (x2, y2), (0, max(y1, y2) - y2 + 0.3 * rim))
    sketch.size("E5", (x2, 0), (x2, y2), (side - x2 - 0.3 * rim, 0))
    sketch.balloon("E6", (x1, y1), (0.7, -1.0))
    sketch.anchors.update({"E2": (x1, y1), "E3": (x1, y1), "E4": (x2, y2), "E5": (x2, y2)})
    if job.sensor is not None:
        at = job.sensor.at
        a, b = _at(1.02 * rim, at, sense), _at(1.35 * rim, at, sense)
        sketch.line(a, b, thick=True)
        sketch.line((0, 0), a, dash=CHAIN)
        sketch.angle("E1", 0.6 * rim, at, sense)
    sketch.words("dashed: distances to read instead of E2 to E5", ((min(xs) + max(xs)) / 2, min(ys) - 0.62 * rim))
    return sketch


def _block_side(job: Job, wheel: WheelDesign) -> Sketch | None:
    """F: the pulley's front face and the block's, from the side."""
    radius = _outer(job)
    long = sum(step.length for step in _steps(job)) or 0.4 * radius
    face = job.bracket.face if job.bracket is not None else None
    behind = face.behind_front if isinstance(face, BehindFront) else 0.7 * long
    far = max(long, behind) + 0.6 * radius
    sketch = Sketch((-0.7 * radius, -1.15 * radius), (far + 0.5 * radius, 2.1 * radius))
    sketch.line((0, radius), (long, radius), (long, -radius), (0, -radius), thick=True, closed=True, fill="#eeeeee")
    sketch.line((-0.2 * radius, 0), (far, 0), dash=CHAIN)
    low = 1.15 * radius
    sketch.line((far, low), (behind, low), (behind, 1.8 * radius), (far, 1.8 * radius), thick=True)
    sketch.line((behind, 1.5 * radius), (behind + 0.4 * radius, 1.5 * radius), dash=CHAIN)
    sketch.words("block", (behind + 0.15 * radius, 1.25 * radius), "start")
    sketch.words("pulley", (long / 2, 0.3 * radius))
    sketch.line((0, radius), (0, 1.95 * radius), dash=DASH)
    sketch.words("front face", (-0.05 * radius, 1.95 * radius), "end")
    sketch.size("F1", (0, 1.5 * radius), (behind, 1.5 * radius), (0, 0.42 * radius))
    return sketch


def _wheel(job: Job, wheel: WheelDesign) -> Sketch | None:
    """G: the wheel."""
    radius, sense, slot = wheel.radius_mm, wheel.sense, wheel.slot
    thick = max(wheel.thickness_mm, 0.05 * radius)
    sketch = Sketch((-1.35 * radius, -1.3 * radius), (1.75 * radius, 1.45 * radius))
    sketch.loop(wheel.outline)
    _tdc(sketch, radius)
    sketch.turning(1.12 * radius, sense)
    if job.wheel.bore is not None:
        sketch.circle((0, 0), job.wheel.bore / 2, thick=True)
        sketch.balloon("G6", _at(job.wheel.bore / 2, 225, sense), _at(1, 225, sense))
    sketch.size("G1", (-radius, 0), (radius, 0), (0, -1.15 * radius))
    if wheel.gaps[0].missing:
        sketch.angle("G5", 0.5 * radius, wheel.gap_at_deg, sense)
    centres = sorted(wheel.slot_centres_deg.tolist(), key=lambda a: abs((a - 135) % 360))
    at, beside = centres[0], centres[min(2, len(centres) - 1)]
    sketch.balloon("G3", _at(radius, at, sense), _at(1, at, sense))
    sketch.balloon("G4", _at(slot.floor_radius, beside, sense), _at(-1, beside, sense))
    left = 1.5 * radius
    sketch.line(
        (left, radius), (left + thick, radius), (left + thick, -radius), (left, -radius), thick=True, closed=True
    )
    sketch.balloon("G2", (left + thick / 2, radius), (0.3, 1.0))
    return sketch


def _thing(job: Job, wheel: WheelDesign) -> Sketch | None:
    """H: the first thing in the way of the bracket, or where one might be: from the front, and beside it from the
    side."""
    if job.bracket is None:
        return None
    rim, things = job.wheel.outside_diameter / 2, job.bracket.obstacles
    x, y = (things[0].x, things[0].y) if things else (1.5 * rim, 0.6 * rim)
    wide = max(things[0].radius if things else 0.3 * rim, 0.12 * rim)
    left, right = min(-rim, x - wide), max(rim, x + wide)
    low, high = min(-rim, y - wide), max(1.25 * rim, y + wide)
    side = right + 1.4 * rim  # where the pulley's front face stands in the view from the side
    sketch = Sketch((left - 0.6 * rim, low - 0.75 * rim), (side + 2.6 * rim, high + 0.75 * rim), 150.0, 80.0)
    sketch.circle((0, 0), rim, dash=DASH)
    sketch.line((-1.15 * rim, 0), (1.15 * rim, 0), dash=CHAIN)
    sketch.line((0, 0), (0, 1.25 * rim), dash=CHAIN)
    away = -1.0 if x >= 0 else 1.0
    sketch.words("TDC line", (0.05 * away * rim, 1.2 * rim), "end" if away < 0 else "start")
    sketch.circle((x, y), wide, thick=True, fill="#dddddd")
    sketch.balloon("H1", (x, y), (1.0 if x >= 0 else -1.0, 0.35))
    sketch.size("H2", (0, y), (x, y), (0, low - 0.4 * rim - y))
    sketch.size("H3", (x, 0), (x, y), ((right if x >= 0 else left) - x + (0.3 if x >= 0 else -0.3) * rim, 0))
    sketch.size("H4", (x, y), (x - wide, y), (0, high + 0.3 * rim - y))
    sketch.anchors.update({"H2": (x, y), "H3": (x, y), "H4": (x, y)})
    deep = 0.8 * rim  # not to scale: how far back the thing begins
    sketch.line((side, 0.7 * rim), (side + deep, 0.7 * rim), (side + deep, -0.7 * rim), (side, -0.7 * rim),
                thick=True, closed=True, fill="#eeeeee")  # fmt: skip
    sketch.words("pulley", (side + deep / 2, 0))
    sketch.line((side, 0.7 * rim), (side, 1.35 * rim), dash=DASH)
    sketch.words("front face", (side - 0.05 * rim, 1.3 * rim), "end")
    front, back = side + 0.55 * deep, side + 2.0 * rim
    sketch.line((front, 0.85 * rim), (back, 0.85 * rim), (back, 1.25 * rim), (front, 1.25 * rim),
                thick=True, closed=True, fill="#dddddd")  # fmt: skip
    sketch.line((back, -0.9 * rim), (back, 1.6 * rim), thick=True)
    sketch.words("block", (back + 0.08 * rim, 0), "start")
    sketch.size("H5", (side, 1.25 * rim), (front, 1.25 * rim), (0, 0.45 * rim))
    return sketch
