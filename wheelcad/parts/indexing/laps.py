"""In what order the cuts are made, always turning the same way so that backlash stays on one side.

A first lap scratches every slot line and has to close on its first line. At full depth every other slot comes first
and the slots between them follow: heat and released stress go right round the work before any tooth stands alone, and
the metal beside a cut is two teeth wide for half of them. The gap stays whole until the last slot is done, and the
balance holes come after the cutter is put away.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from wheelcad.parts.indexing.basis import IndexBasis, toothed
from wheelcad.parts.indexing.model import Cut, Lap
from wheelcad.parts.indexing.nearest import nearest_hole
from wheelcad.parts.indexing.settings import Move, TurnTable
from wheelcad.parts.indexing.words import holes, setting, turns
from wheelcad.parts.indexing.work import MillSetup
from wheelcad.parts.wheel.passes import SlotPass
from wheelcad.trade.indexing import sector_arms
from wheelcad.words import angle, fine, length, unbalance

GAUGE = "Lay the printed gauge on before anything is cut deep: every scratched line has to lie at its mark."
BOLTS = "At each stop a centre drill first, then a pilot of half the size, then the drill; {held} locked each time."
RIM = (
    "Off the table now: on a mandrel in the bore the rim is turned to the drawing's diameter, lightly, and both faces "
    "are deburred. Then back for the slots."
)
HOLES = (
    "Cutter out, drill chuck in; the work stays clamped where it is. Take the slots' depth stop off the slide, lock "
    "{held} at every stop, spot with a centre drill first, then drill."
)
MARKS = "Drill out; the work stays clamped. The slots' depth stop is off, {held} locked at every mark."
FEWEST_FOR_TWO_LAPS = 8  # with fewer slots the teeth are stout enough to be cut one after another
SIDES = {"middle": "floor", "higher": "side towards the next slot", "lower": "side towards the slot before"}
BACK = "The wheel back on the table: centred on its bore, the middle of the gap at zero again."
# by which reading on level edges their holes follow from: key and title
READINGS = {
    1: ("holes-read", "Balance holes from the reading"),
    2: ("holes-recheck", "Balance holes from the second reading"),
}


def plan_laps(
    basis: IndexBasis, cuts: tuple[Cut, ...], passes: tuple[SlotPass, ...], setups: tuple[MillSetup, ...]
) -> Iterator[Lap]:
    """The laps in working order."""
    slots = [cut.number for cut in cuts if cut.work == "slot"]
    bolts = tuple(cut.number for cut in cuts if cut.work == "bolt")
    if bolts:
        held = _held(basis)
        yield Lap("bolts", "Bolt holes", BOLTS.format(held=held), bolts, setups[0].key, False, RIM)
    key = next(setup.key for setup in setups if setup.key == "mill")
    if toothed(basis.job):
        do = "Cut nothing: each slot's middle has to meet a pointer in the spindle, and the last move the first slot."
        yield Lap("check", "Check the ring's slots", do, tuple(slots), key, True)
    else:
        yield from _milling_laps(basis, cuts, slots, passes, key)
    laid = setups[-1]
    before = ""  # laying the work flat is said once, at the first lap that needs it
    if laid.key != key:
        before = f" {' '.join(laid.lines)} {laid.says}"
    for name, title, works, do in (
        ("holes", "Balance holes", ("hole",), HOLES),
        ("marks", "Timing marks", ("notch", "mark"), MARKS),
    ):
        mine = tuple(cut.number for work in works for cut in cuts if cut.work == work and not _reading(cut))
        if mine:
            reads = "" if laid.key != key or not basis.turns else f" {_reads(basis)}"
            then = _on_circle(basis, [cuts[number - 1] for number in mine]) if name == "holes" else ""
            yield Lap(name, title, f"{do.format(held=_held(basis))}{before}{reads}", mine, laid.key, False, then)
            before = ""
    for reading, (name, title) in READINGS.items():
        mine = tuple(cut.number for cut in cuts if _reading(cut) == reading)
        if mine:
            lying = f" {' '.join(laid.lines)} {laid.says}" if laid.key != key else ""
            yield Lap(name, title, f"{BACK} {HOLES.format(held=_held(basis))}{lying}", mine, laid.key)


def _held(basis: IndexBasis) -> str:
    """What is locked where a hole is drilled."""
    return "the table" if basis.table is not None else "the axis" if basis.turns else "both slides"


def _reading(cut: Cut) -> int:
    """Which reading on level edges a hole follows from; 0 for what was planned, and for anything else."""
    return cut.drill.reading if cut.drill is not None else 0


def _reads(basis: IndexBasis) -> str:
    """How the free slide comes to read distances from the centre, after the cutter's touch on the rim."""
    if basis.cutter is None:
        return "Distances are from the wheel's centre, along the slide that is left free."
    at_touch = length(basis.wheel.radius_mm + basis.cutter.diameter / 2)
    return (
        f"Where the cutter touched the rim the slide read 0, {at_touch} from the centre: let it read {at_touch} there "
        "from now on, and it gives every distance from the centre."
    )


def _milling_laps(
    basis: IndexBasis, cuts: tuple[Cut, ...], slots: list[int], passes: tuple[SlotPass, ...], key: str
) -> Iterator[Lap]:
    """Scratch lap, full depth, further passes, gap."""
    then = _gauge(basis) if basis.job.gauge is not None and basis.job.pulley is not None else ""
    do = "Only scratch a line at each slot; the last move must meet the first."
    yield Lap("scratch", "Scratch lap", do, tuple(slots), key, True, then)
    depth = basis.slot.depth
    first = passes[0] if passes else SlotPass(0.0, 0.0, depth, "middle")
    turns = [("depth", "Full depth", slots)]
    if len(slots) >= FEWEST_FOR_TWO_LAPS:
        turns = [
            ("depth-1", "Full depth, every other slot", slots[0::2]),
            ("depth-2", "Full depth, the slots between", slots[1::2]),
        ]
    yield from (_at_depth(name, title, chosen, first, key) for name, title, chosen in turns)
    for number, one in enumerate(passes[1:], start=2):
        sides = [cut.number for cut in cuts if cut.work == "side" and cut.slot_pass == number]  # turned: their own
        yield _at_depth(f"pass-{number}", f"Pass {number}: {SIDES[one.side]}", sides or slots, one, key)
    gap = tuple(cut.number for cut in cuts if cut.work == "gap")
    if gap:
        do = f"Cut the gap's metal away, pass by pass, to the slots' full depth; then {_sweep(basis)}"
        yield Lap("gap", "Clear the gap", do, gap, key, depth_mm=depth)


def _gauge(basis: IndexBasis) -> str:
    """The gauge goes on; where the clamp stands in its way, how zero is found again."""
    again = "slot 1's line under the cutter"
    if basis.table is not None:
        first = basis.table.setting(basis.slots[0])
        step = basis.table.dial_step
        again += f" at {setting(first.turns, first.dial, step, first.circle, first.holes)}"
    return (
        f"{GAUGE} If the clamp stands in its way, leave the table where it is, take the clamp off, look, and clamp "
        "again; "
        f"then turn round to {again}, and nudge the work until its line stands there again: that is the same zero."
    )


def _on_circle(basis: IndexBasis, cuts: Sequence[Cut]) -> str:
    """For holes that the circle on the table does not reach: its nearest hole, and what that costs in balance."""
    said = []
    for cut in cuts:
        found = nearest_hole(basis.table, cut.at, cut.drill)
        if found is None:
            continue
        pin = holes(found.holes, found.circle)
        said.append(
            f"cut {cut.number} at {turns(found.turns)} and {pin}, {angle(found.off_deg, 2)} off, costs "
            f"{unbalance(found.cost_g_mm)}"
        )
    return f"By the circle that is on the table: {'; '.join(said)}." if said else ""


def _sweep(basis: IndexBasis) -> str:
    """How the ridges go. Flat, the cutter's side towards the axis does the work: a right-hand cutter turns clockwise
    seen from above, so that work turning clockwise too runs against its teeth there. Source: geometry."""
    if not basis.turns:
        return "file the ridges off."
    way = " with the work turning clockwise, seen on its front: the other way the cutter climbs and snatches"
    return f"sweep the floor from slot to slot{way if basis.flat else ''}. Come up to the last pass again."


def _at_depth(name: str, title: str, chosen: Sequence[int], one: SlotPass, key: str) -> Lap:
    do = f"Cut to {length(one.depth_mm)} below the rim{_across(one)}."
    return Lap(name, title, do, tuple(chosen), key, depth_mm=one.depth_mm, offset_mm=one.offset_mm)


def _across(one: SlotPass) -> str:
    if abs(one.offset_mm) < 1e-6:
        return ", cutter on the centre line"
    way = "towards the next slot" if one.offset_mm > 0 else "towards the slot before"
    return f", cutter {fine(abs(one.offset_mm))} off the centre line {way}"


def steady(moves: Sequence[Move | None], table: TurnTable | None, pitch_deg: float) -> str:
    """The one move of a lap that turns on by the same each time: of every other slot, the one over two pitches."""
    found = set(moves)
    move = next(iter(found), None)
    if table is None or move is None or len(found) != 1 or len(moves) < 2:
        return ""
    pitches = float(move.turns * table.per_turn + move.dial) / pitch_deg
    whole = round(pitches) if abs(pitches - round(pitches)) < 1e-6 else 0
    what = "" if whole == 0 else " (a pitch)" if whole == 1 else f" ({whole} pitches)"
    return f" From cut to cut turn on by {setting(move.turns, move.dial, table.dial_step, None, move.holes)}{what}."


def arms(moves: Sequence[Move | None]) -> str:
    """The sector arms' setting where a whole lap moves by the same holes."""
    holes = {move.holes for move in moves if move is not None}
    only = next(iter(holes), None)
    return f" Sector arms round {sector_arms(only)} holes." if len(holes) == 1 and only else ""
