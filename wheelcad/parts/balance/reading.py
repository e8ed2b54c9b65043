"""What the finished wheel showed on level edges, and the holes that follow from it.

Putty that brought the wheel to rest anywhere lies on its light side: the heavy side is opposite, and metal is taken out
there. The reading holds what no drawing knows: run-out of what was turned again, blow-holes, old drillings.
Vectors are x, y in g·mm, wheel frame, pointing to the heavy side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from wheelcad.job.workshop import LevelReading
from wheelcad.parts.balance.plan import Chosen
from wheelcad.parts.common.holes import CorrectionHole, taken_out
from wheelcad.trade.frames import point_at
from wheelcad.trade.unbalance import knife_edge_visible_g_mm, polar_sum
from wheelcad.words import angle, length, mass, unbalance

ARBOUR_MM = (25.0, 200.0)  # diameter (or the bore's, if smaller) and length of a balancing arbour; common practice
STEEL_G_MM3 = 7850e-6
LEVEL_MM_M = 0.05  # how level two straight edges are set with an engineer's level; common practice, no source
SAME = 0.25  # share of a reading within which a second one counts as this or that mistake; our judgement


@dataclass(frozen=True)
class LevelEdges:
    """What level edges can show. arbour_mm: diameter of the hard arbour through the bore. felt_g_mm: the least
    unbalance that starts the wheel rolling."""

    arbour_mm: float
    felt_g_mm: float

    def felt_g(self, radius_mm: float) -> float:
        """The least mass that is felt at this radius, g."""
        return self.felt_g_mm / radius_mm


def edges_for(wheel_kg: float, bore_radius_mm: float) -> LevelEdges:
    """The edges' least unbalance for a wheel of this mass on an arbour through its bore (radius; 0 for none)."""
    arbour = min(2 * bore_radius_mm or ARBOUR_MM[0], ARBOUR_MM[0])
    kg = math.pi / 4 * arbour**2 * ARBOUR_MM[1] * STEEL_G_MM3 / 1000
    felt = knife_edge_visible_g_mm(wheel_kg + kg, mandrel_diameter_mm=arbour, level_error_mm_m=LEVEL_MM_M)
    return LevelEdges(arbour, felt)


class AddedMass(NamedTuple):
    """Mass that would do instead of holes: g at degrees from the TDC line and mm from the axis."""

    mass_g: float
    at_deg: float
    radius_mm: float

    def words(self) -> str:
        """Where it goes, in words."""
        return f"{mass(self.mass_g)} at {angle(self.at_deg)}, radius {length(self.radius_mm)}"


@dataclass(frozen=True)
class LevelRead:
    """One reading and what follows from it. number: 1, or 2 for the re-check. size_g_mm, heavy_at_deg: the unbalance
    found. outcome: the holes, or why there are none; instead: mass that would do, None where nothing need be done."""

    number: int
    size_g_mm: float
    heavy_at_deg: float
    edges: LevelEdges
    outcome: Chosen
    instead: AddedMass | None
    sense: int
    density_kg_m3: float

    @property
    def key(self) -> str:
        """Its key of the job file."""
        return "balance.reading" if self.number == 1 else "balance.recheck"

    @property
    def holes(self) -> tuple[CorrectionHole, ...]:
        """What is to be drilled."""
        return self.outcome.plan.holes if self.outcome.plan is not None else ()

    @property
    def found(self) -> tuple[float, float]:
        """The unbalance read, x and y in g·mm."""
        x, y = (self.size_g_mm * point_at(1.0, self.heavy_at_deg, self.sense)).tolist()
        return x, y

    @property
    def after(self) -> tuple[float, float]:
        """What is left once its holes are drilled as planned, x and y in g·mm."""
        x, y = (self.found - taken_out(self.holes, self.density_kg_m3, self.sense)).tolist()
        return x, y

    def report(self) -> dict[str, object]:
        """The reading as report.json holds it; `after` is added from what was measured."""
        return {
            "unbalance_g_mm": self.size_g_mm,
            "heavy_at_deg": self.heavy_at_deg,
            "felt_g_mm": self.edges.felt_g_mm,
            "correction": {
                "plan": self.outcome.why,
                "holes": [hole.report() for hole in self.holes],
                "instead": None if self.instead is None else self.instead._asdict(),
            },
        }


def unbalance_read(reading: LevelReading) -> tuple[float, float]:
    """(g·mm, degrees from the TDC line of the heavy side): the putty balances it from the other side."""
    size, light = polar_sum([reading.putty * 1000 * reading.radius], [reading.at])
    return size, round((light + 180.0) % 360.0, 9) % 360.0


def what_went_wrong(first: LevelRead, second: LevelRead) -> str | None:
    """What a second reading says of the first one's holes, in words; None where it is as they should have left it.

    The mistakes that leave a pattern are tried in turn: nothing drilled, the light side drilled, angles counted the
    other way round.
    """
    taken = taken_out(first.holes, first.density_kg_m3, first.sense)
    mirrored = taken_out(first.holes, first.density_kg_m3, -first.sense)
    found = np.array(first.found)
    ways = (
        (np.array(first.after), None),
        (found, "as if its holes had not been drilled, or the first reading had been taken after them"),
        (found + taken, "as if its holes had been drilled on the light side, where the putty sat"),
        (found - mirrored, "as if its angles had been counted against the way the crank turns"),
    )
    off = [float(np.hypot(*(np.array(second.found) - left))) for left, _ in ways]
    nearest = int(np.argmin(off))
    # both readings are only as good as the edges
    if off[nearest] <= max(SAME * first.size_g_mm, math.hypot(first.edges.felt_g_mm, second.edges.felt_g_mm)):
        return ways[nearest][1]
    return (
        f"{unbalance(second.size_g_mm)} heavy at {angle(second.heavy_at_deg)}, which no usual mistake explains: read "
        "again, turned end for end on the arbour, before anything more is drilled"
    )
