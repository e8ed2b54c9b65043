"""What wheels, brackets, blocks and gauges are made of.

density kg/m³; strengths MPa (N/mm²); Young's modulus GPa. Strengths are the least values of the standards named, for
the grade a home shop most likely meets: castings and bar of unknown origin may be weaker.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np


@dataclass(frozen=True)
class Material:
    """One material of the trade.

    name: as job files write it. title: as drawings write it. density_kg_m3: kg/m³. tensile_mpa: least tensile strength,
    MPa. yield_mpa: least yield or 0.2 % proof strength, MPa; None where the material has none (grey iron).
    youngs_gpa: GPa. poisson: no unit. magnetic: whether a Hall or reluctance sensor sees it. cutting_note: one
    sentence for the person at the machine. source: where strengths and density come from.
    """

    name: str
    title: str
    density_kg_m3: float
    tensile_mpa: float
    yield_mpa: float | None
    youngs_gpa: float
    poisson: float
    magnetic: bool
    cutting_note: str
    source: str

    @property
    def density_g_mm3(self) -> float:
        """Density in g/mm³: mass in grams of a volume in cubic millimetres."""
        return self.density_kg_m3 * 1e-6

    @property
    def strength_mpa(self) -> float:
        """The strength that decides, MPa: yield where there is one, else tensile (brittle: allow a larger factor)."""
        return self.tensile_mpa if self.yield_mpa is None else self.yield_mpa


_ALL = (
    Material(
        "grey-iron", "Grey cast iron EN-GJL-250", 7200.0, 250.0, None, 110.0, 0.26, True,
        "Cut dry; the first cut goes under the hard skin; the dust is abrasive, keep it off the slideways.",
        "EN 1561 (strength); density 7200 kg/m3; modulus 103-118 GPa from memory",
    ),
    Material(
        "ductile-iron", "Ductile cast iron EN-GJS-400-15", 7100.0, 400.0, 250.0, 169.0, 0.275, True,
        "Cuts like mild steel with short chips; light cutting oil helps drilling and tapping.",
        "EN 1563 (strength); density 7100-7300 kg/m3, the lower taken; modulus from memory",
    ),
    Material(
        "mild-steel", "Mild steel S235", 7850.0, 360.0, 235.0, 200.0, 0.30, True,
        "Use cutting oil; break the burrs on both sides of every slot.",
        "EN 10025-2 (strength, to 16 mm); modulus: the low end of 200-210 GPa, which errs towards more deflection",
    ),
    Material(
        "stainless-430", "Ferritic stainless steel 1.4016 (430)", 7700.0, 450.0, 205.0, 200.0, 0.28, True,
        "Magnetic, unlike austenitic stainless; keep the feed up so that it does not harden under the cutter.",
        "from memory (ASTM A240, EN 10088-1)",
    ),
    Material(
        "aluminium-6061", "Aluminium alloy 6061-T6", 2700.0, 310.0, 276.0, 68.9, 0.33, False,
        "No magnetic target: a Hall or reluctance sensor does not see it. Sharp cutter, paraffin or spirit.",
        "from memory (typical values of the temper)",
    ),
)  # fmt: skip

MATERIALS: Mapping[str, Material] = MappingProxyType({entry.name: entry for entry in _ALL})


# Least tensile strength of EN-GJL-250 against the wall it was cast in, mm and MPa.
# Sources: 10 and 20 mm EN 1561; the others from memory.
_GREY_IRON_WALLS_MM = (5.0, 10.0, 20.0, 40.0, 80.0)
_GREY_IRON_TENSILE_MPA = (250.0, 225.0, 195.0, 170.0, 155.0)


def material(name: str) -> Material:
    """The material a job file calls `name`; KeyError naming the known ones when there is none."""
    try:
        return MATERIALS[name]
    except KeyError:
        raise KeyError(f"no material {name!r}; known: {', '.join(MATERIALS)}") from None


def grey_iron_tensile_mpa(wall_mm: float) -> float:
    """Tensile strength (MPa) of EN-GJL-250 in a casting of wall thickness `wall_mm`, straight lines between the rows.

    Thick walls cool slowly and are weaker. Below 5 mm and above 80 mm the end values hold. ValueError for a wall ≤ 0.
    Source: EN 1561 for 10 and 20 mm walls; 5, 40 and 80 mm from memory.
    """
    if wall_mm <= 0:
        raise ValueError("a wall is thicker than nothing")
    return float(np.interp(wall_mm, _GREY_IRON_WALLS_MM, _GREY_IRON_TENSILE_MPA))
