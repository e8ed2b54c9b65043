"""The folded bracket's outlines as they are seen: along the bend line, and along the crank. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from wheelcad.parts.bracket.model import BracketDesign, Region
from wheelcad.trade.loop import Loop


def profile(design: BracketDesign) -> Loop:
    """The folded plate seen along the bend line: x along the arm, y through it, in the arm's frame; anticlockwise."""
    t, bends = design.thickness, design.bends
    far = design.regions[0].loop.bounds()[2]
    lower, upper = [(far, 0.0, 0.0)], [(far, t, 0.0)]
    for number, bend in enumerate(bends):
        near, beyond = design.regions[number], design.regions[number + 1]
        bulge = math.tan(math.radians(-bend.angle_deg if bend.up else bend.angle_deg) / 4)
        for skin, w in ((lower, 0.0), (upper, t)):
            skin.append((*_seen(design, near, bend.x_arm, w), bulge))
            skin.append((*_seen(design, beyond, bend.x_tab, w), 0.0))
    end = design.regions[-1]
    lower.append((*_seen(design, end, 0.0, 0.0), 0.0))
    upper.append((*_seen(design, end, 0.0, t), 0.0))
    # back along the upper skin: the bulge belongs to the edge's new start
    back = [(x, y, -upper[k - 1][2]) for k, (x, y, _) in reversed(list(enumerate(upper)))]
    return Loop([*lower, *back]).oriented()


def _seen(design: BracketDesign, region: Region, x: float, w: float) -> tuple[float, float]:
    """A flat point of a region in the profile's x, y."""
    return profile_point(design, region.frame.points((x, 0.0, w)))


def profile_point(design: BracketDesign, engine: np.ndarray) -> tuple[float, float]:
    """An engine point (3,) in the profile's x, y."""
    x, _, w = design.regions[0].frame.back(engine).tolist()
    return float(x), float(w)


def plan_loop(region: Region, loop: Loop) -> Loop:
    """A flat loop of a region that lies square to the crank, as seen from the front of the engine."""
    v = loop.vertices
    points = region.frame.points(np.column_stack([v[:, 0], v[:, 1], np.zeros(len(v))]))
    sign = math.copysign(1.0, region.frame.ez[2])
    return Loop(np.column_stack([points[:, :2], sign * v[:, 2]]))


def plan_outlines(design: BracketDesign) -> Iterator[Loop]:
    """Regions square to the crank as they are, others by their footprint, all seen from the front."""
    for region in design.regions:
        if abs(region.frame.ez[2]) > 1 - 1e-9:
            yield plan_loop(region, region.loop)
            continue
        x0, y0, x1, y1 = region.loop.bounds()
        points = np.array(
            [region.frame.points((x, y, w)) for x in (x0, x1) for y in (y0, y1) for w in (0, design.thickness)]
        )
        ey = np.array(region.frame.ey[:2])
        ex = np.array([-ey[1], ey[0]])
        low, high = (points[:, :2] @ ex).min(), (points[:, :2] @ ex).max()
        left, right = (points[:, :2] @ ey).min(), (points[:, :2] @ ey).max()
        yield Loop.polygon(
            [(a * ex + b * ey).tolist() for a, b in ((low, left), (high, left), (high, right), (low, right))]
        )
