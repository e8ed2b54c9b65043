"""How well the engine was measured: what the survey, or the lack of one, leaves open. Limits of 95 %, mm."""

from __future__ import annotations

from collections.abc import Mapping

from wheelcad.job.models import Job
from wheelcad.job.survey import Survey


def face_within(job: Job) -> float:
    """How well the block's face is known along the crank, ± mm, 95 %: as the survey is read, or its usual figure."""
    return float(job.survey.read_to if job.survey is not None else Survey.model_fields["read_to"].default)


def mounts_within(job: Job) -> Mapping[str, float]:
    """The radius (mm) about every mount's x, y that holds the true place in 95 % of cases, by its name.

    A place that was written down and not surveyed is taken to be as good as a usual reading.
    """
    return {mount.name: face_within(job) for mount in (job.bracket.mounts if job.bracket is not None else ())}
