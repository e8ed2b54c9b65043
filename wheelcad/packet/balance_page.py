"""The page on what shakes: what the wheel will be as cut, the holes, the reading on level edges and what follows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from wheelcad.findings import Finding
from wheelcad.packet.page import PacketPage, degrees, drill_size
from wheelcad.parts.balance.reading import LevelRead
from wheelcad.parts.common.holes import CorrectionHole
from wheelcad.parts.design import Design
from wheelcad.words import angle, diameter, length, mass, quantity, speed, unbalance

SAID_ELSEWHERE = ("counted:", "at_deg")  # notes of the report that the page says in its own words
HEAD = ["From TDC line", "From the axis", "Drill", "Depth", "From the"]


def gap_and_balance(design: Design, report: dict[str, Any], findings: Sequence[Finding] = ()) -> Iterator[PacketPage]:
    """What the missing teeth weigh, the holes that take it out, what is left; then the reading on level edges."""
    balance, found = design.balance, report["balance"]
    page = PacketPage("Gap and balance")
    page.words(f"What counts: {balance.initial.words}.")
    page.numbers(list(_figures(design, found)))
    page.grid(HEAD, [_row(hole) for hole in balance.planned], "rrlrl", large=True, tick=True)
    if not balance.planned:
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
    yield _edges(design)
    for one in balance.readings:
        last = one is balance.readings[-1]
        yield _read(one, found[one.key.split(".")[1]], balance.spread.seated if last else None)


def _figures(design: Design, found: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """The headline first: what 95 of a hundred such wheels stay below as they are cut and sit on the crank."""
    balance = design.balance
    yield ("As it will be cut, 95 of 100 wheels are below", unbalance(balance.spread.seated))
    if found["permissible_g_mm"]:
        turning = quantity(balance.rated.kg * 1000, "heavy")
        graded = f"Permitted, {found['grade']} at {speed(found['max_speed_rpm'])}, {turning} turning"
        yield (graded, unbalance(found["permissible_g_mm"]))
        if not balance.rated.alone:
            yield ("Permitted, were the wheel alone", unbalance(found["permissible_alone_g_mm"]))
    after = found["after"]
    yield ("Before correction, as drawn", unbalance(found["before"]["unbalance_g_mm"]))
    yield ("Its heavy side", degrees(found["before"]["at_deg"]))
    yield from [] if balance.readings else [("Left in wheel.step, as drawn", unbalance(after["unbalance_g_mm"]))]
    yield from _weighed(after)
    yield ("Mass", quantity(found["mass_kg"] * 1000, "heavy"))


def _weighed(after: dict[str, Any]) -> list[tuple[str, str]]:
    """What the triangles of wheel.stl make of it; nothing where the report was made without measuring files."""
    if "facets_g_mm" not in after:
        return []
    return [("Weighed in wheel.stl, its facets put it off by", unbalance(after["facets_g_mm"]))]


def _row(hole: CorrectionHole) -> list[str]:
    return [
        degrees(hole.at_deg),
        length(hole.radius_mm),
        drill_size(hole.drill, hole.diameter_mm),
        "through" if hole.through else length(hole.depth_mm),
        "back" if hole.from_back else "front",
    ]


def _in_bore(design: Design) -> str:
    """How an arbour thinner than the bore comes to sit in it."""
    bore = 2 * design.balance.metal.bore
    if bore <= design.balance.edges.arbour_mm + 0.01:
        return ""
    return f", its middle turned or bushed to the bore's {diameter(bore)},"


def _edges(design: Design) -> PacketPage:
    """How the finished wheel is read, step by step."""
    balance = design.balance
    edges = balance.edges
    widest = balance.metal.widest
    at = length(widest)
    page = PacketPage("Read the finished wheel on level edges", joins=True)
    page.words(
        "The drawing cannot know run-out, blow-holes or old drillings: the wheel itself shows them. Two straight "
        f"edges and an arbour of {diameter(edges.arbour_mm)} show no less than {unbalance(edges.felt_g_mm)}, "
        f"{mass(edges.felt_g(widest))} at the rim."
    )
    return page.steps(
        [
            "Drill the planned holes, take every burr off, and leave key and bolts as they were counted above.",
            f"Fit a straight, hard, ground arbour of {diameter(edges.arbour_mm)}{_in_bore(design)} without play; "
            "between centres it turns less freely and shows less.",
            "Set two straight edges level along and across, to one division of an engineer's level, and wipe them.",
            "Let the wheel roll to rest five times from different places. Where it stops anywhere, there is nothing to "
            "read. Otherwise mark the lowest place: that is the heavy side.",
            f"Press putty on the opposite side, at a radius you can measure (near {at}), and add or take away until "
            "the wheel rests wherever it is put. Try it with the putty level with the axis, on either hand.",
            "Weigh the putty. Measure its radius, and its angle from the TDC line the way the crank turns.",
            "Write it into the job, balance: {reading: {putty: … g, radius: …, at: … deg}}, and build again: the holes "
            "still to drill are on the next page, on the drawing and among the table's stops.",
            "Drill them, read the wheel once more, and write that into balance.recheck.",
        ]
    )


def _read(one: LevelRead, found: dict[str, Any], as_cut_95: float | None) -> PacketPage:
    """What was read, what is drilled for it, what is left. as_cut_95: g·mm, None where another reading followed."""
    page = PacketPage(
        "What the reading asks for" if one.number == 1 else "What the second reading asks for", joins=True
    )
    after = found["after"]["unbalance_g_mm"]
    page.numbers(
        [
            ("Read", unbalance(one.size_g_mm)),
            ("Heavy side", angle(one.heavy_at_deg)),
            ("Less than edges can show", unbalance(one.edges.felt_g_mm)),
            *([] if as_cut_95 is None else [("Its holes drilled, 95 of 100 wheels are below", unbalance(as_cut_95))]),
            ("Left once its holes are drilled, as drawn", unbalance(after)),
        ]
    )
    page.grid(HEAD, [_row(hole) for hole in one.holes], "rrlrl", large=True, tick=True)
    if one.holes:
        page.words(f"Chosen: {one.outcome.why}.")
    else:
        page.words(f"No holes follow from it: {one.outcome.why}.")
    if one.instead is not None:
        page.points([f"Or add mass instead: {one.instead.words()}, locked so that it cannot come loose."])
    return page
