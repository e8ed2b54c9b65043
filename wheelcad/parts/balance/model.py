"""The wheel's balance as one frozen value.

Unbalance vectors are x, y in g·mm in the wheel frame and point to the heavy side (mass too much there); at_deg is that
direction in degrees from the TDC line, positive the way the crank turns.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from wheelcad.arrays import Floats
from wheelcad.findings import Finding
from wheelcad.parts.balance.initial import InitialUnbalance
from wheelcad.parts.balance.metal import Metal
from wheelcad.parts.balance.rated import Rated
from wheelcad.parts.balance.reading import LevelEdges, LevelRead
from wheelcad.parts.balance.spread import Spread
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.trade.frames import angle_of
from wheelcad.trade.unbalance import AIM_GRADE, GRADES, centrifugal_n, permissible_g_mm
from wheelcad.words import unbalance

ZERO_G_MM = 1e-9  # below this an unbalance has no direction


@dataclass(frozen=True)
class BalanceDesign:
    """Everything about balance. before, after: x, y in g·mm as drawn; before is without holes.

    holes: the planned ones, then what readings add. rated: the mass the limit counts; mass_kg: of the finished piece.
    readings: what level edges showed, in turn. permissible and aim: g·mm at max_speed, None without one. couple_g_mm2:
    what the holes leave about the plane the unbalance lies in. correct_by: holes or none; plan: what was chosen,
    or why nothing was. runout_limit_mm: indicator reading for the turned surfaces (a plate's rim).
    metal: what the holes are in, for checks of walls. other: alternatives to holes, notes: what a
    reader must know, both in words.
    """

    before: tuple[float, float]
    after: tuple[float, float]
    holes: tuple[CorrectionHole, ...]
    mass_kg: float
    sense: int
    initial: InitialUnbalance
    metal: Metal
    grade: str
    max_speed_rpm: float | None
    correct_by: str
    plan: str
    couple_g_mm2: float
    spread: Spread
    runout_limit_mm: float | None
    rated: Rated
    edges: LevelEdges
    readings: tuple[LevelRead, ...]
    other: tuple[str, ...]
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def density_kg_m3(self) -> float:
        """Of the metal."""
        return self.initial.density_kg_m3

    @property
    def planned(self) -> tuple[CorrectionHole, ...]:
        """The holes that were planned before anything was read."""
        return tuple(hole for hole in self.holes if not hole.reading)

    @property
    def judged(self) -> tuple[float, float]:
        """What the grade is judged on, x and y in g·mm: what the last reading's holes leave, else what is drawn."""
        return self.readings[-1].after if self.readings else self.after

    @property
    def permissible_g_mm(self) -> float | None:
        """What the job's grade permits at max_speed."""
        return self._permissible(self.grade)

    @property
    def permissible_alone_g_mm(self) -> float | None:
        """What it permits the piece by its own mass, were it a rotor of its own."""
        return self._permissible(self.grade, self.mass_kg)

    @property
    def aim_g_mm(self) -> float | None:
        """What is aimed at: G6.3, or the job's grade where that is finer."""
        return self._permissible(self.aim_grade)

    @property
    def runout_by(self) -> str:
        """What the run-out of the turned surfaces follows from, in words."""
        permitted = self.permissible_g_mm
        return "common practice" if permitted is None else f"from the {unbalance(permitted)} that {self.grade} permits"

    def _permissible(self, grade: str, kg: float | None = None) -> float | None:
        speed = self.max_speed_rpm
        return None if speed is None else permissible_g_mm(GRADES[grade], kg or self.rated.kg, speed)

    @property
    def aim_grade(self) -> str:
        """The grade aimed at."""
        return min(self.grade, AIM_GRADE, key=lambda name: GRADES[name])

    def figures(self, vector: tuple[float, float] | Floats) -> dict[str, object]:
        """An unbalance as report.json holds it: size, direction of the heavy side, force at max_speed (or None)."""
        x, y = float(vector[0]), float(vector[1])
        size = math.hypot(x, y)
        speed = self.max_speed_rpm
        return {
            "unbalance_g_mm": size,
            "at_deg": float(angle_of(x, y, self.sense)) if size > ZERO_G_MM else 0.0,
            "force_n": None if speed is None else centrifugal_n(size, speed),
        }

    def report(self) -> dict[str, object]:
        """report.json's `balance`, by closed form; before and after are later replaced by what was measured."""
        return {
            "before": self.figures(self.before),
            "correction": {
                "correct_by": self.correct_by,
                "plan": self.plan,
                "holes": [hole.report() for hole in self.planned],
            },
            "after": self.figures(self.after),
            "as_cut_95_g_mm": self.spread.seated,
            "plane_z_mm": self.initial.plane_mm,
            "couple_g_mm2": self.couple_g_mm2,
            "permissible_g_mm": self.permissible_g_mm,
            "permissible_alone_g_mm": self.permissible_alone_g_mm,
            "turns_with": self.rated.report(),
            "felt_g_mm": self.edges.felt_g_mm,
            "grade": self.grade,
            "aim_g_mm": self.aim_g_mm,
            "aim_grade": self.aim_grade,
            "max_speed_rpm": self.max_speed_rpm,
            "mass_kg": self.mass_kg,
            "residual_95_g_mm": {"drilling": self.spread.drilling, "with_eccentricity": self.spread.seated},
            "runout_limit_mm": self.runout_limit_mm,
            "alternatives": list(self.other),
            "notes": list(self.notes),
            **{one.key.split(".")[1]: {**one.report(), "after": self.figures(one.after)} for one in self.readings},
        }
