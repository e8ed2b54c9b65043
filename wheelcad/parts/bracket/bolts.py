"""The bolts that hold the bracket to the block: play, grip, and whether a spanner gets at them."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from shapely.geometry import Point, Polygon

from wheelcad.codes import Check
from wheelcad.findings import Finding, at_least, at_most
from wheelcad.parts.bracket.fold_shapes import plan_outlines
from wheelcad.parts.bracket.model import Asked, BracketDesign, Gusset
from wheelcad.parts.sensor.design import TAIL_LENGTH
from wheelcad.trade.threads import clamp_force_n, nominal_mm, slip_acceleration_m_s2, thread

SUBJECT = "bracket design"
PRACTICE = "common practice, no source"
GRAVITY = 9.80665  # m/s²
SHAKE = 10.0  # times gravity: what the mounts must hold without slipping; common practice, no source
SPANNER = 1.0  # of a mount hole's diameter: radius of a bolt's head with washer and a thin-walled socket


def bolt_findings(design: BracketDesign) -> Iterator[Finding]:
    """Room for a spanner on every mount bolt; play, and whether the slots hold, where the thread is named."""
    yield from _spanners(design)
    mounts = design.asked.bracket.mounts
    names = [mount.thread for mount in mounts if mount.thread is not None]
    if not names:
        return
    for number, mount in enumerate(mounts, 1):
        if mount.thread is not None:
            play = mount.hole - nominal_mm(mount.thread)
            yield at_most(
                Check.MOUNT_HOLE_PLAY,
                f"{SUBJECT}, mount {number}",
                round(play, 3),
                "mm",
                round(0.25 * nominal_mm(mount.thread), 3),
                "how much wider the hole is than its bolt: beyond a quarter of the bolt it needs a thick washer",
                PRACTICE,
                "warn",
            )
    try:
        force = min(clamp_force_n(thread(name)) for name in names)
    except ValueError:
        return
    slips = slip_acceleration_m_s2(len(names), force, design.mass_kg + design.sensor_mass_kg) / GRAVITY
    arm = _overhang(design)
    # the mass overhangs: the nearest bolts carry its turning moment as well
    yield at_least(
        Check.MOUNTS_HOLD,
        SUBJECT,
        round(slips / arm, 1),
        "g",
        SHAKE,
        f"shake at which the slots slip, class 8.8 bolts at usual torque, the load {arm:.1f} times greater for "
        "its overhang",
        "Shigley (bolt preload); friction 0.15 is common practice, no source",
        "warn",
    )


def _overhang(design: BracketDesign) -> float:
    """Load on the nearest bolt over its fair share, from the sensor's overhang beyond the mounts' spread."""
    points = np.array(design.mount_points)
    middle = points.mean(axis=0)
    spread = float(np.hypot(*(points - middle).T).max())
    reach = math.hypot(design.face[0] - middle[0], design.face[1] - middle[1])
    return 1.0 + reach / max(spread, 5.0)


def _spanners(design: BracketDesign) -> Iterator[Finding]:
    """What stands over each mount, seen along the crank: tab, riser, gussets, sensor; and the wheel over a rear arm."""
    over = [Polygon(loop.flatten(0.1)) for loop in plan_outlines(design)[1:]]
    over += [_foot(gusset) for gusset in design.gussets]
    over.append(_sensor_seen(design.asked))
    behind = design.asked.bracket.mount_face < 0
    for (x, y), hole in zip(design.mount_points, design.mounts, strict=True):
        need = SPANNER * hole.diameter
        nearest = min(float(shape.distance(Point(x, y))) for shape in over)
        if behind:
            nearest = min(nearest, max(0.0, math.hypot(x, y) - design.asked.job.wheel.outside_diameter / 2))
        yield at_least(
            Check.SPANNER_ROOM,
            f"{SUBJECT}, {hole.name}",
            round(nearest, 2),
            "mm",
            round(need, 2),
            "room round the bolt, seen along the crank, to tab, gusset, sensor and (arm behind it) the wheel; with "
            "less, no socket goes straight on, and the gap cannot be set with everything in place",
            PRACTICE,
            "warn",
        )


def _foot(gusset: Gusset) -> Polygon:
    """The footprint of a gusset, seen along the crank."""
    x0, _, x1, _ = gusset.loop.bounds()
    t = gusset.thickness
    corners = gusset.frame.points([(x0, 0.0, 0.0), (x1, 0.0, 0.0), (x1, 0.0, t), (x0, 0.0, t)])
    return Polygon(corners[:, :2])


def _sensor_seen(asked: Asked) -> Polygon:
    """Nose and tail of the sensor, seen along the crank."""
    place, body = asked.place, asked.body
    if abs(place.look[2]) > 0.5:
        return Point(place.face[:2]).buffer(body.flange_radius)
    look, face = np.array(place.look[:2]), np.array(place.face[:2])
    across = np.array([-look[1], look[0]]) * body.diameter / 2
    ends = (face - TAIL_LENGTH * look, face + place.nose_length * look)
    return Polygon([ends[0] - across, ends[0] + across, ends[1] + across, ends[1] - across])
