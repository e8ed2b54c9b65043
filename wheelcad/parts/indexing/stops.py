"""Every stop of the table: slots, sides of slots, passes in the gap, balance holes; with settings, moves and places."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.indexing import readout
from wheelcad.parts.indexing.ground import Ground
from wheelcad.parts.indexing.model import Cut, HoleWork
from wheelcad.parts.indexing.settings import WHOLE, TableSetting
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.passes import SlotPass, gap_angles, ridge_mm, widest_step_deg
from wheelcad.trade.cutting import drilling_rpm
from wheelcad.trade.indexing import exact_angle


def slots_stops(ground: Ground) -> list[Cut]:
    return [Cut(0, "slot", i, at) for i, at in enumerate(ground.slots, start=1)]


def sides_stops(ground: Ground, passes: tuple[SlotPass, ...]) -> list[Cut]:
    """Stops for the passes that turn the table a little off the slot's own setting; number_of_kind is the pass."""
    out = []
    for number, one in enumerate(passes, start=1):
        if one.turn_deg:
            turn = exact_angle(one.turn_deg)
            side = [Cut(0, "side", number, (at + turn) % WHOLE, slot=i) for i, at in enumerate(ground.slots, start=1)]
            out += sorted(side, key=lambda cut: cut.at)
    return out


def gap_stops(ground: Ground) -> tuple[list[Cut], float | None]:
    """The passes that clear every gap, and the highest ridge they leave, mm; nothing without a cutter or a gap."""
    if ground.cutter is None:
        return [], None
    slot, diameter = ground.slot, ground.cutter.diameter
    table = ground.table
    grids = (
        [grid for grid in (table.hole_step, table.dial_step) if grid is not None]
        if table
        else [Fraction(1, 2), Fraction(1, 20)]
    )
    widest = widest_step_deg(slot, diameter)
    out: list[Cut] = []
    ridges = []
    for after in sorted(ground.wheel.teeth.gap_after):
        first, last = (ground.slot_at((after + k) % len(ground.slots)) for k in (0, 1))
        end = last if last > first else last + WHOLE
        inner = gap_angles(first, end, widest, grids)
        out += [Cut(0, "gap", len(out) + k, at % WHOLE) for k, at in enumerate(inner, start=1)]
        reached = [_reached(ground, at) for at in (first, *inner, end)]
        ridges += [ridge_mm(slot, diameter, float(b - a)) for a, b in pairwise(reached)]
    return out, max(ridges, default=None)


def _reached(ground: Ground, at: Fraction) -> Fraction:
    """The angle the table really gives, which may be beyond a whole revolution."""
    if ground.table is None:
        return at
    return at + ground.table.setting(at % WHOLE).error


def in_order(wheel: WheelDesign, holes: Sequence[CorrectionHole]) -> list[tuple[Fraction, CorrectionHole]]:
    """The holes with their exact angles from the gap, rising."""
    gap_at = exact_angle(wheel.gap_at_deg)
    return sorted((((exact_angle(hole.at_deg) - gap_at) % WHOLE, hole) for hole in holes), key=lambda pair: pair[0])


def hole_work(
    cuts: tuple[Cut, ...], holes: list[tuple[Fraction, CorrectionHole]], material: str
) -> tuple[HoleWork, ...]:
    """The drilling at each hole's stop."""
    stops = [cut for cut in cuts if cut.work == "hole"]
    return tuple(
        HoleWork(
            stop.cut,
            hole.radius_mm,
            hole.diameter_mm,
            hole.drill,
            None if hole.through else hole.depth_mm,
            hole.from_back,
            hole.where,
            drilling_rpm(material, hole.diameter_mm),
        )
        for stop, (_, hole) in zip(stops, holes, strict=True)
    )


def numbered(ground: Ground, mills: list[Cut], holes: list[tuple[Fraction, CorrectionHole]]) -> tuple[Cut, ...]:
    """All cuts, those of the mill and then the holes, with their numbers, settings, moves and places."""
    cuts = [*mills, *(Cut(0, "hole", i, at) for i, (at, _) in enumerate(holes, start=1))]
    hole_centres = [hole.centre(ground.wheel.sense) for _, hole in holes]
    out: list[Cut] = []
    before: dict[str, TableSetting] = {}
    for number, cut in enumerate(cuts, start=1):
        done = cut._replace(cut=number, scale_deg=ground.scale(cut.at), points_mm=_points(ground, cut, hole_centres))
        if ground.table is not None:
            setting = ground.table.setting(cut.at)
            move = ground.table.move(before.get(cut.work, ground.table.zero), setting)
            before[cut.work] = setting
            done = done._replace(setting=setting, move=move)
        out.append(done)
    return tuple(out)


def _points(ground: Ground, cut: Cut, hole_centres: list[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
    """Where the spindle goes by a readout; () without a readout, without a cutter, or for a side of a slot."""
    if not ground.job.shop.readout:
        return ()
    if cut.work == "hole":
        return (hole_centres[cut.number_of_kind - 1],)
    if ground.cutter is None:
        return ()
    at = float(cut.at) + ground.wheel.gap_at_deg
    diameter, sense, slot = ground.cutter.diameter, ground.wheel.sense, ground.wheel.slot
    if cut.work == "slot":
        return readout.slot_points(slot, diameter, at, sense)
    return readout.gap_points(slot, diameter, at, sense) if cut.work == "gap" else ()
