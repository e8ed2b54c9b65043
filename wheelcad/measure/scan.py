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
from wheelcad.measure.reading import About, Face, Reading, refused
from wheelcad.measure.scan_bar import checked_bar, mm_per_size
from wheelcad.measure.scan_bed import LEAST_TURN_DEG, Bed, close_circle, fit_bed
from wheelcad.measure.scan_edges import Edges, find_edges, find_teeth
from wheelcad.measure.scan_picture import find_wheel, read_picture, scale_of
from wheelcad.measure.sides import fit_sides
from wheelcad.measure.wheel import NoWheelError, measured_wheel
from wheelcad.trade.frames import wrap_360
from wheelcad.units import INCH_MM

BLUR_MM, BLUR_OF_SLOT = 0.35, 0.2  # an edge spread wider than this is out of focus
BLUR_PIXELS = 5.0  # where no scale is known
LEAST_FOUND = 0.6  # of the points along the edges
LEAST_MM, MOST_MM = 40.0, 420.0  # diameters that lie on a scanner's glass
LIGHT = 1.45  # what shadows do to both sides of a slot alike, found with rendered scans
UNSEEN = 0.6  # of the rim's own unroundness: what the bed still does to angles, found with rendered scans
ALIKE = 6  # neighbouring points along a side, which blur and grain make err alike
SMALLEST_RADIUS = 60.0  # pixels
MISFIT = 0.02  # job's or stated diameter against dpi


@dataclass(frozen=True, eq=False)
class OneScan:
    """One picture's wheel. edges: (t, 2) at the middle of the sides, degrees clockwise in the picture; rim_edges the
    same at the rim; noise_deg, bed_deg: standard deviations of one edge by noise and by the bed."""

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
    rim_points: Floats

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
) -> Reading:
    """Measure a wheel from its scans. bar_mm: length of the printed bars beside it, which then give the scale.

    JobFileError, in one sentence, for what is no wheel or cannot be trusted.
    """
    checked_bar(bar_mm, paths[0])
    with told("a scan"):  # the picture library is an extra
        scans = [_one(path, about, dpi, diameter, bar_mm) for path in paths]
    first = scans[0]
    sign = 1.0 if (face == "front") == (turns == "clockwise") else -1.0
    edges, rim_edges, sd = first.edges, first.rim_edges, first.slot_sd_deg
    notes: list[str] = []
    if len(scans) > 1:
        edges, rim_edges, sd, notes = _together(scans)
    else:
        notes = [
            "one scan: what the bed adds is judged by the rim's roundness; "
            "two or three more, the wheel turned by a third of a turn each, tell it apart"
        ]
    if sign < 0:
        edges, rim_edges = -edges[::-1, ::-1], -rim_edges[::-1, ::-1]
    scale = first.mm_per_size
    bed = first.bed
    centre = bed.bore[:2] if first.about == "bore" and bed.bore is not None else bed.rim[:2]
    far = np.hypot(*(first.rim_points - centre).T)
    offset = None if bed.bore is None else float(np.hypot(*(bed.bore[:2] - bed.rim[:2])))
    if scale is None:
        notes.append("no scale: give --dpi or the wheel's --diameter for lengths; angles need none")
    return Reading(
        "scan",
        first.about,
        sd,
        edges_deg=wrap_360(edges),
        rim_edges_deg=wrap_360(rim_edges),
        radius_mm=_times(first.radius, scale),
        rim_radius_mm=_times(float(bed.rim[2]), scale),
        floor_radius_mm=_times(first.floor, scale),
        centre_offset_mm=_times(offset, scale),
        runout_mm=_times(float(np.ptp(far)), scale),
        roundness_mm=_times(float(np.ptp(bed.rest_rim)), scale),
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
    return _straightened(path, edges, bed, about, mm, teeth.floor / teeth.rim)


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


def _sharp(path: Path, edges: Edges, bed: Bed, mm: float | None, floor: float) -> None:
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


def _straightened(path: Path, edges: Edges, bed: Bed, about: About | None, mm: float | None, floor: float) -> OneScan:
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
    tops = bed.straight(edges.tops).reshape(-1, 2)
    tops = tops[np.isfinite(tops[:, 0])]
    off = np.abs(np.hypot(*(tops - bed.rim[:2]).T) - bed.rim[2])
    return OneScan(path, at, rim, noise, bed_sd, bed, chosen, mm, radius, floor, tops[off < 4 * bed.spread + 1e-6])


def _together(scans: Sequence[OneScan]) -> tuple[Floats, Floats, float, list[str]]:
    """Edges of all scans as one wheel's, in the first scan's zero; at the rim too; standard deviation of one edge."""
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
    )


def _from_gap(scan: OneScan) -> Ints:
    """The order that puts the tooth after the largest gap first."""
    try:
        measured_wheel(Reading("scan", "rim", 0.0, edges_deg=wrap_360(scan.edges)))
    except NoWheelError as error:
        raise refused(scan.path, f"shows no wheel: {error}") from None
    order = np.argsort(wrap_360(scan.edges.mean(axis=1)), kind="stable")
    edges = scan.edges[order]
    void = np.mod(np.roll(edges[:, 0], -1) - edges[:, 1], 360.0)
    start = int(void.argmax()) + 1
    if float(void.max()) < 1.5 * float(np.median(void)):
        raise refused(scan.path, "has no gap by which several scans could be brought together", hint="measure one scan")
    return np.roll(order, -start)
