"""Stress in spinning rings and discs. Lengths mm, density kg/m³, speeds rpm or m/s, stress MPa, tension positive.

Plane stress, elastic, one material, thickness even and small against the diameter.
"""

from __future__ import annotations

import math
from typing import NamedTuple

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


def thin_ring_mpa(density_kg_m3: float, radius_mm: float, rpm: float) -> float:
    """Hoop stress of a thin spinning ring, MPa: ρ·v². Source: any handbook of mechanics."""
    return density_kg_m3 * (omega(rpm) * radius_mm / 1000) ** 2 * 1e-6


class DiscStress(NamedTuple):
    """Stress at one radius, MPa."""

    radial_mpa: float
    hoop_mpa: float


def annular_disc(
    bore_radius_mm: float, rim_radius_mm: float, radius_mm: float, density_kg_m3: float, poisson: float, rpm: float
) -> DiscStress:
    """Radial and hoop stress at `radius_mm` of a spinning annular disc, bore radius a, rim radius b.

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


def bore_hoop_mpa(
    bore_radius_mm: float, rim_radius_mm: float, density_kg_m3: float, poisson: float, rpm: float
) -> float:
    """The greatest hoop stress, at the bore, MPa: (3+ν)/4·ρω²·[b² + (1-ν)/(3+ν)·a²]. Source: Shigley."""
    return annular_disc(bore_radius_mm, rim_radius_mm, bore_radius_mm, density_kg_m3, poisson, rpm).hoop_mpa


def greatest_radial_mpa(
    bore_radius_mm: float, rim_radius_mm: float, density_kg_m3: float, poisson: float, rpm: float
) -> float:
    """The greatest radial stress, at √(ab), MPa: (3+ν)/8·ρω²·(b-a)². Source: Shigley."""
    at = math.sqrt(bore_radius_mm * rim_radius_mm)
    return annular_disc(bore_radius_mm, rim_radius_mm, at, density_kg_m3, poisson, rpm).radial_mpa


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


def notch_factor(depth_mm: float, floor_radius_mm: float, greatest: float = 6.0) -> float:
    """Stress concentration at a slot's floor, no unit: 1 + 2·√(depth/floor radius), at most `greatest`.

    A model: a single elliptical edge notch in a wide strip pulled across the slot. Slots side by side shield each
    other, so the true factor is smaller; a sharp corner (radius 0) takes `greatest`. ValueError for a depth < 0 or a
    radius < 0. Source: Inglis's ellipse; the cap is our judgement.
    """
    if depth_mm < 0 or floor_radius_mm < 0:
        raise ValueError("depth and radius cannot be negative")
    if depth_mm == 0:
        return 1.0
    if floor_radius_mm == 0:
        return greatest
    return min(greatest, 1 + 2 * math.sqrt(depth_mm / floor_radius_mm))


class ToothedDiscStress(NamedTuple):
    """Stress of a toothed disc, MPa: hoop at the bore, hoop at the slot floors, and that times the notch factor."""

    bore_hoop_mpa: float
    floor_hoop_mpa: float
    floor_peak_mpa: float
    notch: float

    @property
    def worst_mpa(self) -> float:
        """The greater of bore and slot floor."""
        return max(self.bore_hoop_mpa, self.floor_peak_mpa)


def toothed_disc(
    *,
    bore_radius_mm: float,
    floor_radius_mm: float,
    rim_radius_mm: float,
    tooth_share: float,
    slot_floor_radius_mm: float,
    density_kg_m3: float,
    poisson: float,
    rpm: float,
) -> ToothedDiscStress:
    """Stress of a wheel with slots from `floor_radius_mm` out to the rim.

    The model: the ring from bore to slot floors carries itself and, as an even outward pull, the teeth, which carry
    nothing round the wheel and fill `tooth_share` (0 to 1) of the ring outside the floors. The hoop stress at the
    floors is raised by `notch_factor` of the slots. slot_floor_radius_mm: half the width of a round floor, else its
    corner radius. ValueError for sizes that make no ring.
    """
    if not 0 < bore_radius_mm < floor_radius_mm < rim_radius_mm or not 0 <= tooth_share <= 1:
        raise ValueError("a toothed disc needs 0 < bore < slot floor < rim and a tooth share of 0 to 1")
    a, f, b = bore_radius_mm, floor_radius_mm, rim_radius_mm
    w = omega(rpm)
    # per radian and thickness: ∫ρω²r² dr over the teeth, spread over the floor circle
    pull = tooth_share * density_kg_m3 * w * w * (b**3 - f**3) / 3 / f * 1e-12
    bore = annular_disc(a, f, a, density_kg_m3, poisson, rpm).hoop_mpa + rim_pull(a, f, a, pull).hoop_mpa
    floor = annular_disc(a, f, f, density_kg_m3, poisson, rpm).hoop_mpa + rim_pull(a, f, f, pull).hoop_mpa
    notch = notch_factor(b - f, slot_floor_radius_mm)
    return ToothedDiscStress(bore, floor, floor * notch, notch)
