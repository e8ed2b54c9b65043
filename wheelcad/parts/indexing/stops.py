"""The list of stops: what is cut where (slots, sides, passes in the gap, balance holes), and the list made of the laps.

The only place where a move is worked out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.indexing import readout
from wheelcad.parts.indexing.basis import IndexBasis
from wheelcad.parts.indexing.laps import arms, steady
from wheelcad.parts.indexing.model import Checkpoint, Cut, Lap, Stop
from wheelcad.parts.indexing.settings import WHOLE
from wheelcad.parts.indexing.work import Drilling, Scribe
from wheelcad.parts.wheel.passes import SlotPass, gap_angles, ridge_mm, widest_step_deg
from wheelcad.trade.cutting import drilling_rpm
from wheelcad.trade.frames import point_at
from wheelcad.trade.indexing import exact_angle
from wheelcad.trade.materials import material


def all_cuts(
    basis: IndexBasis, passes: tuple[SlotPass, ...], holes: Sequence[CorrectionHole]
) -> tuple[tuple[Cut, ...], float | None]:
    """Everything that is made, numbered, and the highest ridge left in a gap, mm (None without any)."""
    gap, ridge = _gap_cuts(basis)
    slots = [Cut(0, "slot", i, at) for i, at in enumerate(basis.slots, start=1)]
    drafts = [*slots, *_side_cuts(basis, passes), *gap, *_hole_cuts(basis, holes)]
    drafts += [*_bolt_cuts(basis), *_mark_cuts(basis)]
    placed = (cut._replace(number=n, points_mm=_points(basis, cut)) for n, cut in enumerate(drafts, start=1))
    return tuple(placed), ridge


def _side_cuts(basis: IndexBasis, passes: tuple[SlotPass, ...]) -> Iterator[Cut]:
    """The passes that turn the table a little off the slot's own setting."""
    for number, one in enumerate(passes, start=1):
        if one.turn_deg:
            turn = exact_angle(one.turn_deg)
            side = [Cut(0, "side", i, (at + turn) % WHOLE, number) for i, at in enumerate(basis.slots, start=1)]
            yield from sorted(side, key=lambda cut: cut.at)


def _gap_cuts(basis: IndexBasis) -> tuple[list[Cut], float | None]:
    """The passes that clear every gap, and the highest ridge they leave, mm; nothing without a cutter or a gap."""
    if basis.cutter is None:
        return [], None
    slot, diameter, table = basis.slot, basis.cutter.diameter, basis.table
    grids = [Fraction(1, 2), Fraction(1, 20)]
    if table is not None:
        grids = [grid for grid in (table.hole_step, table.dial_step) if grid is not None]
    widest = widest_step_deg(slot, diameter)
    out: list[Cut] = []
    ridges = []
    centres = basis.wheel.teeth.slots_exact
    for after in sorted(basis.wheel.teeth.gap_after):
        first, last = (centres[(after + k) % len(centres)] for k in (0, 1))
        end = last if last > first else last + WHOLE
        inner = gap_angles(first, end, widest, grids)
        out += [Cut(0, "gap", len(out) + k, at % WHOLE) for k, at in enumerate(inner, start=1)]
        # what the table really gives, which may be beyond a whole revolution
        reached = [at + table.setting(at % WHOLE).error if table else at for at in (first, *inner, end)]
        ridges += [ridge_mm(slot, diameter, float(b - a)) for a, b in pairwise(reached)]
    return out, max(ridges, default=None)


def _hole_cuts(basis: IndexBasis, holes: Sequence[CorrectionHole]) -> Iterator[Cut]:
    """The balance holes, rising from the gap: the planned ones, then those of each reading."""
    gap_at = exact_angle(basis.wheel.gap_at_deg)
    rising = sorted(
        (((exact_angle(hole.at_deg) - gap_at) % WHOLE, hole) for hole in holes),
        key=lambda pair: (pair[1].reading, pair[0]),
    )
    for number, (at, hole) in enumerate(rising, start=1):
        depth = None if hole.through else hole.depth_mm
        rpm = drilling_rpm(basis.wheel.material, hole.diameter_mm)
        weighs = hole.mass_g(material(basis.wheel.material).density_kg_m3) * hole.radius_mm
        drill = Drilling(
            hole.radius_mm, hole.diameter_mm, hole.drill, depth, hole.from_back, hole.where, rpm, weighs, hole.reading
        )
        yield Cut(0, "hole", number, at, drill=drill)


def _bolt_cuts(basis: IndexBasis) -> list[Cut]:
    """The bolt holes of a plate wheel, from the first one named in the job, on the same zero as the slots. A ready-made
    ring has its own list of what is opened up."""
    pulley = basis.job.pulley
    bolts = pulley.bolts if pulley is not None else None
    if basis.wheel.form != "plate" or basis.wheel.ring is not None or bolts is None:
        return []
    first = exact_angle(bolts.first_at) - exact_angle(basis.wheel.gap_at_deg)
    rpm = drilling_rpm(basis.wheel.material, bolts.hole)
    drill = Drilling(bolts.circle / 2, bolts.hole, "", None, False, "plate", rpm)
    rising = sorted((first + WHOLE * k / bolts.count) % WHOLE for k in range(bolts.count))
    return [Cut(0, "bolt", k, at, drill=drill) for k, at in enumerate(rising, start=1)]


def _mark_cuts(basis: IndexBasis) -> Iterator[Cut]:
    """The TDC mark and the degree marks, each kind rising from the table's zero."""
    gap_at = exact_angle(basis.wheel.gap_at_deg)
    for work, kind in (("notch", "notch"), ("mark", "line")):
        mine = [mark for mark in basis.wheel.marks if mark.kind == kind]
        rising = sorted(((exact_angle(mark.at_deg) - gap_at) % WHOLE, mark) for mark in mine)
        for number, (at, mark) in enumerate(rising, start=1):
            scribe = Scribe(mark.name, kind, mark.inner, mark.outer, mark.deep)
            yield Cut(0, work, number, at, scribe=scribe)


def _points(basis: IndexBasis, cut: Cut) -> tuple[tuple[float, float], ...]:
    """Where the spindle goes by a readout; () without a readout, without a cutter, or for a side of a slot."""
    if not basis.job.shop.readout:
        return ()
    at, sense, slot = float(cut.at) + basis.wheel.gap_at_deg, basis.wheel.sense, basis.wheel.slot
    if cut.drill is not None:
        x, y = point_at(cut.drill.radius_mm, at, sense).tolist()
        return ((x, y),)
    if cut.scribe is not None:
        ends = [point_at(r, at, sense).tolist() for r in (cut.scribe.outer_mm, cut.scribe.inner_mm)]
        return tuple((x, y) for x, y in ends)
    if basis.cutter is None:
        return ()
    if cut.work == "slot":
        return readout.slot_points(slot, basis.cutter.diameter, at, sense)
    return readout.gap_points(slot, basis.cutter.diameter, at, sense) if cut.work == "gap" else ()


def make_stops(
    basis: IndexBasis, cuts: tuple[Cut, ...], laps: Sequence[Lap], checkpoints: Sequence[Checkpoint]
) -> tuple[tuple[Lap, ...], tuple[Stop, ...]]:
    """The laps, with the sector arms in their orders, and all stops in working order."""
    table = basis.table
    meets = {point.after: point for point in checkpoints if point.what == "slot"}
    before = table.zero if table is not None else None
    done: list[Lap] = []
    stops: list[Stop] = []
    for draft in laps:
        mine: list[Stop] = []
        numbers = [*draft.cuts, *draft.cuts[: draft.closes]]
        for place, cut in enumerate((cuts[number - 1] for number in numbers), start=1):
            setting, move, past, closing = None, None, False, place > len(draft.cuts)
            if table is not None and before is not None:
                setting = table.setting(cut.at)
                move = table.move(before, setting)
                past = table.reached(setting) < table.reached(before)
                before = setting
            check = meets.get(cut.number) if cut.work == "slot" and not closing else None
            mine.append(Stop(
                len(stops) + place, place, draft.setup, draft, cut.work, cut.feature, cut.number, cut.at, setting, move,
                past, closing, check, basis.scale(cut.at), cut.points_mm, cut.drill,
                cut.scribe,
            ))  # fmt: skip
        moves = [stop.move for stop in mine[1 : len(draft.cuts)]]
        lap = draft._replace(do=draft.do + steady(moves, table, basis.wheel.pitch_deg) + arms(moves))
        done.append(lap)
        stops += [replace(stop, lap=lap) for stop in mine]
    return tuple(done), tuple(stops)
