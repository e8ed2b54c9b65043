"""The pages for the shop: dead centre, gauge, lathe, mill, gap and balance, bracket."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from wheelcad.findings import Finding
from wheelcad.packet.page import Page, degrees, drill_size
from wheelcad.packet.turning import turning_page
from wheelcad.parts.design import Design
from wheelcad.parts.indexing.model import Cut, IndexPlan
from wheelcad.parts.indexing.words import angle, dial, edge, turns
from wheelcad.parts.sheets import page_paper
from wheelcad.words import diameter, length, speed, unbalance

SLOTS_A_SHEET = {"A4": 36, "Letter": 32}
ROOMY = 26  # up to so many slots on a sheet stand apart
FEW = 4  # moves that may differ from the usual one
PAIRED = 24  # more cuts of a kind than this run down two columns
SAID_ELSEWHERE = ("counted:", "at_deg")  # notes of the report that the page says in its own words


def dead_centre(design: Design) -> Page:
    """Finding and keeping TDC before the pulley comes off."""
    turning = "clockwise" if design.wheel.sense > 0 else "anticlockwise"
    page = Page("First of all: top dead centre")
    page.words("Everything here is measured from the TDC line, so find it before the pulley comes off, and keep it.")
    page.steps(
        [
            "Battery disconnected, plugs out, gear in neutral. Turn the crank by hand only.",
            "Screw a piston stop into cylinder 1. Turn the crank gently against it one way and mark the pulley at a "
            "fixed pointer; turn it gently against it the other way and mark again. TDC is half-way between the marks.",
            "Take the stop out, set the crank at that line, and make sure with the valves that it is where you want "
            "it: both closed on compression.",
            "Mark the line that now points straight up on the pulley's face, from hub to rim, so that turning and "
            "milling cannot take it off. On an engine that leans, up means the direction you mark now.",
            "Measure keyway and bolt holes from that line, the way the crank turns, and compare with the job file.",
            f"Check which way the crank turns, seen facing the wheel: this job says {turning}.",
            "The finished wheel gets a permanent TDC notch, with degree marks beside it for the timing light.",
        ]
    )
    return page.caution(["Never turn an engine on the starter with a piston stop in: it breaks pistons."])


def gauge(design: Design, findings: Sequence[Finding] = ()) -> Iterator[Page]:
    """Printing the gauge, and what it can and cannot show."""
    made = design.gauge
    if made is None:
        return
    facts: dict[str, Any] = made.report()
    page = Page("Print the gauge", joins=True)
    page.steps(
        [
            "Print gauge.3mf as it stands: flat side down, no supports, no scaling.",
            "Measure the printed bolt holes and the distance across two far ones before you trust it.",
            "Bolt it on with the TDC pointer on the TDC line, arrow the way the crank turns, text towards you.",
            "No printer at hand: print gauge-paper.pdf at 100 %, measure its bars both ways, and glue it to card.",
        ]
    )
    rows = [
        ("Printed bolt holes", diameter(facts["bolt_hole_mm"]) if facts["bolt_hole_mm"] else "-"),
        ("Centred by", str(facts["centred_by"])),
        ("Can sit wrong by, on its bolts", degrees(facts.get("loose_on_bolts_deg"))),
        ("With close pins in the holes", degrees(facts.get("loose_with_pins_deg"))),
        ("Smallest fault it must show", degrees(facts.get("smallest_fault_deg"))),
    ]
    page.numbers(rows)
    page.words(str(facts.get("turned_by_one_bolt") or "")).notes(findings, "gauge")
    yield page.caution(["Layout only: take the gauge off before the crank is turned under power."])


def turning(design: Design, findings: Sequence[Finding] = ()) -> Iterator[Page]:
    """The lathe, where there is a blank."""
    if design.blank is not None:
        yield turning_page(design, findings)


def milling(design: Design) -> Iterator[Page]:
    """Set-up, chart with boxes, laps and checkpoints."""
    plan = design.indexing
    if plan is None:
        return
    yield Page("At the mill: set up").caution(plan.cautions).steps(plan.setup)
    yield from _settings(plan, SLOTS_A_SHEET[page_paper(design.job)])
    page = Page("At the mill: order of work")
    page.steps([f"{lap.title}: {lap.do} {lap.then}".strip() for lap in plan.laps])
    page.head("Where something must meet").steps([_sentence(point.says) for point in plan.checkpoints])
    for kind, title in (("side", "Sides of the slots"), ("gap", "Passes in the gap"), ("hole", "Balance holes")):
        cuts = plan.of_kind(kind)
        if len(cuts) > PAIRED:
            move = _usual_move(plan, cuts)
            page.head(title).words(f"From one to the next: {move}." if move else "")
            page.grid(*_chart(plan, cuts, moves=not move), tick=True, pair=bool(move), close=True)
        elif cuts:
            page.head(title).grid(*_chart(plan, cuts), tick=True)
    yield page


def _settings(plan: IndexPlan, most: int) -> Iterator[Page]:
    """The slots, all on one sheet or on sheets of equal length, at most `most` on each."""
    cuts = plan.of_kind("slot")
    sheets = max(1, math.ceil(len(cuts) / most))
    each = math.ceil(len(cuts) / sheets)
    for k in range(sheets):
        page = Page("At the mill: the settings" + (f", {k + 1} of {sheets}" if sheets > 1 else ""))
        page.words(
            "All from zero at the centre of the gap. Tick a slot when it is at full depth, not when it is scratched."
        )
        page.grid(*_chart(plan, cuts[k * each : (k + 1) * each]), large=True, tick=True, close=each > ROOMY)
        if k == sheets - 1 and plan.table is not None and plan.closing is not None:
            move = f"{turns(plan.closing.turns)} + {dial(plan.closing.dial, plan.table.dial_step)}"
            page.words(f"Closing: {move} more, and the table is at zero again after {turns(plan.table.ratio)}.")
        yield page


def _usual_move(plan: IndexPlan, cuts: Sequence[Cut]) -> str:
    """The move from each cut to the next and the few that differ; "" when most moves have no size in common."""
    if plan.table is None:
        return ""
    step = plan.table.dial_step
    moves = [(c.cut, f"{c.move.turns} + {dial(c.move.dial, step)}") for c in cuts if c.move is not None]
    if not moves:
        return ""
    usual, _ = Counter(move for _, move in moves).most_common(1)[0]
    others = [f"{move} to cut {cut}" for cut, move in moves if move != usual]
    if len(others) > FEW:
        return ""
    return usual + (", but " + ", ".join(others) if others else "")


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


def _chart(plan: IndexPlan, cuts: Sequence[Cut], moves: bool = True) -> tuple[list[str], list[list[str]], str]:
    """Head, rows and alignment of the settings; columns that hold nothing are left out."""
    table = plan.table
    head, columns = ["cut", "angle"], [[str(c.cut) for c in cuts], [angle(c.at) for c in cuts]]
    if table is not None:
        settings = [c.setting for c in cuts if c.setting is not None]
        head += ["turns", "dial"]
        columns += [[str(s.turns) for s in settings], [dial(s.dial, table.dial_step) for s in settings]]
        if any(s.circle for s in settings):
            head.append("holes")
            columns.append([f"{s.holes} of {s.circle}" if s.circle else "-" for s in settings])
        if moves:
            head.append("from the last")
            made = [c.move for c in cuts if c.move is not None]
            columns.append([f"{m.turns} + {dial(m.dial, table.dial_step)}" for m in made])
        if any(c.scale_deg is not None for c in cuts):
            head.append("table's edge")
            columns.append(["" if c.scale_deg is None else edge(c.scale_deg) for c in cuts])
    if any(c.points_mm for c in cuts):
        factor, places = (25.4, 4) if plan.units == "in" else (1.0, 3)
        for axis, name in ((0, "X"), (1, "Y")):
            head.append(f"{name} {plan.units}")
            columns.append([f"{c.points_mm[0][axis] / factor + 0.0:.{places}f}" if c.points_mm else "" for c in cuts])
    return head, [list(row) for row in zip(*columns, strict=True)], "r" * len(head)


def gap_and_balance(design: Design, report: dict[str, Any], findings: Sequence[Finding] = ()) -> Iterator[Page]:
    """What the missing teeth weigh, the holes that take it out, and what is left."""
    balance = design.balance
    page = Page("Gap and balance")
    page.words(f"What counts: {balance.counted.words}.")
    found = report["balance"]
    rows = [
        ("Unbalance before", unbalance(found["before"]["unbalance_g_mm"])),
        ("Its heavy side", degrees(found["before"]["at_deg"])),
        ("Left after, measured from wheel.stl", unbalance(found["after"]["unbalance_g_mm"])),
    ]
    if found["permissible_g_mm"]:
        rows.append(
            (
                f"Permitted, {found['grade']} at {speed(found['max_speed_rpm'])}",
                unbalance(found["permissible_g_mm"]),
            )
        )
    page.numbers(rows)
    holes = [
        [
            degrees(hole.at_deg),
            length(hole.radius_mm),
            drill_size(hole.drill, hole.diameter_mm),
            "through" if hole.through else length(hole.depth_mm),
            "back" if hole.from_back else "front",
        ]
        for hole in balance.holes
    ]
    page.grid(["From TDC line", "From the axis", "Drill", "Depth", "From the"], holes, "rrlrl", large=True, tick=True)
    if not holes:
        page.words(f"No holes are drilled: {balance.plan}.")
    notes = [str(note) for note in found.get("notes", []) if not str(note).startswith(SAID_ELSEWHERE)]
    page.points(
        [*(note[:1].upper() + note[1:] + "." for note in notes), *(f"Instead: {way}." for way in balance.other)]
    ).notes(findings, "wheel", "balance", "job")
    yield page.caution(
        [
            "A wheel that has cracked, been dropped or been drilled in the wrong place is scrap.",
            "Have the whole turning assembly balanced where the engine's maker asks for it.",
        ]
    )


def bracket(
    design: Design, report: dict[str, Any], plot_svg: str, drawn: Sequence[Page], findings: Sequence[Finding] = ()
) -> Iterator[Page]:
    """Cutting, bending, welding, and how stiff it will be."""
    made = design.bracket
    if made is None:
        return
    page = Page("The bracket: cut, bend, weld")
    long, wide = made.flat_size
    page.numbers(
        [
            ("Shape", made.shape),
            ("Flat", f"{length(long)} × {length(wide)}"),
            ("Plate", length(made.thickness)),
        ]
    )
    rows = [
        [
            str(i),
            degrees(bend.angle_deg),
            "up" if bend.up else "down",
            length(bend.inside_radius),
            length(bend.allowance),
        ]
        for i, bend in enumerate(made.bends, start=1)
    ]
    page.grid(["Bend", "Angle", "Way", "Inside radius", "Length of metal"], rows, "rrlrr", large=True, tick=True)
    holes = [
        [
            hole.name,
            diameter(hole.diameter),
            length(hole.travel) if hole.travel else "-",
            "drill" if hole.drill else "cut",
        ]
        for hole in made.holes
    ]
    page.grid(["Hole", "Size", "Slot travel", "How"], holes, "lrrl", tick=True)
    page.points(made.notes).notes(findings, "bracket", "plasma")
    page.caution(
        [
            "Plasma and welding: eyes, skin and lungs covered, nothing that burns nearby, battery and electronics off "
            "the engine before anything is welded near it. Let a welder weld what must not break.",
            "Cut edges are hot and sharp: file them before you bend.",
        ]
    )
    yield page
    yield from drawn
    stiffness = report.get("bracket", {}).get("stiffness")
    if stiffness is not None:
        page = Page("How stiff the bracket is").words(stiffness["method"] + ".")
        found = enumerate(stiffness["frequencies_hz"], start=1)
        stiff = [(f"Natural frequency {i}", f"{hz:.0f} Hz") for i, hz in found]
        stiff += [(f"Gap changes, 10 g {s['name']}", length(s["gap_change_mm"], 3)) for s in stiffness["shakes"]]
        page.numbers(stiff)
        if plot_svg:
            page.picture("bracket-speeds", plot_svg, 150.0)
        yield page
