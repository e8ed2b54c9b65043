"""Tooth patterns as a person writes them: 36-1 is 36 positions, one of them missing."""

from __future__ import annotations

import re
from collections.abc import Iterable

from wheelcad.errors import Fault, Faults, JobValueError
from wheelcad.job.models import Job

Pattern = tuple[int, int]  # positions, missing teeth

USUAL: tuple[Pattern, ...] = ((12, 1), (18, 1), (24, 1), (36, 1), (36, 2), (60, 2))
LEAST, MOST = 3, 720  # positions, as in a job file

_WRITTEN = re.compile(r"^\s*(\d{1,4})(?:\s*[-/,x]\s*(\d{1,4}))?\s*$")


def parse_pattern(text: str) -> Pattern:
    """36-1 as (36, 1); a count alone has none missing. JobValueError for what is no pattern."""
    found = _WRITTEN.match(text)
    faults = Faults()
    if found is None:
        faults.extend(
            [Fault("is not a pattern", file="--pattern", found=text, allowed="positions-missing, such as 36-1")]
        )
        faults.raise_if_any(JobValueError)
    assert found is not None
    teeth, missing = int(found[1]), int(found[2] or 0)
    if not LEAST <= teeth <= MOST:
        allowed = f"{LEAST} to {MOST} positions"
        faults.extend([Fault("has too few or too many positions", file="--pattern", found=text, allowed=allowed)])
    elif missing > teeth - 2:
        allowed = f"at most {teeth - 2} of {teeth} missing"
        faults.extend([Fault("leaves fewer than two teeth", file="--pattern", found=text, allowed=allowed)])
    faults.raise_if_any(JobValueError)
    return teeth, missing


def patterns_for(job: Job, asked: Iterable[str] = ()) -> list[Pattern]:
    """The usual patterns, the job's own where it has one gap or none, and those asked for; each once, in that order."""
    own = own_pattern(job)
    return list(dict.fromkeys([*USUAL, *([own] if own else []), *(parse_pattern(text) for text in asked)]))


def own_pattern(job: Job) -> Pattern | None:
    """The job's own pattern; None where several gaps make it more than two numbers tell."""
    return None if job.wheel.gaps[1:] else (job.wheel.teeth, job.wheel.missing)
