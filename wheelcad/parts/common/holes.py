"""A correction hole: where it is drilled, with what, how deep, and what it takes out.

Wheel frame: angles in degrees from the TDC line, positive the way the crank turns; mm; z along the crank, positive
towards the person who faces the wheel. Holes run along the crank and are drilled from the front, or from the back
where `from_back` says so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.trade.frames import point_at
from wheelcad.trade.unbalance import hole_mass_g, point_length_mm


@dataclass(frozen=True)
class CorrectionHole:
    """One hole drilled along the crank.

    at_deg: 0 ≤ a < 360. radius_mm: of its centre from the axis. z_top and z_bottom: the ends of its full diameter,
    z_top > z_bottom; through: both are faces of the metal. point_deg: included angle of the drill's point that a blind
    hole leaves beyond its full diameter (below z_bottom, or above z_top when drilled from the back); None for a
    through hole. from_back: drilled from the back. drill: as the drill is stamped. where: the metal it is in, in words.
    reading: 0 for a planned hole, 1 for one that follows from balance.reading, 2 for one from balance.recheck.
    """

    at_deg: float
    radius_mm: float
    diameter_mm: float
    z_top: float
    z_bottom: float
    through: bool = True
    point_deg: float | None = None
    from_back: bool = False
    drill: str = ""
    where: str = ""
    reading: int = 0

    @property
    def depth_mm(self) -> float:
        """Length of the full diameter, mm: what the drill's depth stop is set to, its point not counted."""
        return self.z_top - self.z_bottom

    @property
    def point_mm(self) -> float:
        """Length of the drill's point beyond the full diameter, mm; 0 for a through hole."""
        return point_length_mm(self.diameter_mm, self.point_deg)

    @property
    def highest(self) -> float:
        """z of its upper end, the drill's point included."""
        return self.z_top + (self.point_mm if self.from_back else 0.0)

    @property
    def lowest(self) -> float:
        """z of its lower end, the drill's point included."""
        return self.z_bottom - (0.0 if self.from_back else self.point_mm)

    @property
    def volume_mm3(self) -> float:
        """Metal taken out, mm³, the point's cone included."""
        return math.pi / 4 * self.diameter_mm**2 * (self.depth_mm + self.point_mm / 3)

    @property
    def z_mean(self) -> float:
        """z of the centre of the metal taken out, mm."""
        if self.from_back:
            cone_z = self.z_top + self.point_mm / 4
        else:
            cone_z = self.z_bottom - self.point_mm / 4
        barrel, cone = self.depth_mm, self.point_mm / 3  # their volumes for each mm² of the barrel
        return (barrel * (self.z_top + self.z_bottom) / 2 + cone * cone_z) / (barrel + cone)

    def mass_g(self, density_kg_m3: float) -> float:
        """Mass taken out, g."""
        return hole_mass_g(self.diameter_mm, self.depth_mm, density_kg_m3, self.point_deg)

    def centre(self, sense: int) -> tuple[float, float]:
        """x, y of the centre, mm; sense as in trade.frames."""
        x, y = point_at(self.radius_mm, self.at_deg, sense).tolist()
        return x, y

    def report(self) -> dict[str, object]:
        """The hole as report.json holds it."""
        return {
            "at_deg": self.at_deg,
            "radius_mm": self.radius_mm,
            "diameter_mm": self.diameter_mm,
            "depth_mm": self.depth_mm,
            "through": self.through,
            "drill": self.drill,
            "from": "back" if self.from_back else "front",
            "point_deg": self.point_deg,
            "reading": self.reading,
        }


def taken_out(holes: Sequence[CorrectionHole], density_kg_m3: float, sense: int) -> Floats:
    """(2,) first moment of the metal the holes take out, g·mm in x and y: it is subtracted from the unbalance."""
    total = np.zeros(2)
    for hole in holes:
        total += hole.mass_g(density_kg_m3) * np.array(hole.centre(sense))
    return total
