"""How the work is held at the rotary table, and whether that can be: clamps and cut, table, wheel and holder.

Wheel frame; lengths mm. Rules of thumb are common practice, no source, unless said otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from wheelcad.codes import Check
from wheelcad.findings import PRACTICE, Finding, at_least, holds
from wheelcad.job.models import Job
from wheelcad.parts.arbour.design import design_arbour
from wheelcad.parts.common.stack import turned_lands
from wheelcad.parts.indexing.access import BREAK_MM, CLEAR_MM
from wheelcad.parts.indexing.basis import IndexBasis
from wheelcad.parts.indexing.model import Cut
from wheelcad.words import diameter, length

STUDS = (20.0, 16.0, 12.0, 10.0, 8.0, 6.0)  # of a clamping set, ISO 261 first choice
STUD_PLAY = 1.0  # the bore over its stud, so that the work can be nudged true
BEARS = 4.0  # a clamp washer bears on this much metal all round its hole
FROM_CUT = 2.0  # a clamp stays this far inside whatever is cut
STRAP = 6.0  # mm of a strap's end that lie on the work
BACKING = 10.0  # thickness of the backing plate: the cutter runs 1 mm in, and what is left must not bend
SMALLEST_TABLE = 100.0  # the smallest rotary table in common use, taken where the job gives none


class Holding(NamedTuple):
    """holds: sentences on what holds the work, flat or on edge. free: radius that the clamp on its front may have."""

    holds: tuple[str, ...]
    free: float
    findings: tuple[Finding, ...]


def free_radius(basis: IndexBasis, cuts: Iterable[Cut], works: frozenset[str]) -> float:
    """How far out (mm) a clamp on the front may reach, seen what these works cut: floors, holes, marks."""
    out = basis.wheel.floor_radius_mm - FROM_CUT
    for cut in cuts:
        if cut.work in works and cut.drill is not None:
            out = min(out, cut.drill.radius_mm - cut.drill.diameter_mm / 2 - FROM_CUT)
        elif cut.work in works and cut.scribe is not None:
            out = min(out, cut.scribe.inner_mm - FROM_CUT)
    return out


def holding(basis: IndexBasis, cuts: Sequence[Cut], works: frozenset[str], flat: bool) -> Holding:
    """What holds the work while these works are done."""
    job, wheel = basis.job, basis.wheel
    free = free_radius(basis, cuts, works)
    bore = _bore(basis)
    findings = _judged(basis, flat)
    lines = [_support(basis, flat)]
    stud = next((stud for stud in STUDS if stud + STUD_PLAY <= bore), None)  # that goes through with room to spare
    bolts = job.bolts
    bolted = bolts is not None and "bolt" not in works
    drills = [cut.drill for cut in cuts if cut.work == "bolt" and cut.drill is not None]
    outside = max((drill.radius_mm + drill.diameter_mm / 2 for drill in drills), default=0.0)
    if works == {"bolt"} and wheel.ring is None and wheel.radius_mm - outside - FROM_CUT >= STRAP:
        lines.append(
            "Three straps on the front at the rim, which is not cut here, their ends no nearer to the centre than "
            f"{length(outside + FROM_CUT)}: the bore, made to size in this clamping, and the bolt holes stay free."
        )
    elif stud is not None and 2 * free >= bore + 2 * BEARS:
        by_pin = flat and basis.table is not None  # zero is found again by a pin in a bolt hole drilled before
        pinned = free_radius(basis, cuts, works | {"bolt"}) if by_pin else free
        covered = "bolt" not in works and bore + 2 * BEARS <= 2 * pinned < 2 * free
        widest, begins = (2 * pinned, "the pin goes in") if covered else (2 * free, "the cut begins")
        lines.append(
            f"A stud M{stud:g} through the bore, with a washer of ⌀{length(bore + 2 * BEARS)} to ⌀{length(widest)} on "
            f"the front; nothing of washer or nut beyond {diameter(widest)}, where {begins}."
        )
    elif bolted and bolts is not None:
        lines.append(
            f"{bolts.count} bolts through the wheel's own bolt holes ({diameter(bolts.hole)} on "
            f"{diameter(bolts.circle)}) "
            "into tapped holes of the backing plate or into T nuts, heads under the cutter's path."
        )
    else:
        lines.append(
            f"Two straps on the front, ends no further out than {length(free)} from the centre; move them one at a "
            "time when a cut lies under one, the other tight."
        )
        why = (
            f"neither a stud through the bore nor bolts hold the work inside {diameter(max(2 * free, 0.0))}: straps "
            "get in "
            "the way of the cut and are moved one at a time, or the wheel goes on a spigot glued or screwed from behind"
        )
        said = f"{length(max(free, 0.0))} free from the centre"
        findings = (
            *findings,
            holds(Check.CLAMP_ROOM, "indexing", free > bore / 2 + BEARS, said, why, PRACTICE, "warn"),
        )
    arbour = design_arbour(job)
    if arbour is not None and not flat:
        lines = [
            f"The wheel sits on its arbour (arbour-drawing.pdf: seat {diameter(arbour.seat_mm)}, nut {arbour.thread} "
            f"on a washer of {diameter(arbour.washer_mm)}), the arbour in a chuck on the table and on the tailstock's "
            "centre."
        ]
    return Holding(tuple(lines), free, findings)


def _bore(basis: IndexBasis) -> float:
    turned = basis.job.pulley if basis.wheel.form != "plate" else None
    return (basis.job.wheel.bore if turned is None else turned.bore) or 0.0


def stand_off(job: Job) -> float:
    """From the table's face to the middle of the tooth ring, the work standing on its rear face."""
    lands = turned_lands(job)
    return -lands[-1].z_back if lands else job.wheel.thickness / 2 + BACKING


def _support(basis: IndexBasis, flat: bool) -> str:
    lands = turned_lands(basis.job)
    if lands:
        face = "The pulley's rear face lies on the table's own face, both wiped clean and without burrs."
        return face if flat else face.replace("lies on", "is held against")
    across = diameter(2 * basis.wheel.floor_radius_mm)
    return (
        f"Behind the wheel a backing plate (aluminium or hard board), {length(BACKING)} thick, flat, at least {across} "
        f"across: the cutter runs {length(BREAK_MM)} into it."
    )


def _judged(basis: IndexBasis, flat: bool) -> tuple[Finding, ...]:
    table = basis.job.shop.rotary_table
    if table is None:
        return ()
    if flat:
        return _flat(basis, table.diameter) if table.diameter is not None else ()
    out = _on_edge(basis, table.centre_height) if table.centre_height is not None else ()
    return (*out, *_holder(basis, table.diameter))


def _flat(basis: IndexBasis, across: float) -> tuple[Finding, ...]:
    """The wheel against the table it lies on: metal that hangs over wants something under it."""
    over = basis.wheel.radius_mm - across / 2
    lands = turned_lands(basis.job)
    backed = lands[-1].radius if lands else basis.wheel.floor_radius_mm
    bare = max(0.0, backed - across / 2)
    why = (
        f"on a table of {diameter(across)} the wheel hangs over by {length(max(over, 0.0))} all round; up to a third "
        "of the table's radius the packing carries that, beyond it the cut springs the work: lay a plate at least "
        f"{diameter(2 * backed)} across and {length(2 * BACKING)} thick under it"
    )
    return (at_least(Check.TABLE_SIZE, "indexing", across / 6 - bare, "mm", 0.0, why, PRACTICE, "warn"),)


def _on_edge(basis: IndexBasis, height: float) -> tuple[Finding, ...]:
    """The rim of a wheel that stands on edge against the mill's table."""
    room = height - max([basis.wheel.radius_mm, *(land.radius for land in turned_lands(basis.job))])
    why = (
        "on edge the wheel's rim must clear the mill's table as it turns; if it does not, bolt the rotary table on "
        f"parallels at least {length(max(CLEAR_MM - room, 0.0))} high, or lay it flat and take a cutter of the "
        "floor's form"
    )
    return (at_least(Check.SWING, "indexing", room, "mm", CLEAR_MM, why, PRACTICE, "warn"),)


def _holder(basis: IndexBasis, across: float | None) -> tuple[Finding, ...]:
    """On edge the holder comes down beside the table's face: either it stays above its edge or the work stands off."""
    cutter = basis.cutter
    if cutter is None or cutter.stick_out is None or cutter.holder_diameter is None:
        return ()
    nose = basis.wheel.floor_radius_mm + cutter.stick_out  # of the holder, from the axis, at full depth
    table = across if across is not None else SMALLEST_TABLE
    arbour = design_arbour(basis.job)
    off = stand_off(basis.job) if arbour is None else arbour.stand_off
    if off >= cutter.holder_diameter / 2 + CLEAR_MM:
        return ()
    more = table / 2 + CLEAR_MM - basis.wheel.floor_radius_mm
    given = "" if across is not None else ", the smallest in common use (shop.rotary_table.diameter says yours)"
    why = (
        f"at full depth the holder of {diameter(cutter.holder_diameter)} stands {length(nose)} from the axis, and the "
        f"ring's middle only {length(off)} off the face of a table of {diameter(table)}{given}: let the cutter stick "
        f"out {length(max(more, 0.0))}, or put the work on an arbour or packing that holds the ring's middle "
        f"{length(cutter.holder_diameter / 2 + CLEAR_MM)} off that face"
    )
    return (at_least(Check.HOLDER_TABLE, "indexing", nose - table / 2, "mm", CLEAR_MM, why, PRACTICE, "warn"),)
