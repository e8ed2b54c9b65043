"""Another pattern out of the same metal, and starting again on a smaller diameter.

A coarser pattern fits when each of its teeth can be left standing out of a tooth that is there: everything else,
spoiled slots too, goes away. The start angle is searched over a whole pitch.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import JobError, Key
from wheelcad.job.models import Job
from wheelcad.measure.advice import Advice, Case, shorter
from wheelcad.measure.job_edit import edited_job
from wheelcad.parts.options.patterns import USUAL
from wheelcad.trade.frames import wrap_360
from wheelcad.words import angle, length

LEAST_TOOTH_MM = 3.0  # along the rim, where no sensor says what it wants (common practice, no source)
STARTS = 720  # start angles tried over one pitch of the new pattern
HOLES_INWARDS = (0.5, 0.25, 0.4, 0.75, 1.0, 0.0)  # of what comes off the diameter: where balance holes are tried
CLEAN_MM = 0.3  # below the slot floors: what the lathe takes to leave no trace of them


@dataclass(frozen=True, eq=False)
class PatternFit:
    """A coarser pattern in the metal. gap_deg: middle of its gap; tooth_deg: width that can be left of every tooth."""

    teeth: int
    missing: int
    gap_deg: float
    tooth_deg: float


def another_pattern(case: Case) -> list[Advice]:
    """The finest usual pattern whose teeth can all be left standing; nothing without both edges of the teeth."""
    edges, rim = case.teeth_deg, case.wheel.reading.rim_radius_mm
    if edges is None:
        return []
    rim = rim or (case.job.wheel.outside_diameter / 2 if case.job is not None else None)
    least = float(np.degrees(_least_tooth(case.job) / rim)) if rim else 0.2 * case.pitch_deg
    # teeth that lose a little on both sides keep their new edges clean
    shares = [(case.teeth // k, 1) for k in (2, 3, 4) if case.teeth % k == 0 and case.teeth // k >= 12]
    for teeth, missing in sorted({*USUAL, *shares}, reverse=True):
        if teeth >= min(case.wheel.teeth, case.teeth) or missing < 1:
            continue
        fit = best_fit(edges, teeth, missing)
        if fit is None or fit.tooth_deg < least:
            continue
        return [_pattern_advice(case, fit, rim)]
    return []


def best_fit(edges_deg: Floats, teeth: int, missing: int) -> PatternFit | None:
    """The start angle and gap place that leave the widest teeth. edges_deg: (t, 2) of the teeth that are there."""
    pitch = 360.0 / teeth
    starts = np.arange(STARTS) * pitch / STARTS
    centres = starts[:, None] + pitch * np.arange(teeth)
    half = np.full(centres.shape, -1.0)
    for start, end in edges_deg:
        into = np.mod(centres - start, 360.0)
        half = np.maximum(half, np.minimum(into, np.mod(end - start, 360.0) - into))
    windows = np.stack([np.roll(half, -k, axis=1)[:, missing:].min(axis=1) for k in range(teeth)])
    k, i = np.unravel_index(int(windows.argmax()), windows.shape)
    if windows[k, i] <= 0:
        return None
    gap = float(starts[i] + pitch * (k + (missing - 1) / 2))
    return PatternFit(teeth, missing, float(wrap_360(gap)), 2 * float(windows[k, i]))


def _pattern_advice(case: Case, fit: PatternFit, rim: float | None) -> Advice:
    pitch = 360.0 / fit.teeth
    wide = pitch - fit.tooth_deg
    moved = shorter(fit.gap_deg - (case.job.wheel.gap_at if case.job is not None else 0.0))
    first = fit.missing * pitch / 2
    what = (
        f"make it {fit.teeth}-{fit.missing}: the middle of its gap {angle(moved, 3)} from the present one the way the "
        f"crank turns, first slot {angle(first, 3)} past it, then every {angle(pitch, 4)}"
    )
    what += f", slots {angle(wide, 3)} wide" + (f" ({length(_chord(rim, wide))} at the rim)" if rim else "")
    what += f": every old slot is swallowed and teeth of {angle(fit.tooth_deg)} stay"
    error = case.dial_step / 2
    changes: dict[Key, str] = {}
    after: dict[Key, str] = {}
    if case.job is not None and rim:
        changes, after = _pattern_changes(case.job, fit, rim, wide)
        if not _builds(case.job, changes, after):
            changes, after = {}, {}
    return Advice("another-pattern", what, error, True, changes, after)


def _chord(rim: float, wide: float) -> float:
    return float(2 * rim * np.sin(np.radians(wide) / 2))


def _pattern_changes(job: Job, fit: PatternFit, rim: float, wide: float) -> tuple[dict[Key, str], dict[Key, str]]:
    slot: Key = ("wheel", "slot")
    changes: dict[Key, str] = {
        ("wheel", "teeth"): str(fit.teeth),
        ("wheel", "missing"): str(fit.missing),
        ("wheel", "gap_at"): f"{round(fit.gap_deg, 3):g} deg",
        (*slot, "width"): f"{_chord(rim, wide):.3f} mm",
        (*slot, "sides"): "radial",
        (*slot, "floor"): "flat",
    }
    return changes, {("wheel", "gap_at"): "missing", (*slot, "sides"): "width", (*slot, "floor"): "width"}


def turn_off(case: Case) -> list[Advice]:
    """Turn the teeth off and cut afresh: which patterns fit on what is left. Needs a job, which knows what else is
    there."""
    job, reading = case.job, case.wheel.reading
    if job is None or job.wheel.gaps[1:]:
        return []
    floor = reading.floor_radius_mm or job.wheel.outside_diameter / 2 - job.wheel.slot.depth
    diameter = float(np.floor((2 * floor - 2 * CLEAN_MM) * 10) / 10)
    key: Key = ("wheel", "outside_diameter")
    for changes in _smaller(job, {key: f"{diameter:g} mm"}, job.wheel.outside_diameter - diameter):
        fits = _patterns_on(job, changes)
        if not fits:
            continue
        teeth, missing = own if (own := (job.wheel.teeth, job.wheel.missing)) in fits else fits[-1]
        if (teeth, missing) != own:
            changes |= {("wheel", "teeth"): str(teeth), ("wheel", "missing"): str(missing)}
        if _builds(job, changes, {}):
            return [_turned(case, diameter, (teeth, missing), fits, changes)]
    return []


def _smaller(job: Job, changes: dict[Key, str], less: float) -> list[dict[Key, str]]:
    """The changed diameter, with the radius of the balance holes moved inwards by some share of what comes off."""
    if job.balance is None or job.balance.radius is None:
        return [changes]
    radius = job.balance.radius
    return [changes | {("balance", "radius"): f"{radius - share * less:.4g} mm"} for share in HOLES_INWARDS]


def _turned(
    case: Case, diameter: float, pattern: tuple[int, int], fits: list[tuple[int, int]], changes: dict[Key, str]
) -> Advice:
    teeth, missing = pattern
    listed = ", ".join(f"{t}-{m}" for t, m in fits)
    what = (
        f"turn the teeth off to {length(diameter)} over all and cut {teeth}-{missing} afresh, from any start; on that "
        f"diameter fit {listed}; check what the sensor's bracket reaches"
    )
    return Advice("turn-off", what, case.dial_step / 2, True, changes)


def _patterns_on(job: Job, changes: dict[Key, str]) -> list[tuple[int, int]]:
    """The patterns that `options` has nothing grave against on the changed blank."""
    from wheelcad.job.reader import parse_job
    from wheelcad.parts.options.patterns import patterns_for
    from wheelcad.parts.options.table import option_table

    try:
        changed = parse_job(edited_job(job, changes, {}), job.source.file)
        table = option_table(changed, patterns_for(changed))
    except JobError:
        return []
    return sorted(
        (option.teeth, option.missing)
        for option, verdict in zip(table.options, table.choice.verdicts, strict=True)
        if verdict != "fail" and option.wheel is not None and option.wheel.tooth_top_mm >= _least_tooth(job)
    )


def _builds(job: Job, changes: dict[Key, str], after: dict[Key, str]) -> bool:
    """Whether the changed job is one that can be built."""
    from wheelcad.job.reader import parse_job
    from wheelcad.parts.design import design_job

    try:
        design_job(parse_job(edited_job(job, changes, after), job.source.file))
    except JobError:
        return False
    return True


def _least_tooth(job: Job | None) -> float:
    """Millimetres of tooth top the sensor needs."""
    if job is None or job.sensor is None or job.sensor.face_diameter is None:
        return LEAST_TOOTH_MM
    return max(LEAST_TOOTH_MM, min(float(job.sensor.face_diameter), 4.0))
