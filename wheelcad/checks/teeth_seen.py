"""The teeth of wheel.stl as the edges that a sensor meets, at the radius where it looks.

At the rim itself a mesh has no side to cross (its tops are chords of the rim), so an edge there is where the straight
line through two points of the side meets the rim's circle. Sides are straight in every wheel we make.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.checks.mesh import circle_crossings, section_segments
from wheelcad.files.stl import read_stl
from wheelcad.job.models import Sensor
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.signal.edges import Edges
from wheelcad.trade.frames import wrap_180

NEAR_RIM = 0.7  # of the way from the middle of the straight side to the rim: the second point of a side's line
BELOW_RIM_MM = 0.05  # radii closer to the rim than this count as the rim


def measured_edges(folder: Path, wheel: WheelDesign, sensor: Sensor) -> Edges:
    """The teeth measured in wheel.stl in the folder at mid thickness: source "files".

    Number of positions and missing teeth are the pattern's, which check_wheel holds the file to. OSError or
    JobFileError for a file that cannot be read, ValueError where it shows no such wheel.
    """
    segments, normals = section_segments(read_stl(folder / "wheel.stl"), 0.0)
    rim = float(np.hypot(*segments.reshape(-1, 2).T).max()) if len(segments) else 0.0
    radius = wheel.read_at_mm(sensor)
    if sensor.looks == "in":
        radius = rim
    start, end = _edges_at(segments, normals, wheel, radius, rim)
    if len(start) != len(wheel.teeth.tooth_centres_deg):
        raise ValueError(f"{len(start)} teeth instead of {len(wheel.teeth.tooth_centres_deg)}")
    slot = np.mod(np.roll(start, -1) - end, 360.0)
    width = float(np.median(slot))
    depth = wheel.thickness_mm
    if sensor.looks == "in":
        middles = end[slot < width * 1.5] + slot[slot < width * 1.5] / 2
        depth = rim - float(np.median([_outline_at(segments, angle, wheel.sense) for angle in middles]))
    missing = tuple(gap.missing for gap in wheel.gaps)
    return Edges(wheel.teeth.count, missing, start, end, radius, depth, float(np.radians(width) * radius), rim, "files")


def _edges_at(
    segments: Floats, normals: Floats, wheel: WheelDesign, radius: float, rim: float
) -> tuple[Floats, Floats]:
    """(t,) from and to of every tooth at `radius`, by rising middle; to = from + width."""
    if radius < rim - BELOW_RIM_MM:
        return _paired(*circle_crossings(segments, normals, radius, wheel.sense))
    inner = wheel.slot.check_radius
    outer = inner + NEAR_RIM * (rim - inner)
    low = _paired(*circle_crossings(segments, normals, inner, wheel.sense))
    high = _paired(*circle_crossings(segments, normals, outer, wheel.sense))
    if len(low[0]) != len(high[0]):
        raise ValueError(f"{len(low[0])} teeth at one radius and {len(high[0])} at another")
    # a tooth across 0 degrees may begin before it at one radius and after it at the other
    turn = min((-1, 0, 1), key=lambda k: float(np.abs(wrap_180(np.roll(high[0], k) - low[0])).max()))
    starts = _on_line(low[0], inner, np.roll(high[0], turn), outer, rim)
    ends = _on_line(low[1], inner, np.roll(high[1], turn), outer, rim)
    return _paired(np.sort(np.mod(starts, 360.0)), np.sort(np.mod(ends, 360.0)))


def _paired(starts: Floats, ends: Floats) -> tuple[Floats, Floats]:
    """Sorted starts and ends of teeth, each start with the end that follows it. ValueError where they do not pair."""
    if len(starts) != len(ends) or len(starts) < 2:
        raise ValueError(f"{len(starts)} rising and {len(ends)} falling edges")
    if ends[0] < starts[0]:
        ends = np.roll(ends, -1)
    return starts, starts + np.mod(ends - starts, 360.0)


def _on_line(inner_deg: Floats, inner: float, outer_deg: Floats, outer: float, radius: float) -> Floats:
    """Angles at which the straight lines through (inner, inner_deg) and (outer, outer_deg) meet the circle `radius`."""
    p, q = inner * np.exp(1j * np.radians(inner_deg)), outer * np.exp(1j * np.radians(outer_deg))
    d = q - p
    a, b, c = np.abs(d) ** 2, 2 * (p * d.conj()).real, np.abs(p) ** 2 - radius**2
    return np.asarray(np.degrees(np.angle(p + d * (-b + np.sqrt(b * b - 4 * a * c)) / (2 * a))))


def _outline_at(segments: Floats, angle_deg: float, sense: int) -> float:
    """Radius of the section's outline, the farthest from the axis, in a direction; ValueError where there is none."""
    a = np.radians(angle_deg)
    along, across = np.array([sense * np.sin(a), np.cos(a)]), np.array([np.cos(a), -sense * np.sin(a)])
    r, s = segments @ along, segments @ across
    hit = (s[:, 0] < 0) != (s[:, 1] < 0)
    if not hit.any():
        raise ValueError("the wheel has no outline in the direction of a slot")
    share = s[hit, 0] / (s[hit, 0] - s[hit, 1])
    return float((r[hit, 0] + share * (r[hit, 1] - r[hit, 0])).max())
