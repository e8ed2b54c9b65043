"""The target on the cam as numbers, and what the controller must be told of it.

Cam frame: as the wheel's, with the cam's axis for the crank's: Z towards the person who faces the target, Y up, the
cam's TDC line pointing up when cylinder 1 is at top dead centre of its compression stroke. Angles on the target are cam
degrees from that line, positive the way the cam turns; what the controller is told is in crank degrees, two for one.
Lengths mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from wheelcad.errors import Faults
from wheelcad.job.models import Bolts, Cam, Job, Sensor
from wheelcad.parts.common.openings import Opening, bore_opening, circle_centres, round_opening
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.trade.frames import angle_of, point_at, sense_of, wrap_180, wrap_360
from wheelcad.trade.ignition import passes_sensor_deg
from wheelcad.trade.loop import Loop, arc_bulge
from wheelcad.trade.materials import material
from wheelcad.trade.unbalance import centrifugal_n
from wheelcad.words import length

HALF_MOON_DEG = 90.0  # half of the high half


class AtGap(NamedTuple):
    """What the cam's sensor sees when the first edge after the crank wheel's (first) gap passes its own.

    high: whether it sees metal then, at which a controller knows the gap, in the turn that follows top dead centre of
    cylinder 1's compression and in the next. margin: least crank degrees from there to a cam edge; best: where at_deg
    would be for the most of that, either way round.
    """

    high: tuple[bool, bool]
    margin_deg: float
    best_deg: tuple[float, float]


@dataclass(frozen=True)
class CamDesign:
    """The target. at_deg: middle of the tooth or high half; outline anticlockwise; openings through the thickness.

    lead, trail: crank degrees (0 ≤ a < 720) from the edge that passes its sensor first, and from the other, to top dead
    centre of cylinder 1's compression. Those need cam.sensor, at_gap the crank's sensor as well; None without.
    """

    cam: Cam
    sense: int
    at_deg: float
    radius_mm: float
    root_radius_mm: float
    outline: Loop
    openings: tuple[Opening, ...]
    mass_kg: float
    unbalance_g_mm: float
    unbalance_at_deg: float
    force_n: float | None
    lead_to_tdc_deg: float | None
    trail_to_tdc_deg: float | None
    at_gap: AtGap | None

    @property
    def check_radius_mm(self) -> float:
        """Half-way up the step: where the edges are measured."""
        return (self.radius_mm + self.root_radius_mm) / 2

    @property
    def step_mm(self) -> float:
        """How far tooth or high half stands out of the disc."""
        return self.radius_mm - self.root_radius_mm

    def edges_at(self, radius: float) -> tuple[float, float]:
        """[from, to] of the metal at `radius` mm, cam degrees mod 360; `to` passes a sensor first."""
        half = half_deg(self.cam, radius)
        start, end = wrap_360([self.at_deg - half, self.at_deg + half]).tolist()
        return start, end

    def report(self) -> dict[str, object]:
        """report.json's `cam`. Degrees named crank are the crank's, the others the cam's."""
        at_gap = self.at_gap
        return {
            "style": self.cam.style,
            "edges_deg": list(self.edges_at(self.radius_mm)),
            "mass_kg": self.mass_kg,
            "unbalance_g_mm": self.unbalance_g_mm,
            "unbalance_at_deg": self.unbalance_at_deg,
            "force_at_max_speed_n": self.force_n,
            "leading_edge_to_tdc_crank_deg": self.lead_to_tdc_deg,
            "trailing_edge_to_tdc_crank_deg": self.trail_to_tdc_deg,
            "level_at_gap": None if at_gap is None else ["high" if high else "low" for high in at_gap.high],
            "gap_to_cam_edge_crank_deg": None if at_gap is None else at_gap.margin_deg,
            "best_at_deg": None if at_gap is None else list(at_gap.best_deg),
        }


def half_deg(cam: Cam, radius: float) -> float:
    """Half the angle at `radius` mm of the tooth, whose sides are parallel, or of a half-moon's high half, degrees."""
    if cam.tooth_width is None:  # only a half-moon has none
        return HALF_MOON_DEG
    return math.degrees(math.asin(cam.tooth_width / 2 / radius))


def design_cam(job: Job, wheel: WheelDesign | None) -> CamDesign | None:
    """The cam target of a job, or None without one. wheel: the crank's, None where it cannot be. DesignError for a
    target that cannot be made."""
    cam = job.cam
    if cam is None:
        return None
    faults = Faults()
    _check(cam, faults)
    faults.raise_if_any()
    sense = sense_of(cam.turns) if cam.turns is not None else job.sense
    outline, openings = cam_outline(cam, sense), _openings(cam, sense)
    mass, unbalance, heavy = _mass(cam, outline, openings, sense)
    top = job.max_speed
    lead, trail = _to_tdc(cam)
    passes = None if wheel is None or job.sensor is None else _first_edge_passes(job.sensor, wheel)
    return CamDesign(
        cam=cam,
        sense=sense,
        at_deg=float(wrap_360(cam.at)),
        radius_mm=cam.outside_diameter / 2,
        root_radius_mm=cam.root_diameter / 2,
        outline=outline,
        openings=openings,
        mass_kg=mass,
        unbalance_g_mm=unbalance,
        unbalance_at_deg=heavy,
        force_n=centrifugal_n(unbalance, top / 2) if top is not None else None,
        lead_to_tdc_deg=lead,
        trail_to_tdc_deg=trail,
        at_gap=_at_gap(cam, passes),
    )


def _check(cam: Cam, faults: Faults) -> None:
    root = cam.root_diameter
    if root >= cam.outside_diameter:
        why = "leaves nothing standing out of the disc"
        allowed = f"less than {length(cam.outside_diameter)}"
        faults.add(("cam", "root_diameter"), why, found=length(root), allowed=allowed)
    if cam.style == "tooth":
        if cam.tooth_width is None:
            faults.add(("cam", "tooth_width"), "is missing: a single tooth needs a width")
        elif cam.tooth_width >= root:
            allowed = f"less than {length(root)}"
            faults.add(("cam", "tooth_width"), "is as wide as the disc", found=length(cam.tooth_width), allowed=allowed)
    elif cam.tooth_width is not None:
        faults.add(("cam", "tooth_width"), "belongs to style: tooth; a half-moon's high half is 180 degrees wide")
    inner = cam.bore or 0.0
    if inner >= root:
        faults.add(("cam", "bore"), "is as large as the disc", found=length(inner), allowed=f"less than {length(root)}")
    if cam.bolts is not None:
        _check_bolts(cam.bolts, inner, root, faults)


def _check_bolts(bolts: Bolts, bore: float, root: float, faults: Faults) -> None:
    low, high = bore + bolts.hole, root - bolts.hole
    if not low < bolts.circle < high:
        allowed = f"more than {length(low)} and less than {length(high)}" if low < high else "a smaller hole"
        why = "puts the bolt holes into the bore or over the edge"
        faults.add(("cam", "bolts", "circle"), why, found=length(bolts.circle), allowed=allowed)
    if bolts.count > 1 and bolts.circle * math.sin(math.pi / bolts.count) <= bolts.hole:
        faults.add(
            ("cam", "bolts", "hole"), "lets neighbouring bolt holes run into each other", found=length(bolts.hole)
        )


def cam_outline(cam: Cam, sense: int) -> Loop:
    """The outer outline, anticlockwise: two sides, the rim's arc between them and the root's the other way round."""
    rim, root = cam.outside_diameter / 2, cam.root_diameter / 2
    half_rim, half_root = (half_deg(cam, r) for r in (rim, root))
    # radius, angle from the middle, and the sweep to the next corner along a circle about the axis, degrees
    corners = [
        (root, -half_root, 0.0),
        (rim, -half_rim, 2 * half_rim),
        (rim, half_rim, 0.0),
        (root, half_root, 180 - half_root),
        (root, 180.0, 180 - half_root),
    ]
    rows = []
    for radius, angle, sweep in corners:
        x, y = point_at(radius, cam.at + angle, sense).tolist()
        rows.append((x, y, -sense * arc_bulge(math.radians(sweep)) if sweep else 0.0))
    return Loop(rows).oriented()


def _openings(cam: Cam, sense: int) -> tuple[Opening, ...]:
    out = [bore_opening(cam.bore / 2)] if cam.bore is not None else []
    if cam.bolts is not None:
        hole = cam.bolts.hole / 2
        out += [round_opening("bolt", x, y, hole) for x, y in circle_centres(cam.bolts, sense).tolist()]
    return tuple(out)


def _mass(cam: Cam, outline: Loop, openings: tuple[Opening, ...], sense: int) -> tuple[float, float, float]:
    """Mass (kg), unbalance (g·mm) and the angle it points to."""
    moments = np.array(outline.moments()[:3]) - sum(np.array(o.loop.oriented().moments()[:3]) for o in openings)
    grams = material(cam.material).density_g_mm3 * cam.thickness * moments
    return float(grams[0]) / 1000, float(np.hypot(grams[1], grams[2])), float(angle_of(grams[1], grams[2], sense))


def _to_tdc(cam: Cam) -> tuple[float | None, float | None]:
    """Crank degrees from the leading and the trailing edge at its sensor to top dead centre of compression."""
    if cam.sensor is None:
        return None, None
    half = half_deg(cam, cam.outside_diameter / 2)
    lead, trail = (2 * float(wrap_360(cam.at + side - cam.sensor.at)) for side in (half, -half))
    return lead, trail


def _first_edge_passes(sensor: Sensor, wheel: WheelDesign) -> float | None:
    """Crank degrees past TDC at which the first edge after the gap passes its sensor; None for a wheel without one."""
    if wheel.gaps[0].missing == 0:
        return None
    edge = wheel.first_tooth_centre_deg + wheel.tooth_deg(wheel.read_at_mm(sensor)) / 2
    return passes_sensor_deg(edge, sensor.at)


def _at_gap(cam: Cam, passes: float | None) -> AtGap | None:
    if cam.sensor is None or passes is None:
        return None
    half = half_deg(cam, cam.outside_diameter / 2)
    under = [cam.sensor.at - (passes + turn) / 2 for turn in (0.0, 360.0)]
    away = [float(wrap_180(point - cam.at)) for point in under]
    margin = min(2 * abs(float(wrap_180(off - side))) for off in away for side in (half, -half))
    # a half-moon does best with its middle under the sensor in one of the two turns, a tooth half-way between them
    middle = under[0] + (0.0 if cam.style == "half-moon" else 90.0)
    best = float(wrap_360(middle)), float(wrap_360(middle + 180.0))
    return AtGap((abs(away[0]) < half, abs(away[1]) < half), margin, best)
