"""The patterns side by side, and as rows for programs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from wheelcad.errors import DesignError
from wheelcad.job.models import Job
from wheelcad.parts.options.choose import Choice, choose
from wheelcad.parts.options.patterns import Pattern, own_pattern, patterns_for
from wheelcad.parts.options.row import Option, option_of
from wheelcad.parts.options.start import Start, read_finding, start_of
from wheelcad.parts.options.timing import timing_of
from wheelcad.words import Words


@dataclass(frozen=True)
class OptionTable:
    """own: the job's own pattern, None where several gaps make it more than two numbers tell.

    starts: what the controller makes of each on the starter, None where that cannot be told. timing: after the trim,
    ± degrees in 95 of 100 wheels, likewise.
    """

    units: str
    options: tuple[Option, ...]
    starts: tuple[Start | None, ...]
    timing: tuple[float | None, ...]
    choice: Choice
    own: Pattern | None

    def rows(self) -> list[dict[str, object]]:
        """The table as `options --json` prints it: null where the job lacks the section that would tell."""
        words = Words(self.units)
        return [
            {
                "teeth": option.teeth,
                "missing": option.missing,
                "tooth_top_mm": option.wheel.tooth_top_mm if option.wheel is not None else 0.0,
                "slot_mm": option.slot_mm,
                "degrees_per_tooth": option.pitch_deg,
                "tooth_rate_hz": option.rate_hz,
                "table_exact": option.reach.exact if option.reach is not None else None,
                "cuts": option.cuts,
                "unbalance_g_mm": option.unbalance_g_mm,
                "verdict": verdict,
                "reason": words.text(reason),
                "tooth_root_mm": option.tooth_root_mm,
                "circle": option.reach.circle if option.reach is not None else None,
                "dial_exact": option.reach.by_dial if option.reach is not None else None,
                "dial_error_deg": option.reach.error_deg if option.reach is not None else None,
                "pitches_per_firing": [round(value, 9) for value in option.pitches] or None,
                "whole_pitches": option.whole if option.pitches else None,
                "recommended": option is self.choice.best,
                "starter_margin": start.margin if start is not None else None,
                "starter_error_deg": start.error_deg if start is not None else None,
                "after_trim_95_deg": None if timing is None else round(timing, 6),
            }
            for option, start, timing, verdict, reason in zip(
                self.options, self.starts, self.timing, self.choice.verdicts, self.choice.reasons, strict=True
            )
        ]


def options_of(job: Job, asked: Iterable[str] = ()) -> OptionTable:
    """The usual patterns, the job's own and those asked for ("48-2"), for the job's blank."""
    return option_table(job, patterns_for(job, asked), start=True)


def option_table(job: Job, patterns: Sequence[Pattern], start: bool = False) -> OptionTable:
    """All of `patterns` (positions, missing) for one job. DesignError when none of them can be made at all.

    start: work out what the controller makes of each on the starter as well, a twentieth of a second a pattern, and
    how far off its timing may be, a thousandth.
    """
    options = tuple(option_of(job, pattern) for pattern in patterns)
    faults = [option.fault for option in options if option.fault is not None]
    if len(options) > 1 and len(faults) == len(options):
        raise DesignError(faults[0]).placed(job.source.located)
    starts = tuple(start_of(job, option) if start else None for option in options)
    judged = tuple(
        replace(option, findings=(read_finding(seen), *option.findings)) if seen is not None else option
        for option, seen in zip(options, starts, strict=True)
    )
    timing = timing_of(job, options) if start else (None,) * len(options)
    return OptionTable(job.units, judged, starts, timing, choose(judged), own_pattern(job))
