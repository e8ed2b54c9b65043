"""How well the engine was measured: what the survey, or the lack of one, leaves open. Limits of 95 %, mm."""

from __future__ import annotations

from collections.abc import Mapping

from wheelcad.errors import DesignError
from wheelcad.job.models import Bracket, Job
from wheelcad.job.survey import Survey
from wheelcad.parts.common.stack import as_found_lands, pulley_front_z
from wheelcad.survey.from_job import survey_of


def face_within(job: Job) -> float:
    """How well the block's face is known along the crank, ± mm, 95 %: as the survey is read, or its usual figure."""
    return float(job.survey.read_to if job.survey is not None else Survey.model_fields["read_to"].default)


def mounts_within(job: Job) -> Mapping[str, float]:
    """The radius (mm) about every mount's x, y that holds the true place in 95 % of cases, by its name.

    Of a settled job (parts/places.py). Where the survey's readings fix a mount it is the solver's; a place that was
    written down and not surveyed is taken to be as good as one reading.
    """
    names = [mount.name for mount in job.mounts]
    found = _surveyed(job, job.bracket) if job.survey is not None and job.bracket is not None else {}
    return {name: found.get(name, face_within(job)) for name in names}


def _surveyed(job: Job, bracket: Bracket) -> dict[str, float]:
    """What the solver says of the mounts its readings name; nothing where they do not fix them: their places are then
    the job's own."""
    lands = as_found_lands(job)
    front = lands[0].z_front if lands else pulley_front_z(job)
    try:
        survey = survey_of(job, front, bracket.mount_face)
    except DesignError:
        return {}
    return {point.name: point.within_95_mm for point in survey.points}
