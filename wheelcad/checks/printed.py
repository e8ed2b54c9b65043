"""Numbers of the packet that reach metal, read out of its text as a person reads them, against where they come from.

Nothing here knows how the packet is written: each number is found by the words beside it and held against the job's own
value, a formula of the trade or another written file. Where the page calls it otherwise it is not found, which is told.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

from wheelcad.checks.drawings import METRIC_PLACES
from wheelcad.files.dxf_reader import read_cut_dxf
from wheelcad.job.models import Job
from wheelcad.parts.common.stack import form_of
from wheelcad.parts.design import Design
from wheelcad.trade.bending import allowance, allowance_k_factor
from wheelcad.units import INCH_MM, LENGTHS, length_mm

Q = r"⌀?((?:\d+ )?\d+/\d+|\d+(?:\.\d+)?) (mm|in)\b"  # a length as pages print it
SAME_MM = 1e-3
_UNITS = "|".join(sorted(map(re.escape, LENGTHS), key=len, reverse=True))
AS_WRITTEN = re.compile(rf"(?:(?:\d+ )?\d+/\d+|\d+(?:\.\d+)?|\.\d+) ?(?:{_UNITS})(?!\w)")
FLAT = "bracket-flat.dxf"

Wanted = tuple[str, str, tuple[float, ...]]  # what it is; its words, Q where a length stands; the lengths, mm


class Length(NamedTuple):
    """A printed length. mm, and half of its last figure in mm (0 for a fraction, which is exact)."""

    mm: float
    within: float

    def is_(self, mm: float) -> bool:
        """Whether it stands for this length."""
        return abs(self.mm - mm) <= self.within * 1.001 + 1e-6


def said(number: str, unit: str) -> Length:
    """The length that a number and its unit say."""
    per = INCH_MM if unit == "in" else 1.0
    if "/" in number:
        return Length(float(sum(Fraction(part) for part in number.split())) * per, 0.0)
    places = len(number.partition(".")[2])
    if unit == "mm":
        places = max(places, METRIC_PLACES)  # its noughts are left out
    return Length(float(number) * per, 0.5 * 10.0**-places * per)


def wrong_numbers(lines: Sequence[str], design: Design, folder: Path) -> Iterator[str]:
    """What is printed otherwise than it ought to be, or not found, each in a few words."""
    text = " ".join(" ".join(lines).split())
    for what, words, wanted in (*_wheel(design), *_made(design), *_bracket(design, folder)):
        found = re.search(words.replace("Q", Q), text)
        if found is None:
            yield f"{what}: not there"
            continue
        pairs = zip(found.groups()[::2], found.groups()[1::2], strict=True)
        for (number, unit), mm in zip(pairs, wanted, strict=True):
            if not said(number, unit).is_(mm):
                yield f"{what}: {number} {unit} for {mm:g} mm"
    yield from _lands(text, design)
    yield from _drilled(text, design)
    yield from _bends(text, design)


def _wheel(design: Design) -> Iterator[Wanted]:
    wheel = design.job.wheel
    yield "over the teeth", "Over the teeth Q", (wheel.outside_diameter,)
    if wheel.slot is not None:
        yield "slots", "Slots, wide × deep Q × Q", (wheel.slot.width, wheel.slot.depth)
        if design.indexing is not None and design.indexing.table is not None and design.job.shop.slots_by != "hand":
            yield "depth stop", "set a stop at Q: the slot's depth", (wheel.slot.depth,)


def _made(design: Design) -> Iterator[Wanted]:
    """Gauge, sensor and blank."""
    job = design.job
    if design.gauge is not None and job.gauge is not None and job.pulley is not None and job.pulley.bolts is not None:
        yield "printed bolt holes", "Printed bolt holes Q", (job.pulley.bolts.hole + job.gauge.hole_allowance,)
    if job.sensor is not None and design.bracket is not None:
        yield "feeler", "feeler of Q", (job.sensor.air_gap,)


def _bracket(design: Design, folder: Path) -> Iterator[Wanted]:
    bracket, sensor = design.job.bracket, design.job.sensor
    if design.bracket is None or bracket is None or sensor is None or not (folder / FLAT).is_file():
        return
    yield "plate", "Plate Q", (bracket.plate.thickness,)
    yield "flat", "Flat Q × Q", _extent(folder / FLAT)
    moves = bracket.adjust > 0
    for number, mount in enumerate(bracket.mounts, start=1):
        yield f"mount {number}", f"mount {number} Q{' Q' * moves} ", ((mount.hole, bracket.adjust)[: 1 + moves])


def _extent(path: Path) -> tuple[float, float]:
    """Length and width, mm, of the largest outline of a cutting file, the longer first."""
    sizes = [loop.extent() for loop in read_cut_dxf(path).loops["OUTLINE"]]
    return max(sizes, key=lambda size: size[0] * size[1])


def _lands(text: str, design: Design) -> Iterator[str]:
    """The rows at the lathe: each a land of the job's turned piece, that far behind its front, from what was found."""
    pulley, wheel = design.job.pulley, design.job.wheel
    rows = re.findall(rf"{Q} {Q} {Q} {Q} \d+ \d+ (?:turning|grooving|facing)", text)
    if design.blank is None or pulley is None or pulley.turned is None:
        return
    if not rows:
        yield "the lathe's table: not there"
    lands, behind = [], 0.0
    for land in pulley.turned:
        long, across = (
            (wheel.thickness, wheel.outside_diameter) if isinstance(land, str) else (land.length, land.diameter)
        )
        lands.append((across, long, behind))
        behind += long
    found = {land.diameter for land in pulley.as_found or ()}
    for row in rows:
        before, *sizes = [said(*row[at : at + 2]) for at in range(0, 8, 2)]
        if not any(all(size.is_(mm) for size, mm in zip(sizes, land, strict=True)) for land in lands):
            yield f"the lathe's table: {' '.join(row)}"
        elif not any(before.is_(mm) for mm in found):
            yield f"the lathe's table: from ⌀{row[0]} {row[1]}"


def _drilled(text: str, design: Design) -> Iterator[str]:
    """Drills and their distance from the centre, under each lap of holes; every planned balance hole is among them."""
    job, holes = design.job, design.balance.holes
    if design.indexing is None or design.indexing.table is None:
        return
    rows = re.findall(rf"(?:\d+, )*\d+: (?:[^,:]{{1,12}} \()?{Q}\)? drill, {Q} from the centre", text)
    printed = [(said(*row[:2]), said(*row[2:])) for row in rows]
    known = [(hole.diameter_mm, hole.radius_mm) for hole in holes]
    if job.pulley is not None and job.pulley.bolts is not None:
        known.append((job.pulley.bolts.hole, job.pulley.bolts.circle / 2))
    for row, (drill, radius) in zip(rows, printed, strict=True):
        if not any(drill.is_(d) and radius.is_(r) for d, r in known):
            yield f"drill: {' '.join(row)}"
    for hole in holes:
        if not any(drill.is_(hole.diameter_mm) and radius.is_(hole.radius_mm) for drill, radius in printed):
            yield f"balance hole at {hole.at_deg:g}°: not there"


def _bends(text: str, design: Design) -> Iterator[str]:
    """Angle, radius and length of metal of each bend, the length by the trade's formula or the job's own strip."""
    bracket = design.job.bracket
    if design.bracket is None or bracket is None:
        return
    rows = re.findall(rf"\d+ (\d+(?:\.\d+)?)° (?:up|down) {Q} {Q}", text)
    if len(rows) < len(design.bracket.bends):
        yield f"bends: {len(rows)} for {len(design.bracket.bends)}"
    radius, thick = bracket.plate.inside_radius, bracket.plate.thickness
    for row in rows:
        angle = float(row[0])
        if bracket.plate.k_factor is not None:
            metal = allowance_k_factor(angle, radius, thick, bracket.plate.k_factor)
        else:
            metal = allowance(angle, radius, thick)
        if bracket.bends == "hand" and bracket.hand_bend is not None:
            metal = bracket.hand_bend.allowance * angle / 90
        if not said(*row[1:3]).is_(radius) or not said(*row[3:]).is_(metal):
            yield f"bend: {' '.join(row)} for {radius:g} and {metal:g} mm"


def unsaid_lengths(lines: Sequence[str], job: Job) -> Iterator[str]:
    """Of the measuring sheet: the job's own lengths that stand on it less often than the job has them."""
    text = " ".join(" ".join(lines).split())
    printed = [length_mm(found) for found in AS_WRITTEN.findall(text)]  # as the user wrote them, so to the last figure
    wanted = list(_measured(job))
    for what, mm in wanted:
        alike = sum(abs(other - mm) < 1e-6 for _, other in wanted)
        if sum(abs(length - mm) < SAME_MM for length in printed) < alike:
            yield f"{what}: {mm:g} mm"


def _measured(job: Job) -> Iterator[tuple[str, float]]:
    """What is measured on the pulley, sensor and block, by name, mm."""
    pulley, sensor = job.pulley, job.sensor
    if pulley is not None:
        asked = 1 if form_of(job) == "plate" else 2  # the sheet has rows for so many lands, the last with its groove
        for number, land in enumerate((pulley.as_found or ())[:asked], start=1):
            yield "length", land.length
            yield "diameter", land.diameter
            if land.groove is not None and number == asked:
                yield "groove's width", land.groove.width
                yield "groove's depth", land.groove.depth
        if pulley.bore is not None:
            yield "bore", pulley.bore
        if pulley.keyway is not None:
            yield "keyway's width", pulley.keyway.width
            yield "keyway's depth", pulley.keyway.depth
        if pulley.bolts is not None:
            yield "bolt circle", pulley.bolts.circle
            yield "bolt holes", pulley.bolts.hole
        if pulley.recess is not None:
            yield "recess", pulley.recess.diameter
            yield "its depth", pulley.recess.depth
    if sensor is not None:
        if sensor.body_diameter is not None:
            yield "sensor's body", sensor.body_diameter
        if sensor.nose_length is not None:
            yield "nose", sensor.nose_length
