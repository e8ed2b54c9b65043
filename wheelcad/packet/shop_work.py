"""The pages for the shop: dead centre, gauge, lathe, mill, gap and balance, bracket."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from wheelcad.codes import Check
from wheelcad.findings import Finding
from wheelcad.packet.lathe import turning_page
from wheelcad.packet.page import PacketPage, degrees
from wheelcad.packet.plasma import bracket_asks
from wheelcad.packet.strip import strip_page
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.common.paper import page_paper
from wheelcad.parts.design import Design
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.indexing.model import IndexPlan, Lap
from wheelcad.parts.indexing.text import columns, order_lines
from wheelcad.parts.indexing.work import CAUTIONS, MillSetup
from wheelcad.trade.printing import BED_MARGIN_MM
from wheelcad.words import Words, angle, diameter, length, quantity

TRUST = (Check.MESHED_VOLUME, Check.MESH_FINE_ENOUGH)  # about the solver, not the bracket: in report.json

STOPS_A_SHEET = {"A4": 33, "Letter": 29}
ROOMY = 24  # up to so many stops on a sheet stand apart
LARGE = 8  # columns that letters to be read from the machine leave room for
FEW = 12  # stops of a lap that need no sheet of their own


NO_STARTER_WITH_STOP = "Never turn an engine on the starter with a piston stop in: it breaks pistons."
FIND_TDC = (
    "Battery disconnected, plugs out, gear in neutral. Turn the crank by hand only.",
    "Screw a piston stop into cylinder 1. Turn the crank gently against it one way and mark the pulley at a "
    "fixed pointer; turn it gently against it the other way and mark again. TDC is half-way between the marks.",
    "Take the stop out, set the crank at that line, and make sure with the valves that it is where you want "
    "it: both closed on compression.",
    "Mark the line that now points straight up on the pulley's face, from hub to rim, so that turning and "
    "milling cannot take it off. On an engine that leans, up means the direction you mark now.",
)


def dead_centre(design: Design) -> PacketPage:
    """Finding and keeping TDC before the pulley comes off."""
    turning = "clockwise" if design.wheel.sense > 0 else "anticlockwise"
    page = PacketPage("First of all: top dead centre")
    page.words("Everything here is measured from the TDC line, so find it before the pulley comes off, and keep it.")
    page.steps(
        [
            *FIND_TDC,
            "Measure keyway and bolt holes from that line, the way the crank turns, and compare with the job file.",
            f"Check which way the crank turns, seen facing the wheel: this job says {turning}.",
            *_marked(design),
        ]
    )
    return page.caution([NO_STARTER_WITH_STOP])


def _marked(design: Design) -> list[str]:
    """What the finished wheel's own marks replace; nothing where the job asks for none."""
    marks = design.wheel.marks
    if not marks:
        return []
    named = ", ".join(mark.name for mark in marks)
    where = "at their stops on the table" if design.indexing is not None else "where the wheel's drawing has them"
    return [
        f"The finished wheel gets marks of its own for the timing light, made {where}: {named}. "
        "Turning may take this line off the rim; the one from hub to rim on the face stays until they are made."
    ]


def _printing(made: GaugeDesign) -> list[str]:
    """How it goes to the printer: whole, or piece by piece."""
    if made.pieces < 2:
        return ["Print gauge.3mf as it stands: flat side down, no supports, no scaling."]
    ends = ", ".join(degrees(at) for at in made.body.joints.at_deg)
    return [
        f"gauge.3mf holds {made.pieces} pieces, each of which fits the bed with {length(BED_MARGIN_MM)} to spare on "
        "every side. Print them one at a time: delete the others, put the one in the middle; flat side down, no "
        "supports, no scaling.",
        f"They meet at {ends} from the TDC line. Lay the first face down, and slide each neighbour straight down onto "
        "it, its dovetail into the socket, until the faces are level; a drop of glue keeps them.",
    ]


def _putting_on(made: GaugeDesign) -> list[str]:
    """What is measured before it is trusted, and how it is held: by bolts, by its key, or by hand."""
    way = "TDC pointer on the TDC line, arrow the way the crank turns, text towards you"
    by = made.seat.register
    if made.holes:
        return [
            "Measure the printed bolt holes and the distance across two far ones before you trust it.",
            f"Bolt it on with the {way}.",
        ]
    measured = f"Measure the printed {diameter(by.printed_diameter)} that meets the {by.by} before you trust it."
    if by.keyed:
        return [measured, f"Push it home, its key in the keyway: {way}. Tape or a soft clamp keeps it there."]
    return [
        measured,
        f"Push it home: {way}. Nothing but the line says how it is turned: look along the pointer, hold it with two "
        "soft clamps, and look again before every mark.",
    ]


def gauge(design: Design, findings: Sequence[Finding] = ()) -> Iterator[PacketPage]:
    """Printing the gauge, and what it can and cannot show."""
    made = design.gauge
    if made is None:
        return
    facts: dict[str, Any] = made.report()
    page = PacketPage("Print the gauge", joins=True)
    page.steps(
        [
            *_printing(made),
            *_putting_on(made),
            "No printer at hand: print gauge-paper.pdf at 100 %, measure its bars both ways, and glue it to card.",
        ]
    )
    pinned = "With close pins in the holes" if made.holes else "Can turn in its keyway by"
    rows = [
        ("Printed bolt holes", diameter(facts["bolt_hole_mm"]) if made.holes else "-"),
        ("Centred by", str(facts["centred_by"])),
        ("Can sit wrong by, on its bolts", degrees(facts.get("loose_on_bolts_deg"))),
        (pinned, degrees(facts.get("loose_with_pins_deg"))),
        ("Smallest fault it must show", degrees(facts.get("smallest_fault_deg"))),
    ]
    page.numbers([row for row in rows if row[1] != "-"])
    page.words(str(facts.get("turned_by_one_bolt") or "")).notes(findings, "gauge")
    yield page.caution(["Layout only: take the gauge off before the crank is turned under power."])


def turning(design: Design, findings: Sequence[Finding] = ()) -> Iterator[PacketPage]:
    """The lathe, where there is a blank."""
    if design.blank is not None:
        yield turning_page(design.blank, design.balance.runout_limit_mm, findings)


def milling(design: Design) -> Iterator[PacketPage]:
    """Set-up, every stop with its box, checkpoints."""
    plan = design.indexing
    if plan is None:
        return
    first = PacketPage("At the mill: set up").words(f"Of {plan.marks}.").caution(CAUTIONS)
    yield first.head(f"Operation sheet: {plan.setups[0].title}").points(_heads(plan.setups[0])).steps(plan.setup)
    most = STOPS_A_SHEET[page_paper(design.job)]
    for number, lap in enumerate(plan.laps, start=1):
        opened = plan.opening(lap)
        if opened is not None:
            yield PacketPage(f"Operation sheet: {opened.title}", joins=True).points(_heads(opened)).steps(opened.lines)
        yield from _lap(plan, number, lap, most)
    if plan.checkpoints:
        page = PacketPage("Where something must meet", joins=True)
        yield page.steps([_sentence(point.says) for point in plan.checkpoints])


def _heads(setup: MillSetup) -> list[str]:
    """The head of a set-up's operation sheet."""
    return [f"{head}: {text}" for head, text in setup.heads]


def _lap(plan: IndexPlan, number: int, lap: Lap, most: int) -> Iterator[PacketPage]:
    """A lap's stops, on one sheet or on sheets of equal length, at most `most` on each; a few join the lap before.

    Sides, of which there are many, run down two columns of one sheet.
    """
    stops = plan.in_lap(lap)
    pair = len(stops) > most and all(stop.work == "side" and not stop.setting.circle for stop in stops if stop.setting)
    sheets = 1 if pair else math.ceil(len(stops) / most)
    each = math.ceil(len(stops) / sheets)
    for k in range(sheets):
        part = f", {k + 1} of {sheets}" if sheets > 1 else ""
        page = PacketPage(f"At the mill, lap {number}: {lap.title}{part}", joins=len(stops) <= FEW)
        mine = stops[k * each : (k + 1) * each]
        off = max((abs(float(stop.setting.error)) for stop in mine if stop.setting), default=0.0) if pair else 0.0
        said = f" The dial's nearest marks put these at most {angle(off)} off." if off else ""
        page.words(f"{lap.do} {lap.then} {_counted_from(plan)}{said}")
        head, rows = columns(plan, mine, angles=not pair)
        large = not pair and len(head) <= LARGE
        page.grid(head, rows, "r" * len(head), large=large, tick=True, close=pair or each > ROOMY, pair=pair)
        page.words(*order_lines(mine, plan.job.units))
        yield page


def _counted_from(plan: IndexPlan) -> str:
    """From where the rows of a lap count."""
    if plan.table is not None:
        return f"All from zero at {plan.zero_name}; turn on from the stop before."
    if plan.job.shop.rotary_axis:
        return f"Angles of the axis, from zero at {plan.zero_name}."
    return f"X and Y from the bore's centre, the TDC line along +Y; angles from {plan.zero_name}."


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


def _work(made: BracketDesign) -> str:
    """What is done to this bracket: a flat one is not bent, a pressed one not welded."""
    if not made.bends:
        return "cut and drill"
    return "cut, bend, weld" if made.asked.bracket.bends == "hand" or made.gussets else "cut and press"


def _on_paper(made: BracketDesign) -> PacketPage:
    """The bracket proved on card, before anything is cut."""
    page = PacketPage("The bracket on card, before steel is cut", joins=True)
    page.steps(
        [
            "Print bracket-paper.pdf at 100 % and measure its bars both ways.",
            "Pattern: lay its pages over each other so that the crosses meet, cut the ring's circle out, and hold it "
            "against the engine: crank centre on the axis, TDC line up, every hole over its circle.",
            "Flat: glue it on card and cut it out, holes too"
            + (", fold it on its dashed lines." if made.bends else "."),
            "Bolt it on as its page says, sensor in, and turn the crank by hand: look at pump, cover, belts and hoses, "
            "and whether a spanner gets at every bolt.",
            "Whatever does not meet: correct the job (mounts, mount_face, sensor.at) and build again. Cut steel last.",
        ]
    )
    return page.caution(["Engine off, key out: card in a belt is still a hand in a belt."])


def bracket(
    design: Design, report: dict[str, Any], plot_svg: str, drawn: Sequence[PacketPage], findings: Sequence[Finding] = ()
) -> Iterator[PacketPage]:
    """Cutting, bending, welding, and how stiff it will be."""
    made = design.bracket
    if made is None:
        return
    yield _on_paper(made)
    strip = strip_page(made)
    if strip is not None:
        yield strip
    stiffness = report.get("bracket", {}).get("stiffness")
    shaken = () if stiffness is None else stiffness["checks"]  # told on the page about stiffness
    yield _making(made, [f for f in findings if f.check not in shaken])
    yield from drawn
    if stiffness is not None:
        said = [f for f in findings if f.check in shaken and f.check not in TRUST]
        yield _how_stiff(stiffness, plot_svg, [f"{f.measured_in(Words(design.job.units))}: {f.why}." for f in said])


def _making(made: BracketDesign, told: Sequence[Finding]) -> PacketPage:
    """Sizes, bends, holes, what to ask the shop for, and the steps."""
    page = PacketPage(f"The bracket: {_work(made)}", joins=True)
    long, wide = made.outline.extent()
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
    page.head("Ask the cutting shop for").points(list(bracket_asks(made)))
    page.head("Make it").points(made.notes).notes(told, "bracket", "plasma")
    return page.caution(
        [
            "Plasma and welding: eyes, skin and lungs covered, nothing that burns nearby, battery and electronics off "
            "the engine before anything is welded near it. Let a welder weld what must not break.",
            "Cut edges are hot and sharp: file them before you bend.",
        ]
    )


def _how_stiff(stiffness: dict[str, Any], plot_svg: str, said: Sequence[str]) -> PacketPage:
    """What the finite elements say."""
    page = PacketPage("How stiff the bracket is").words(stiffness["method"] + ".")
    found = enumerate(stiffness["frequencies_hz"], start=1)
    stiff = [(f"Natural frequency {i}", f"{hz:.0f} Hz") for i, hz in found]
    stiff += [(f"Gap changes, 10 g {s['name']}", length(s["gap_change_mm"], 3)) for s in stiffness["shakes"]]
    stiff += [(f"First frequency, {c['held']}", f"{c['frequencies_hz'][0]:.0f} Hz") for c in stiffness["clampings"]]
    page.numbers(stiff)
    if plot_svg:
        page.picture("bracket-speeds", plot_svg, 150.0)
    return elsewhere(page.points(said), stiffness["proposals"])


def elsewhere(page: PacketPage, proposals: dict[str, Any]) -> PacketPage:
    """The page with the map of first frequency against sensor.at, where no change to this bracket is enough.

    proposals: report.json's part."""
    by_place = proposals["by_sensor_at"]
    if not by_place:
        return page
    wanted = proposals["frequency_times"] and proposals["base_hz"] * proposals["frequency_times"]
    page.head("Another place for the sensor")
    page.words(
        "The first frequency with sensor.at elsewhere round the crank, where the bracket can be made: estimated, good "
        "to tell places apart. Build the one you choose."
        + (f" About {quantity(wanted, 'frequency', 0)} is wanted." if wanted else "")
    )
    rows = [[degrees(one["at_deg"], 0), quantity(one["first_hz"], "frequency", 0)] for one in by_place]
    return page.grid(["sensor.at", "First frequency"], rows, "rr", small=True, close=True, pair=True)
