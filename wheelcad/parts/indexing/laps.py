"""In what order the cuts are made, always turning the same way so that backlash stays on one side.

A first lap scratches every slot line and has to close on its first line. At full depth every other slot comes first
and the slots between them follow: heat and released stress go right round the work before any tooth stands alone, and
the metal beside a cut is two teeth wide for half of them. The gap stays whole until the last slot is done, and the
balance holes come after the cutter is put away.
"""

from __future__ import annotations

from collections.abc import Sequence

from wheelcad.parts.indexing.ground import Ground, toothed
from wheelcad.parts.indexing.model import Cut, Lap, Setup
from wheelcad.parts.indexing.settings import Move
from wheelcad.parts.wheel.passes import SlotPass
from wheelcad.trade.indexing import sector_arms
from wheelcad.words import length

GAUGE = "Lay the printed gauge on before anything is cut deep: every scratched line has to lie at its mark."
FEWEST_FOR_TWO_LAPS = 8  # with fewer slots the teeth are stout enough to be cut one after another
SIDES = {"middle": "floor", "higher": "side towards the next slot", "lower": "side towards the slot before"}
BACK = "The wheel back on the table: centred on its bore, the middle of the gap at zero again."
# by which reading on level edges they follow from: key, title, what is done
HOLE_LAPS = {
    0: ("holes", "Balance holes", "Cutter out, drill in: the work stays clamped on the table"),
    1: ("holes-read", "Balance holes from the reading", BACK),
    2: ("holes-recheck", "Balance holes from the second reading", BACK),
}
OVER_AXIS = "the slide across the cut, with the cutter's centre line over the table's axis,"
ALONG_SLIDE = "along the slide that is left free"


def plan_setups(ground: Ground, cuts: tuple[Cut, ...], lines: Sequence[str]) -> tuple[Setup, ...]:
    """How the work is held: for the mill, with the `lines` before the first cut, and for the drill if that differs."""
    lying, radius = ("flat", ALONG_SLIDE) if ground.flat else ("on edge", "along the spindle")
    mill = Setup("mill", "At the mill", lying, OVER_AXIS if ground.turns else "", radius if ground.turns else "", ())
    mill = mill._replace(lines=(*lines, mill.says) if ground.turns else tuple(lines))
    if ground.flat or all(cut.work != "hole" for cut in cuts):
        return (mill,)
    lay = (
        "Lay the table flat with its count untouched, so that the line that pointed at the cutter lies along the slide "
        "that is left free, and bring the spindle over the table's axis again.",
    )
    return mill, Setup("drill", "At the drill", "flat", OVER_AXIS, ALONG_SLIDE, lay)


def plan_laps(
    ground: Ground, cuts: tuple[Cut, ...], passes: tuple[SlotPass, ...], setups: tuple[Setup, ...]
) -> list[Lap]:
    """The laps in working order."""
    slots = [cut.number for cut in cuts if cut.work == "slot"]
    key = setups[0].key
    laps = [_check_lap(slots, key)] if toothed(ground.job) else _milling_laps(ground, cuts, slots, passes, key)
    held: dict[int, list[int]] = {}
    for cut in cuts:
        if cut.drill is not None:
            held.setdefault(cut.drill.reading, []).append(cut.number)
    drill = setups[-1]
    lying = f" {' '.join(drill.lines)} {drill.says}" if drill.key != key else ""
    for reading, holes in held.items():
        name, title, do = HOLE_LAPS[reading]
        laps.append(Lap(name, title, do + _lies(reading, lying), tuple(holes), drill.key))
    return laps


def _lies(reading: int, lying: str) -> str:
    """How the work lies for the drill, `lying` where it has to be laid otherwise than for the cutter."""
    if reading:
        return lying
    return f".{lying}" if lying else " as it is."


def _check_lap(slots: list[int], key: str) -> Lap:
    do = "Cut nothing: each slot's middle has to meet a pointer in the spindle, and the last move the first slot."
    return Lap("check", "Check the ring's slots", do, tuple(slots), key, True)


def _milling_laps(
    ground: Ground, cuts: tuple[Cut, ...], slots: list[int], passes: tuple[SlotPass, ...], key: str
) -> list[Lap]:
    """Scratch lap, full depth, further passes, gap."""
    then = GAUGE if ground.job.gauge is not None and ground.job.pulley is not None else ""
    do = "Only scratch a line at each slot; the last move must meet the first."
    laps = [Lap("scratch", "Scratch lap", do, tuple(slots), key, True, then)]
    depth = ground.slot.depth
    first = passes[0] if passes else SlotPass(0.0, 0.0, depth, "middle")
    turns = [("depth", "Full depth", slots)]
    if len(slots) >= FEWEST_FOR_TWO_LAPS:
        turns = [
            ("depth-1", "Full depth, every other slot", slots[0::2]),
            ("depth-2", "Full depth, the slots between", slots[1::2]),
        ]
    laps += [_at_depth(name, title, chosen, first, key) for name, title, chosen in turns]
    for number, one in enumerate(passes[1:], start=2):
        sides = [cut.number for cut in cuts if cut.work == "side" and cut.slot_pass == number]  # turned: their own
        laps.append(_at_depth(f"pass-{number}", f"Pass {number}: {SIDES[one.side]}", sides or slots, one, key))
    gap = tuple(cut.number for cut in cuts if cut.work == "gap")
    if gap:
        do = f"Cut the gap's metal away, pass by pass, to the slots' full depth; then {_sweep(ground)}"
        laps.append(Lap("gap", "Clear the gap", do, gap, key, depth_mm=depth))
    return laps


def _sweep(ground: Ground) -> str:
    """How the ridges go. Flat, the cutter's side towards the axis does the work: a right-hand cutter turns clockwise
    seen from above, so that work turning clockwise too runs against its teeth there. Source: geometry."""
    if not ground.turns:
        return "file the ridges off."
    way = " with the work turning clockwise, seen on its front: the other way the cutter climbs and snatches"
    return f"sweep the floor from slot to slot{way if ground.flat else ''}. Come up to the last pass again."


def _at_depth(name: str, title: str, chosen: Sequence[int], one: SlotPass, key: str) -> Lap:
    do = f"Cut to {length(one.depth_mm)} below the rim{_across(one)}."
    return Lap(name, title, do, tuple(chosen), key, depth_mm=one.depth_mm, offset_mm=one.offset_mm)


def _across(one: SlotPass) -> str:
    if abs(one.offset_mm) < 1e-6:
        return ", cutter on the centre line"
    way = "towards the next slot" if one.offset_mm > 0 else "towards the slot before"
    return f", cutter {length(abs(one.offset_mm))} off the centre line {way}"


def arms(moves: Sequence[Move | None]) -> str:
    """The sector arms' setting where a whole lap moves by the same holes."""
    holes = {move.holes for move in moves if move is not None}
    only = next(iter(holes), None)
    return f" Sector arms round {sector_arms(only)} holes." if len(holes) == 1 and only else ""
