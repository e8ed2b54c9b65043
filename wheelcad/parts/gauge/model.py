"""The gauge as plain numbers: what design works out, and solids, checks and the paper gauge go by.

Wheel frame, mm; angles in degrees from the TDC line, positive the way the crank turns. The gauge prints with its front
face on the bed and the skirt, if it has one, upwards, so that nothing needs support.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Bools, Floats
from wheelcad.findings import Finding
from wheelcad.parts.gauge.body import GaugeBody
from wheelcad.parts.gauge.cover import Cover, PrintHole
from wheelcad.parts.gauge.mounting import Hold
from wheelcad.parts.gauge.paper import PaperPlan
from wheelcad.parts.gauge.seat import Seat
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.trade.frames import angle_of, wrap_360


@dataclass(frozen=True)
class GaugeDesign:
    """Everything about the gauge.

    slot: the slot as it stands in the gauge, printing growth included, wheel_slot: as the wheel has it; size_mm: x, y
    and z over all; z_marks: height at which marks are measured; mark_radius: where (the middle of the slots' sides).
    """

    style: str
    sense: int
    seat: Seat
    cover: Cover
    wheel_slot: SlotShape
    holes: tuple[PrintHole, ...]
    body: GaugeBody
    mounting: Hold
    paper: PaperPlan
    pitch_deg: float
    thickness_mm: float
    shrinkage: float
    bed: tuple[float, float] | None
    nozzle_mm: float
    findings: tuple[Finding, ...]

    @property
    def pieces(self) -> int:
        """In how many pieces it is printed."""
        return max(self.body.joints.pieces, 1)

    @property
    def z_back(self) -> float:
        """Lowest z: the foot of skirt, boss or fingers, mm."""
        return min(self.seat.z_ring, *(wall.z0 for wall in self.body.walls))

    @property
    def z_marks(self) -> float:
        """Height at which marks are measured: low in the edges that lie on the ring, or half-way up the fingers, mm."""
        if self.body.style.finger_mm > 0:
            return self.seat.z_ring - self.body.style.finger_mm / 2
        return self.seat.z_ring + min(0.4, (self.body.z_front - self.seat.z_ring) / 4)

    @property
    def mark_radius(self) -> float:
        """From the axis to the middle of the slots' straight sides, mm."""
        return self.body.style.slot.check_radius

    @property
    def size_mm(self) -> tuple[float, float, float]:
        """Over all in x, y and z."""
        x0, y0, x1, y1 = self.body.bounds(self.cover.keep)
        return x1 - x0, y1 - y0, self.body.z_front - self.z_back

    @property
    def hole_diameter_mm(self) -> float | None:
        """Of the printed bolt holes; None without bolts."""
        return 2 * self.holes[0].radius if self.holes else None

    def mark_edges_deg(self) -> Floats:
        """(n, 2) where each mark's slot begins and ends at mark_radius, degrees, each taken mod 360."""
        half = self.body.style.slot.half_deg(self.mark_radius)
        centres = np.array([mark.at_deg for mark in self.cover.marks])[:, None]
        return wrap_360(centres + np.array([-half, half]))

    def mark_edges_cut(self) -> Bools:
        """(n, 2) whether the gauge has those edges: in the wheel's own outline the gap takes one of two slots."""
        if self.style != "outline":
            return np.ones((len(self.cover.marks), 2), dtype=bool)
        return np.array([[not mark.gap_before, not mark.gap_after] for mark in self.cover.marks])

    def report(self) -> dict[str, object]:
        """report.json's `gauge`."""
        register, mounting = self.seat.register, self.mounting
        return {
            "style": self.style,
            "size_mm": [round(v, 6) for v in self.size_mm],
            "thickness_mm": self.thickness_mm,
            "skirt_mm": self.seat.z - self.seat.z_ring,
            "pieces": self.pieces,
            "joints_deg": list(self.body.joints.at_deg),
            "finger_mm": self.body.style.finger_mm or None,
            "covers_deg": self.cover.covers_deg,
            "bolt_hole_mm": self.hole_diameter_mm,
            "bolt_holes_at_deg": [float(angle_of(h.x, h.y, self.sense)) for h in self.holes],
            "marks_deg": [mark.at_deg for mark in self.cover.marks],
            "mark_cuts": [mark.number for mark in self.cover.marks],
            "numbers_written": list(self.body.engraving.numbered),
            "text_height_mm": self.body.engraving.smallest.height,
            "text_stroke_mm": self.body.engraving.smallest.stroke,
            "centred_by": register.by,
            "centred_on_mm": register.metal_diameter or None,
            "centring_clearance_mm": register.clearance,
            "opening_mm": 2 * self.body.opening_radius,
            "bolts_taken_mm": mounting.bolt_mm or None,
            "loose_on_bolts_deg": mounting.bolted.worst_deg if mounting.bolted else None,
            "loose_with_pins_deg": mounting.pinned.worst_deg if mounting.pinned else None,
            "smallest_fault_deg": mounting.fault_deg,
            "repeats_by_one_bolt": mounting.repeats,
            "turned_by_one_bolt": mounting.self_check,
            "shrinkage": self.shrinkage,
        }
