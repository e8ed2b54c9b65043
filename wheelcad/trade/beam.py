"""A bar clamped at one end: its first natural frequency, with and without a mass at its tip.

Lengths in mm, Young's modulus in GPa, density in kg/m³, masses in kg, frequencies in Hz.
Uniform rectangular section, bending about its weak axis unless said otherwise; shear and rotary inertia left out.
"""

from __future__ import annotations

import math

BEYOND = 2.0  # past the first root, which is 1.8751 without a tip mass and less with one; the next lies above 3


def _characteristic(x: float, ratio: float) -> float:
    """Zero at the natural frequencies of a clamped bar with a tip mass; ratio: tip mass over the bar's own."""
    c, s, ch, sh = math.cos(x), math.sin(x), math.cosh(x), math.sinh(x)
    return 1 + c * ch + ratio * x * (c * sh - s * ch)


def first_root(ratio: float) -> float:
    """First root x of the frequency equation for a tip mass `ratio` times the bar's mass (0 or more).

    Source: 1 + cos x·cosh x + μx(cos x·sinh x - sin x·cosh x) = 0, Euler-Bernoulli beam theory.
    """
    if ratio < 0:
        raise ValueError("a mass is not negative")
    low, high = 0.0, BEYOND
    for _ in range(60):
        middle = (low + high) / 2
        if _characteristic(middle, ratio) > 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def cantilever_frequency_hz(
    length_mm: float, width_mm: float, thickness_mm: float, youngs_gpa: float, density_kg_m3: float, tip_kg: float = 0.0
) -> float:
    """First frequency, Hz, of a clamped bar that bends across its thickness, with a mass at its free end."""
    if min(length_mm, width_mm, thickness_mm) <= 0:
        raise ValueError("a bar has length, width and thickness")
    length, width, thickness = length_mm / 1000, width_mm / 1000, thickness_mm / 1000
    stiffness = youngs_gpa * 1e9 * width * thickness**3 / 12
    per_metre = density_kg_m3 * width * thickness
    x = first_root(tip_kg / (per_metre * length))
    return x**2 / (2 * math.pi) * math.sqrt(stiffness / (per_metre * length**4))
