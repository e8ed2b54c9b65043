"""What can be done with the wheel in hand, ranked, each with what it costs and what it does to timing.

Every proposal is worked out from the measured teeth: the errors left after it, whether the gap still stands out, and
what to set. Angles as in `wheel.py`; lengths mm.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.errors import Key
from wheelcad.job.models import Job
from wheelcad.measure.advice_signal import SURE, best_sensor_deg, syncs
from wheelcad.measure.mechanism import Mechanism
from wheelcad.measure.timing import timing_error
from wheelcad.measure.wheel import MeasuredWheel
from wheelcad.trade.frames import wrap_180, wrap_360
from wheelcad.words import angle, count

Action = Literal["use", "recut", "move-gap", "turn-off", "another-pattern", "move-sensor"]
COST: Mapping[Action, int] = {
    "use": 0,
    "move-gap": 1,
    "move-sensor": 2,
    "recut": 3,
    "another-pattern": 4,
    "turn-off": 5,
}

GOOD_DEG, FAIR_DEG = 0.25, 1.0  # timing errors nobody feels, and ones a tuner would accept (our judgement)
NARROWEST = 0.5  # of an ordinary tooth: what must stand after re-cutting


@dataclass(frozen=True, eq=False)
class Advice:
    """One thing to do. what: in words, with sizes, for a person. changes: values of the job file; after: where a key
    goes that is not there yet. by_cylinder: timing error after trim."""

    action: Action
    what: str
    timing_error_deg: float
    syncs: bool
    changes: Mapping[Key, str] = field(default_factory=dict)
    after: Mapping[Key, str] = field(default_factory=dict)
    by_cylinder: Mapping[int, float] = field(default_factory=dict)

    def as_json(self) -> dict[str, object]:
        """As `measure --json` holds it."""
        return {name: getattr(self, name) for name in ("action", "what", "timing_error_deg", "syncs")}


@dataclass(frozen=True, eq=False)
class Case:
    """What advice is given on. errors: (n,) of the slots against the pattern that was wanted; nominal_deg: (n,) where
    they should be; teeth, missing: of that pattern; ratio, dial_step: of the table, None where unknown."""

    wheel: MeasuredWheel
    mechanism: Mechanism
    teeth: int
    missing: int
    nominal_deg: Floats
    errors: Floats
    job: Job | None
    ratio: int | None
    dial_step: float

    @property
    def pitch_deg(self) -> float:
        """Of the pattern that was wanted."""
        return 360.0 / self.teeth

    @property
    def gap_open(self) -> bool:
        """Whether the gap is still to be cleared, so that it may go anywhere."""
        return self.missing > 0 and (self.wheel.missing == 0 or not self.wheel.gap_cleared)

    @property
    def slot_deg(self) -> float:
        """An ordinary slot's width, as measured, else as the job has it, half a pitch where nobody knows."""
        if self.wheel.slot_width_deg is not None:
            return self.wheel.slot_width_deg
        if self.job is None:
            return self.pitch_deg / 2
        wheel = self.job.wheel
        return 2 * float(np.degrees(np.arcsin(wheel.slot.width / wheel.outside_diameter)))

    @property
    def teeth_deg(self) -> Floats | None:
        """(t, 2) edges of the teeth that stand, as measured, else between slots of the job's width; None where nobody
        knows."""
        if self.wheel.tooth_edges_deg is not None or self.job is None:
            return self.wheel.tooth_edges_deg
        at, half = self.wheel.at_deg, self.slot_deg / 2
        edges = np.column_stack([at + half, np.roll(at, -1) - half])
        edges[-1, 1] += 360.0
        one = np.round((edges[:, 1] - edges[:, 0]) / self.wheel.pitch_deg) <= 1
        return edges[one]


def advise(case: Case) -> list[Advice]:
    """Everything that can be done, best first; at least one entry. Of a wheel part way through first how to carry on,
    then what would be done with it once the rest is cut so."""
    if case.wheel.uncut:
        from wheelcad.measure.advice_partway import carry_on, completed

        done = completed(case)
        return [carry_on(case, done), *(one for one in advise(done) if one.action != "use")]
    from wheelcad.measure.advice_gap import move_gap
    from wheelcad.measure.advice_pattern import another_pattern, turn_off
    from wheelcad.measure.advice_recut import recut

    out = [use(case)]
    if case.mechanism.name != "sound" or out[0].timing_error_deg > GOOD_DEG:
        out += [*recut(case), *move_gap(case), *another_pattern(case), *turn_off(case)]
    if not out[0].syncs:
        out += move_sensor(case)
    return sorted(out, key=rank)


def rank(advice: Advice) -> tuple[bool, int, int, float]:
    """What syncs before what does not; then by how good the timing is; then by the work it costs."""
    error = advice.timing_error_deg
    grade = 0 if error <= GOOD_DEG else 1 if error <= FAIR_DEG else 2
    return not advice.syncs, grade, COST[advice.action], error


def as_it_became(case: Case) -> Case:
    """The case of the pattern that the wheel has become; itself where that is the one that was wanted."""
    wheel = case.wheel
    if wheel.teeth == case.teeth:
        return case
    own = wheel.cumulative_deg
    return replace(case, teeth=wheel.teeth, missing=wheel.missing, nominal_deg=wheel.at_deg - own, errors=own)


def standing_teeth(case: Case) -> tuple[Floats, Floats]:
    """(centres as they stand, errors) of the teeth of a wheel that is used as it is, its gap cleared."""
    return teeth_outside(case, 0) if case.gap_open else teeth_of(case, case.errors)


def use(case: Case) -> Advice:
    """As it is: as the pattern that was wanted, or else as the one it has become."""
    wheel, became = case.wheel, as_it_became(case)
    said = "use it as it is: "
    if became is not case:
        said = f"use it as what it has become, and tell the controller {wheel.teeth}-{wheel.missing}: "
    centres, errors = standing_teeth(became)
    error, by = timing_error(centres - errors, errors, case.job)
    missing = became.missing if case.gap_open else wheel.missing
    said += f"after trim the spark is up to {angle(error)} off"
    if by:
        said += " (" + ", ".join(f"cylinder {c} by {angle(value)}" for c, value in sorted(by.items())) + ")"
    if became.gap_open:
        said += f"; clear the gap ({became.missing} missing) first"
    elif wheel.missing == 0:
        said += "; without a gap the controller needs a cam signal"
    return Advice("use", said, error, syncs(centres, became.teeth, missing, case.job), by_cylinder=by)


def move_sensor(case: Case) -> list[Advice]:
    """Where the sensor would have to stand for a wheel whose gap is not found where it passes now."""
    wheel = case.wheel
    if case.job is None or wheel.missing < 1 or case.gap_open or wheel.teeth != case.teeth:
        return []
    centres, errors = teeth_of(case, case.errors)
    best = best_sensor_deg(centres, wheel.teeth, wheel.missing, case.job)
    if best is None or best[1] <= SURE:
        return []
    key: Key = ("sensor", "at")
    what = f"stand the sensor at {angle(best[0], 1)}, where the crank turns evenly enough while the gap passes"
    error, by = timing_error(centres - errors, errors, case.job)
    return [Advice("move-sensor", what, error, True, {key: f"{best[0]:g} deg"}, {key: "kind"}, by)]


def teeth_of(case: Case, errors: Floats) -> tuple[Floats, Floats]:
    """(centres as they stand, errors) of the teeth between neighbouring slots that are one pitch apart."""
    at = case.nominal_deg + errors
    step = np.round(np.diff(case.nominal_deg) / case.pitch_deg)
    one = np.flatnonzero(step == 1)
    centres = (at[one] + at[one + 1]) / 2
    own = (errors[one] + errors[one + 1]) / 2
    closing = np.round((case.nominal_deg[0] + 360.0 - case.nominal_deg[-1]) / case.pitch_deg)
    if closing == 1 and (case.wheel.missing == 0 or case.gap_open):
        back = float(at[0] + 360.0 - at[-1])
        centres = np.append(centres, at[-1] + back / 2)
        own = np.append(own, (errors[0] + errors[-1]) / 2)
    return np.asarray(centres), np.asarray(own)


def teeth_outside(case: Case, start: int) -> tuple[Floats, Floats]:
    """(centres, errors) of the teeth that remain when the gap lies between slot `start` - missing and slot `start`."""
    centres, errors = teeth_of(case, case.errors)
    if len(centres) < case.teeth:
        return centres, errors
    # tooth k lies between slots k and k + 1; the gap takes the `missing` teeth before slot `start`
    kept = (start + np.arange(case.teeth - case.missing)) % case.teeth
    return centres[kept], errors[kept]


def offset(errors: Floats) -> float:
    """The place most slots agree on: the middle of the densest quarter-degree."""
    ordered = np.sort(errors)
    best = max(range(len(ordered)), key=lambda i: int(np.searchsorted(ordered, ordered[i] + 0.25, "right")) - i)
    last = int(np.searchsorted(ordered, ordered[best] + 0.25, "right"))
    return float(ordered[best:last].mean())


def numbers(cuts: Floats | list[int]) -> str:
    """1, 2, 5 to 9."""
    cuts = [int(cut) for cut in cuts]
    runs: list[list[int]] = []
    for cut in cuts:
        if runs and cut == runs[-1][-1] + 1:
            runs[-1].append(cut)
        else:
            runs.append([cut])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)


def setting(case: Case, slot: int) -> str:
    """Where a slot (index) belongs, from the gap's centre, as the chart has it; turns and dial where the table is
    known."""
    steps = round(float(case.nominal_deg[slot] - case.nominal_deg[0]) / case.pitch_deg)
    return f"slot {slot + 1} {table_words(case, (case.missing / 2 + steps) * case.pitch_deg)}"


def table_words(case: Case, angle_deg: float) -> str:
    """An angle of the table from the gap's centre, with turns and dial where the table is known."""
    from wheelcad.trade.indexing import dial_setting

    at = float(wrap_360(angle_deg))
    if case.ratio is None:
        return f"at {angle(at, 3)}"
    made = dial_setting(round(at, 9), case.ratio, case.dial_step)
    return f"at {angle(at, 3)} ({count(made.turns, 'turn')} + {angle(made.dial_deg, 3)})"


def good_slot(case: Case, base: float) -> int:
    """The slot (index) that stands nearest to where most of them agree: the one to set the table by."""
    return int(np.abs(case.errors - base).argmin())


def shorter(angle: float) -> float:
    """Into -180 … 180."""
    return float(wrap_180(angle))
