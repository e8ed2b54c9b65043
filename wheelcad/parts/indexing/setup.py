"""The lines a person follows before the first cut."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from fractions import Fraction

from wheelcad.job.models import Job
from wheelcad.parts.indexing.model import Cut
from wheelcad.parts.indexing.settings import WHOLE, TurnTable
from wheelcad.parts.indexing.words import angle, dial, edge, round_rpm, setting, turns, way_round, zero_name
from wheelcad.parts.wheel.design import WheelDesign
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.trade.cutting import CHATTER_NOTE, GREY_IRON_NOTE, ONE_HEAD_SETTING_NOTE, MillingPlan
from wheelcad.trade.indexing import exact_angle, forgotten_part_turn_divisions
from wheelcad.words import Words, diameter, length, quantity

CENTRED_MM = 0.05  # cutter over the table's axis; common practice, no source

Scale = Callable[[Fraction], float | None]


def mounting_lines(flat: bool, packing: list[str], again: bool) -> list[str]:
    """How the work is set up. again: a plate wheel that comes back from the lathe, its bolt holes drilled."""
    lines = [
        "The TDC line is the one marked on the wheel, before the pulley came off the engine, where it stood at top "
        "dead centre of cylinder 1. Scribe it from the rim to the hub."
    ]
    if again:
        lines = [
            "Back from the lathe, the rim turned to size on a mandrel in the bore: the TDC line scribed on the faces "
            "is still there; draw it over the rim once more with a square."
        ]
    if flat:
        lines.append(
            "Clamp the work flat on the table, its front up, and run an indicator round the bore: it must run true."
        )
    else:
        lines.append(
            "Stand the rotary table on edge so that the cutter's end points at the wheel's axis, the wheel's front "
            "towards you, and run an indicator round the bore: it must run true."
        )
    return lines + packing


def bolt_zero_lines(table: TurnTable, bolt: Cut, wheel: WheelDesign) -> list[str]:
    """Zero found again from the first bolt hole of a plate wheel, drilled on this table before the rim was turned."""
    assert bolt.drill is not None
    found = table.setting(bolt.at)
    stands = setting(found.turns, found.dial, table.dial_step, found.circle, found.holes)
    way = way_round(wheel.sense)
    from_tdc = angle((bolt.at + exact_angle(wheel.gap_at_deg)) % WHOLE)
    return [
        f"The same zero as for the bolt holes, found from bolt hole 1, which lies {from_tdc} from the TDC line the way "
        f"the crank turns: turn the table {way} up to {stands}, set the spindle {length(bolt.drill.radius_mm)} from "
        f"the centre with a close pin of {diameter(bolt.drill.diameter_mm)} in it, turn the work on the table by hand "
        "until the pin drops into that hole, and clamp. Every other bolt hole must take the pin at its own setting.",
        f"Come up to every setting turning the work {way}.",
    ]


def go_on_line(table: TurnTable, last: Cut, wheel: WheelDesign) -> str:
    """Where the table has to stand before the first move after zero was found anew: moves count on from the last bolt
    hole, and who stands at zero or at another hole would take the first one from the wrong place."""
    found = table.setting(last.at)
    stands = setting(found.turns, found.dial, table.dial_step, found.circle, found.holes)
    return (
        f"The moves go on from the last bolt hole: before the first of them turn the table {way_round(wheel.sense)} up "
        f"to {stands}, where that hole stood."
    )


def turning_lines(job: Job, sense: int) -> list[str]:
    """Where the cutter stands over a table or axis that turns, and which way the work goes."""
    way = way_round(sense)
    near = length(CENTRED_MM)
    find = "Find out now which way that is at the handwheel, and mark it with an arrow."
    if job.shop.rotary_table is None:
        find = "Jog the axis by 90° and see that it does."
    return [
        f"Bring the cutter's centre line over the table's axis, within {near}, and lock that slide.",
        f"From cut to cut the work always turns {way}, seen on its front. {find}",
    ]


def zero_lines(wheel: WheelDesign, table: TurnTable, scale: Scale, backlash: float) -> Iterator[str]:
    """From the TDC line to the centre of the gap, where zero is set."""
    way = way_round(wheel.sense)
    other = way_round(-wheel.sense)
    zero = zero_name(wheel.gaps)
    step = table.dial_step
    gap = exact_angle(wheel.gap_at_deg) % WHOLE
    at_tdc = (-gap) % WHOLE
    start = table.setting(at_tdc)
    reading = scale(at_tdc)
    on_edge = f", {edge(reading)} on its edge" if reading is not None else ""
    if gap == 0:
        yield (
            f"Turn the table {way} up to 0 on its edge and 0 on the dial, and clamp the work there with the TDC line "
            f"exactly under the cutter: {zero} is on the TDC line."
        )
    else:
        short = gap if gap <= WHOLE / 2 else WHOLE - gap
        direction = way if gap <= WHOLE / 2 else other
        how_far = table.setting(short)
        past = "" if direction == way else f" (go a turn too far and come back {way})"
        yield (
            f"Turn the table {way} up to {setting(start.turns, start.dial, step, start.circle, start.holes)} from "
            f"its 0{on_edge}, and clamp the work there with the TDC line exactly under the cutter."
        )
        yield (
            f"{zero[0].upper()}{zero[1:]} lies {angle(gap)} from the TDC line the way the crank turns. To bring it "
            f"under the cutter turn the work {angle(short)} {direction}: "
            f"{setting(how_far.turns, how_far.dial, step, how_far.circle, how_far.holes)}{past}. Table and dial then "
            "stand at 0."
        )
        if start.error:
            yield (
                f"The dial's nearest mark puts the whole pattern {angle(abs(float(start.error)))} off the TDC line; "
                "the spacing is not touched."
            )
    yield (
        f"That is zero: {zero} under the cutter, turns counted from nought, dial at 0. If your dial slips on its "
        "shaft, set it to 0 here."
    )
    yield overshoot_line(table, backlash, way)


def back_half_turns(table: TurnTable, backlash: float) -> int:
    """Half turns of the handwheel that go back further than the slack, with a quarter turn to spare.

    Half a turn of a 90:1 table is 2 degrees: with 3 degrees of slack it does not even move the table.
    """
    return max(1, math.ceil((2 * exact_angle(backlash) + table.per_turn / 2) / table.per_turn))


def back_words(table: TurnTable, backlash: float) -> str:
    """How far to go back after an overshoot, in words: half a turn, 1 turn, 1 turn and a half."""
    half_turns = back_half_turns(table, backlash)
    back = turns(half_turns // 2) if half_turns > 1 else ""
    return back + ((" and a half" if back else "half a turn") if half_turns % 2 else "")


def overshoot_line(table: TurnTable, backlash: float, way: str) -> str:
    """On which side slack is taken up, and how far to go back after an overshoot."""
    slack = f" (yours has {angle(backlash)}, {float(exact_angle(backlash) / table.per_turn):.2g} of a turn)"
    back = back_words(table, backlash)
    return (
        f"Take up backlash{slack if backlash else ''} always on the same side: come up to every setting turning the "
        f"work {way}. If you overshoot, go back {back} past it and come up again."
    )


def counting_lines(table: TurnTable, teeth: int, scale: str | None, sense: int) -> Iterator[str]:
    """How to count, and what the table's edge and the dial say."""
    per = table.per_turn
    yield (
        f"One turn of the handwheel is {angle(per)}; {turns(table.ratio)} bring the table round. Past zero the count "
        "begins at nought again."
    )
    rising = scale is None or (scale == "clockwise") == (sense > 0)
    if scale is None:
        yield (
            "Say which way the numbers on the table's edge run (shop.rotary_table.scale) and the chart gives its "
            "reading for every cut, the cheapest guard against a lost count."
        )
    else:
        yield "Look at the number on the table's edge at every cut: it does not forget turns."
    if rising:
        yield (
            "If your dial's numbers fall as the work turns the right way, read it from the other end: "
            f"{dial(per, table.dial_step)} less the figure given here, every time (the bench page can do that for you)."
        )
    else:
        yield (
            "The edge's numbers fall as the work turns the right way, and on most tables the dial's do too: then "
            f"read the dial from the other end, {dial(per, table.dial_step)} less the figure given here, every time "
            "(the bench page can do that for you)."
        )
    wrong = forgotten_part_turn_divisions(table.ratio, teeth)
    if wrong is not None and wrong != teeth:
        ends = f"would end in {float(wrong):.4g} divisions instead of {teeth}."
        yield f"Whole turns alone, with the part of a turn forgotten, {ends}"


def cutting_lines(job: Job, slot: SlotShape, flat: bool, plan: MillingPlan | None) -> list[str]:
    """Speed, feed and depth, and how the machine is set."""
    lines = [
        f"Touch the cutter on the rim, set that slide to 0, and set a stop at {length(slot.depth)}: the slot's depth."
    ]
    cutter = job.shop.cutter
    if plan is not None and cutter is not None:
        if flat:
            passes = "one pass" if plan.passes == 1 else f"{plan.passes} passes of {length(plan.pass_depth_mm)} down"
            depth = f"{passes} through the ring's thickness, each fed in to the stop"
        else:
            passes = (
                "one pass" if plan.passes == 1 else f"{plan.passes} passes, {length(plan.pass_depth_mm)} deeper each"
            )
            depth = f"{passes}, right across the ring"
        metal = "HSS" if cutter.material == "hss" else "carbide"
        lines.append(
            f"Start at {round_rpm(plan.rpm)} rpm and {quantity(plan.feed_mm_min, 'feed')} with the "
            f"{length(cutter.diameter)} {cutter.flutes}-flute {metal} cutter; {depth}. Source: {plan.source}."
        )
    if "iron" in job.wheel.material:
        lines.append(GREY_IRON_NOTE)
    return [*lines, ONE_HEAD_SETTING_NOTE, CHATTER_NOTE]


def readout_lines(bolt: Cut | None = None, units: str = "mm") -> list[str]:
    """Set-up for a mill with a digital readout and no rotary table. bolt: the first bolt hole of a plate wheel that
    comes back from the lathe: a pin in it stands truer than a scribed line."""
    turned = (
        "turn the work so that its TDC line points straight away from you (+Y), clamp it, and set X and Y to 0 on the "
        "bore's centre."
    )
    if bolt is not None and bolt.points_mm and bolt.drill is not None:
        x, y = bolt.points_mm[0]
        turned = (
            f"set X and Y to 0 on the bore's centre, move the spindle to bolt hole 1, X {Words(units).bare(x, 3)} Y "
            f"{Words(units).bare(y, 3)}, with a close pin of {diameter(bolt.drill.diameter_mm)} in it, turn the work "
            "by hand until the pin drops into that hole, and clamp: the TDC line then points straight away from you "
            "(+Y). Every other bolt hole must take the pin at its own X and Y."
        )
    return [
        f"For the readout: {turned} X is positive to the right.",
        "The chart gives each cut's deepest point; readout-points.csv has all of them, to be plunged in that order: "
        "the deepest first, then outwards.",
    ]


def axis_lines(wheel: WheelDesign) -> list[str]:
    """Set-up for a driven rotary axis: its sense, its zero, and the program's first run."""
    zero = zero_name(wheel.gaps)
    at_tdc = (-exact_angle(wheel.gap_at_deg)) % WHOLE
    return [
        f"For the driven axis: plus must turn the work {way_round(wheel.sense)}, seen on its front; try it with 90° "
        "before you clamp a cutter. Run the program once with no cutter in.",
        f"Jog until the TDC line is exactly under the cutter, clamp, and set the axis to A {angle(at_tdc)[:-1]}. "
        f"Send it to A 0: that brings {zero} under the cutter, from which all angles count.",
    ]
