"""A wheel from one flatbed scan or several.

Plate wheels lie on the glass. A wheel in a pulley cannot: lay card on its teeth and rub a pencil over the edges, or
trace the ring on paper with a sharp pencil held upright, fill the shape with black, and scan that. The picture shows
the face on the glass, as a person looking at that face sees it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats, Ints
from wheelcad.libraries import told
from wheelcad.measure.reading import About, Face, WheelReading, refused
from wheelcad.measure.scan_bar import checked_bar, mm_per_size
from wheelcad.measure.scan_bed import LEAST_TURN_DEG, Bed, close_circle, fit_bed
from wheelcad.measure.scan_edges import ScanEdges, find_edges, find_teeth
from wheelcad.measure.scan_metal import ScanMetal, find_metal
from wheelcad.measure.scan_picture import find_wheel, read_picture, scale_of
from wheelcad.measure.scan_sizes import lengths, unbalance
from wheelcad.measure.sides import fit_sides
from wheelcad.measure.wheel import NoWheelError, measured_wheel
from wheelcad.trade.frames import wrap_360
from wheelcad.trade.materials import MATERIALS
from wheelcad.units import INCH_MM

MILD_STEEL = MATERIALS["mild-steel"].density_kg_m3  # where no job says what the wheel is made of
BLUR_MM, BLUR_OF_SLOT = 0.35, 0.2  # an edge spread wider than this is out of focus
BLUR_PIXELS = 5.0  # where no scale is known
LEAST_FOUND = 0.6  # of the points along the edges
LEAST_MM, MOST_MM = 40.0, 420.0  # diameters that lie on a scanner's glass
LIGHT = 1.45  # what shadows do to both sides of a slot alike, found with rendered scans
UNSEEN = 0.6  # of the rim's own unroundness: what the bed still does to angles, found with rendered scans
REACH_ROUGH, REACH = 2.0, 5.0  # rough pixels and pixels by which the rough outline may miss the edge
ALIKE = 6  # neighbouring points along a side, which blur and grain make err alike
SMALLEST_RADIUS = 60.0  # pixels
MISFIT = 0.02  # job's or stated diameter against dpi


@dataclass(frozen=True, eq=False)
class OneScan:
    """One picture's wheel. edges: (t, 2) at the middle of the sides, degrees clockwise in the picture; rim_edges the
    same at the rim; noise_deg, bed_deg: standard deviations of one edge by noise and by the bed. tops: (t, k, 2) over
    the teeth, straightened, NaN where dust lay."""

    path: Path
    edges: Floats
    rim_edges: Floats
    noise_deg: float
    bed_deg: float
    bed: Bed
    about: About
    mm_per_size: float | None
    radius: float
    floor: float
    tops: Floats
    metal: ScanMetal | None

    @property
    def centre(self) -> Floats:
        """(2,) what is measured about, in units of the bed's size."""
        return self.bed.bore[:2] if self.about == "bore" and self.bed.bore is not None else self.bed.rim[:2]

    @property
    def bed_size(self) -> float:
        """Standard deviation of what the bed leaves in the rim, in units of its size."""
        return float(np.std(self.bed.rest_rim))

    @property
    def slot_sd_deg(self) -> float:
        """Standard deviation of one slot's centre.

        One cutter made all slots alike: what their widths scatter is what noise and shadows do to single edges, and
        half of it their centres. The bed moves both edges alike; its share follows from the rim's roundness.
        """
        void = np.mod(np.roll(self.edges[:, 0], -1) - self.edges[:, 1], 360.0)
        ordinary = void[void < 1.5 * np.median(void)]
        widths = float(np.std(ordinary)) if len(ordinary) > 2 else 2 * self.noise_deg
        return LIGHT * float(np.hypot(max(widths / 2, self.noise_deg / np.sqrt(2)), UNSEEN * self.bed_deg))


def scan_reading(
    paths: Sequence[Path],
    face: Face,
    about: About | None,
    turns: str,
    dpi: float | None = None,
    diameter: float | None = None,
    bar_mm: float | None = None,
    density: float = MILD_STEEL,
) -> WheelReading:
    """Measure a wheel from its scans. bar_mm: length of the printed bars beside it, which then give the scale.
    density: kg/m³, for unbalance.

    JobFileError, in one sentence, for what is no wheel or cannot be trusted.
    """
    checked_bar(bar_mm, paths[0])
    with told("a scan"):  # the picture library is an extra
        scans = [_one(path, about, dpi, diameter, bar_mm) for path in paths]
    first = scans[0]
    sign = 1.0 if (face == "front") == (turns == "clockwise") else -1.0
    edges, rim_edges, sd = first.edges, first.rim_edges, first.slot_sd_deg
    notes: list[str] = []
    turned = np.zeros(1)
    if len(scans) > 1:
        edges, rim_edges, sd, notes, turned = _together(scans)
    else:
        notes = [
            "one scan: what the bed adds is judged by the rim's roundness; "
            "two or three more, the wheel turned by a third of a turn each, tell it apart"
        ]
    if sign < 0:
        edges, rim_edges = -edges[::-1, ::-1], -rim_edges[::-1, ::-1]
    scale = first.mm_per_size
    if scale is None:
        notes.append("no scale: give --dpi or the wheel's --diameter for lengths; angles need none")
    pull = None if scale is None else unbalance(scans, turned, scale, density, sign)
    if scale is not None and pull is None:
        notes.append("no unbalance is told: too little of the wheel's outline shows clearly")
    return WheelReading(
        "scan",
        first.about,
        sd,
        edges_deg=wrap_360(edges),
        rim_edges_deg=wrap_360(rim_edges),
        radius_mm=_times(first.radius, scale),
        rim_radius_mm=_times(float(first.bed.rim[2]), scale),
        floor_radius_mm=_times(first.floor, scale),
        **lengths(first.tops, first.centre, first.bed, scale),
        unbalance=pull,
        notes=tuple(notes),
    )


def _times(value: float | None, scale: float | None) -> float | None:
    return None if value is None or scale is None else value * scale


def _one(
    path: Path, about: About | None, dpi: float | None, diameter: float | None, bar_mm: float | None = None
) -> OneScan:
    picture = read_picture(path)
    scale = scale_of(picture, dpi)
    rough = find_wheel(picture)
    teeth = find_teeth(rough)
    if isinstance(teeth, str):
        raise refused(path, teeth)
    if teeth.rim < SMALLEST_RADIUS:
        raise refused(path, "shows the wheel too small to measure: scan at 300 dpi or more")
    edges = find_edges(picture, rough, teeth)
    bed = fit_bed(edges.tops, edges.bore, teeth.centre, teeth.rim)
    if bar_mm is None:
        mm = _mm_per_size(path, bed, teeth.rim, scale, diameter)
    else:
        mm = by_bar(path, bed, mm_per_size(picture, rough, bed, bar_mm), diameter)
    _sharp(path, edges, bed, mm, teeth.floor)
    metal = find_metal(picture, rough, bed, REACH_ROUGH * rough.factor + REACH)
    return _straightened(path, edges, bed, about, mm, teeth.floor / teeth.rim, metal)


def _mm_per_size(path: Path, bed: Bed, rim_pixels: float, dpi: float | None, diameter: float | None) -> float | None:
    """Millimetres to the unit in which the bed is straight; by the diameter where that is given."""
    by_dpi = None if dpi is None else rim_pixels / dpi * INCH_MM
    if by_dpi is not None:
        across = 2 * float(bed.rim[2]) * by_dpi
        if diameter is not None and abs(across / diameter - 1) > MISFIT:
            found = f"{across:.2f} mm by its {dpi:g} dpi"
            raise refused(
                path, f"does not show a wheel of {diameter:g} mm: the dpi or the diameter is wrong", found=found
            )
        if not LEAST_MM <= across <= MOST_MM:
            raise refused(path, f"shows a wheel {across:.3g} mm across at {dpi:g} dpi: the dpi is wrong")
    return by_dpi if diameter is None else diameter / 2 / float(bed.rim[2])


def by_bar(path: Path, bed: Bed, mm: float, diameter: float | None) -> float:
    """The bar's scale. JobFileError where the wheel would then be no size for a scanner, or not the diameter stated."""
    across = 2 * float(bed.rim[2]) * mm
    if not LEAST_MM <= across <= MOST_MM:
        raise refused(path, f"shows a wheel {across:.3g} mm across by its bar: --bar is wrong")
    if diameter is not None and abs(across / diameter - 1) > MISFIT:
        raise refused(
            path, f"does not show a wheel of {diameter:g} mm: --bar or the diameter is wrong", found=f"{across:.2f} mm"
        )
    return mm


def _sharp(path: Path, edges: ScanEdges, bed: Bed, mm: float | None, floor: float) -> None:
    """Refuse what is blurred, or has edges that cannot be found all round."""
    spread_mm = None if mm is None else edges.blur / bed.size * mm
    limit = BLUR_OF_SLOT * (bed.size - floor)
    if (
        edges.blur > limit
        or (spread_mm is not None and spread_mm > BLUR_MM)
        or (mm is None and edges.blur > BLUR_PIXELS)
    ):
        raise refused(path, "is blurred: its edges are too soft to measure", hint="lay the wheel flat on clean glass")
    if edges.found < LEAST_FOUND:
        raise refused(
            path, f"shows clear edges on only {100 * edges.found:.0f} % of the wheel: too dirty, dark or shiny"
        )


def _straightened(
    path: Path, edges: ScanEdges, bed: Bed, about: About | None, mm: float | None, floor: float, metal: ScanMetal | None
) -> OneScan:
    if about == "bore" and bed.bore is None:
        raise refused(path, "shows no round bore to measure about", hint="measure about the rim: --about rim")
    chosen: About = about or ("bore" if bed.bore is not None else "rim")
    centre = bed.bore[:2] if chosen == "bore" and bed.bore is not None else bed.rim[:2]
    p = bed.straight(edges.sides) - centre
    blocks = np.arange(p.shape[1]) // ALIKE
    sides = fit_sides(np.hypot(p[..., 0], p[..., 1]), np.degrees(np.arctan2(p[..., 0], -p[..., 1])), blocks)
    radius = float(np.nanmedian(np.hypot(p[..., 0], p[..., 1])))
    t = len(sides.a) // 2
    at, rim = (np.column_stack([a[:t], a[t:]]) for a in (sides.at(radius), sides.at(float(bed.rim[2]))))
    whole = np.isfinite(at).all(axis=1)
    if not whole.all():
        raise refused(path, f"hides {int((~whole).sum())} teeth: a side of them cannot be seen")
    noise = float(np.degrees(np.sqrt(np.mean(sides.sd_mm**2)) / radius))
    bed_sd = float(np.degrees(np.std(bed.rest_rim)) / radius)
    tops = bed.straight(edges.tops)
    off = np.abs(np.hypot(*(tops - bed.rim[:2]).transpose(2, 0, 1)) - bed.rim[2])
    tops = np.where((off < 4 * bed.spread + 1e-6)[..., None], tops, np.nan)
    return OneScan(path, at, rim, noise, bed_sd, bed, chosen, mm, radius, floor, tops, metal)


def _together(scans: Sequence[OneScan]) -> tuple[Floats, Floats, float, list[str], Floats]:
    """Edges of all scans as one wheel's, in the first scan's zero; at the rim too; standard deviation of one edge;
    what to note; by how much the wheel was turned for each scan."""
    rows: list[Floats] = []
    rims: list[Floats] = []
    for scan in scans:
        order = _from_gap(scan)
        edges, rim = scan.edges[order], scan.rim_edges[order]
        rows.append(np.unwrap(edges.ravel(), period=360.0))
        rims.append((rim - edges + 180.0) % 360.0 - 180.0)
    if len({len(row) for row in rows}) != 1:
        raise refused(scans[1].path, "does not show the same wheel as the first picture: the number of teeth differs")
    seen = np.array(rows)
    noise = float(np.sqrt(np.mean([scan.noise_deg**2 for scan in scans])))
    turns = (seen.mean(axis=1) - seen[0].mean() + 180.0) % 360.0 - 180.0
    apart = max(abs((a - b + 180.0) % 360.0 - 180.0) for a in turns for b in turns)
    bed = float(np.sqrt(np.mean([scan.bed_deg**2 for scan in scans])))
    closed = close_circle(seen, noise, 2 * bed)
    edges = closed.angles.reshape(-1, 2)
    rim = edges + np.mean(rims, axis=0)
    if apart < LEAST_TURN_DEG:
        return (
            edges,
            rim,
            float(np.hypot(closed.sd_deg, 2 * UNSEEN * bed)),
            [
                "the wheel lay the same way in every scan, so that the bed's error stays in: turn it by a third of a "
                "turn"
            ],
            closed.turned,
        )
    said = ", ".join(f"{angle % 360.0:.0f}" for angle in closed.turned)
    return (
        edges,
        rim,
        closed.sd_deg,
        [
            f"{len(scans)} scans, the wheel turned to {said} deg: the bed's error, up to {closed.bed_deg:.3f} deg, is "
            "taken out"
        ],
        closed.turned,
    )


def _from_gap(scan: OneScan) -> Ints:
    """The order that puts the tooth after the largest gap first."""
    try:
        measured_wheel(WheelReading("scan", "rim", 0.0, edges_deg=wrap_360(scan.edges)))
    except NoWheelError as error:
        raise refused(scan.path, f"shows no wheel: {error}") from None
    order = np.argsort(wrap_360(scan.edges.mean(axis=1)), kind="stable")
    edges = scan.edges[order]
    void = np.mod(np.roll(edges[:, 0], -1) - edges[:, 1], 360.0)
    start = int(void.argmax()) + 1
    if float(void.max()) < 1.5 * float(np.median(void)):
        raise refused(scan.path, "has no gap by which several scans could be brought together", hint="measure one scan")
    return np.roll(order, -start)
