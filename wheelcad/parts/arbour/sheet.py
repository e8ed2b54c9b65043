"""The arbour's drawing: one view from the side, to be turned between centres."""

from __future__ import annotations

from itertools import pairwise

from wheelcad.drawing.dimension_text import length
from wheelcad.drawing.model import CentreLine, Datum, Entity, Line, Linear, Path, Sheet, Tolerance, View
from wheelcad.job.models import Job
from wheelcad.parts.arbour.design import TAIL_LONG, ArbourDesign
from wheelcad.parts.common.sheets import drawing_units, part_sheet, title_block

RUN_OUT_MM = 0.01  # of the seat between centres: what a careful turner reaches (common practice, no source)
CAUTIONS = (
    "Chuck key out, guard down, eyes protected; a wheel on an arbour throws chips all round.",
    "Follow local codes; leave engine work you are not trained for to a licensed shop.",
)


def arbour_sheet(job: Job, design: ArbourDesign) -> Sheet:
    """The drawing."""
    title = title_block(job, "Arbour for the trigger wheel", "arbour", "mild-steel")
    units = drawing_units(job)
    notes = (
        "Face and centre-drill both ends (60° centres), then turn all of it between centres in one setting: the seat "
        "runs true whenever it goes back on those centres.",
        f"The wheel goes on by hand without shake, its rear face against the shoulder; a washer of at least "
        f"⌀{length(design.washer_mm, units)} and a nut {design.thread} hold it. On this arbour its rim is turned to "
        "size and, between chuck and tailstock of the rotary table, its slots are milled.",
        "Turn the seat last, with light cuts, to the wheel's own bore.",
    )
    long = design.shank_long + design.shoulder_long + design.seat_long + design.thread_long + TAIL_LONG
    return part_sheet(job, "arbour", title, (_side(design),), notes, CAUTIONS, across_mm=long)


def _side(design: ArbourDesign) -> View:
    parts = [
        (design.shank_long, design.shank_mm),
        (design.shoulder_long, design.shoulder_mm),
        (design.seat_long, design.seat_mm),
        (design.thread_long, design.thread_mm),
        (TAIL_LONG, design.tail_mm),
    ]
    ends = [0.0]
    for long, _ in parts:
        ends.append(ends[-1] + long)
    upper = [(x, size / 2, 0.0) for (a, b), (_, size) in zip(pairwise(ends), parts, strict=True) for x in (a, b)]
    outline = [(0.0, 0.0, 0.0), *upper, (ends[-1], 0.0, 0.0)]
    mirrored = [(x, -y, 0.0) for x, y, _ in outline]
    entities: list[Entity] = [Path(tuple(outline)), Path(tuple(mirrored))]
    for k, x in enumerate(ends[1:-1]):
        high = max(parts[k][1], parts[k + 1][1]) / 2
        entities.append(Line((x, -high), (x, high)))
    entities.append(CentreLine((0.0, 0.0), (ends[-1], 0.0)))
    root = design.thread_mm / 2 * 0.85  # the thread's root, drawn thin as ISO 6410 has it
    entities += [Line((ends[3], s * root), (ends[4], s * root), "DIM") for s in (1, -1)]
    entities += [Linear((a, 0.0), (b, 0.0), "above") for a, b in pairwise(ends)]
    entities.append(Linear((0.0, 0.0), (ends[-1], 0.0), "below"))
    lower, upper_limit = design.seat_limits
    shank, shoulder, seat, thread = (size / 2 for _, size in parts[:4])
    middle = (ends[2] + ends[3]) / 2
    entities += [
        Linear((0.0, -shank), (0.0, shank), "left", prefix="⌀"),
        Linear((ends[1], -shoulder), (ends[1], shoulder), "left", prefix="⌀"),
        Linear((ends[3], -seat), (ends[3], seat), "right", prefix="⌀", fit="h6", upper=upper_limit, lower=lower),
        Linear((ends[4], -thread), (ends[4], thread), "right", prefix="M"),
        Datum((ends[1] / 2, -shank), "A", 270.0),
        Tolerance((middle, seat), "run-out", RUN_OUT_MM, ("A",), 60.0, or_tip=(middle, -seat)),
    ]
    return View("side", tuple(entities), cell=(0, 0))
