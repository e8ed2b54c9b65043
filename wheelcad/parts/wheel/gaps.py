"""The gaps a job asks for, brought onto the tooth grid, and what is wrong with those that cannot be.

The first gap fixes the grid; every further one must have its middle where whole teeth can be left out: between two
teeth for an even number of missing ones, on a tooth for an odd one. Degrees from the TDC line, positive the way the
crank turns.
"""

from __future__ import annotations

import math

import numpy as np

from wheelcad.codes import Check
from wheelcad.errors import Faults, Key
from wheelcad.findings import PRACTICE, Finding, holds
from wheelcad.job.models import Job, Wheel
from wheelcad.parts.wheel.teeth import Teeth, ToothGap, grid_step
from wheelcad.trade.frames import apart_deg

AS_WRITTEN = 0.0051  # degrees: a gap written to two decimals stands for the place on the grid it was rounded from
USUAL_POSITIONS = (12, 16, 18, 20, 24, 30, 32, 36, 40, 48, 60, 72, 90, 120, 180, 360)  # common practice, no source


def gaps_of(wheel: Wheel, faults: Faults) -> tuple[ToothGap, ...]:
    """The gaps of a job, each exactly on the grid of the first; faults for those that are off it or collide."""
    if not wheel.gaps:
        return (ToothGap(wheel.gap_at, wheel.missing),)
    _check_plain_keys(wheel, faults)
    first = ToothGap(wheel.gaps[0].at, wheel.gaps[0].missing)
    total = sum(gap.missing for gap in wheel.gaps)
    if total > wheel.teeth - 2:
        allowed = f"at most {wheel.teeth - 2} of {wheel.teeth}"
        faults.add(("wheel", "gaps"), "leaves fewer than two teeth", found=total, allowed=allowed)
        return (first,)
    gaps = [first]
    for i, written in enumerate(wheel.gaps[1:], start=1):
        gaps.append(
            _on_grid(ToothGap(written.at, written.missing), first, wheel.teeth, ("wheel", "gaps", i, "at"), faults)
        )
    _check_apart(gaps, wheel.teeth, faults)
    return tuple(gaps)


def _check_plain_keys(wheel: Wheel, faults: Faults) -> None:
    """`missing` and `gap_at` beside `gaps` say the same thing again; they must not say another."""
    first = wheel.gaps[0]
    total = sum(gap.missing for gap in wheel.gaps)
    if wheel.missing not in (first.missing, total):
        allowed = f"{first.missing}, the first gap's" + (f", or {total}, all of them" if total != first.missing else "")
        why = "says something else than `gaps` does"
        hint = "leave `missing` out where `gaps` is given"
        faults.add(("wheel", "missing"), why, found=wheel.missing, allowed=allowed, hint=hint)
    if apart_deg(wheel.gap_at, first.at) > AS_WRITTEN:
        faults.add(
            ("wheel", "gap_at"),
            "says something else than `gaps` does",
            found=f"{wheel.gap_at:g} deg",
            allowed=f"{first.at:g} deg, the first gap's",
            hint="leave `gap_at` out where `gaps` is given",
        )


def _on_grid(gap: ToothGap, first: ToothGap, teeth: int, key: Key, faults: Faults) -> ToothGap:
    """The gap at the grid's own angle; a fault naming the angles on either side when it is off the grid."""
    pitch = 360.0 / teeth
    step = grid_step(gap, first, pitch)
    places = [gap.at_deg + (whole - step) * pitch for whole in (math.floor(step), math.ceil(step), round(step))]
    if abs(places[2] - gap.at_deg) > AS_WRITTEN:
        below, above = (f"{place:.4f}".rstrip("0").rstrip(".") for place in places[:2])
        why = f"is off the tooth grid: {gap.missing} missing teeth cannot be centred there"
        hint = f"positions are {round(pitch, 4):g} deg apart, counted from the first gap at {first.at_deg:g} deg"
        faults.add(key, why, found=f"{gap.at_deg:g} deg", allowed=f"{below} deg or {above} deg", hint=hint)
    return ToothGap(places[2], gap.missing)


def _check_apart(gaps: list[ToothGap], teeth: int, faults: Faults) -> None:
    """No two gaps share a position or lie side by side without a tooth between them."""
    pitch = 360.0 / teeth
    taken: dict[int, int] = {}
    for i, gap in enumerate(gaps):
        start = round(grid_step(gap, gaps[0], pitch))
        own = [(start + k) % teeth for k in range(gap.missing)]
        other = next((taken[place] for place in own if place in taken), None)
        beside = next((taken[p % teeth] for p in (own[0] - 1, own[-1] + 1) if taken.get(p % teeth, i) != i), None)
        if other is not None:
            faults.add(("wheel", "gaps", i, "at"), f"overlaps gaps[{other}]", found=f"{gap.at_deg:g} deg")
        elif beside is not None:
            why = f"leaves no tooth between this gap and gaps[{beside}]"
            faults.add(("wheel", "gaps", i, "at"), why, found=f"{gap.at_deg:g} deg", hint="write the two as one gap")
        taken |= dict.fromkeys(own, i)


def repeats(teeth: Teeth) -> int:
    """How many times a turn the pattern of teeth and gaps looks the same; 1 for one that is different all round."""
    present = np.zeros(teeth.count, dtype=bool)
    steps = (teeth.tooth_centres_deg - teeth.tooth_centres_deg[0]) / teeth.pitch_deg
    present[np.round(steps).astype(int) % teeth.count] = True
    divisors = [n for n in range(1, teeth.count + 1) if teeth.count % n == 0]
    return max(n for n in divisors if np.array_equal(present, np.roll(present, teeth.count // n)))


def pattern_findings(job: Job, teeth: Teeth) -> list[Finding]:
    """Whether the pattern is the one meant, and whether the controller can tell from it where the crank stands."""
    return [*_counted(job), *_told_apart(job, teeth)]


def meant_instead(positions: int, missing: int) -> tuple[int, int] | None:
    """(positions, missing) of the usual pattern that was likely meant where missing teeth were not counted in.

    35 with 1 missing: 36 with 1; 35 with none: 36 with 1; 58 with 2: 60 with 2. None for a count that is usual, or
    beside which no usual one lies.
    """
    if positions in USUAL_POSITIONS:
        return None
    for left_out in (missing,) if missing else (1, 2):
        if positions + left_out in USUAL_POSITIONS:
            return positions + left_out, left_out
    return None


def _counted(job: Job) -> list[Finding]:
    """Asks where `teeth` looks like the count of metal teeth: missing ones are counted in."""
    wheel = job.wheel
    if wheel.gaps or (job.cam is not None and not wheel.missing):  # a cam tells the turn: no gap is needed
        return []
    meant = meant_instead(wheel.teeth, wheel.missing)
    if meant is None:
        return []
    why = (
        f"{meant[0]} with {meant[1]} missing? `teeth` counts the missing ones: as written the wheel has "
        f"{wheel.teeth - wheel.missing} metal teeth {360 / wheel.teeth:.4g} degrees apart, and its controller must be "
        f"told {wheel.teeth} and {wheel.missing}. If {meant[0]}-{meant[1]} is meant, write teeth: {meant[0]}, missing: "
        f"{meant[1]}"
    )
    said = f"{wheel.teeth} positions, {wheel.missing} missing"
    return [holds(Check.TEETH_COUNTED, "wheel", False, said, why, PRACTICE, "warn")]


def _told_apart(job: Job, teeth: Teeth) -> list[Finding]:
    """Whether the controller can tell from the wheel alone where the crank stands."""
    if teeth.missing == 0:
        said = "no gap" + (", and a cam target in the job" if job.cam is not None else "")
        why = (
            "a wheel without a gap says how far the crank turned, not where it stands: it needs a controller that is "
            "told so by a cam signal"
        )
        return [holds(Check.GAP_PRESENT, "wheel", job.cam is not None, said, why, PRACTICE, "warn")]
    times = repeats(teeth)
    said = f"one place a turn looks like no other: {teeth.count} positions, {teeth.missing} missing"
    why = "the controller knows where the crank stands once it has seen the gap"
    if times > 1:
        said = f"the pattern looks the same {times} times a turn, every {360 / times:g} degrees"
        why = (
            "the controller cannot tell these places from each other: right only for one that is told of this pattern, "
            "as with a distributor, or that has a cam signal as well"
        )
    return [holds(Check.GAP_PATTERN, "wheel", times == 1, said, why, PRACTICE, "warn")]
