"""One operation sheet a set-up: what holds the work, where the spindle points, what is locked, where zero is, what is
cut at which stop, what comes next, and what to do when it went wrong."""

from __future__ import annotations

from collections.abc import Sequence

from wheelcad.findings import Finding
from wheelcad.parts.indexing import setup
from wheelcad.parts.indexing.basis import IndexBasis
from wheelcad.parts.indexing.holding import Holding, holding
from wheelcad.parts.indexing.judge import mill_lines
from wheelcad.parts.indexing.model import Cut
from wheelcad.parts.indexing.words import zero_name
from wheelcad.parts.indexing.work import MillSetup, SetupSheet
from wheelcad.trade.cutting import MillingPlan
from wheelcad.words import count, diameter, length

OVER_AXIS = "the slide across the cut, with the cutter's centre line over the table's axis,"
ALONG_SLIDE = "along the slide that is left free"
MILLED = frozenset({"slot", "side", "gap"})
LAID = frozenset({"hole", "notch", "mark"})
PIN_MM = 6.0  # a round pin to touch the rim with; a dowel after ISO 2338


def plan_setups(
    basis: IndexBasis, cuts: tuple[Cut, ...], milling: MillingPlan | None
) -> tuple[tuple[MillSetup, ...], list[Finding]]:
    """The set-ups in the order of the work, and what they bring to light.

    Keys: plate (bolt holes of a plate wheel, flat), mill (slots and gap), drill (laid flat for holes and marks after
    work on edge; on a wheel that is milled flat they belong to mill).
    """
    works = {cut.work for cut in cuts}
    flat_last = bool(works & LAID) and not basis.flat
    mill_works = MILLED | (frozenset() if flat_last else LAID)
    out: list[MillSetup] = []
    findings: list[Finding] = []
    if "bolt" in works:
        made = holding(basis, cuts, frozenset({"bolt"}), True)
        out.append(_plate(basis, cuts, made))
        findings += made.findings
    made = holding(basis, cuts, mill_works, basis.flat)
    lines, more = mill_lines(basis, milling, [cut for cut in cuts if cut.work == "bolt"])
    out.append(_mill(basis, cuts, made, mill_works, lines, flat_last))
    findings += [*made.findings, *more]
    if flat_last:
        made = holding(basis, cuts, LAID, True)
        out.append(_laid(basis, cuts, made))
        findings += made.findings
    return tuple(out), list({(found.check, found.why): found for found in findings}.values())


def _what(cuts: Sequence[Cut], works: frozenset[str]) -> str:
    names = {"bolt": "bolt hole", "slot": "slot", "gap": "gap pass", "hole": "balance hole", "notch": "TDC notch"}
    names["mark"] = "line"
    found = [(name, [cut for cut in cuts if cut.work == work]) for work, name in names.items() if work in works]
    said = [
        f"{count(len(mine), name, name + 'es' if name.endswith('ss') else '')} (cut "
        + (f"{mine[0].number}" if len(mine) == 1 else f"{mine[0].number} to {mine[-1].number}")
        + ")"
        for name, mine in found
        if mine
    ]
    return ", ".join(said)


def _plate(basis: IndexBasis, cuts: tuple[Cut, ...], made: Holding) -> MillSetup:
    job, spec, table = basis.job, basis.job.shop.rotary_table, basis.table
    lines = [
        "The disc as it came from the plasma table or the saw: its faces flattened, its bore smaller than the "
        "drawing's, "
        "its rim larger. Scribe the TDC line across it, rim to bore, on both faces, and a dot beside it on the front.",
        *made.holds,
        "Run an indicator round the bore (or centre the disc on its centre mark with a pointed rod) and bore it to "
        "size now, in this clamping: bolt holes and bore are then about one centre.",
    ]
    if basis.turns:
        lines += setup.turning_lines(job, basis.wheel.sense)
    if table is not None and spec is not None:
        lines += setup.zero_lines(basis.wheel, table, basis.scale, spec.backlash)
        lines += setup.counting_lines(table, job.wheel.teeth, spec.scale, basis.wheel.sense)
    if job.shop.readout:
        lines += setup.readout_lines()
    if job.shop.rotary_axis:
        lines += setup.axis_lines(basis.wheel)
    sheet = SetupSheet(
        holds=" ".join(made.holds),
        spindle="Upright, along the wheel's axis, centre drill first and then the drill.",
        zero=_zero(basis),
        cut=_what(cuts, frozenset({"bolt"})),
        then="Off the table, on a mandrel in the bore: turn the rim to its diameter. Then the slots' set-up.",
        wrong="Spotted only: spot it again, the drill follows the deeper mark. Drilled in the wrong place: the plate "
        "is bolted there at engine speed, so weld nothing up and cut another disc.",
    )
    locked, radius = (OVER_AXIS, ALONG_SLIDE) if basis.turns else ("", "")
    return MillSetup("plate", "Plate on the table: bolt holes", "flat", locked, radius, tuple(lines), sheet)


def _mill(
    basis: IndexBasis, cuts: tuple[Cut, ...], made: Holding, works: frozenset[str], lines: Sequence[str], more: bool
) -> MillSetup:
    lying, turner = "flat" if basis.flat else "on edge", "table" if basis.table is not None else "axis"
    radius = ALONG_SLIDE if basis.flat else "along the spindle"
    middle = length(basis.wheel.thickness_mm / 2)
    spindle = (
        "Upright, along the wheel's axis; the cutter stands beside the rim and is fed in towards the axis."
        if basis.flat
        else f"At the wheel's axis, square to it, over the ring's middle, {middle} behind its front face."
    )
    first = "The scratch lap cost no metal: a line in the wrong place is filed off and scratched anew. "
    sheet = SetupSheet(
        holds=" ".join(made.holds),
        spindle=spindle,
        zero=_zero(basis),
        cut=_what(cuts, works),
        then=f"The same {turner} laid flat, its count untouched." if more else "Deburr, gauge on, then off the table.",
        wrong=first
        + f"A slot cut in the wrong place cannot be put back: spindle off, write down {_noted(basis)} and cut none of "
        "the rest before you know; what is left of the wheel may still serve (wheelcad measure says which pattern).",
    )
    built = MillSetup(
        "mill", "At the mill", lying, OVER_AXIS if basis.turns else "", radius if basis.turns else "", (), sheet
    )
    said = [*lines, built.says] if basis.turns else list(lines)
    at = 1 if len(said) > 1 else 0
    return built._replace(lines=(*said[:at], *made.holds, *said[at:]))


def _noted(basis: IndexBasis) -> str:
    """What is written down when a cut went wrong, and how it is seen which cuts stand wrong."""
    if basis.table is not None:
        return "cut, turns and dial, see which cuts stand wrong (Where am I? on the bench page)"
    if basis.turns:
        return "cut and the axis's angle, see on the chart which cuts stand wrong"
    return "cut, X and Y, see on the chart which cuts stand wrong"


def _laid(basis: IndexBasis, cuts: tuple[Cut, ...], made: Holding) -> MillSetup:
    reads = length(basis.wheel.radius_mm + PIN_MM / 2)
    lines = (
        "Lay the table flat with its count untouched, so that the line that pointed at the cutter lies along the slide "
        "that is left free, and bring the spindle over the table's axis again.",
        f"Touch the rim with a round pin of {diameter(PIN_MM)} in the spindle and set that slide to {reads}: from then "
        "on it reads the distance from the centre.",
    )
    sheet = SetupSheet(
        holds=" ".join(made.holds),
        spindle="Upright, along the wheel's axis.",
        zero=_zero(basis) + " The count has not changed by laying the table down.",
        cut=_what(cuts, LAID),
        then="Deburr, weigh the wheel out on level edges, then off the table.",
        wrong="A balance hole in the wrong place is left open: `balance.reading` in the job finds the holes that make "
        "up for it.",
    )
    return MillSetup("drill", "At the drill", "flat", OVER_AXIS, ALONG_SLIDE, lines, sheet)


def _zero(basis: IndexBasis) -> str:
    name = zero_name(basis.wheel.gaps)
    if basis.table is None:
        return f"{name[:1].upper()}{name[1:]} under the cutter." if basis.turns else "X and Y 0 on the bore's centre."
    return f"Turns counted from nought, dial 0, {name} under the cutter."
