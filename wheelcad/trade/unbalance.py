"""Unbalance: what a missing tooth does, what the standard permits, and what a drilled hole takes out.

Unbalance U is mass × distance of its centre from the axis, in g·mm; it points to the heavy side. Removing metal moves
the unbalance away from where the metal was. Lengths mm, angles degrees, densities kg/m³, speeds rpm.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from wheelcad.arrays import Floats

# Balance quality grades, e·omega in mm/s. Source: ISO 21940-11 Table 1.
GRADES: Mapping[str, float] = MappingProxyType({"G2.5": 2.5, "G6.3": 6.3, "G16": 16.0, "G40": 40.0})

# A toothed trigger wheel has no row of its own in the standard: this choice is our judgement, and reports say so.
AIM_GRADE = "G6.3"
LIMIT_GRADE = "G16"

POINT_DEG = 118.0  # the included angle of an ordinary twist drill's point

# Arm of the rolling resistance of hardened, ground steel on steel, mm. Common practice, no source: 0.005 to 0.05.
ROLLING_ARM_MM = 0.01


def permissible_g_mm(grade_mm_s: float, mass_kg: float, rpm: float) -> float:
    """Permissible residual unbalance, g·mm: U = 60000/(2π) · G · m / n, that is 9549.3·G·m/n.

    grade_mm_s: G in mm/s (`GRADES`). mass_kg: of the rotor. rpm: its highest speed. ValueError unless all are > 0.
    Source: ISO 21940-11 (formerly ISO 1940-1), e_per·omega = G.
    """
    if grade_mm_s <= 0 or mass_kg <= 0 or rpm <= 0:
        raise ValueError("grade, mass and speed must be greater than nothing")
    return 60_000.0 / (2.0 * math.pi) * grade_mm_s * mass_kg / rpm


def annular_sector(
    r1_mm: float, r2_mm: float, angle_deg: float, thickness_mm: float, density_kg_m3: float
) -> tuple[float, float, float]:
    """(mass g, radius of the centre of mass mm, moment g·mm) of the sector r1..r2 of an annulus, `angle_deg` wide.

    r_cg = (2/3)·(r2³-r1³)/(r2²-r1²)·sin(θ/2)/(θ/2). ValueError unless 0 ≤ r1 < r2, 0 < angle ≤ 360, and thickness and
    density > 0. Source: centroid of a circular sector, any handbook of mechanics.
    """
    if not 0 <= r1_mm < r2_mm or not 0 < angle_deg <= 360 or thickness_mm <= 0 or density_kg_m3 <= 0:
        raise ValueError("an annular sector needs 0 ≤ r1 < r2, 0 < angle ≤ 360, and a thickness and density")
    half = math.radians(angle_deg) / 2
    mass_g = half * (r2_mm**2 - r1_mm**2) * thickness_mm * density_kg_m3 * 1e-6
    r_cg = 2 / 3 * (r2_mm**3 - r1_mm**3) / (r2_mm**2 - r1_mm**2) * math.sin(half) / half
    return mass_g, r_cg, mass_g * r_cg


def hole_mass_g(diameter_mm: float, depth_mm: float, density_kg_m3: float, point_deg: float | None = None) -> float:
    """Mass (g) a drilled hole takes out. depth_mm: of the full diameter; the cone of the drill's point comes on top.

    point_deg: included angle of the point (118 for an ordinary drill); None for a through or flat-bottomed hole.
    ValueError for sizes or density below zero, or a point outside 0 < angle ≤ 180.
    """
    if diameter_mm < 0 or depth_mm < 0 or density_kg_m3 < 0:
        raise ValueError("a hole's diameter, depth and density cannot be less than nothing")
    volume = math.pi / 4 * diameter_mm**2 * (depth_mm + point_length_mm(diameter_mm, point_deg) / 3)
    return volume * density_kg_m3 * 1e-6


def point_length_mm(diameter_mm: float, point_deg: float | None) -> float:
    """Height (mm) of the cone a drill of included angle `point_deg` leaves at the bottom; 0 for None."""
    if point_deg is None:
        return 0.0
    if not 0 < point_deg <= 180:
        raise ValueError("a drill's point is more than 0 and at most 180 degrees")
    return diameter_mm / 2 / math.tan(math.radians(point_deg) / 2)


def centrifugal_n(unbalance_g_mm: float, rpm: float) -> float:
    """Rotating force (N) of an unbalance in g·mm at `rpm`: U·ω²."""
    return unbalance_g_mm * 1e-6 * (2 * math.pi * rpm / 60) ** 2


def mass_within_surface_g(diameter_mm: float, length_mm: float, density_kg_m3: float) -> float:
    """Mass (g) of the solid round enclosed by a turned surface, reckoned right to the axis whatever bore it has."""
    return math.pi / 4 * diameter_mm**2 * length_mm * density_kg_m3 * 1e-6


def runout_for_unbalance_mm(limit_g_mm: float, mass_g: float) -> float:
    """Greatest indicator reading (mm) on a turned surface at which its unbalance, mass × reading / 2, stays within
    `limit_g_mm`.

    mass_g: `mass_within_surface_g` of the surface turned. Shifting a circle of area A by e moves A·e of metal to one
    side, so what counts is all the metal the surface encloses, not the thin layer that came off. The reading is twice
    the eccentricity. ValueError if mass ≤ 0 or the limit is negative. Source: first moment of a shifted disc.
    """
    if mass_g <= 0 or limit_g_mm < 0:
        raise ValueError("mass must be greater than nothing and the limit not negative")
    return 2 * limit_g_mm / mass_g


def polar_sum(sizes: ArrayLike, at_deg: ArrayLike) -> tuple[float, float]:
    """(size, at_deg 0 ≤ a < 360) of the sum of vectors given by size and direction, degrees in one sense.

    What balances them is as large and lies 180 degrees on. Source: static balance, any handbook of mechanics.
    """
    angles = np.radians(np.asarray(at_deg, dtype=float))
    total = complex((np.asarray(sizes, dtype=float) * np.exp(1j * angles)).sum())
    return abs(total), math.degrees(math.atan2(total.imag, total.real)) % 360.0


def two_planes(vectors_g_mm: ArrayLike, z_mm: Sequence[float] | Floats, z1_mm: float, z2_mm: float) -> Floats:
    """The unbalances `vectors_g_mm` (n, 2: x and y, g·mm) at heights `z_mm` (n) as two vectors (2, 2) in planes z1, z2.

    The correction is the opposite of each. ValueError when the planes coincide or shapes disagree.
    """
    vectors = np.asarray(vectors_g_mm, dtype=float)
    heights = np.asarray(z_mm, dtype=float)
    if vectors.ndim != 2 or vectors.shape[1] != 2 or heights.shape != (len(vectors),):
        raise ValueError("vectors must be (n, 2) and heights (n)")
    if z1_mm == z2_mm:
        raise ValueError("two correction planes must lie apart")
    second = ((heights - z1_mm) / (z2_mm - z1_mm))[:, None]
    return np.stack([(vectors * (1 - second)).sum(axis=0), (vectors * second).sum(axis=0)])


def plane_shares(permissible_total_g_mm: float, disc_shaped: bool) -> tuple[float, ...]:
    """What each correction plane may keep: all of it in one plane for a disc, else half in each of two.

    Source: rotating-machinery handbook.
    """
    return (permissible_total_g_mm,) if disc_shaped else (permissible_total_g_mm / 2, permissible_total_g_mm / 2)


def knife_edge_visible_g_mm(
    mass_kg: float,
    rolling_arm_mm: float = ROLLING_ARM_MM,
    mandrel_diameter_mm: float = 0.0,
    level_error_mm_m: float = 0.0,
) -> float:
    """Smallest unbalance (g·mm) that shows on two level straight edges.

    A model: the mandrel starts to roll when the unbalance's moment passes the rolling resistance, mass × rolling_arm,
    plus what edges out of level by `level_error_mm_m` (mm in a metre) feign: mass × mandrel radius × slope. mass_kg:
    wheel and mandrel together. ValueError for mass or arm ≤ 0, or negative sizes. Source: rolling resistance as a
    lever arm, any handbook of mechanics; the arm's size is common practice, no source.
    """
    if mass_kg <= 0 or rolling_arm_mm <= 0 or mandrel_diameter_mm < 0 or level_error_mm_m < 0:
        raise ValueError("mass and rolling arm must be greater than nothing, sizes not negative")
    return 1000.0 * mass_kg * (rolling_arm_mm + mandrel_diameter_mm / 2 * level_error_mm_m / 1000.0)
