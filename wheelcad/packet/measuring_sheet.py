"""measuring-sheet.pdf: what to measure and look up at the engine, lettered pictures and a blank beside each letter.

Drawn from a job: with one of the person's own, its values are printed in and the invented ones marked as guesses.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from wheelcad.errors import DesignError, Fault, JobFileError
from wheelcad.files.folder import scratch
from wheelcad.job.consistency import form_of
from wheelcad.job.invented import invented_keys, value_text
from wheelcad.job.measuring import MEASURES, PICTURES, Measure, thing_measures
from wheelcad.job.models import Job
from wheelcad.job.reader import load_job, parse_job
from wheelcad.job.starter import starter_text
from wheelcad.job.starter_text import passes_deg
from wheelcad.packet.measuring_pictures import pictures
from wheelcad.packet.shop_work import FIND_TDC, NO_STARTER_WITH_STOP
from wheelcad.packet.sketch import Sketch
from wheelcad.packet.typeset import typeset
from wheelcad.parts.common.paper import page_paper
from wheelcad.parts.wheel.design import design_wheel
from wheelcad.parts.wheel.teeth_seen import designed_edges
from wheelcad.signal.advice import best, best_clear, places_said
from wheelcad.signal.report import signal_of

SHEET = "measuring-sheet.pdf"
TEMPLATE = Path(__file__).with_name("measuring.typ")
FOOT = "Layouts and sums only: local rules and licensed practice come first."
CAUTIONS = (
    "Battery disconnected, ignition off, gear in neutral, car on level ground and held. Turn the crank by hand only.",
    "Let the engine cool. Keep sleeves, hair and rags away from belts and fan, and guards on what spins.",
    NO_STARTER_WITH_STOP,
    "Changing how an engine is timed can hurt it and people: where local rules ask for a licensed mechanic, ask one.",
)
CHOOSE = (
    "Sensor: where the block leaves room beside the pulley and two threaded holes are near, clear of belts, exhaust "
    "and high-tension leads (a hand's width), within reach of a feeler gauge. Its angle E1 counts from the TDC line "
    "the way the crank turns.",
    "Not over a bolt hole or the keyway, if you can: the metal is thinnest there.",
)
_EVEN = (1, 2, 3, 4, 5, 6, 8, 10, 12)  # cylinders the blank sheet names
THINGS_WORDS = (
    "More things in the way, measured as in picture H: a belt's run, a cover, a pump, a hose. The bracket is held "
    "clear of each, through its slots' whole travel. They go into the job's `bracket.obstacles`."
)
LEAST_ROWS = 4  # of the table for more things
SURVEY = (
    "With cylinder 1 at TDC, read distances between the crank's middle (centre), the pulley's bolts (bolt-1 is at B8, "
    "the numbers rise the way the crank turns) and the block's holes (m1, m2), square to the crank; tick slant where "
    "the rule lay at a slant. Five or more find a wrong one. They go into the job's `survey`; `wheelcad survey` works "
    "x and y out."
)


def sheet_job(path: Path | None) -> Job:
    """The job whose pictures are drawn: the one at `path`, or the starter. JobError as load_job."""
    return load_job(path) if path is not None else parse_job(starter_text(), "starter")


def write_sheet(path: Path, job: Job, filled: bool) -> None:
    """Set the sheet and write it; the same job gives the same bytes. filled: print the job's values in.

    DesignError when its wheel cannot be. OSError when the file cannot be written.
    """
    with scratch() as folder:
        drawn = pictures(job, design_wheel(job))
        for letter, sketch in drawn.items():
            (folder / f"{letter}.svg").write_text(sketch.svg(), encoding="utf-8")
        made = typeset(TEMPLATE, sheet_data(job, filled, drawn), folder)
    path.write_bytes(made)


def make_sheet(job_file: Path | None, folder: Path) -> Path:
    """Write the sheet into `folder`: blank, or with the job's values. JobError when job or folder cannot be used."""
    job, path = sheet_job(job_file), folder / SHEET
    with _told(job, path):
        folder.mkdir(parents=True, exist_ok=True)
        write_sheet(path, job, job_file is not None)
    return path


@contextmanager
def _told(job: Job, path: Path) -> Iterator[None]:
    """What goes wrong while a file of a job is written, as errors that a user meets."""
    try:
        yield
    except DesignError as error:
        raise error.placed(job.source.located) from None
    except OSError as error:
        raise JobFileError(Fault(f"cannot be written: {error.strerror}", file=str(path))) from None


def make_tags(job_file: Path | None, folder: Path) -> tuple[Path, Path]:
    """Write survey-tags.pdf and survey-tags.json into `folder`. JobError without a job, or where they cannot be."""
    from wheelcad.packet.survey_tags import write_survey_tags

    if job_file is None:
        raise JobFileError(Fault("needs a job file: the tags carry its mounts' names", file="wheelcad sheet --tags"))
    job = load_job(job_file)
    with _told(job, folder):
        return write_survey_tags(job, folder)


def sheet_data(job: Job, filled: bool, drawn: Mapping[str, Sketch]) -> dict[str, Any]:
    """What the template sets; drawn: the pictures by their letters."""
    invented = set(invented_keys(job.source)) if filled else set()
    looked_up = [measure for measure in MEASURES if not measure.label and measure.key != "units"]
    groups = [_group("To look up and decide", "", looked_up, job, filled, invented)]
    for letter, title in PICTURES.items():
        if letter in drawn:
            inside = [m for m in MEASURES if m.label in drawn[letter].anchors or _unseen(m, letter, job)]
            head = f"{letter}: {title}"
            groups.append(_group(head, f"{letter}.svg", inside, job, filled, invented) | {"width": drawn[letter].width})
    intro = "Fill in what you can; what you leave out stays a guess. Then: wheelcad new NAME asks in this order."
    if filled:
        intro = "Your job's values are printed in. Measure those that are marked as a guess, and check the rest."
    return {
        "title": f"Measuring sheet: {job.job}" if filled else "Measuring sheet for a crank trigger wheel",
        "paper": "us-letter" if page_paper(job) == "Letter" else "a4",
        "foot": FOOT,
        "intro": intro,
        "cautions": list(CAUTIONS),
        "stop": list(FIND_TDC),
        "groups": groups,
        "things": {"words": THINGS_WORDS, "head": _thing_heads(), "rows": _things(job, filled)},
        "survey": {"words": SURVEY, "rows": _readings(job, filled)},
        "choose": [CHOOSE[0], gap_advice(job if filled else None), *CHOOSE[1:]],
    }


def gap_advice(job: Job | None) -> str:
    """Where the gap goes: read off this job's own gap map, or without a job off those of the starters."""
    each = ", ".join(f"{n}: {passes_deg(n):g}" for n in _EVEN)
    rule = (
        "Gap: so that it passes the sensor where the starter turns the crank fastest, clear of every spark and of "
        "coils being charged. For engines that fire evenly G5 = E1 less so many degrees, by cylinders "
        f"{each}; plus 360 where that is below 0. `wheelcad signal` finds the best place for your own job."
    )
    if job is None or job.engine is None or job.sensor is None or not job.wheel.missing:
        return rule
    try:
        report = signal_of(job, designed_edges(design_wheel(job), job.sensor), field=False).report()
    except DesignError:  # no firing order, say: nothing to read a map off
        return rule
    row = best_clear(report) or (best(report) if report["gap_map"] else None)
    if row is None or not row["margin"]:
        return rule
    return (
        f"Gap: this job's gap map says {places_said(report, row)}: the controller finds it there with margin "
        f"{row['margin']:.2f} (above 1 it does; at this job's own place {report['sync']['margin'] or 0:.2f}). Move "
        "sensor or firing angles, and `wheelcad signal` draws the map anew."
    )


def _unseen(measure: Measure, letter: str, job: Job) -> bool:
    """A value of this picture that this job's piece does not show, and that another may have: still asked for."""
    other_form = measure.key in ("wheel.bore", "pulley.as_found[0].length", "pulley.as_found[0].diameter")
    its_form = "plate" if measure.key == "wheel.bore" else "turned-down"
    return measure.label[:1] == letter and not (other_form and form_of(job) != its_form)


def _group(
    title: str, file: str, measures: Sequence[Measure], job: Job, filled: bool, invented: set[str]
) -> dict[str, Any]:
    rows = []
    for measure in measures:
        key = own_key(measure.key, job)
        rows.append(
            {
                "label": measure.label,
                "asks": measure.asks,
                "how": measure.how,
                "value": _value(job, key) if filled else "",
                "invented": key in invented,
            }
        )
    return {"title": title, "file": file, "width": 0, "rows": rows}


def own_key(key: str, job: Job) -> str:
    """The key as it stands in this job: the belt's groove of a plate wheel's pulley is in its first step."""
    return key.replace("as_found[1]", "as_found[0]") if form_of(job) == "plate" else key


def _value(job: Job, key: str) -> str:
    if key == "wheel.teeth":
        return f"{job.wheel.teeth}-{job.wheel.missing}"
    text = value_text(job.source, key)
    return f"{text} {job.units}" if text and _is_bare_length(key, text) else text


def _is_bare_length(key: str, text: str) -> bool:
    from wheelcad.job import describe
    from wheelcad.job.answers import key_path
    from wheelcad.job.kinds import Quantity

    field = describe.field_at(key_path(key))
    kind = describe.kind_of(field) if field is not None else None
    return isinstance(kind, Quantity) and kind.kind == "length" and not any(c.isalpha() or c in "\"'" for c in text)


def _thing_heads() -> list[str]:
    return [measure.label for measure in thing_measures(0)]


def _things(job: Job, filled: bool) -> list[list[str]]:
    """A row a thing after the first, and empty ones for more."""
    more = len(job.bracket.obstacles) - 1 if filled and job.bracket is not None else 0
    rows = [[_value(job, measure.key) for measure in thing_measures(i + 1)] for i in range(more)]
    return rows + [[""] * len(_thing_heads())] * max(LEAST_ROWS - len(rows), 0)


def _readings(job: Job, filled: bool) -> list[list[str]]:
    count = job.bolts.count if job.bolts is not None else 4
    far = f"bolt-{count}"
    usual = [["centre", "m1"], [far, "m1"], ["centre", "m2"], [far, "m2"], ["m1", "m2"], ["", ""]]
    if filled and job.survey is not None:
        from wheelcad.words import Words

        words = Words(job.units)
        return [[r.from_, r.to, words.length(r.is_)] for r in job.survey.readings]
    return [[*pair, ""] for pair in usual]
