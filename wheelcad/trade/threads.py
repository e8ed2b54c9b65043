"""ISO metric threads: geometry, how deep a bolt must engage, and how hard it clamps.

Lengths mm, areas mm², strengths MPa, forces N, torques N·m, masses kg. A thread is M8 (coarse) or M12x1 (diameter ×
pitch). Tolerance classes are the common ones: 6g bolt, 6H nut or tapped hole.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

# Coarse pitches. Source: ISO 261.
COARSE_PITCH_MM: Mapping[float, float] = MappingProxyType(
    {3: 0.5, 4: 0.7, 5: 0.8, 6: 1.0, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2.0, 16: 2.0, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3.0}
)

# Tolerances, µm. Source: ISO 965-1, from memory; rows M8 and M10 agree with published engagement lengths, M10 to M24
# coarse with published limits of the same widths.
_TD_6G_MAJOR = {
    0.5: 106,
    0.7: 140,
    0.75: 140,
    0.8: 150,
    1.0: 180,
    1.25: 212,
    1.5: 236,
    1.75: 265,
    2.0: 280,
    2.5: 335,
    3.0: 375,
}
_TD1_6H_MINOR = {
    0.5: 140,
    0.7: 180,
    0.75: 190,
    0.8: 200,
    1.0: 236,
    1.25: 265,
    1.5: 300,
    1.75: 335,
    2.0: 375,
    2.5: 450,
    3.0: 500,
}
_ES_G = {0.5: 20, 0.7: 22, 0.75: 22, 0.8: 24, 1.0: 26, 1.25: 28, 1.5: 32, 1.75: 34, 2.0: 38, 2.5: 42, 3.0: 48}
# Pitch diameter, by (diameter up to and including, pitch): (6g bolt, 6H nut).
_PITCH_DIAMETER: Mapping[float, Mapping[float, tuple[int, int]]] = MappingProxyType(
    {
        5.6: {0.5: (75, 100), 0.7: (90, 118), 0.75: (90, 118), 0.8: (95, 125)},
        11.2: {0.75: (100, 132), 1.0: (112, 150), 1.25: (118, 160), 1.5: (132, 180)},
        22.4: {1.0: (118, 160), 1.25: (132, 180), 1.5: (140, 190), 1.75: (150, 200), 2.0: (160, 212), 2.5: (170, 224)},
        45.0: {1.0: (125, 170), 1.5: (150, 200), 2.0: (170, 224), 3.0: (200, 265)},
    }
)

# Strengths of bolts, MPa: (tensile, proof). Source: ISO 898-1, from memory; 8.8 up to M16.
BOLT_STRENGTH_MPA: Mapping[str, tuple[float, float]] = MappingProxyType(
    {
        "4.6": (400.0, 225.0),
        "5.6": (500.0, 280.0),
        "8.8": (800.0, 580.0),
        "10.9": (1040.0, 830.0),
        "12.9": (1220.0, 970.0),
    }
)
PRELOAD_SHARE = 0.75  # of the proof load, for joints taken apart again; source: Shigley
NUT_FACTOR = 0.2  # torque = K·F·d, plain dry bolts; source: Shigley
FRICTION = 0.15  # between bolted dry steel and iron faces; common practice, no source (0.12 oily, 0.2 rough)
CAST_IRON_ENGAGEMENT_D = 1.5  # least engagement in cast iron, bolt diameters; from memory

CHASED_THREAD_NOTE = (
    "Old tapped holes that were chased or are rusted hold less than this: check with a go gauge or a new bolt, and "
    "use a thread insert where it wobbles."
)

_NAME = re.compile(r"^M(\d+(?:\.\d+)?)(?:x(\d+(?:\.\d+)?))?$")


@dataclass(frozen=True)
class Thread:
    """An ISO metric thread. diameter_mm: nominal; pitch_mm. Sizes after ISO 724, stress area after ISO 898-1."""

    diameter_mm: float
    pitch_mm: float

    @property
    def name(self) -> str:
        """M8 when coarse, else M12x1."""
        coarse = COARSE_PITCH_MM.get(self.diameter_mm) == self.pitch_mm
        return f"M{self.diameter_mm:g}" + ("" if coarse else f"x{self.pitch_mm:g}")

    @property
    def pitch_diameter_mm(self) -> float:
        """d2 = d - 3/8·√3·P."""
        return self.diameter_mm - 0.375 * math.sqrt(3) * self.pitch_mm

    @property
    def minor_diameter_mm(self) -> float:
        """D1 of the nut = d - 5/8·√3·P."""
        return self.diameter_mm - 0.625 * math.sqrt(3) * self.pitch_mm

    @property
    def root_diameter_mm(self) -> float:
        """d3 of the bolt, root rounded = d - 17/24·√3·P."""
        return self.diameter_mm - 17 / 24 * math.sqrt(3) * self.pitch_mm

    @property
    def stress_area_mm2(self) -> float:
        """As = π/4·((d2 + d3)/2)²."""
        return math.pi / 4 * ((self.pitch_diameter_mm + self.root_diameter_mm) / 2) ** 2


def thread(name: str) -> Thread:
    """The thread called M8, M10 or M12x1. ValueError for what is no thread, or a plain size without a coarse pitch."""
    match = _named(name)
    diameter = float(match[1])
    if match[2] is None:
        if diameter not in COARSE_PITCH_MM:
            raise ValueError(f"{name} has no coarse pitch here: write it with its pitch, such as M12x1")
        return Thread(diameter, COARSE_PITCH_MM[diameter])
    pitch = float(match[2])
    if not 0 < pitch < diameter / 2:
        raise ValueError(f"{name}: a pitch is greater than nothing and less than half the diameter")
    return Thread(diameter, pitch)


def nominal_mm(name: str) -> float:
    """Nominal diameter of a thread written M12 or M12x1, whether or not it has a coarse pitch here. ValueError for what
    is no metric thread."""
    return float(_named(name)[1])


def _named(name: str) -> re.Match[str]:
    match = _NAME.match(name.strip())
    if match is None:
        raise ValueError(f"{name!r} is no metric thread such as M8 or M12x1")
    return match


@dataclass(frozen=True)
class ThreadLimits:
    """Sizes at the limits that matter for stripping, mm: 6g bolt (small d), 6H nut (capital D)."""

    d_min: float
    d2_min: float
    d1_nut_max: float
    d2_nut_max: float


def limits(of: Thread) -> ThreadLimits:
    """Worst-case sizes of a 6g bolt in a 6H hole, mm. Source: ISO 965-1, from memory.

    ValueError for a size the table lacks.
    """
    rows = next((rows for upto, rows in _PITCH_DIAMETER.items() if of.diameter_mm <= upto), {})
    if of.pitch_mm not in rows:
        raise ValueError(f"no tolerances here for {of.name}")
    bolt, nut = rows[of.pitch_mm]
    es = _ES_G[of.pitch_mm]
    return ThreadLimits(
        d_min=of.diameter_mm - (es + _TD_6G_MAJOR[of.pitch_mm]) / 1000,
        # the standard takes its basic sizes rounded to a micrometre
        d2_min=round(of.pitch_diameter_mm, 3) - (es + bolt) / 1000,
        d1_nut_max=round(of.minor_diameter_mm, 3) + _TD1_6H_MINOR[of.pitch_mm] / 1000,
        d2_nut_max=round(of.pitch_diameter_mm, 3) + nut / 1000,
    )


def engagement_mm(of: Thread, bolt_tensile_mpa: float = 800.0, nut_tensile_mpa: float = 800.0) -> float:
    """Least length of engagement, mm, at which the bolt breaks before either thread strips.

    Le = 2·As/{π·D1max·[½ + (d2min - D1max)/(√3·P)]}, times J = (bolt's shear area · strength)/(hole's shear area ·
    strength) where J > 1, that is where the hole's material is the weaker. ValueError for strengths ≤ 0 or a size the
    tolerance table lacks. Source: engagement formula of the screw-thread handbooks (FED-STD-H28).
    """
    if bolt_tensile_mpa <= 0 or nut_tensile_mpa <= 0:
        raise ValueError("strengths must be greater than nothing")
    at, pitch = limits(of), of.pitch_mm
    bolt_area = math.pi * at.d1_nut_max * (0.5 + (at.d2_min - at.d1_nut_max) / math.sqrt(3) / pitch)
    nut_area = math.pi * at.d_min * (0.5 + (at.d_min - at.d2_nut_max) / math.sqrt(3) / pitch)
    weaker = bolt_area * bolt_tensile_mpa / (nut_area * nut_tensile_mpa)
    return 2 * of.stress_area_mm2 / bolt_area * max(1.0, weaker)


# Least engagement in bolt diameters, beside the formula: irons, steel and aluminium. From memory (workshop tables).
ENGAGEMENT_D: Mapping[str, float] = MappingProxyType(
    {"grey-iron": CAST_IRON_ENGAGEMENT_D, "ductile-iron": 1.25, "mild-steel": 1.0, "aluminium-6061": 2.0}
)


def block_engagement_mm(of: Thread, block: str, block_tensile_mpa: float) -> float:
    """Least engagement, mm, of an 8.8 bolt in a block of this material: the workshop's rule, or more where the formula
    for the weaker thread asks for it. KeyError for another material."""
    rule = ENGAGEMENT_D[block] * of.diameter_mm
    try:
        return max(rule, engagement_mm(of, BOLT_STRENGTH_MPA["8.8"][0], block_tensile_mpa))
    except ValueError:  # a size without tolerances here
        return rule


def clamp_force_n(of: Thread, grade: str = "8.8") -> float:
    """Clamping force of one bolt tightened as usual, N: 0.75 of its proof load. KeyError for an unknown grade."""
    return PRELOAD_SHARE * BOLT_STRENGTH_MPA[grade][1] * of.stress_area_mm2


def tightening_torque_nm(of: Thread, force_n: float) -> float:
    """Torque for a clamping force, N·m: K·F·d with K = 0.2, dry. Good to a quarter either way at best."""
    return NUT_FACTOR * force_n * of.diameter_mm / 1000


def slip_acceleration_m_s2(bolts: int, force_n: float, mass_kg: float, friction: float = FRICTION) -> float:
    """Acceleration along the joint at which bolted faces slip, m/s²: bolts · μ · F / m.

    mass_kg: what the joint carries. ValueError when it is ≤ 0. Leaves out the turning moment of a mass that overhangs.
    """
    if mass_kg <= 0:
        raise ValueError("the mass must be greater than nothing")
    return bolts * friction * force_n / mass_kg
