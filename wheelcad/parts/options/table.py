"""Many patterns for one blank as arrays, with the rule that decides each, and as rows for programs.

Everything is worked on whole arrays of patterns: ten thousand of them take a fraction of a second.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from wheelcad.job.models import Job
from wheelcad.parts.options.ground import Ground, ground_of
from wheelcad.parts.options.least import least_diameter, least_slot
from wheelcad.parts.options.patterns import Pattern, patterns_for
from wheelcad.parts.options.reach import Bools, Ints, TableReach, table_reach
from wheelcad.parts.options.shape import gap_moment, slot_chord, tooth_chord
from wheelcad.parts.options.verdict import Decision, decide
from wheelcad.trade.loop import Floats

WHOLE = 1e-6  # pitches: how near a firing interval is to a whole number of them when it is one


@dataclass(frozen=True)
class OptionTable:
    """One entry a pattern; lengths mm, angles degrees. tooth and slot at rim and floor are chords, teeth 0 wide where
    the slots leave none, whose unbalance is NaN; seen: at the radius where the sensor looks. pitches: (n, k) firing
    intervals in pitches. reach: None without a table. rate_hz: NaN without a max_speed. gap_passes: -1 without a cutter
    that fits.
    """

    ground: Ground
    teeth: Ints
    missing: Ints
    tooth_rim: Floats
    tooth_root: Floats
    slot_root: Floats
    tooth_seen: Floats
    slot_seen: Floats
    rate_hz: Floats
    pitches: Floats
    reach: TableReach | None
    cuts: Ints
    gap_passes: Ints
    unbalance_g_mm: Floats
    least_diameter: Floats
    decision: Decision

    @property
    def pitch_deg(self) -> Floats:
        """Degrees from tooth to tooth."""
        return 360.0 / self.teeth

    @property
    def whole(self) -> Bools:
        """Whether every firing interval is a whole number of pitches."""
        near = np.abs(self.pitches - np.round(self.pitches)) < WHOLE
        return np.asarray(near.all(axis=1), dtype=bool)

    def rows(self) -> list[dict[str, object]]:
        """The table as `options --json` prints it: null where the job lacks the section that would tell."""
        columns: dict[str, Sequence[object]] = {
            "teeth": self.teeth.tolist(),
            "missing": self.missing.tolist(),
            "tooth_top_mm": _tidy(self.tooth_rim),
            "slot_mm": [round(self.ground.slot.width, 9)] * len(self.teeth),
            "degrees_per_tooth": self.pitch_deg.tolist(),
            "tooth_rate_hz": _tidy(self.rate_hz),
            "table_exact": self._null() if self.reach is None else self.reach.exact.tolist(),
            "cuts": self.cuts.tolist(),
            "unbalance_g_mm": _tidy(self.unbalance_g_mm),
            "verdict": self.decision.verdicts,
            "reason": self.decision.reasons,
            "tooth_root_mm": _tidy(self.tooth_root),
            "slot_root_mm": _tidy(self.slot_root),
            "circle": self._null() if self.reach is None else [c or None for c in self.reach.circle.tolist()],
            "dial_exact": self._null() if self.reach is None else self.reach.by_dial.tolist(),
            "dial_error_deg": self._null() if self.reach is None else _tidy(self.reach.error_deg),
            "pitches_per_firing": self._null() if not self.ground.intervals_deg else self.pitches.round(9).tolist(),
            "whole_pitches": self._null() if not self.ground.intervals_deg else self.whole.tolist(),
            "gap_passes": [None if n < 0 else n for n in self.gap_passes.tolist()],
            "least_diameter_mm": _tidy(self.least_diameter),
            "least_slot_mm": [least_slot(self.ground)] * len(self.teeth),
        }
        names = list(columns)
        return [dict(zip(names, values, strict=True)) for values in zip(*columns.values(), strict=True)]

    def _null(self) -> list[None]:
        return [None] * len(self.teeth)


def _tidy(values: Floats) -> list[float | None]:
    """Plain numbers to nine places, null where there is none."""
    return [value if value == value and abs(value) != np.inf else None for value in values.round(9).tolist()]


def options_of(job: Job, asked: Iterable[str] = ()) -> OptionTable:
    """The usual patterns, the job's own and those asked for ("48-2"), for the job's blank."""
    return option_table(ground_of(job), patterns_for(job, asked))


def option_table(ground: Ground, patterns: Sequence[Pattern]) -> OptionTable:
    """All of `patterns` (positions, missing) on one ground."""
    both = np.array(patterns, dtype=np.int64).reshape(-1, 2)
    teeth, missing = both[:, 0], both[:, 1]
    n, slot, seen = teeth.astype(float), ground.slot, ground.looks_at
    width, rim, floor, radial = slot.width, slot.rim_radius, slot.floor_radius, slot.radial
    tooth_root, slot_root = tooth_chord(n, width, rim, floor, radial), slot_chord(width, rim, floor, radial)
    tooth_seen, slot_seen = tooth_chord(n, width, rim, seen, radial), slot_chord(width, rim, seen, radial)
    tooth_rim = tooth_chord(n, width, rim, rim, radial)
    none = tooth_rim <= 0
    rate = np.full(len(n), np.nan) if ground.max_rpm is None else n * ground.max_rpm / 60
    pitches = np.array(sorted(set(ground.intervals_deg))) * n[:, None] / 360
    reach = table_reach(ground.table, teeth, missing) if ground.table is not None else None
    decision = decide(ground, teeth, missing, tooth_rim, tooth_root, tooth_seen, float(slot_seen), rate, pitches, reach)
    least = np.where(decision.hopeless, np.inf, least_diameter(ground, n))
    return OptionTable(
        ground,
        teeth,
        missing,
        np.maximum(tooth_rim, 0.0),
        np.maximum(tooth_root, 0.0),
        np.full(len(n), float(slot_root)),
        tooth_seen,
        np.full(len(n), float(slot_seen)),
        rate,
        pitches,
        reach,
        teeth - missing + (missing > 0),
        _gap_passes(ground, n, missing),
        np.where(none, np.nan, _unbalance(ground, n, missing.astype(float))),
        least,
        decision,
    )


def _gap_passes(ground: Ground, teeth: Floats, missing: Ints) -> Ints:
    """Stops between the two slots that bound the gap, no further apart than the cutter clears; -1 without a cutter."""
    if ground.gap_step_deg is None:
        return np.full(len(teeth), -1, dtype=np.int64)
    steps = np.ceil(missing * 360.0 / teeth / ground.gap_step_deg - 1e-9)
    return np.asarray(np.maximum(steps - 1, 0), dtype=np.int64)


def _unbalance(ground: Ground, teeth: Floats, missing: Floats) -> Floats:
    """What is to be corrected, g·mm: the gap's, pointing away from it, and that of a plate's bore and holes."""
    gap = -ground.g_per_mm2 * gap_moment(ground.slot, teeth, missing)
    both = gap[:, None] * ground.gap_way + ground.other_g_mm
    size: Floats = np.hypot(both[:, 0], both[:, 1])
    return size
