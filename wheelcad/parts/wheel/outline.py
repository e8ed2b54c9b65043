"""The outline of a slotted wheel, assembled from lines and arcs.

Worked in the slot's own coordinates: s across the slot in the direction of rising angle, h outwards from the crank
axis, both in mm. A slot's flank runs from where it leaves the rim on the side of lower angle, down, across the
floor and up to the rim on the other side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.trade.loop import Loop, arc_bulge

Row = tuple[float, float, float]  # s, h, bulge of the edge that starts here


@dataclass(frozen=True)
class SlotShape:
    """One slot. Lengths in mm; width across parallel sides, or the chord at the rim between radial ones.

    depth: from the rim to the deepest point of the floor. corner_radius: between side and flat floor.
    """

    rim_radius: float
    width: float
    depth: float
    radial: bool
    round_floor: bool
    corner_radius: float

    @property
    def floor_radius(self) -> float:
        """From the axis to the deepest point of the floor, mm."""
        return self.rim_radius - self.depth

    @property
    def rim_half_deg(self) -> float:
        """Half the slot's angle at the rim, degrees: asin(width / 2R) for both kinds of side."""
        return math.degrees(math.asin(self.width / 2 / self.rim_radius))

    def half_deg(self, radius: float) -> float:
        """Half the slot's angle between its straight sides at `radius` (mm), degrees."""
        return self.rim_half_deg if self.radial else math.degrees(math.asin(self.width / 2 / radius))

    @property
    def _lean(self) -> float:
        """Angle between a side and the slot's centre line, radians."""
        return math.radians(self.rim_half_deg) if self.radial else 0.0

    @property
    def floor_half_width(self) -> float:
        """Half the width where side and flat floor would meet, mm."""
        return self.floor_radius * math.tan(self._lean) if self.radial else self.width / 2

    @property
    def tangent(self) -> float:
        """From a floor corner to where its fillet begins, mm."""
        return self.corner_radius * math.tan((math.pi / 2 - self._lean) / 2)

    @property
    def rim_height(self) -> float:
        """h where a side leaves the rim, mm."""
        return self.rim_radius * math.cos(math.radians(self.rim_half_deg))

    @property
    def side_bottom(self) -> tuple[float, float]:
        """s and h (mm) of the lower end of the straight part of the side of higher angle."""
        if self.round_floor:
            return self.width / 2, self.floor_radius + self.width / 2
        t = self.tangent
        return self.floor_half_width + t * math.sin(self._lean), self.floor_radius + t * math.cos(self._lean)

    @property
    def straight(self) -> float:
        """Length of the straight part of a side, mm; not above 0 when the floor leaves none."""
        s, h = self.side_bottom
        return math.copysign(math.hypot(self.width / 2 - s, self.rim_height - h), self.rim_height - h)

    @property
    def check_radius(self) -> float:
        """From the axis to the middle of the straight part of a side, mm: where edges are measured."""
        s, h = self.side_bottom
        return math.hypot((self.width / 2 + s) / 2, (self.rim_height + h) / 2)

    @property
    def widest_half_deg(self) -> float:
        """Half the angle of the sector about the axis that just holds the slot, degrees."""
        if self.round_floor:
            centre = self.floor_radius + self.width / 2
            return math.degrees(math.asin(min(1.0, self.width / 2 / centre))) if centre > 0 else 180.0
        s, h = self.side_bottom
        return max(self.rim_half_deg, math.degrees(math.atan2(s, h)))

    def left_half(self) -> list[Row]:
        """From the rim on the side of lower angle to the lowest point, which is left out."""
        if self.round_floor:
            s, h = self.side_bottom
            return [(-self.width / 2, self.rim_height, 0.0), (-s, h, arc_bulge(math.pi / 2))]
        rows: list[Row] = [(-self.width / 2, self.rim_height, 0.0)]
        s, h = self.side_bottom
        if self.corner_radius > 0:
            rows.append((-s, h, arc_bulge(math.pi / 2 - self._lean)))
            inner = self.floor_half_width - self.tangent
            if inner > 1e-9:
                rows.append((-inner, self.floor_radius, 0.0))
        else:
            rows.append((-s, h, 0.0))
        return rows

    def right_half(self) -> list[Row]:
        """From the lowest point, which is included, to the rim on the side of higher angle, which is included."""
        left = self.left_half()
        rows: list[Row] = [(0.0, self.floor_radius, left[-1][2])]
        for i in range(len(left) - 1, -1, -1):
            s, h, _ = left[i]
            rows.append((-s, h, left[i - 1][2] if i else 0.0))
        return rows

    def flank(self) -> list[Row]:
        """The whole slot from rim to rim, its floor as one edge."""
        left, right = self.left_half(), self.right_half()
        if self.round_floor:
            *above, (s, h, _) = left
            return [*above, (s, h, arc_bulge(math.pi)), *right[1:]]
        if left[-1][2] != 0.0:  # the two fillets meet in the middle
            return left + right
        return left + right[1:]


def narrowest_mm(slot: SlotShape) -> float:
    """The widest cutter that goes down to the floor, mm."""
    return 2 * slot.floor_half_width if slot.radial else slot.width


def wheel_outline(slot: SlotShape, slot_centres_deg: Floats, gap_after: set[int], sense: int) -> Loop:
    """The wheel's outer outline, anticlockwise in x, y.

    slot_centres_deg: (n,) rising angles of the slots, degrees from the TDC line, positive the way the crank turns.
    gap_after: indexes i of slots after which, up to slot i + 1, teeth are missing: an arc about the axis at the floor's
    deepest radius joins their lowest points. (No slot can both end a gap and start one: it would be swallowed.)
    sense: see trade.frames.
    """
    n = len(slot_centres_deg)
    rim_half = math.radians(slot.rim_half_deg)
    rows: list[Row] = []
    flank, right, left = slot.flank(), slot.right_half(), [*slot.left_half(), (0.0, slot.floor_radius, 0.0)]
    centres = slot_centres_deg.tolist()
    for i, centre_deg in enumerate(centres):
        step = math.radians((centres[(i + 1) % n] - centre_deg) % 360.0)
        part = right if (i - 1) % n in gap_after else flank
        if i in gap_after:
            part = left
            last_bulge = -arc_bulge(step)
        else:
            last_bulge = -arc_bulge(step - 2 * rim_half)
        s, h, _ = part[-1]
        at = math.radians(centre_deg)
        cos, sin = math.cos(at), math.sin(at)  # as trade.frames.turned, once a slot
        rows += [(p * cos + q * sin, -p * sin + q * cos, b) for p, q, b in (*part[:-1], (s, h, last_bulge))]
    loop = Loop(np.array(rows))
    return (loop if sense > 0 else loop.mirrored_x()).oriented()
