"""Measures gauge.stl: one sound body, bolt holes, every mark, the TDC pointer, thin walls, lettering, the bed.

Tolerances: MARK_LIMIT and HOLE_LIMIT leave room for the mesher's deflection and the file's float32 corners, no more;
a printer adds its own tenth of a millimetre.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import shapely

from wheelcad.arrays import Floats
from wheelcad.checks.mesh import circle_crossings, fitted_circle, mesh_moments, section_segments
from wheelcad.checks.section import narrowest, section_area
from wheelcad.checks.topology import topology
from wheelcad.codes import Check
from wheelcad.files.stl import read_stl
from wheelcad.findings import OWN, PRACTICE, About, Finding, at_least, holds
from wheelcad.parts.gauge.lettering import number_text
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.trade.frames import angle_of, wrap_180
from wheelcad.trade.printing import LEAST_TEXT_STROKE_MM, least_wall_mm
from wheelcad.words import count, diameter, length, quantity

STL = "gauge.stl"
ABOUT = About(STL, OWN)
MARK_LIMIT_DEG = 0.002  # a mark's edges against theory
HOLE_LIMIT_MM = 0.02  # a bolt hole's place, and its diameter
SNUG_MM = 0.001  # a hole's flats inside its circle, on the diameter: what single precision leaves
SIZE_LIMIT_MM = 0.02  # over all
STROKE_LIMIT_MM = LEAST_TEXT_STROKE_MM - 0.03  # less what measuring it is good to
WIDE_MM = 4.0  # walls are not measured beyond this


def check_gauge(folder: Path, design: GaugeDesign) -> list[Finding]:
    """All findings of gauge.stl."""
    triangles = read_stl(folder / STL)
    return [
        *check_bodies(triangles, design),
        *check_size(triangles, design),
        *check_marks(triangles, design),
        *check_holes(triangles, design),
        *check_seat(triangles, design),
        *check_writing(triangles, design),
        *check_walls(triangles, design),
    ]


def check_bodies(triangles: Floats, design: GaugeDesign) -> list[Finding]:
    """Watertight bodies, as many as the gauge has pieces."""
    found, volume = topology(triangles), mesh_moments(triangles).volume
    closed = found.closed and volume > 0
    said = f"{'watertight' if closed else 'not watertight'}, {found.bodies} of {count(design.pieces, 'body', 'bodies')}"
    said += f", {quantity(volume, 'volume')}"
    why = "every printed piece is one closed body"
    return [holds(Check.GAUGE_BODIES, STL, closed and found.bodies == design.pieces, said, why, "mesh topology")]


def check_size(triangles: Floats, design: GaugeDesign) -> list[Finding]:
    """Over all against the design."""
    size = np.ptp(triangles.reshape(-1, 3), axis=0)
    off = float(np.abs(size - np.array(design.size_mm)).max())
    said = " × ".join(length(float(v)) for v in size)
    return [ABOUT.at_most(Check.GAUGE_SIZE, off, "mm", SIZE_LIMIT_MM, f"over all {said}, against the design")]


def measure_marks(triangles: Floats, design: GaugeDesign) -> Floats:
    """(n, 2) where each mark's slot or finger begins and ends in the mesh, degrees mod 360, nearest to its place."""
    segments, normals = section_segments(triangles, design.z_marks)
    metal_from, metal_to = circle_crossings(segments, normals, design.mark_radius, design.sense)
    begin, end = (metal_from, metal_to) if design.body.finger_mm > 0 else (metal_to, metal_from)
    wanted = design.mark_edges_deg()
    return np.column_stack([nearest_angle(begin, wanted[:, 0]), nearest_angle(end, wanted[:, 1])])


def nearest_angle(angles: Floats, wanted: Floats) -> Floats:
    """For each wanted angle the nearest of those found; not a number when there is none."""
    if len(angles) == 0:
        return np.full(len(wanted), np.nan)
    apart = np.abs(wrap_180(angles[None, :] - wanted[:, None]))
    found: Floats = angles[apart.argmin(axis=1)]
    return found


def check_marks(triangles: Floats, design: GaugeDesign) -> Iterator[Finding]:
    """Every mark's two edges, and the TDC pointer's tip."""
    off = np.abs(wrap_180(measure_marks(triangles, design) - design.mark_edges_deg()))
    off = np.where(design.mark_edges_cut(), off, 0.0)
    worst = float(off.max()) if np.isfinite(off).all() else float("nan")
    k = int(np.nan_to_num(off, nan=np.inf).max(axis=1).argmax())
    which = f"{len(design.marks)} marks' edges, cut {design.marks[k].number}"
    why = f"largest distance from theory of {which}, at radius {length(design.mark_radius)}"
    yield ABOUT.at_most(Check.GAUGE_MARKS, worst, "deg", MARK_LIMIT_DEG, why)
    if design.engraving.tdc is not None:
        segments, _ = section_segments(triangles, design.z_front - design.body.text_depth / 2)
        points = segments.reshape(-1, 2)
        tip = np.array(design.engraving.tdc)
        near = points[np.hypot(*(points - tip).T).argmin()]
        angle = abs(float(wrap_180(angle_of(near[0], near[1], design.sense))))
        lost = float(np.hypot(*(near - tip))) > 0.1
        why = "the TDC pointer's tip must lie on the TDC line"
        yield ABOUT.at_most(Check.GAUGE_TDC, float("nan") if lost else angle, "deg", 0.02, why)


def check_holes(triangles: Floats, design: GaugeDesign) -> list[Finding]:
    """Bolt holes: place, diameter, and that no flat of the mesh makes them undersize."""
    if not design.holes:
        return []
    segments, _ = section_segments(triangles, design.seat.z + 0.25 * design.thickness_mm)
    middles = segments.mean(axis=1)
    place, size, snug = [], [], []
    for hole in design.holes:
        centre = np.array([hole.x, hole.y])
        away = np.hypot(*(middles - centre).T)
        own = segments[(away < 1.2 * hole.radius) & (away > 0.8 * hole.radius)]
        if len(own) < 8:
            why = "every bolt of the pulley needs its hole"
            return [ABOUT.holds(Check.GAUGE_HOLES, False, "a bolt hole is missing", why)]
        x, y, radius = fitted_circle(own.reshape(-1, 2))
        place.append(float(np.hypot(x - hole.x, y - hole.y)))
        size.append(abs(2 * radius - 2 * hole.radius))
        snug.append(2 * (hole.radius - float(np.hypot(*(own.mean(axis=1) - centre).T).min())))
    count, wanted = len(design.holes), diameter(2 * design.holes[0].radius)
    return [
        ABOUT.at_most(Check.GAUGE_HOLE_PLACE, max(place), "mm", HOLE_LIMIT_MM, f"worst of {count} bolt holes' places"),
        ABOUT.at_most(Check.GAUGE_HOLE_SIZE, max(size), "mm", HOLE_LIMIT_MM, f"against {wanted}, hole and allowance"),
        ABOUT.at_most(Check.GAUGE_HOLE_FLATS, max(snug), "mm", SNUG_MM, "what flats of the mesh take off a hole"),
    ]


def check_seat(triangles: Floats, design: GaugeDesign) -> Iterator[Finding]:
    """The skirt clear of the shoulder, or the boss of the bore, by what the design says; both as long as designed."""
    seat, register = design.seat, design.seat.register
    low = float(triangles[:, :, 2].min())
    why = "skirt or boss ends where it should"
    yield ABOUT.at_most(Check.GAUGE_REACH, abs(low - design.z_back), "mm", SIZE_LIMIT_MM, why)
    if seat.cavities:
        cavity = seat.cavities[-1]
        inner = _circle_about_axis(triangles, cavity.z0 + 0.6 * (cavity.z1 - cavity.z0), cavity.radius)
        clear = cavity.radius - design.seat.shoulder_radius
        why = f"inside of the skirt against {length(cavity.radius)} radius, {length(clear)} clear of the shoulder"
        yield ABOUT.at_most(Check.GAUGE_SKIRT, abs(inner - cavity.radius), "mm", HOLE_LIMIT_MM, why)
    elif register.boss is not None and not register.keyed:
        outer = _circle_about_axis(triangles, seat.z - register.boss_depth / 2, register.printed_diameter / 2)
        why = f"the boss against {diameter(register.printed_diameter)}, which fits {diameter(register.metal_diameter)}"
        off = abs(2 * outer - register.printed_diameter)
        yield ABOUT.at_most(Check.GAUGE_BOSS, off, "mm", HOLE_LIMIT_MM, why)


def _circle_about_axis(triangles: Floats, z: float, radius: float) -> float:
    """Mean radius of the section's corners within 0.1 mm of `radius`; not a number when there are too few."""
    points = section_segments(triangles, z)[0].reshape(-1, 2)
    away = np.hypot(*points.T)
    own = away[np.abs(away - radius) < 0.1]
    return float(own.mean()) if len(own) >= 8 else float("nan")


def check_writing(triangles: Floats, design: GaugeDesign) -> Iterator[Finding]:
    """Narrowest stroke of the engraving, and that every number written stands at its slot."""
    if not design.engraving.loops:
        return
    depth = design.body.text_depth
    cut = section_area(triangles, design.z_front - depth / 2)
    whole = section_area(triangles, design.z_front - depth - 0.01)
    within = shapely.Point(0, 0).buffer(design.body.clear_radius - 0.5, 64)
    letters = [p for p in shapely.get_parts(whole.difference(cut)) if p.area > 0.05 and within.contains(p)]
    stroke = min((narrowest(p, 2.0) for p in letters), default=float("nan"))
    why = f"narrowest engraved stroke, {len(letters)} letters and signs"
    yield at_least(Check.GAUGE_STROKE, STL, stroke, "mm", STROKE_LIMIT_MM, why, "print guides")
    size = design.engraving.size
    missing = []
    at = {mark.number: mark.at_deg for mark in design.marks}
    most = max(at, default=1)
    middles = np.array([p.centroid.coords[0] for p in letters]).reshape(-1, 2)
    radius = np.hypot(*middles.T)
    angle = angle_of(middles[:, 0], middles[:, 1], design.sense)
    for number in design.engraving.numbered:
        turned = np.radians(angle - at[number])
        across = radius * np.sin(turned)
        near = (
            (np.cos(turned) > 0)
            & (np.abs(across) < size.width(number_text(number, most)) / 2)
            & (np.abs(radius - design.number_radius) < size.height)
        )
        if np.count_nonzero(near) != len(number_text(number, most)):
            missing.append(str(number))
    said = f"{len(design.engraving.numbered) - len(missing)} of {len(design.engraving.numbered)} in place" + (
        f", not {', '.join(missing)}" if missing else ""
    )
    why = "each cut's number stands inside its slot, with as many digits as it has"
    yield ABOUT.holds(Check.GAUGE_NUMBERS_IN_PLACE, not missing, said, why)


def check_walls(triangles: Floats, design: GaugeDesign) -> list[Finding]:
    """The thinnest wall at plate and skirt, against the nozzle."""
    heights = [design.seat.z + 0.25 * design.thickness_mm, design.z_front - design.body.text_depth - 0.02]
    if design.seat.z - design.seat.z_ring > 0.5:
        heights.append((design.seat.z + design.seat.z_ring) / 2)
    if design.body.finger_mm > 0:
        heights.append(design.z_marks)
    thin = min(narrowest(section_area(triangles, z), WIDE_MM) for z in heights)
    edges = measure_marks(triangles, design)
    if design.style == "outline" and len(edges) > 1:
        steps = np.mod(np.roll(edges[:, 0], -1) - edges[:, 1], 360.0)
        thin = min(thin, float(2 * design.mark_radius * np.sin(np.radians(steps.min() / 2))))
    lines = f"two lines of a {length(design.nozzle_mm)} nozzle"
    why = f"thinnest wall, rib or tooth (walls over {length(WIDE_MM)} are not measured); {lines}"
    return [
        at_least(
            Check.GAUGE_WALL,
            STL,
            thin,
            "mm",
            least_wall_mm(design.nozzle_mm),
            why,
            PRACTICE,
            "warn",
        )
    ]
