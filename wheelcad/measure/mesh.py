"""A wheel from a mesh in any pose: axis, middle, teeth, run-out, unbalance.

The axis is the direction in which the wheel's faces look: found roughly from all triangles' normals, then as the mean
of those that look nearly along it. The tooth ring is where a section across the axis is crossed most often by a
circle a little inside the rim. Sides are lines through crossings at several radii and heights. Frame: Z along the
axis towards the person who faces the wheel (the file's +Z where --face is front), lengths mm, angles degrees as in
`frames.py`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.checks.mesh import circle_crossings, section_segments
from wheelcad.measure.mesh_files import open_share, read_triangles
from wheelcad.measure.mesh_sizes import lengths, unbalance
from wheelcad.measure.partway import part_voids
from wheelcad.measure.pattern import FEWEST, find_pattern
from wheelcad.measure.reading import About, Face, WheelReading, refused
from wheelcad.measure.rounds import FittedRound, circle_through, hull_circle
from wheelcad.measure.sides import Sides, fit_sides
from wheelcad.trade.frames import angle_of, sense_of, wrap_360
from wheelcad.trade.materials import MATERIALS

LEAST_TRIANGLES = 60
LEAST_MM, MOST_MM = 20.0, 1200.0  # diameters of what can be a trigger wheel or the pulley it is cut into
OPEN_SHARE = 2e-3  # of edges or surface missing, from which a mesh is called open
LEVEL_MM, FEWEST_LEVELS, MOST_LEVELS = 0.8, 7, 48  # along the axis, where teeth are looked for
SAMPLE = 200_000  # triangles that are asked where the axis is
POINTS = 300_000  # corners through which circles are laid, at most
RADII, HEIGHTS = 9, 5
SHARES = (0.006, 0.01, 0.016, 0.024, 0.04, 0.06)  # of the rim's radius, going inwards: where teeth are looked for
FLOOR_STEP = 0.003  # of the rim's radius
LEAST_TOPS = 0.1  # of the circle: tooth tops together
LEAST_KEPT = 0.75  # of a slot's width near the rim, more than half-way down
LEAST_BORE_MM = 2.0
SEAMS = "some edges of the mesh do not meet: its unbalance is good to what the seams leave"
FLOOR_SD_DEG = 0.0002  # single precision corners, and the mesher's own
DENSITY = MATERIALS["mild-steel"].density_kg_m3  # where no job says what the wheel is made of


@dataclass(frozen=True, eq=False)
class MeshRing:
    """The tooth ring in the axis frame: heights low, high; rim; floor radius; teeth counted."""

    low: float
    high: float
    rim: tuple[float, float, float]
    floor_radius: float
    teeth: int


class Solid:
    """A mesh in the axis frame. columns: (corner, axis, triangle), so that whole columns are worked on; low, high: (n,)
    heights of each triangle."""

    def __init__(self, raw: Floats, middle: Floats, frame: Floats) -> None:
        columns = raw.reshape(-1, 9).T.astype(np.float64, order="C").reshape(3, 3, -1)
        columns -= middle[None, :, None]
        self.columns: Floats = np.matmul(frame, columns)
        self.low: Floats = self.columns[:, 2].min(axis=0)
        self.high: Floats = self.columns[:, 2].max(axis=0)
        self._six_volumes: Floats | None = None

    def section(self, level: float) -> tuple[Floats, Floats]:
        """Segments (m, 2, 2) and outward normals (m, 2) of the section at a height; empty where nothing is cut."""
        cut = np.flatnonzero((self.low < level) & (self.high >= level))
        return section_segments(self.columns[:, :, cut].transpose(2, 0, 1), level)

    def corners(self, low: float, high: float) -> Floats:
        """(m, 2) x and y of the corners between two heights; of a very fine mesh POINTS of them, drawn at random but
        always the same."""
        near = np.flatnonzero((self.high > low) & (self.low < high))
        if 3 * len(near) > POINTS:
            near = near[np.random.default_rng(0).integers(len(near), size=POINTS // 3)]
        x, y, z = self.columns[:, :, near].transpose(1, 0, 2).reshape(3, -1)
        inside = (z > low) & (z < high)
        return np.column_stack([x[inside], y[inside]])

    def first_moments(self, centre: Floats) -> Floats:
        """∫x dV, ∫y dV (2,) about an axis through `centre`, mm⁴: the sum over tetrahedra with the origin."""
        (ax, ay, _), (bx, by, _), (cx, cy, _) = self.columns
        six = self._six()
        first = np.array([float(six @ (ax + bx + cx)), float(six @ (ay + by + cy))]) / 24
        return np.asarray(first - centre * float(six.sum()) / 6)

    def volume(self) -> float:
        """mm³."""
        return float(self._six().sum()) / 6

    def _six(self) -> Floats:
        """(n,) six times the volume of each triangle's tetrahedron with the origin."""
        if self._six_volumes is None:
            (ax, ay, az), (bx, by, bz), (cx, cy, cz) = self.columns
            self._six_volumes = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)
        return self._six_volumes


def mesh_reading(path: Path, face: Face, about: About | None, turns: str, density: float = DENSITY) -> WheelReading:
    """Measure a mesh file. JobFileError, in one sentence, for what is no wheel. density: kg/m³, for unbalance."""
    raw = read_triangles(path)
    share = _whole(path, raw)
    middle = raw[:: max(1, len(raw) // SAMPLE)].mean(axis=(0, 1), dtype=float)
    found = None
    for axis in _axes(raw):
        axis = _facing(axis, face)
        solid = Solid(raw, middle, _frame(axis))
        ring = find_ring(solid)
        if ring is not None:
            found = (solid, ring)
            break
    if found is None:
        raise refused(path, "shows no ring of teeth: no section across any axis has at least four evenly spaced slots")
    solid, ring = found
    if not LEAST_MM <= 2 * ring.rim[2] <= MOST_MM:
        raise _bad_size(path, 2 * ring.rim[2])
    return _measured(path, solid, ring, about, sense_of(turns), density, share)


def _whole(path: Path, raw: Floats) -> float:
    """How open the mesh is, at most OPEN_SHARE: what is more, or tiny, is refused."""
    if len(raw) < LEAST_TRIANGLES:
        raise refused(path, f"is too small to be a wheel: {len(raw)} triangles")
    size = float(np.linalg.norm(np.ptp(raw[:: max(1, len(raw) // SAMPLE)].reshape(-1, 3), axis=0)))
    if not LEAST_MM <= size <= 3 * MOST_MM:
        raise _bad_size(path, size)
    share = open_share(raw)
    if share > OPEN_SHARE:
        hint = "let the scanner's or the CAD program close it (fill holes, make solid), then measure again"
        raise refused(
            path, f"is an open mesh: {100 * share:.2g} % of its edges or surface are missing or inside out", hint
        )
    return share


def _bad_size(path: Path, size: float) -> Exception:
    hint = "a mesh in inches or metres has to be scaled to mm first"
    return refused(path, f"is {size:.3g} mm across, which no trigger wheel is: its unit is not mm", hint)


def _axes(raw: Floats) -> Iterator[Floats]:
    """Unit vectors that may be the axis, likeliest first."""
    raw = raw[:: max(1, len(raw) // SAMPLE)]
    areas = np.cross(raw[:, 1] - raw[:, 0], raw[:, 2] - raw[:, 0]).astype(float)
    size = np.linalg.norm(areas, axis=1)
    kept = size > 0
    areas, size = areas[kept], size[kept]
    values, vectors = np.linalg.eigh((areas / size[:, None]).T @ areas)
    lone = [float(np.min(np.abs(np.delete(values, i) - values[i]))) for i in range(3)]
    for i in np.argsort(lone)[::-1]:
        axis = vectors[:, i]
        for limit in (0.9, 0.97, 0.995, 0.995):
            along = areas @ axis / size
            near = np.abs(along) > limit
            if near.sum() < 3:
                break
            mean = (areas[near] * np.sign(along[near])[:, None]).sum(axis=0)
            axis = mean / np.linalg.norm(mean)
        yield np.asarray(axis, dtype=float)


def _facing(axis: Floats, face: Face) -> Floats:
    """The axis turned so that it points at the person who faces the wheel."""
    lead = next((axis[i] for i in (2, 1, 0) if abs(axis[i]) > 1e-6), 1.0)
    up = axis if lead > 0 else -axis
    return up if face == "front" else -up


def _frame(axis: Floats) -> Floats:
    """Rows x, y, z of a right-handed frame with z along the axis, turned as little as can be from the file's own."""
    y = np.array([0.0, 1.0, 0.0]) if abs(axis[1]) < 0.9 else np.array([0.0, 0.0, 1.0])
    x = np.cross(y, axis)
    x /= np.linalg.norm(x)
    return np.stack([x, np.cross(axis, x), axis])


def find_ring(solid: Solid) -> MeshRing | None:
    """The tooth ring of a mesh whose axis is Z, or None. The middle need not be at the origin."""
    bottom, top = float(solid.low.min()), float(solid.high.max())
    count = int(np.clip((top - bottom) / LEVEL_MM, FEWEST_LEVELS, MOST_LEVELS))
    step = (top - bottom) / count
    seen: list[tuple[float, int, tuple[float, float, float]]] = []
    for level in (bottom + step * (np.arange(count) + 0.5)).tolist():
        segments, normals = solid.section(level)
        teeth = _teeth_in(segments, normals) if len(segments) >= 12 else None
        if teeth is not None:
            seen.append((level, *teeth))
    if not seen:
        return None
    most = max(count for _, count, _ in seen)
    best = [one for one in seen if one[1] == most]
    runs = np.split(np.arange(len(best)), np.flatnonzero(np.diff([one[0] for one in best]) > 1.5 * step) + 1)
    run = max(runs, key=len)
    level, _, rim = best[int(run[len(run) // 2])]
    section = solid.section(level)
    floor = _floor_radius(*section, rim, most)
    if not _has_sides(*section, rim, floor):
        return None
    return MeshRing(best[int(run[0])][0] - step / 2, best[int(run[-1])][0] + step / 2, rim, floor, most)


def _teeth_in(segments: Floats, normals: Floats) -> tuple[int, tuple[float, float, float]] | None:
    """(teeth, rim circle) of a section that shows teeth: two circles inside the rim meet as many, evenly spaced."""
    rim = hull_circle(segments.reshape(-1, 2))
    if rim is None or not LEAST_MM / 2 < rim[2] < MOST_MM:
        return None
    centred = segments - np.array(rim[:2])
    counts: list[int] = []
    for share in SHARES:
        starts, ends = circle_crossings(centred, normals, rim[2] * (1 - share), 1)
        teeth = len(starts) if len(starts) == len(ends) else 0
        if teeth >= FEWEST and teeth in counts and _even(starts, ends):
            return teeth, rim
        counts.append(teeth)
    return None


def _floor_radius(segments: Floats, normals: Floats, rim: tuple[float, float, float], teeth: int) -> float:
    """The least radius down to which a circle, going inwards, still meets every slot."""
    centred = segments - np.array(rim[:2])
    deepest, met = rim[2] * (1 - SHARES[0]), False
    for share in np.arange(SHARES[0], 0.5, FLOOR_STEP).tolist():
        starts, _ = circle_crossings(centred, normals, rim[2] * (1 - share), 1)
        if len(starts) == teeth:
            deepest, met = rim[2] * (1 - share), True
        elif met and len(starts) < teeth / 2:
            break
    return float(deepest)


def _has_sides(segments: Floats, normals: Floats, rim: tuple[float, float, float], floor: float) -> bool:
    """Whether what lies between the teeth keeps its width on the way down: the corners of a nut are no teeth."""
    centred = segments - np.array(rim[:2])
    chords = []
    for share in (0.15, 0.6):
        radius = rim[2] - share * (rim[2] - floor)
        chords.append(_slot_width((centred, normals), radius, 1))
    starts, ends = circle_crossings(centred, normals, rim[2] - 0.05 * (rim[2] - floor), 1)
    ends = np.roll(ends, -1) if len(ends) and ends[0] < starts[0] else ends
    if len(starts) != len(ends) or float(np.mod(ends - starts, 360.0).sum()) < LEAST_TOPS * 360.0:
        return False
    return chords[0] > 0 and LEAST_KEPT < chords[1] / chords[0] < 1 / LEAST_KEPT


def _even(starts: Floats, ends: Floats) -> bool:
    ends = np.roll(ends, -1) if ends[0] < starts[0] else ends
    widths = np.mod(ends - starts, 360.0)
    centres = np.sort(wrap_360(starts + widths / 2))
    if find_pattern(np.mod(np.roll(centres, -1) - centres, 360.0)) is not None:
        return True
    return part_voids(np.column_stack([starts, starts + widths])) is not None


def _measured(
    path: Path,
    solid: Solid,
    ring: MeshRing,
    about: About | None,
    sense: int,
    density: float,
    share: float,
) -> WheelReading:
    thick = ring.high - ring.low
    points = solid.corners(ring.low - thick / 2, ring.high + thick / 2)
    rim = circle_through(points, ring.rim, 0.01 * ring.rim[2], 1e-4 * ring.rim[2])
    if rim is None:
        raise refused(path, "has no round rim over its teeth")
    bore = _bore(points, solid, rim, ring)
    if about == "bore" and bore is None:
        raise refused(
            path, "has no round bore about which it could be measured", hint="measure it about the rim: --about rim"
        )
    chosen: About = about or ("bore" if bore is not None else "rim")
    axis = bore if chosen == "bore" and bore is not None else rim
    centre = axis.centre
    sides, middle_radius, edge_sd = _sides(path, solid, ring, rim, centre, sense)
    count = len(sides.a) // 2
    edges = [np.column_stack([a[:count], a[count:]]) for a in (sides.at(middle_radius), sides.at(rim.radius))]
    tops = np.hypot(points[rim.used, 0] - centre[0], points[rim.used, 1] - centre[1])
    return WheelReading(
        "mesh",
        chosen,
        float(np.hypot(edge_sd / np.sqrt(2), FLOOR_SD_DEG)),
        edges_deg=edges[0],
        rim_edges_deg=edges[1],
        radius_mm=middle_radius,
        rim_radius_mm=rim.radius,
        floor_radius_mm=ring.floor_radius,
        **lengths(tops, rim, bore),
        unbalance=unbalance(solid, axis, rim, density, sense, share),
        notes=(SEAMS,) if share else (),
    )


def _bore(points: Floats, solid: Solid, rim: FittedRound, ring: MeshRing) -> FittedRound | None:
    """The innermost circle about the rim's middle: of the ring's own corners, else of the whole mesh's."""
    for heights in (None, (-np.inf, np.inf)):
        among = points if heights is None else solid.corners(*heights)
        if not len(among):
            continue
        r = np.hypot(among[:, 0] - rim.x, among[:, 1] - rim.y)
        inside = among[r < min(0.98 * ring.floor_radius, 2 * float(r.min()) + 1.0)]
        if len(inside) < 12:
            continue
        least = float(r.min())
        if least < LEAST_BORE_MM:
            continue
        round_ = circle_through(inside, (rim.x, rim.y, least * 1.01), 0.03 * least + 0.3, 1e-4 * rim.radius)
        if round_ is None or round_.radius < LEAST_BORE_MM:
            continue
        on = among[
            np.abs(np.hypot(among[:, 0] - round_.x, among[:, 1] - round_.y) - round_.radius) < 0.01 * round_.radius
        ]
        angles = np.sort(angle_of(on[:, 0] - round_.x, on[:, 1] - round_.y, 1))
        if len(angles) and float(np.mod(np.roll(angles, -1) - angles, 360.0).max()) < 90.0:
            return round_
    return None


def _sides(
    path: Path, solid: Solid, ring: MeshRing, rim: FittedRound, centre: Floats, sense: int
) -> tuple[Sides, float, float]:
    """Lines along both sides of each tooth (starts first, then ends), the radius half-way down, and an edge's
    deviation."""
    depth = rim.radius - ring.floor_radius
    cuts = []
    for share in np.linspace(0.2, 0.8, HEIGHTS).tolist():
        segments, normals = solid.section(ring.low + share * (ring.high - ring.low))
        segments = segments - centre
        outer = np.hypot(*segments.transpose(2, 0, 1)).max(axis=1) > ring.floor_radius
        cuts.append((segments[outer], normals[outer]))
    width = _slot_width(cuts[HEIGHTS // 2], rim.radius - 0.1 * depth, sense)
    straight = max(depth - width / 2, 0.25 * depth)
    radii = rim.radius - straight * np.linspace(0.12, 0.88, RADII)
    middle = _paired(cuts[HEIGHTS // 2], float(radii[RADII // 2]), sense, ring.teeth)
    columns: list[Floats] = []
    half: list[int] = []
    for k, cut in enumerate(cuts):
        for radius in radii.tolist():
            both = None if middle is None else _paired(cut, radius, sense, ring.teeth)
            if middle is None or both is None:
                continue
            matched = np.concatenate([_nearest(both[0], middle[0]), _nearest(both[1], middle[1])])
            columns.append(np.stack([np.full(len(matched), radius), matched]))
            half.append(k - HEIGHTS // 2)
    if len(columns) < RADII:
        raise refused(
            path, "has teeth too ragged to measure: their sides are not crossed the same number of times twice"
        )
    stacked = np.array(columns)
    at = float(rim.radius - straight / 2)
    # what one half of the thickness says against the other tells how well an edge is known: points near each other on a
    # scan share its corners, so that their own scatter would promise too much
    low, high = (fit_sides(*stacked[np.sign(half) == side].transpose(1, 2, 0)).at(at) for side in (-1, 1))
    sd = float(np.sqrt(np.nanmean((low - high) ** 2))) / 2
    return fit_sides(stacked[:, 0].T, stacked[:, 1].T), at, sd


def _paired(cut: tuple[Floats, Floats], radius: float, sense: int, teeth: int) -> tuple[Floats, Floats] | None:
    """Angles at which a circle enters and leaves each tooth of a section, in pairs; None unless there are `teeth`."""
    starts, ends = circle_crossings(*cut, radius, sense)
    if len(starts) != teeth or len(ends) != teeth:
        return None
    return starts, np.roll(ends, -1) if ends[0] < starts[0] else ends


def _nearest(angles: Floats, reference: Floats) -> Floats:
    """Angles put in the order of the reference, each the nearest one, unwrapped to it."""
    off = np.mod(angles[None, :] - reference[:, None] + 180.0, 360.0) - 180.0
    best = np.abs(off).argmin(axis=1)
    return np.asarray(reference + off[np.arange(len(reference)), best])


def _slot_width(cut: tuple[Floats, Floats], radius: float, sense: int) -> float:
    """Median chord of the slots at a radius, mm."""
    starts, ends = circle_crossings(*cut, radius, sense)
    if not len(starts) or len(starts) != len(ends):
        return 0.0
    void = np.mod(np.roll(starts, -1) - ends, 360.0) if ends[0] > starts[0] else np.mod(starts - ends, 360.0)
    return float(2 * radius * np.sin(np.radians(np.median(void)) / 2))
