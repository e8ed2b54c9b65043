"""The cover, the list of what to buy or have, and the page of verdicts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from typing import Any

from wheelcad.catalogue import BuildMade, expected
from wheelcad.findings import Finding, poor, tally
from wheelcad.job.models import Job
from wheelcad.packet.dial import dial
from wheelcad.packet.page import PacketPage, degrees, drill_size
from wheelcad.parts.adapter.design import ENGAGED
from wheelcad.parts.bracket.bolts import GRADE, mount_bolts, spacers_mm
from wheelcad.parts.design import Design
from wheelcad.parts.marks import marks_of
from wheelcad.parts.wheel.flat import stock_mm
from wheelcad.trade.fits import likely_bolt_mm
from wheelcad.trade.materials import material
from wheelcad.trade.sources import marked
from wheelcad.units import INCH_MM
from wheelcad.words import Words, count, diameter, fine, length, unbalance

CAUTIONS = (
    "Cutting, turning, welding and running an engine can maim and kill. Guards on, eyes protected, no loose clothing, "
    "chuck key out, nobody in line with a spinning wheel.",
    "This changes how an engine is timed. Disconnect the battery before work, keep fuel and sparks apart, and have "
    "work that local rules reserve to a licensed mechanic, welder or electrician done by one.",
    "A printed gauge is for layout only: take it off before the crank is turned under power.",
)
OPEN_ON_COVER = 5  # findings named on the cover, the gravest first: more would push the cautions off it
LEAD_IN = 6.0  # mm that a plasma cut begins outside the part (common practice, no source)
CLAMPED = 15.0  # mm of plate under the clamps (common practice, no source)
READS_TO = {"mm": 0.01, "in": INCH_MM / 2000}  # mm: the usual indicators' marks, 0.01 mm and 0.0005 in
MARGIN = "kerf, lead-in and clamps counted"


def cover(
    design: Design, findings: Sequence[Finding], report: dict[str, Any], parts_png: bytes | None = None
) -> PacketPage:
    """The job at a glance: pictures, the numbers that matter, how the checks came out, what hurts.

    parts_png: the parts as they stand to each other.
    """
    job, wheel = design.job, design.wheel
    page = PacketPage(job.title or job.job)
    if parts_png is None:
        page.picture("cover-dial", dial(job, wheel), 100.0)
    else:
        left, right = (
            PacketPage("").picture("cover-parts", parts_png, 74.0),
            PacketPage("").picture("cover-dial", dial(job, wheel), 92.0),
        )
        page.beside(left, right, (4, 5))
    gaps = " and ".join(f"{gap.missing} at {degrees(gap.at_deg)}" for gap in wheel.gaps)
    rows = [
        ("Teeth, missing ones counted", f"{wheel.teeth.count}"),
        ("Missing, from the TDC line", gaps),
        ("Over the teeth", diameter(2 * wheel.radius_mm)),
        ("Slots, wide × deep", f"{length(wheel.slot.width)} × {length(wheel.slot.depth)}"),
    ]
    if design.ignition.use_deg is not None:
        rows.append(("Tell the controller: to TDC", degrees(design.ignition.use_deg)))
    as_cut = report["balance"]["as_cut_95_g_mm"]
    limit = report["balance"]["permissible_g_mm"]
    allowed = f" of {unbalance(limit)}" if limit else ""
    rows.append(("Unbalance as cut, 95 of 100 wheels below", f"{unbalance(as_cut)}{allowed}"))
    page.numbers(rows)
    page.words(
        f"{tally(findings)}, on the written files and the design; they are on the last sheets. "
        f"Sheets of this build carry {marks_of(design)}."
    )
    open_, words = poor(findings), Words(job.units)
    named = [(str(f.verdict), f"{f.subject}: {f.check}", _measured(f, words)) for f in open_[:OPEN_ON_COVER]]
    if len(open_) > OPEN_ON_COVER:
        named.append(("", f"and {len(open_) - OPEN_ON_COVER} more", "on the last sheets"))
    page.grid(["", "Open", "Measured / limit"], named, small=True, shares=(0, 1, 1))
    return page.caution(CAUTIONS)


def things_to_have(design: Design) -> PacketPage:
    """Stock, drills, bolts and cutter with their sizes."""
    page = PacketPage("Have ready before you start")
    rows = [[f"{many} × {row[0]}" if many > 1 else row[0], *row[1:]] for row, many in Counter(_needs(design)).items()]
    page.grid(["What", "Size", "For"], rows, tick=True, shares=(3, 5, 2))
    if design.left_out:
        page.head("What this job file does not bring").points(design.left_out)
    return page


def files(design: Design, plot: bool) -> PacketPage:
    """Every file of the job: for whom, and what it is. plot: whether the bracket's speeds are drawn."""
    page = PacketPage("The files of this job", joins=True)
    rows = [[output.whom, output.name, output.what] for output in expected(BuildMade(design, plot=plot))]
    page.words("All in one folder; start.html shows them, and check says whether one was changed since.")
    return page.grid(["For", "File", "What it is"], rows, small=True, shares=(0, 4, 9))


def _margin(job: Job) -> float:
    """Metal round a part that is cut out, mm a side: the kerf, its lead-in, and what the clamps stand on."""
    kerf = job.shop.plasma.kerf if job.shop.plasma is not None else 0.0
    return kerf + LEAD_IN + CLAMPED


def _needs(design: Design) -> Iterator[tuple[str, ...]]:
    """What, size, for: equal rows come as often as the thing is needed."""
    job, wheel = design.job, design.wheel
    stuff = material(wheel.material).title
    if design.blank is not None:
        found = design.blank.found or design.blank.lands
        widest = max(land.radius for land in found)
        long = found[0].z_front - found[-1].z_back
        yield ("The pulley you have", f"{diameter(2 * widest)}, {length(long)} long, {stuff}", "blank")
    else:
        stock = 2 * (wheel.radius_mm + stock_mm(wheel) + _margin(job))
        held = f"{length(wheel.thickness_mm)} plate, {length(stock, 0)} square or more, {MARGIN}"
        yield (stuff, held, "wheel")
    if design.adapter is not None:
        widest = max(land.radius for land in design.adapter.lands)
        long = design.adapter.lands[0].z_front - design.adapter.lands[-1].z_back
        bar = material(design.adapter.material).title
        yield (f"{bar} bar", f"{diameter(2 * widest)} × {length(long)}, and room to hold it", "adapter")
    cutter = job.shop.cutter
    if cutter is not None:
        yield (
            f"{cutter.material.upper()} cutter",
            f"{diameter(cutter.diameter)}, {cutter.flutes} flutes",
            "slots, gap",
        )
    drills = Counter(drill_size(hole.drill, hole.diameter_mm) for hole in design.balance.holes)
    for name, many in drills.items():
        yield ("Drill", name, count(many, "balance hole"))
    if job.bolts is not None:
        yield from _bolt_needs(design)
    yield from _tools(design)
    yield from _sensor_needs(job)
    yield from _bracket_needs(design)
    if design.gauge is not None:
        x, y, z = design.gauge.size_mm
        yield ("Filament", f"for a part of {length(x, 0)} × {length(y, 0)} × {length(z, 0)}", "gauge")


def _bolt_needs(design: Design) -> list[tuple[str, ...]]:
    """The pulley's bolts: size, length under the head with what they have to engage, grade."""
    pulley, adapter = design.job.pulley, design.adapter
    if pulley is None or pulley.bolts is None:
        return []
    bolts = pulley.bolts
    size = likely_bolt_mm(bolts.hole)
    named = f"M{size:g}" if size is not None and size == round(size) else f"for {diameter(bolts.hole)} holes"
    said = f"{named}, 8.8"
    if size is not None and design.wheel.form == "plate":
        through = adapter.grip_mm if adapter is not None else design.wheel.thickness_mm
        engaged = ENGAGED * size
        said += (
            f", {length(through + engaged, 0)} or more under the head: {length(through)} through wheel"
            f"{' and adapter' if adapter is not None else ''}, {length(engaged, 1)} in the thread"
        )
    return [(f"{bolts.count} pulley bolts", said, "gauge, wheel")]


def _tools(design: Design) -> Iterator[tuple[str, ...]]:
    """Tools that the steps use and a list forgets."""
    job = design.job
    yield ("Piston stop", "for the plug's thread, with a hole for the air", "top dead centre")
    yield ("Dial indicator", f"reads to {fine(READS_TO[job.units])}, on a magnetic stand", "lathe, mill, run-out")
    yield ("Timing light", "inductive, without a dial of its own delay", "the first start")
    threads = [mount.thread for mount in job.bracket.mounts if mount.thread] if job.bracket is not None else []
    if threads:
        yield (f"Tap {threads[0]}", "or a bolt of that thread to clean the holes", "bracket")
    if design.wheel.marks:
        yield ("V cutter or centre drill, 60°, and a scriber", "sharp", "timing marks")


def _sensor_needs(job: Job) -> Iterator[tuple[str, ...]]:
    sensor = job.sensor
    if sensor is None:
        return
    gap = length(sensor.air_gap)
    kind = "Hall sensor" if sensor.kind == "hall" else "Reluctance sensor"
    body = f"{diameter(sensor.body_diameter)} body, " if sensor.body_diameter is not None else ""
    yield (kind, f"{body}works at a gap of {gap}", "bracket")
    if sensor.bolt is not None:
        yield ("Sensor's bolt", f"for a {diameter(sensor.bolt.hole)} hole, with washer", "bracket")
    yield ("Feeler gauge of brass or plastic (the sensor holds a magnet)", f"{gap}", "setting the gap")


def _bracket_needs(design: Design) -> Iterator[tuple[str, ...]]:
    job, bracket = design.job, design.bracket
    if bracket is None or job.bracket is None:
        return
    long, wide = bracket.stock_size
    edge = 2 * _margin(job)
    plate = f"{length(bracket.thickness)} plate, {length(long + edge, 0)} × {length(wide + edge, 0)} or more, {MARGIN}"
    yield (material(bracket.material).title, plate, "bracket")
    bolts = {bolt.mount: bolt for bolt in mount_bolts(bracket)}
    for number, mount in enumerate(job.bracket.mounts, 1):
        bolt = bolts.get(number)
        if bolt is None:
            yield ("Bolt", f"for a {diameter(mount.hole)} hole, with washer", "bracket")
            continue
        size = f" × {bolt.length:g}" if bolt.length else ""
        yield (f"Bolt {bolt.of.name}{size}", f"class {GRADE}, with a washer {length(bolt.washer)} thick", "bracket")
    if job.bracket.packing:
        packing = f"{count(len(bracket.mounts), 'piece')} {length(job.bracket.packing)} thick, as large as the washers"
        yield ("Packing", packing, "between block and bracket")
    sizes = spacers_mm(bracket)
    if sizes:
        each = f"{len(bracket.mounts)} each of {', '.join(length(size) for size in sizes)} thick"
        yield ("Spacers", f"{each}, as large as the washers", "setting the gap")


def verdicts(design: Design, findings: Sequence[Finding]) -> PacketPage:
    """Every finding that is not a pass in full, then the rest in brief."""
    page = PacketPage("What was checked")
    words = Words(design.job.units)
    rows = [[f.verdict, f"{f.subject}: {f.check}", _measured(f, words), f.why] for f in poor(findings)]
    if rows:
        page.head("Failed and warned").grid(["", "Check", "Measured / limit", "Why"], rows, shares=(0, 3, 4, 7))
    passed = [
        [f"{f.subject}: {f.check}", _measured(f, words), marked(f.source)] for f in findings if f.verdict == "pass"
    ]
    page.head("Passed").grid(["Check", "Measured / limit", "Source"], passed, small=True, shares=(4, 4, 4))
    return page


def _measured(finding: Finding, words: Words) -> str:
    limit = finding.limit_in(words)
    return f"{finding.measured_in(words)} / {limit}" if limit else finding.measured_in(words)
