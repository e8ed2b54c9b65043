"""How much metal each hole really keeps, worked out from the holes as planned and not from how they were found. mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from wheelcad.parts.balance import walls
from wheelcad.parts.balance.metal import Metal, Piece
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.trade.frames import wrap_180
from wheelcad.trade.nearness import SAME_MM


@dataclass(frozen=True)
class Margin:
    """mm between a hole's edge and `what`, of which `limit` must stay."""

    what: str
    mm: float
    limit: float

    @property
    def spare(self) -> float:
        """What is more than needed; below 0 when the wall is broken."""
        return self.mm - self.limit


def least_margin(metal: Metal, holes: Sequence[CorrectionHole]) -> Margin:
    """The wall with least to spare. ValueError without holes."""
    return min(margins(metal, holes), key=lambda margin: margin.spare)


def margins(metal: Metal, holes: Sequence[CorrectionHole]) -> Iterator[Margin]:
    """Every wall of every hole."""
    for i, hole in enumerate(holes):
        yield from _round_about(metal, hole)
        yield from _holes_of_the_pulley(metal, hole)
        if not hole.through:
            yield Margin(walls.FLOOR.what, _floor(metal, hole), walls.FLOOR.mm)
        for other in holes[:i]:
            if hole.lowest < other.highest + walls.FLOOR.mm and other.lowest < hole.highest + walls.FLOOR.mm:
                apart = math.dist(hole.centre(1), other.centre(1)) - (hole.diameter_mm + other.diameter_mm) / 2
                limit = walls.hole_wall(max(hole.diameter_mm, other.diameter_mm))
                yield Margin(walls.HOLES.what, apart, limit)


def _round_about(metal: Metal, hole: CorrectionHole) -> Iterator[Margin]:
    """Slots, outside, groove, shoulders, recess and bore: what is round about the axis."""
    inner, outer = hole.radius_mm - hole.diameter_mm / 2, hole.radius_mm + hole.diameter_mm / 2
    if metal.bore > 0:
        yield Margin(walls.BORE.what, inner - metal.bore, metal.bore_wall)
    for piece in metal.pieces:
        land = piece.land
        in_metal = land.z_back < hole.z_top - SAME_MM and land.z_front > hole.z_bottom + SAME_MM
        in_path = land.z_front < hole.z_bottom + SAME_MM if hole.from_back else land.z_back > hole.z_top - SAME_MM
        if piece.in_recess and (in_metal or in_path):
            within = hole.radius_mm < metal.recess
            yield Margin(walls.RECESS.what, metal.recess - outer if within else inner - metal.recess, walls.RECESS.mm)
            if within:
                continue
        if in_metal:
            yield Margin(piece.wall.what, _core(piece) - outer, piece.wall.mm)
        elif in_path:
            yield Margin(walls.SHOULDER.what, inner - land.radius, walls.SHOULDER.mm)


def _core(piece: Piece) -> float:
    """The surface itself: a piece's core is drawn in by its wall."""
    return piece.core + piece.wall.mm


def _holes_of_the_pulley(metal: Metal, hole: CorrectionHole) -> Iterator[Margin]:
    x, y = hole.centre(metal.sense)
    for bolt_x, bolt_y, radius in metal.bolts:
        apart = math.hypot(x - bolt_x, y - bolt_y) - radius - hole.diameter_mm / 2
        yield Margin(walls.BOLTS.what, apart, walls.bolt_wall(2 * radius))
    if metal.keyway is not None:
        at, half, reach = metal.keyway
        turned = math.radians(float(wrap_180(hole.at_deg - at)))
        across, along = hole.radius_mm * math.sin(turned), hole.radius_mm * math.cos(turned)
        floor = math.sqrt(reach**2 - half**2)
        apart = math.hypot(max(abs(across) - half, 0.0), max(along - floor, 0.0, -along))
        yield Margin("the keyway", apart - hole.diameter_mm / 2, metal.bore_wall)


def _floor(metal: Metal, hole: CorrectionHole) -> float:
    """Metal between a blind hole's point and the next air, going on along the crank."""
    outer = hole.radius_mm + hole.diameter_mm / 2
    end = hole.z_bottom if not hole.from_back else hole.z_top
    pieces = metal.pieces if not hole.from_back else tuple(reversed(metal.pieces))
    for piece in pieces:
        near, far = (
            (piece.land.z_back, piece.land.z_front) if hole.from_back else (piece.land.z_front, piece.land.z_back)
        )
        beyond = far > end - SAME_MM if hole.from_back else far < end + SAME_MM
        if not beyond:
            continue
        air = piece.in_recess and hole.radius_mm < metal.recess
        if air or _core(piece) < outer:
            end = near
            break
        end = far
    return end - hole.highest if hole.from_back else hole.lowest - end
