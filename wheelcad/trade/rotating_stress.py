"""Stress in spinning rings and discs. Lengths mm, density kg/m³, speeds rpm or m/s, stress MPa, tension positive.

Plane stress, elastic, one material, thickness even and small against the diameter.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

CORNER = 0.42  # see `corner_peak_mpa`
KEYWAY = 1.4  # see `keyway_peak_mpa`
ROUND_FLOOR = 2.1  # stress at a row of round floors over the hoop stress under them; source: as `corner_peak_mpa`
RIM_SPEED_CAST_IRON_M_S = 100 * 0.3048  # 100 ft/s, the old rule for cast-iron rims; source: Shop Practice


def omega(rpm: float) -> float:
    """Angular speed, rad/s."""
    return 2 * math.pi * rpm / 60


def rim_speed_m_s(diameter_mm: float, rpm: float) -> float:
    """Speed of the rim, m/s."""
    return omega(rpm) * diameter_mm / 2000


def rpm_at_rim_speed(diameter_mm: float, speed_m_s: float = RIM_SPEED_CAST_IRON_M_S) -> float:
    """Speed (rpm) at which the rim reaches `speed_m_s`; the default is the old rule for cast-iron rims, a warning only.

    ValueError for a diameter ≤ 0.
    """
    if diameter_mm <= 0:
        raise ValueError("a diameter is greater than nothing")
    return speed_m_s / (diameter_mm / 2000) * 60 / (2 * math.pi)


class DiscStress(NamedTuple):
    """Stress at one radius, MPa."""

    radial_mpa: float
    hoop_mpa: float


def annular_disc(
    bore_radius_mm: float, rim_radius_mm: float, radius_mm: float, density_kg_m3: float, poisson: float, rpm: float
) -> DiscStress:
    """Radial and hoop stress at `radius_mm` of a spinning annular disc, bore radius a, rim radius b.

    At the bore σθ is greatest, (3+ν)/4·ρω²·[b² + (1-ν)/(3+ν)·a²]; σr is greatest at √(ab), (3+ν)/8·ρω²·(b-a)².
    σr = (3+ν)/8·ρω²·(a² + b² - a²b²/r² - r²); σθ = (3+ν)/8·ρω²·(a² + b² + a²b²/r² - (1+3ν)/(3+ν)·r²).
    ValueError unless 0 < a < b and a ≤ r ≤ b. Source: Shigley, rotating rings.
    """
    a, b, r = (x / 1000 for x in (bore_radius_mm, rim_radius_mm, radius_mm))
    if not 0 < a < b or not a <= r <= b:
        raise ValueError("a disc needs 0 < bore < rim, and a radius between them")
    scale = (3 + poisson) / 8 * density_kg_m3 * omega(rpm) ** 2 * 1e-6
    both = a * a + b * b
    image = a * a * b * b / (r * r)
    return DiscStress(
        scale * (both - image - r * r),
        scale * (both + image - (1 + 3 * poisson) / (3 + poisson) * r * r),
    )


def rim_pull(bore_radius_mm: float, rim_radius_mm: float, radius_mm: float, pull_mpa: float) -> DiscStress:
    """Stress at `radius_mm` of an annulus whose rim is pulled outwards by `pull_mpa`. Source: Lamé's thick ring.

    ValueError unless 0 < a < b and a ≤ r ≤ b.
    """
    a, b, r = bore_radius_mm, rim_radius_mm, radius_mm
    if not 0 < a < b or not a <= r <= b:
        raise ValueError("a disc needs 0 < bore < rim, and a radius between them")
    scale = pull_mpa * b * b / (b * b - a * a)
    image = a * a / (r * r)
    return DiscStress(scale * (1 - image), scale * (1 + image))


def corner_peak_mpa(hoop_mpa: float, root_mpa: float, tooth_mm: float, corner_mm: float) -> float:
    """Greatest stress, MPa, in the corner between a slot's flat floor and a tooth: σθ + 0.42·√(b/r)·(σθ + σt).

    hoop_mpa: σθ under the floors; root_mpa: σt, the teeth's pull over their roots; tooth_mm: b, a tooth's width at its
    root; corner_mm: r. Slots side by side shield each other, so that the tooth's width counts and not the slot's depth.
    ValueError unless width and radius are > 0. Source: our fit to plane finite elements of 14 wheels of 12 to 60 teeth,
    within 15 % (tests/outside/test_disc_elements.py); the root of b/r is that of any shoulder's or notch's corner.
    """
    if tooth_mm <= 0 or corner_mm <= 0:
        raise ValueError("a tooth's width and a corner's radius are greater than nothing")
    return hoop_mpa + CORNER * math.sqrt(tooth_mm / corner_mm) * (hoop_mpa + root_mpa)


def hole_peak_mpa(field: DiscStress) -> float:
    """Greatest stress at the edge of a small round hole in a field of stress, MPa: three times the greater less the
    smaller. Source: Kirsch."""
    high, low = max(field), min(field)
    return 3 * high - low


def keyway_peak_mpa(bore_hoop_mpa: float, depth_mm: float, corner_mm: float) -> float:
    """Greatest stress in a keyway's corner, MPa: the bore's hoop stress times 1 + 1.4·√(depth/corner radius).

    ValueError unless depth ≥ 0 and corner > 0. Source: our fit to plane finite elements of six keyways, up to 10 % on
    the safe side in a plain disc, 3 % short in a ring of twelve deep slots (tests/outside/test_disc_elements.py);
    Inglis's ellipse has a 2, flat floors relieve it. `check --fem` has the keyway in the whole wheel.
    """
    if depth_mm < 0 or corner_mm <= 0:
        raise ValueError("a keyway's depth cannot be negative, nor its corner sharp")
    return bore_hoop_mpa * (1 + KEYWAY * math.sqrt(depth_mm / corner_mm))


@dataclass(frozen=True)
class ToothedDisc:
    """A spinning disc with slots from floor_radius out to the rim; mm, kg/m³.

    The model: the ring from bore to slot floors carries itself and, as an even outward pull, the teeth, which carry
    nothing round the wheel and fill `tooth_share` (0 to 1) of the ring outside the floors. ValueError for sizes that
    make no ring.
    """

    bore_radius_mm: float
    floor_radius_mm: float
    rim_radius_mm: float
    tooth_share: float
    density_kg_m3: float
    poisson: float
    rpm: float

    def __post_init__(self) -> None:
        a, f, b = self.bore_radius_mm, self.floor_radius_mm, self.rim_radius_mm
        if not 0 < a < f < b or not 0 <= self.tooth_share <= 1:
            raise ValueError("a toothed disc needs 0 < bore < slot floor < rim and a tooth share of 0 to 1")

    @property
    def pull_mpa(self) -> float:
        """The teeth's pull spread over the floor circle: ∫ρω²r² dr over the teeth, per radian and thickness."""
        f, b = self.floor_radius_mm, self.rim_radius_mm
        return self.tooth_share * self.density_kg_m3 * omega(self.rpm) ** 2 * (b**3 - f**3) / 3 / f * 1e-12

    @property
    def root_mpa(self) -> float:
        """The teeth's pull over their own roots."""
        return self.pull_mpa / self.tooth_share if self.tooth_share > 0 else 0.0

    def at(self, radius_mm: float) -> DiscStress:
        """Stress at a radius between bore and floors, holes and slots not counted."""
        a, f = self.bore_radius_mm, self.floor_radius_mm
        own = annular_disc(a, f, radius_mm, self.density_kg_m3, self.poisson, self.rpm)
        teeth = rim_pull(a, f, radius_mm, self.pull_mpa)
        return DiscStress(own.radial_mpa + teeth.radial_mpa, own.hoop_mpa + teeth.hoop_mpa)

    def floor_peak_mpa(self, tooth_mm: float, corner_mm: float, round_floor: bool) -> float:
        """Greatest stress at the slot floors. tooth_mm: width of a tooth at its root; corner_mm: radius of a flat
        floor's corners, of a round floor half the slot's width."""
        hoop = self.at(self.floor_radius_mm).hoop_mpa
        peak = corner_peak_mpa(hoop, self.root_mpa, tooth_mm, corner_mm)
        return max(peak, ROUND_FLOOR * hoop) if round_floor else peak
