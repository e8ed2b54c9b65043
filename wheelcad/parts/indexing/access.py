"""Can the cutter and its holder get at the ring, and does the ring need something behind it?

Wheel frame: z along the crank, positive towards the wheel's front, which lies up on the table. Lengths mm.
"""

from __future__ import annotations

from typing import NamedTuple

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, Finding, at_least, holds
from wheelcad.job.models import Cutter, Job
from wheelcad.parts.common.stack import Land, turned_lands
from wheelcad.parts.wheel.outline import SlotShape
from wheelcad.words import length

BREAK_MM = 1.0  # how far the cutter's end goes below the ring
CLEAR_MM = 1.0  # what stays between holder and shoulder
THIN = 3.0  # a ring that overhangs by more than this many thicknesses rings like a bell; common practice, no source


class Neighbours(NamedTuple):
    """Lands in front of and behind the ring, nearest first."""

    ring: Land
    front: tuple[Land, ...]
    behind: tuple[Land, ...]


def neighbours(job: Job) -> Neighbours | None:
    """What stands beside the ring while slots are milled; None for a plate, which is milled on its own."""
    lands = turned_lands(job)
    names = [land.name for land in lands]
    if "ring" not in names:
        return None
    at = names.index("ring")
    return Neighbours(lands[at], tuple(reversed(lands[:at])), lands[at + 1 :])


def check_holder(job: Job, slot: SlotShape, cutter: Cutter, flat: bool) -> tuple[list[str], list[Finding]]:
    """Set-up lines and findings on holder, stick-out and shoulder. flat: the cutter stands along the crank axis."""
    near = neighbours(job)
    if not flat:
        need = slot.depth + CLEAR_MM
        lines = [f"The cutter must stick out of its holder by at least {length(need)}."]
        return lines, _stick_out(cutter, need, "the holder meets the rim before the slot is deep enough")
    through = (near.ring.length if near else job.wheel.thickness) + BREAK_MM
    if near is None:
        lines = [f"The cutter must stick out of its holder by at least {length(through + CLEAR_MM)}."]
        return lines, _stick_out(cutter, through + CLEAR_MM, "the holder meets the wheel's face")
    room = slot.floor_radius + cutter.diameter / 2 - CLEAR_MM
    holder = cutter.holder_diameter / 2 if cutter.holder_diameter is not None else None
    in_the_way = [land for land in near.front if holder is None or land.radius + holder > room]
    need = through + CLEAR_MM + max((land.z_front - near.ring.z_front for land in in_the_way), default=0.0)
    slimmest = 2 * (room - max((land.radius for land in near.front), default=0.0))
    lines = [f"The cutter must stick out of its holder by at least {length(need)}"]
    if holder is None and near.front and slimmest > 0:
        lines[0] += (
            f", or {length(through + CLEAR_MM)} with a holder no thicker than {length(slimmest)}, to "
            "stay clear of the shoulder in front of the ring"
        )
    elif in_the_way:
        lines[0] += ", to stay clear of the shoulder in front of the ring"
    lines[0] += "."
    return lines, [*_stick_out(cutter, need, "the holder meets the shoulder in front of the ring"), *_below(near, slot)]


def _stick_out(cutter: Cutter, need: float, otherwise: str) -> list[Finding]:
    if cutter.stick_out is None:
        return []
    why = f"the cutter reaches the work with {length(CLEAR_MM)} to spare; with less {otherwise}"
    return [at_least(Check.CUTTER_STICK_OUT, "indexing", cutter.stick_out, "mm", need, why, PRACTICE)]


def _below(near: Neighbours, slot: SlotShape) -> list[Finding]:
    """The cutter's end below the ring against whatever stands wider than the slot floors there."""
    wider = [land for land in near.behind if land.radius > slot.floor_radius + 1e-9]
    if not wider:
        return []
    room = near.ring.z_back - wider[0].z_front
    why = "the cutter's end comes out below the ring and must not meet the wider part of the pulley behind it"
    return [at_least(Check.CUTTER_RUN_OUT, "indexing", room, "mm", BREAK_MM, why, PRACTICE)]


def packing_lines(job: Job, slot: SlotShape) -> tuple[list[str], list[Finding]]:
    """What goes behind a thin ring, and whether the ring is thin enough to need it."""
    near = neighbours(job)
    if near is None:  # a plate lies on its backing plate
        return [], []
    beside = max([land.radius for land in (*near.front[:1], *near.behind[:1])], default=0.0)
    overhang = near.ring.radius - beside
    if overhang <= THIN * near.ring.length:
        return [], []
    why = (
        f"the ring overhangs {length(overhang)} at {length(near.ring.length)} thickness: a packing ring behind it "
        "keeps it from ringing"
    )
    finding = holds(Check.THIN_RING, "indexing", True, "packing ring in the set-up", why, PRACTICE)
    bore = near.behind[0].radius * 2 if near.behind else 0.0
    height = near.behind[0].length if len(near.behind) > 1 else None
    text = f"Put a packing ring (aluminium or hard board) behind the ring, about {length(2 * slot.rim_radius)} over all"
    if bore:
        text += f", bored {length(bore + 0.5)}"
    if height is not None:
        text += f", {length(height)} thick"
        if near.behind[1].radius > near.behind[0].radius:
            text += ", sawn into two halves so that it goes in behind"
    else:
        text += ", as thick as the space down to the table"
    return [text + ". The cutter may run into it."], [finding]
