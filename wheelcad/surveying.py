"""What `wheelcad survey` does: distances or photographs in, places out, and into the job where that is asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from wheelcad.errors import DesignError, Fault, JobError, JobValueError, Key
from wheelcad.findings import Verdict
from wheelcad.job.models import Job
from wheelcad.job.reader import load_job
from wheelcad.parts.places import face_z, front_as_found_z
from wheelcad.survey.from_job import survey_of, usable
from wheelcad.survey.tags import SHEET_JSON
from wheelcad.survey.text import distances_text
from wheelcad.survey.write import face_change, obstacle_changes, place_changes
from wheelcad.units import UnitError, length_mm
from wheelcad.words import length

RULE_MM = 0.25  # how well a bar is read with a steel rule, 95 %, where nobody says otherwise


@dataclass(frozen=True)
class SurveyOutcome:
    """What is printed, the same for programs, and whether the places can be used (fail: not)."""

    text: str
    data: dict[str, Any]
    verdict: Verdict


@dataclass(frozen=True)
class Print:
    """What the user says of the print, as written: bars (A,B or A,B,±), the plates that cards and disc are stuck on,
    and where survey-tags.json is; "" and None where nothing is said."""

    bars: str = ""
    plate: str = ""
    disc_plate: str = ""
    sheet: Path | None = None


def survey_command(
    path: str | Path,
    photos: Sequence[Path] = (),
    write: bool = False,
    prints: Print | None = None,
    drawn: Path | None = None,
) -> SurveyOutcome:
    """The survey of the job at `path`, by its readings or by photographs. With `write` the places are put into it.

    drawn: where pictures go with bracket, wheel and sensor drawn into the photographs; None draws none.

    Raises a JobError where the job or the pictures leave the places open, or contradict themselves.
    """
    job = load_job(path)
    return _by_photos(path, job, photos, write, prints or Print(), drawn) if photos else _by_distances(path, job, write)


def _by_distances(path: str | Path, job: Job, write: bool) -> SurveyOutcome:
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
    return SurveyOutcome(text, data, "pass" if survey.sound else "fail")


def _by_photos(
    path: str | Path, job: Job, photos: Sequence[Path], write: bool, prints: Print, drawn: Path | None
) -> SurveyOutcome:
    from wheelcad.parts.common.paper import page_paper
    from wheelcad.survey.photo_text import photo_text, things
    from wheelcad.survey.photos import Bars, PrintMounting, bars_of, survey_photos
    from wheelcad.survey.pictures import read_pictures
    from wheelcad.survey.sheetfile import printed, read_sheet
    from wheelcad.survey.tags import BARS_MM, plan_tags
    from wheelcad.words import Words

    found = sheet_file(path, photos, prints.sheet)
    sheet = read_sheet(found) if found is not None else printed(plan_tags(job, page_paper(job)))
    bars = Bars()
    if prints.bars:
        level, upright, read_to = bars_read(prints.bars, job.units)
        bars = bars_of(BARS_MM[job.units], (level, upright), read_to)
    front = front_as_found_z(job)
    mounting = PrintMounting(front, _plate(prints.disc_plate, "disc-plate", job), _plate(prints.plate, "plate", job))
    mounts = [mount.name for mount in job.bracket.mounts] if job.bracket is not None else []
    try:
        survey = survey_photos(read_pictures(list(photos)), sheet, bars, mounting, mounts)
    except JobError as error:
        raise type(error)([replace(fault, units=job.units) for fault in error.faults]) from None
    text = photo_text(job, survey)
    changes, left = place_changes(job, survey.points)
    in_the_way, held = obstacle_changes(job, survey.points)
    changes |= in_the_way
    rest = list(things([name for name in left if name not in held or not write], Words(job.units), survey))
    if write:
        if survey.face is not None and job.bracket is not None:
            changes |= face_change(job, job.bracket, survey.face.z_mm, front)
        text += "\n" + "\n".join([*rest, written(path, changes)])
    elif rest:
        text += "\n" + "\n".join(rest)
    data = survey.as_json()
    if drawn is not None:
        from wheelcad.engine_drawn import draw_engine

        files, said = draw_engine(job, survey, mounting, drawn)
        data["drawn"] = [str(file) for file in files]
        text += f"\nDrawn into the photographs, for a look at whether it can be: {', '.join(map(str, files))}."
        text += f"\n{said}" if said else ""
    if job.bracket is not None:
        text += "\n" + next_step(path, write, drawn is not None)
    return SurveyOutcome(text, data, "pass")


def next_step(path: str | Path, wrote: bool, drew: bool) -> str:
    """What to do with the places that photographs gave."""
    steps = [] if wrote else ["the same with --write puts the places into the job"]
    if not drew:
        steps.append(
            "the same with --drawn DIR draws bracket, wheel and sensor into your photographs: one look tells whether "
            "it can be"
        )
    steps.append(f"wheelcad build {path} makes the bracket and holds it clear of what is in the way")
    return "Next: " + "; ".join(steps) + "."


def sheet_file(job: str | Path, photos: Sequence[Path], named: Path | None) -> Path | None:
    """The survey-tags.json that was written with the print: the named one, or that beside the job, here, or beside the
    pictures; None where there is none, and the sheet is what the job would print now."""
    if named is not None:
        return named / SHEET_JSON if named.is_dir() else named
    folders = [Path(job).parent, Path(), *(photo.parent for photo in photos)]
    return next((folder / SHEET_JSON for folder in folders if (folder / SHEET_JSON).is_file()), None)


def bars_read(text: str, units: str) -> tuple[float, float, float]:
    """Bars A and B as measured, and how well: mm. JobValueError for what cannot be read, or is no bar of this sheet."""
    from wheelcad.survey.tags import BARS_MM

    parts = [part.strip() for part in text.split(",")]
    example = f"--bars {','.join(f'{length:g}' for length in (150.2, 199.7))}, in the job's unit; a third is their ±"
    if len(parts) not in (2, 3):
        raise JobValueError(Fault("--bars needs bar A and bar B as measured", found=text, allowed=example))
    try:
        measured = [length_mm(part, units) for part in parts]
    except UnitError as error:
        raise JobValueError(Fault(f"--bars: {error}", found=text, allowed=example, hint=error.hint)) from None
    read_to = measured[2] if len(parts) == 3 else RULE_MM
    off = [abs(got / wanted - 1.0) for got, wanted in zip(measured, BARS_MM[units], strict=False)]
    if max(off) > 0.2 or not 0 < read_to < 5:
        why = "--bars: bar A is the level one and bar B the upright one, and neither can be so far off"
        raise JobValueError(Fault(why, found=text, allowed=example))
    return measured[0], measured[1], read_to


def _plate(text: str, name: str, job: Job) -> float:
    """Thickness of a plate that a print is stuck on, mm; 0 where nothing is said."""
    if not text:
        return 0.0
    try:
        thickness = length_mm(text, job.units)
    except UnitError as error:
        raise JobValueError(Fault(f"--{name}: {error}", found=text, hint=error.hint)) from None
    if not 0 <= thickness <= 50:
        why = f"--{name}: is no plate to stick a print on"
        raise JobValueError(Fault(why, found=text, allowed=f"0 to {length(50)}", units=job.units))
    return thickness


def written(path: str | Path, changes: dict[Key, str]) -> str:
    """Put the changes into the job file, and say what was put where."""
    from wheelcad.job.edit import set_values

    if not changes:
        return "Nothing to write: none of these points is a mount of the job."
    set_values(path, changes)
    lines = [f"  {Fault('', key).dotted}: {value}" for key, value in changes.items()]
    return "\n".join([f"{path} now says:", *lines])
