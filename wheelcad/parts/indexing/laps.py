"""In what order the cuts are made, always turning the same way so that backlash stays on one side.

A first lap scratches every slot line and has to close on its first line. At full depth every other slot comes first
and the slots between them follow: heat and released stress go right round the work before any tooth stands alone, and
the metal beside a cut is two teeth wide for half of them. The gap stays whole until the last slot is done, and the
balance holes come after the cutter is put away.
"""

from __future__ import annotations

from typing import NamedTuple

from wheelcad.parts.indexing.model import Cut, Lap
from wheelcad.parts.indexing.settings import Move, Table
from wheelcad.parts.indexing.words import length
from wheelcad.parts.wheel.passes import SlotPass
from wheelcad.trade.indexing import sector_arms

GAUGE = "Lay the printed gauge on before anything is cut deep: every scratched line has to lie at its mark."
FEWEST_FOR_TWO_LAPS = 8  # with fewer slots the teeth are stout enough to be cut one after another


class _Draft(NamedTuple):
    key: str
    title: str
    do: str
    cuts: tuple[int, ...]
    closes: bool = False
    then: str = ""


class Work(NamedTuple):
    """units for words; depth_mm of the slots. flat: the wheel lies face up; a table on edge is laid down for the drill.

    toothed: the teeth are there already and are only checked. gauge: there is a printed gauge to lay on.
    turns: the work is turned to the cutter, so that it can be swept round.
    """

    units: str
    depth_mm: float
    flat: bool
    toothed: bool
    gauge: bool
    turns: bool


def plan_laps(cuts: tuple[Cut, ...], passes: tuple[SlotPass, ...], table: Table | None, work: Work) -> tuple[Lap, ...]:
    """The laps in working order, with what to turn from each cut to the next."""
    slots = [cut.cut for cut in cuts if cut.work == "slot"]
    drafts = [_check_lap(slots)] if work.toothed else _milling_laps(cuts, slots, passes, work)
    holes = tuple(cut.cut for cut in cuts if cut.work == "hole")
    if holes:
        do = "Cutter out, drill in: the work stays clamped on the table as it is"
        do += "." if work.flat else ", and the table is laid flat with its count untouched."
        drafts.append(_Draft("holes", "Balance holes", do, holes))
    return _with_moves(drafts, cuts, table)


def _check_lap(slots: list[int]) -> _Draft:
    do = "Cut nothing: each slot's middle has to meet a pointer in the spindle, and the last move the first slot."
    return _Draft("check", "Check the ring's slots", do, tuple(slots), True)


def _milling_laps(cuts: tuple[Cut, ...], slots: list[int], passes: tuple[SlotPass, ...], work: Work) -> list[_Draft]:
    """Scratch lap, full depth, further passes, gap."""
    drafts = [
        _Draft("scratch", "Scratch lap", "Only scratch a line at each slot; the last move must meet the first.",
               tuple(slots), True, GAUGE if work.gauge else "")
    ]  # fmt: skip
    first = passes[0] if passes else SlotPass(0.0, 0.0, work.depth_mm, "middle")
    drafts += _full_depth(slots, first, work.units)
    for number, one in enumerate(passes[1:], start=2):
        drafts.append(_further(cuts, slots, number, one, work.units))
    gap = tuple(cut.cut for cut in cuts if cut.work == "gap")
    if gap:
        sweep = "sweep the floor from the last slot to the first" if work.turns else "file the ridges off"
        do = f"Cut the gap's metal away, pass by pass, to the slots' full depth; then {sweep}."
        drafts.append(_Draft("gap", "Clear the gap", do, gap))
    return drafts


def _full_depth(slots: list[int], one: SlotPass, units: str) -> list[_Draft]:
    do = f"Cut to {length(one.depth_mm, units)} below the rim{_across(one, units)}."
    if len(slots) < FEWEST_FOR_TWO_LAPS:
        return [_Draft("depth", "Full depth", do, tuple(slots))]
    return [
        _Draft("depth-1", "Full depth, every other slot", do, tuple(slots[0::2])),
        _Draft("depth-2", "Full depth, the slots between", do, tuple(slots[1::2])),
    ]


def _further(cuts: tuple[Cut, ...], slots: list[int], number: int, one: SlotPass, units: str) -> _Draft:
    """The lap of a second or later pass at every slot; turned passes have cuts of their own."""
    chosen = tuple(slots)
    if one.turn_deg:
        chosen = tuple(cut.cut for cut in cuts if cut.work == "side" and cut.number_of_kind == number)
    what = {"middle": "floor", "higher": "side towards the next slot", "lower": "side towards the slot before"}[
        one.side
    ]
    do = f"Cut to {length(one.depth_mm, units)} below the rim{_across(one, units)}."
    return _Draft(f"pass-{number}", f"Pass {number}: {what}", do, chosen)


def _across(one: SlotPass, units: str) -> str:
    if abs(one.offset_mm) < 1e-6:
        return ", cutter on the centre line"
    way = "towards the next slot" if one.offset_mm > 0 else "towards the slot before"
    return f", cutter {length(abs(one.offset_mm), units)} off the centre line {way}"


def _with_moves(drafts: list[_Draft], cuts: tuple[Cut, ...], table: Table | None) -> tuple[Lap, ...]:
    laps = []
    before = table.zero if table is not None else None
    for draft in drafts:
        moves: list[Move] = []
        for number in draft.cuts:
            setting = cuts[number - 1].setting
            if table is None or setting is None or before is None:
                continue
            moves.append(table.move(before, setting))
            before = setting
        if draft.closes and draft.cuts:
            before = cuts[draft.cuts[0] - 1].setting
        do = draft.do + _arms(moves)
        laps.append(Lap(draft.key, draft.title, do, draft.cuts, tuple(moves), draft.closes, draft.then))
    return tuple(laps)


def _arms(moves: list[Move]) -> str:
    """The sector arms' setting where a whole lap moves by the same holes."""
    holes = {move.holes for move in moves[1:]}
    only = next(iter(holes), None)
    return f" Sector arms round {sector_arms(only)} holes." if len(holes) == 1 and only else ""
