"""Why no hole can be at a radius, in words, and where it could be."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from wheelcad.arrays import Bools, Floats
from wheelcad.parts.balance import walls
from wheelcad.parts.balance.metal import Metal, seats
from wheelcad.words import length

FACES = {"front": (False,), "back": (True,), "both": (False, True)}  # whether each is the back, in order of preference


@dataclass(frozen=True)
class NoRadius:
    """message: what is in the way. allowed: the radii where the drill fits."""

    message: str
    allowed: str


def why_no_radius(metal: Metal, radius: float, drill_mm: float, radii: Floats, faces: str) -> NoRadius | None:
    """None when a hole of `drill_mm` keeps its walls at `radius` from one of the faces at some angle.

    radii: those that are offered instead.
    """
    backs = FACES[faces]
    if _fits(metal, np.array([radius]), drill_mm, backs)[0]:
        return None
    return NoRadius(
        f"is where no hole can be drilled along the crank: {in_the_way(metal, radius, drill_mm, backs[0])}",
        _bands(radii, _fits(metal, radii, drill_mm, backs)),
    )


def why_no_band(metal: Metal, band: Floats, drill_mm: float, radii: Floats, faces: str) -> NoRadius | None:
    """None when a hole of `drill_mm` keeps its walls at one of the radii of `band`; else as `why_no_radius`."""
    backs = FACES[faces]
    if _fits(metal, band, drill_mm, backs).any():
        return None
    return NoRadius(
        "holds no radius at which a hole can be drilled along the crank with its walls kept",
        _bands(radii, _fits(metal, radii, drill_mm, backs)),
    )


def _fits(metal: Metal, radii: Floats, drill_mm: float, backs: tuple[bool, ...]) -> Bools:
    found = np.zeros(radii.shape, dtype=bool)
    for back in backs:
        found |= seats(metal, radii, np.full(radii.shape, drill_mm), back).fits
    return found


def in_the_way(metal: Metal, radius: float, drill_mm: float, from_back: bool) -> str:
    """The wall that a hole of `drill_mm` would break at this radius, in words."""
    inner = radius - drill_mm / 2
    if metal.bore > 0 and inner < metal.bore + metal.bore_wall:
        return _said(replace(walls.BORE, mm=metal.bore_wall))
    at = seats(metal, np.array([radius]), np.array([drill_mm]), from_back)
    index = int(at.stop[0])
    if index < 0:
        return "there is no metal"
    piece = metal.pieces[index]
    if piece.in_recess and inner < metal.recess + walls.RECESS.mm:  # further in the piece would not stop it
        return _said(walls.RECESS)
    if piece.wall is walls.RUBBER:
        return walls.RUBBER.why
    return _said(piece.wall if radius < piece.land.radius else walls.SHOULDER)


def _said(wall: walls.Clearance) -> str:
    return f"{length(wall.mm)} must stay to {wall.what} ({wall.why})"


def _bands(radii: Floats, fits: Bools) -> str:
    """The radii that fit, as ranges."""
    found: list[tuple[float, float]] = []
    for i in np.flatnonzero(fits).tolist():
        if found and i and fits[i - 1]:
            found[-1] = (found[-1][0], float(radii[i]))
        else:
            found.append((float(radii[i]), float(radii[i])))
    if not found:
        return "no radius: leave correct_by as none"
    return "a radius of " + ", or ".join(f"{length(low)} to {length(high)}" for low, high in found)
