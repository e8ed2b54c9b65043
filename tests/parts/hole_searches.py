"""Searches for correction holes made up for tests: a steel ring of 4 mm, holes in it, cells to choose from."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np

from wheelcad.parts.balance import walls
from wheelcad.parts.balance.candidates import (
    HoleSearch,
)
from wheelcad.parts.balance.marks import ShopSteps
from wheelcad.parts.balance.metal import Metal, MetalPiece
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.common.stack import Land
from wheelcad.trade.drills import Drill

POINT = 1 / (2 * math.tan(math.radians(59)))  # a point of 118 degrees: its height over its diameter
STEEL = 7850e-6


def piece(name: str, back: float, front: float, radius: float, wall: walls.Clearance = walls.RIM) -> MetalPiece:
    return MetalPiece(Land(name, back, front, radius), radius - wall.mm, wall, False)


RING = piece("ring", -2, 2, 70, walls.SLOTS)


def sought(*pieces: MetalPiece, **more: Any) -> HoleSearch:
    """A search in a steel ring of 4 mm, drills of 6 and 8, heavy at 180 degrees."""
    bolts = more.pop("bolts", ())
    metal = Metal(pieces or (RING,), 0.0, 0.0, 0.0, bolts, None, 1, False)
    given: dict[str, Any] = {
        "amount": 100.0,
        "at_deg": 180.0,
        "plane_mm": 0.0,
        "density": STEEL,
        "metal": metal,
        "marks": ShopSteps(0.0, 40, 0.05, 0.1, 0.5),
        "drills": (Drill("6.0 mm", 6.0), Drill("8.0 mm", 8.0)),
        "radii": np.array([50.0, 60.0]),
        "faces": (False,),
        "at_worst": 10.0,
        "doubtful": 100.0,
        "couple_limit": None,
    }
    return HoleSearch(**{**given, **more})


def hole(at: float, d: float = 6.0, *, through: bool = True, r: float = 60.0) -> CorrectionHole:
    return CorrectionHole(at, r, d, 2.0, -2.0, through, None if through else 118.0)


def cells(one: list[float], through: list[bool], taken: float) -> Any:
    """The first takes out `taken`, each further one 10 g·mm less."""
    less = taken - 10.0 * np.arange(len(one))
    return SimpleNamespace(one=np.array(one), through=np.array(through), taken_through=less)
