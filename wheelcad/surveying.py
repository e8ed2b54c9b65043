"""What `wheelcad survey` does: distances or photographs in, places out, and into the job where that is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from wheelcad.errors import DesignError, Fault, Key
from wheelcad.findings import Verdict
from wheelcad.job.models import Job
from wheelcad.job.reader import load_job
from wheelcad.parts.places import face_z, front_as_found_z
from wheelcad.survey.from_job import survey_of, usable
from wheelcad.survey.text import distances_text
from wheelcad.survey.write import place_changes


@dataclass(frozen=True)
class Outcome:
    """What is printed, the same for programs, and whether the places can be used (fail: not)."""

    text: str
    data: dict[str, Any]
    verdict: Verdict


def survey_command(path: str | Path, photos: Sequence[Path] = (), write: bool = False) -> Outcome:
    """The survey of the job at `path`. With `write` the places are put into it, unless a reading cannot be true.

    Raises a JobError where the job or the pictures leave the places open.
    """
    job = load_job(path)
    return _by_distances(path, job, write)


def _by_distances(path: str | Path, job: Job, write: bool) -> Outcome:
    if job.bracket is None:
        why = "is missing: its mounts are the points that a survey looks for"
        raise DesignError(Fault(why, ("bracket",))).placed(job.source.located)
    survey = survey_of(job, front_as_found_z(job), face_z(job))
    data = {**survey.as_json(), "photos": []}
    text = distances_text(job, survey)
    if write:
        usable(job, survey)
        changes, _ = place_changes(job, survey.points)
        text += "\n" + written(path, changes)
    return Outcome(text, data, "pass" if survey.sound else "fail")


def written(path: str | Path, changes: dict[Key, str]) -> str:
    """Put the changes into the job file, and say what was put where."""
    from wheelcad.job.edit import set_values

    set_values(path, changes)
    lines = [f"  {Fault('', key).dotted}: {value}" for key, value in changes.items()]
    return "\n".join([f"{path} now says:", *lines])
