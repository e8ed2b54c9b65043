"""The cover, the list of what to buy or have, and the page of verdicts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, TypeVar

from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.packet.dial import dial
from wheelcad.packet.page import Page
from wheelcad.packet.say import degrees, diameter, number, size
from wheelcad.parts.design import Design
from wheelcad.parts.wheel.flat import stock_mm
from wheelcad.trade.materials import material
from wheelcad.words import Words

CAUTIONS = (
    "Cutting, turning, welding and running an engine can maim and kill. Guards on, eyes protected, no loose clothing, "
    "chuck key out, nobody in line with a spinning wheel.",
    "This changes how an engine is timed. Disconnect the battery before work, keep fuel and sparks apart, and have "
    "work that local rules reserve to a licensed mechanic, welder or electrician done by one.",
    "A printed gauge is for layout only: take it off before the crank is turned under power.",
)
T = TypeVar("T")
OPEN_ON_COVER = 5  # findings named on the cover, the gravest first: more would push the cautions off it
VERDICTS = {"pass": "pass", "note": "note", "warn": "warn", "fail": "FAIL"}


def cover(design: Design, findings: Sequence[Finding], report: dict[str, Any], parts_png: bytes | None = None) -> Page:
    """The job at a glance: pictures, the numbers that matter, how the checks came out, what hurts.

    parts_png: the parts as they stand to each other.
    """
    job, wheel = design.job, design.wheel
    page = Page(job.title or job.job)
    if parts_png is None:
        page.picture("cover-dial", dial(job, wheel), 100.0)
    else:
        left, right = (
            Page("").picture("cover-parts", parts_png, 74.0),
            Page("").picture("cover-dial", dial(job, wheel), 92.0),
        )
        page.beside(left, right, (4, 5))
    gaps = " and ".join(f"{gap.missing} at {degrees(gap.at_deg)}" for gap in wheel.gaps)
    rows = [
        ("Teeth, missing ones counted", f"{wheel.teeth.count}"),
        ("Missing, from the TDC line", gaps),
        ("Over the teeth", diameter(job, 2 * wheel.radius_mm)),
        ("Slots, wide × deep", f"{size(job, wheel.slot.width)} × {size(job, wheel.slot.depth)}"),
    ]
    if design.ignition.use_deg is not None:
        rows.append(("Tell the controller: to TDC", degrees(design.ignition.use_deg)))
    after = report["balance"]["after"]["unbalance_g_mm"]
    limit = report["balance"]["permissible_g_mm"]
    allowed = f" of {number(limit)}" if limit else ""
    rows.append(("Unbalance left, measured", f"{number(after)}{allowed} g·mm"))
    page.numbers(rows)
    counts = {verdict: sum(f.verdict == verdict for f in findings) for verdict in VERDICTS}
    page.words(
        f"{len(findings)} checks of the written files and the design: {counts['pass']} passed, {counts['warn']} to "
        f"look at, {counts['fail']} failed. They are listed on the last sheets."
    )
    poor = _poor(findings)
    words = Words(job.units)
    named = [(VERDICTS[f.verdict], f"{f.subject}: {f.check}", _measured(f, words)) for f in poor[:OPEN_ON_COVER]]
    if len(poor) > OPEN_ON_COVER:
        named.append(("", f"and {len(poor) - OPEN_ON_COVER} more", "on the last sheets"))
    page.grid(["", "Open", "Measured / limit"], named, small=True, shares=(0, 1, 1))
    return page.caution(CAUTIONS)


def _poor(findings: Sequence[Finding]) -> list[Finding]:
    """What failed, then what is to be looked at."""
    return [f for kind in ("fail", "warn") for f in findings if f.verdict == kind]


def things_to_have(design: Design) -> Page:
    """Stock, drills, bolts and cutter with their sizes."""
    page = Page("Have ready before you start")
    rows = [[f"{count} × {row[0]}" if count > 1 else row[0], *row[1:]] for row, count in _counted(_needs(design))]
    page.grid(["What", "Size", "For"], rows, tick=True, shares=(3, 5, 2))
    if design.left_out:
        page.head("What this job file does not bring").points(design.left_out)
    return page


def _needs(design: Design) -> list[tuple[str, ...]]:
    """What, size, for: equal rows come as often as the thing is needed."""
    job, wheel = design.job, design.wheel
    stuff = material(wheel.material).title
    rows: list[tuple[str, ...]] = []
    if design.blank is not None:
        found = design.blank.found or design.blank.lands
        widest = max(land.radius for land in found)
        length = found[0].z_front - found[-1].z_back
        rows.append(("The pulley you have", f"{diameter(job, 2 * widest)}, {size(job, length)} long, {stuff}", "blank"))
    else:
        stock = 2 * (wheel.radius_mm + stock_mm(wheel))
        rows.append((stuff, f"{size(job, wheel.thickness_mm)} plate, {size(job, stock, 0)} square or more", "wheel"))
    if design.adapter is not None:
        widest = max(land.radius for land in design.adapter.lands)
        length = design.adapter.lands[0].z_front - design.adapter.lands[-1].z_back
        bar = material(design.adapter.material).title
        rows.append(
            (f"{bar} bar", f"{diameter(job, 2 * widest)} × {size(job, length)}, and room to hold it", "adapter")
        )
    cutter = job.shop.cutter
    if cutter is not None:
        rows.append(
            (
                f"{cutter.material.upper()} cutter",
                f"{diameter(job, cutter.diameter)}, {cutter.flutes} flutes",
                "slots, gap",
            )
        )
    for name, count in _counted(hole.drill or f"{hole.diameter_mm:g} mm" for hole in design.balance.holes):
        rows.append(("Drill", name, f"{count} balance holes"))
    if job.pulley is not None and job.pulley.bolts is not None:
        bolts = job.pulley.bolts
        rows.append((f"{bolts.count} pulley bolts", f"for {diameter(job, bolts.hole)} holes", "gauge, wheel"))
    rows += _sensor_needs(job)
    rows += _bracket_needs(design)
    if design.gauge is not None:
        x, y, z = design.gauge.size_mm
        rows.append(("Filament", f"for a part of {size(job, x, 0)} × {size(job, y, 0)} × {size(job, z, 0)}", "gauge"))
    return rows


def _sensor_needs(job: Job) -> list[tuple[str, ...]]:
    sensor = job.sensor
    if sensor is None:
        return []
    gap = size(job, sensor.air_gap)
    kind = "Hall sensor" if sensor.kind == "hall" else "Reluctance sensor"
    body = f"{diameter(job, sensor.body_diameter)} body, " if sensor.body_diameter is not None else ""
    rows: list[tuple[str, ...]] = [(kind, f"{body}works at a gap of {gap}", "bracket")]
    if sensor.bolt is not None:
        rows.append(("Sensor's bolt", f"for a {diameter(job, sensor.bolt.hole)} hole, with washer", "bracket"))
    rows.append(("Feeler gauge, not steel" if sensor.kind == "hall" else "Feeler gauge", f"{gap}", "setting the gap"))
    return rows


def _bracket_needs(design: Design) -> list[tuple[str, ...]]:
    job, bracket = design.job, design.bracket
    if bracket is None or job.bracket is None:
        return []
    long, wide = bracket.flat_size
    plate = f"{size(job, bracket.thickness)} plate, {size(job, long + 20, 0)} × {size(job, wide + 20, 0)} or more"
    rows: list[tuple[str, ...]] = [(material(bracket.material).title, plate, "bracket")]
    for mount in job.bracket.mounts:
        rows.append(
            (f"Bolt {mount.thread or ''}".strip(), f"for a {diameter(job, mount.hole)} hole, with washer", "bracket")
        )
    return rows


def _counted(names: Iterable[T]) -> list[tuple[T, int]]:
    """Each once, with how often it came, in the order of coming."""
    held: dict[T, int] = {}
    for name in names:
        held[name] = held.get(name, 0) + 1
    return list(held.items())


def verdicts(design: Design, findings: Sequence[Finding]) -> Page:
    """Every finding that is not a pass in full, then the rest in brief."""
    page = Page("What was checked")
    words = Words(design.job.units)
    poor = _poor(findings)
    if poor:
        rows = [[VERDICTS[f.verdict], f"{f.subject}: {f.check}", _measured(f, words), f.why] for f in poor]
        page.head("To look at").grid(["", "Check", "Measured / limit", "Why"], rows, shares=(0, 3, 4, 7))
    passed = [[f"{f.subject}: {f.check}", _measured(f, words), f.source] for f in findings if f.verdict == "pass"]
    page.head("Passed").grid(["Check", "Measured / limit", "Source"], passed, small=True, shares=(4, 4, 4))
    return page


def _measured(finding: Finding, words: Words) -> str:
    limit = finding.limit_in(words)
    return f"{finding.measured_in(words)} / {limit}" if limit else finding.measured_in(words)
