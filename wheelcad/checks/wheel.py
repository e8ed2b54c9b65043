"""Measures wheel.stl: every tooth edge, the gap, the rim, and that it is one sound body.

Tolerances: EDGE_LIMIT is what float32 corners of a 300 mm wheel and the mesher leave room for many times over; the
volume's limit follows from the mesh's own deflection.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely

from wheelcad.arrays import Floats
from wheelcad.checks.mesh import MeshMoments, circle_crossings, fitted_circle, mesh_moments, section_segments
from wheelcad.checks.section import section_area
from wheelcad.checks.topology import topology
from wheelcad.codes import Check
from wheelcad.errors import UnreadableError
from wheelcad.files.stl import read_stl
from wheelcad.findings import OWN, About, Finding, at_most, holds
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.marks import WheelMark, half_width
from wheelcad.trade.frames import point_at, wrap_180, wrap_360
from wheelcad.words import angle, count, fine, length, quantity

ABOUT = About("wheel.stl", OWN)
EDGE_LIMIT_DEG = 0.001  # measured edges against theory
RUN_OUT_LIMIT_MM = 0.01  # of the rim about the axis: twice the mesh's deflection
VOLUME_LIMIT = 0.001  # relative, mesh against B-rep
HALF_TURN_DEG = 180.0


@dataclass(frozen=True)
class MeasuredTeeth:
    """Edges found half-way down the slots' straight sides at mid thickness. edges_deg: (t, 2), sorted [from, to]."""

    radius_mm: float
    edges_deg: Floats

    @property
    def centres_deg(self) -> Floats:
        """(t,) middles of the teeth."""
        start, end = self.edges_deg[:, 0], self.edges_deg[:, 1]
        return wrap_360(start + np.mod(end - start, 360.0) / 2)

    @property
    def widths_deg(self) -> Floats:
        """(t,) angular widths of the teeth."""
        return np.mod(self.edges_deg[:, 1] - self.edges_deg[:, 0], 360.0)

    @property
    def steps_deg(self) -> Floats:
        """(t,) from each tooth's centre to the next."""
        return np.mod(np.roll(self.centres_deg, -1) - self.centres_deg, 360.0)


def measure_teeth(triangles: Floats, radius: float, sense: int, z: float = 0.0) -> MeasuredTeeth:
    """Tooth edges where the section of the mesh at height z crosses the circle of `radius` mm.

    ValueError when edges do not come in pairs.
    """
    segments, normals = section_segments(triangles, z)
    starts, ends = circle_crossings(segments, normals, radius, sense)
    if len(starts) != len(ends) or len(starts) == 0:
        raise UnreadableError(f"{len(starts)} rising and {len(ends)} falling edges at radius {fine(radius)}")
    if ends[0] < starts[0]:  # the tooth that lies across 0 degrees
        ends = np.roll(ends, -1)
    return MeasuredTeeth(radius, np.column_stack([starts, ends]))


def check_wheel(folder: Path, wheel: WheelDesign) -> Iterator[Finding]:
    """All findings of wheel.stl but its balance."""
    triangles = read_stl(folder / "wheel.stl")
    yield sound_body(folder / "wheel.stl")
    expected = len(wheel.teeth.tooth_centres_deg)
    try:
        found = measure_teeth(triangles, wheel.slot.check_radius, wheel.sense)
    except ValueError as error:
        yield ABOUT.holds(Check.TOOTH_COUNT, False, str(error), "edges must come in pairs")
        return
    count = len(found.edges_deg)
    why = f"{wheel.teeth.count} positions less {wheel.teeth.missing} missing"
    yield ABOUT.holds(Check.TOOTH_COUNT, count == expected, f"{count} teeth", why)
    if count != expected:
        return
    yield from _edges(found, wheel)
    yield from _gaps(found, wheel)
    yield _rim(triangles, wheel)
    notches = [mark for mark in wheel.marks if mark.deep is not None]
    yield from (finding for mark in notches for finding in _notch(triangles, wheel, mark))


def _notch(triangles: Floats, wheel: WheelDesign, mark: WheelMark) -> list[Finding]:
    """A notch in the section half its depth below the face: its middle's angle, its ends and its width there. It is the
    opening nearest to where it belongs; a correction hole may lie beside it."""
    assert mark.deep is not None
    along, across = point_at(1.0, [mark.at_deg, mark.at_deg + 90.0], wheel.sense)
    belongs = shapely.LineString([mark.inner * along, mark.outer * along])
    area = section_area(triangles, wheel.thickness_mm / 2 - mark.deep / 2)
    openings = [ring for part in shapely.get_parts(area) for ring in part.interiors]
    nearest = min(openings, key=belongs.distance, default=None)
    if nearest is None or belongs.distance(nearest) > 2 * mark.deep:
        return [ABOUT.holds(Check.NOTCH_PLACE, False, "no notch found", "the TDC notch is in the solid")]
    points = shapely.get_coordinates(nearest)
    s, t = points @ along, points @ across
    off = abs(float(np.degrees(np.arctan2((t.min() + t.max()) / 2, (mark.inner + mark.outer) / 2))))
    half = half_width(mark.deep / 2)
    size = max(abs(s.min() - mark.inner), abs(s.max() - mark.outer), abs(t.max() - half), abs(-t.min() - half))
    return [
        _degrees(Check.NOTCH_PLACE, off, EDGE_LIMIT_DEG, f"distance of the {mark.name} from {mark.at_deg:g} deg"),
        ABOUT.at_most(Check.NOTCH_SIZE, float(size), "mm", RUN_OUT_LIMIT_MM, "ends and width at half its depth"),
    ]


def _edges(found: MeasuredTeeth, wheel: WheelDesign) -> list[Finding]:
    theory = wheel.tooth_edges_at(found.radius_mm)
    theory = theory[np.argsort(theory[:, 0])]
    # an edge within rounding of 0 degrees may sort to the other end: compare from the best turn of the list
    turns = [np.abs(wrap_180(np.roll(found.edges_deg, k, axis=0) - theory)).max() for k in (-1, 0, 1)]
    where = f"at radius {fine(found.radius_mm)}, the middle of the slots' straight sides"
    widths = found.widths_deg
    expected = float(np.mod(theory[0, 1] - theory[0, 0], 360.0))
    steps = found.steps_deg / wheel.pitch_deg
    off_pitch = np.abs(found.steps_deg - np.round(steps) * wheel.pitch_deg).max()
    size = f"largest departure from {quantity(expected, 'fine-angle')} {where}"
    return [
        _degrees(
            Check.EDGE_ANGLES,
            float(min(turns)),
            EDGE_LIMIT_DEG,
            f"largest distance of any tooth edge from theory, {where}",
        ),
        _degrees(
            Check.TOOTH_SPACING,
            float(off_pitch),
            EDGE_LIMIT_DEG,
            "largest departure of tooth centres from whole pitches",
        ),
        _degrees(Check.TOOTH_WIDTH, float(np.abs(widths - expected).max()), 2 * EDGE_LIMIT_DEG, size),
    ]


def _degrees(check: Check, measured: float, limit: float, why: str) -> Finding:
    return ABOUT.at_most(check, measured, "deg", limit, why)


def _gaps(found: MeasuredTeeth, wheel: WheelDesign) -> Iterator[Finding]:
    """Each gap's place and size, from the steps between teeth that are more than one pitch."""
    steps = found.steps_deg
    wide = np.flatnonzero(steps > 1.5 * wheel.pitch_deg)
    wanted = [gap for gap in wheel.gaps if gap.missing]
    missing = ", ".join(str(round(s / wheel.pitch_deg) - 1) for s in steps[wide]) or "no"
    said = f"{count(len(wide), 'gap')} with {missing} missing"
    sizes = sorted(round(float(s) / wheel.pitch_deg) - 1 for s in steps[wide])
    yield ABOUT.holds(
        Check.GAP_COUNT, sizes == sorted(gap.missing for gap in wanted), said, "as many gaps, as wide, as the job says"
    )
    middles = wrap_360(found.centres_deg[wide] + steps[wide] / 2)
    for gap in wanted:
        off = float(np.abs(wrap_180(middles - gap.at_deg)).min()) if len(middles) else float("inf")
        why = f"distance of the gap's middle from {angle(gap.at_deg)}"
        yield ABOUT.at_most(Check.GAP_PLACE, off, "deg", EDGE_LIMIT_DEG, why)


def _rim(triangles: Floats, wheel: WheelDesign) -> Finding:
    """The rim about the axis: an indicator reads twice the eccentricity of the circle through the tooth tops."""
    segments, _ = section_segments(triangles, 0.0)
    points = segments.reshape(-1, 2)
    tops = points[np.hypot(*points.T) > wheel.radius_mm - min(0.1, wheel.slot.depth / 4)]
    if len(tops) < 3:
        return ABOUT.holds(Check.RIM_RUN_OUT, False, "no rim found", "tooth tops must lie on the rim")
    worst = _off_round(tops, wheel)
    why = f"indicator reading on the tooth tops, and their radius against {length(wheel.radius_mm)}"
    return ABOUT.at_most(Check.RIM_RUN_OUT, worst, "mm", RUN_OUT_LIMIT_MM, why)


def _off_round(tops: Floats, wheel: WheelDesign) -> float:
    """What an indicator would show at most, mm: of the circle through the tooth tops (n, 2) and its radius.

    A circle through a few teeth on one side says little of its centre: there each tooth's own radius is looked at.
    """
    angles = np.degrees(np.arctan2(tops[:, 1], tops[:, 0]))
    order = np.argsort(angles)
    steps = np.diff(angles[order], prepend=angles[order[-1]] - 360)
    if steps.max() < HALF_TURN_DEG:
        x, y, radius = fitted_circle(tops)
        return max(2 * float(np.hypot(x, y)), abs(radius - wheel.radius_mm))
    radii, tooth = np.hypot(*tops[order].T), np.cumsum(steps > wheel.pitch_deg / 4)
    highest = np.array([radii[tooth == number].max() for number in np.unique(tooth)])
    return float(max(np.ptp(highest), np.abs(highest - wheel.radius_mm).max()))


def sound_body(path: Path) -> Finding:
    """One watertight body of positive volume."""
    triangles = read_stl(path)
    if not len(triangles):
        return holds(Check.SOUND_BODY, path.name, False, "no triangles", "there must be a body", "mesh topology")
    found, volume = topology(triangles), mesh_moments(triangles).volume
    tight = "watertight" if found.watertight else "not watertight"
    said = f"{tight}, {count(found.bodies, 'body', 'bodies')}, {quantity(volume, 'volume')}"
    good = found.closed and found.bodies == 1 and volume > 0
    why = "a printed or machined part is one closed body"
    return holds(Check.SOUND_BODY, path.name, good, said, why, "mesh topology")


def volume_agrees(name: str, moments: MeshMoments, brep_volume: float) -> Finding:
    """The mesh's volume against the solid's, as re-read from its STEP file."""
    off = abs(moments.volume / brep_volume - 1)
    why = f"mesh {quantity(moments.volume, 'volume', 2)} against {quantity(brep_volume, 'volume', 2)} of {name}.step"
    return at_most(Check.VOLUME, f"{name}.stl", off, "relative", VOLUME_LIMIT, why, "B-rep against mesh")


def wheel_moments(folder: Path, name: str) -> MeshMoments:
    """Moments of NAME.stl in the folder."""
    return mesh_moments(read_stl(folder / f"{name}.stl"))
