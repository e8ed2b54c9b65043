"""What a survey says to a person: a table of places, a table of readings, and what to do next. Quantities are held."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence

from wheelcad.job.models import Job
from wheelcad.survey.model import DistanceSurvey, Point
from wheelcad.survey.snoop import UNCHECKED
from wheelcad.survey.words import READ, told
from wheelcad.words import Words, count, length, number

WIDTH = 100  # columns
MOST_NAMED = 4  # of suspects
Z_AS_GIVEN = "z is as bracket.mount_face says; straight (slant) readings take it as exact"


def fixed(words: Words, mm: float, decimals: int = READ) -> str:
    """A length for a column: always so many decimals of a mm, and one more in inches."""
    more = 1 if words.units == "in" else 0
    return number(mm / words.form("length").per, decimals + more, keep=True)


def wrapped(words: Words, lines: Iterable[str]) -> list[str]:
    """Sentences in the document's unit, broken to lines that a terminal holds."""
    return [part for line in lines for part in textwrap.wrap(words.text(line), WIDTH, subsequent_indent="  ")]


def table(head: Sequence[str], rows: Sequence[Sequence[str]], left: int = 1) -> Iterator[str]:
    """Lines of a table whose first `left` columns start at the left and whose others end at the right."""
    widths = [max(len(row[k]) for row in [head, *rows]) for k in range(len(head))]
    for row in [head, *rows]:
        cells = [
            cell.ljust(width) if k < left else cell.rjust(width)
            for k, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        yield ("  " + "  ".join(cells)).rstrip()


def places(points: Sequence[Point], words: Words, decimals: int = READ) -> list[str]:
    """The table of places; within: the radius about the place that holds the true one in 95 % of cases."""
    rows = [
        [
            point.name,
            *(fixed(words, mm, decimals) for mm in (point.x_mm, point.y_mm, point.z_mm, point.within_95_mm)),
        ]
        for point in points
    ]
    unit = words.form("length").unit.strip()
    return list(table(["point", f"x {unit}", "y", "z", "95 % within"], rows))


def distances_text(job: Job, survey: DistanceSurvey) -> str:
    """The survey by distances, for the terminal, in the job's unit."""
    words = Words(job.units)
    head = f"{job.job}: {count(len(survey.points), 'point')} from {count(len(survey.residuals), 'reading')}"
    out = [f"{head}, each to ±{words.length(survey.read_to_mm, 2)}", ""]
    out += places(survey.points, words)
    rows = []
    for residual in survey.residuals:
        reading = residual.reading
        off = residual.fits_mm - reading.is_mm
        rows.append(
            [
                reading.name + (" (slant)" if reading.slant else ""),
                *(fixed(words, mm) for mm in (reading.is_mm, residual.fits_mm, off)),
            ]
        )
    out += ["", *table(["reading", "read", "fits", "fits less read"], rows), ""]
    return "\n".join([*out, *wrapped(words, advice(job, survey))])


def advice(job: Job, survey: DistanceSurvey) -> Iterator[str]:
    """What is wrong, what nothing checks, what would be better; a sentence each."""
    for group in survey.suspects:
        if len(group) == 1:
            yield f"WRONG: {told(group[0])}. It is left out above; read it again before anything is cut."
        else:
            either = "; or ".join(told(suspect) for suspect in group[:MOST_NAMED])
            yield f"WRONG: {either}. The others cannot tell which: read them all again, the first one first."
    if survey.spare == 0:
        yield "There is no reading to spare: a wrong one cannot be found. One more to each point would show it."
    elif not survey.suspects:
        yield from _unchecked(survey)
    if survey.disagree > 1.0 and not survey.suspects:
        yield (
            f"The readings disagree {survey.disagree:.1f} times as much as ±{length(survey.read_to_mm)} allows, and no "
            "single one is to blame: the 95 % figures are widened to hold that. Is read_to what you can really read?"
        )
    if survey.better is not None:
        better = survey.better
        yield (
            f"{better.point} is poorly fixed: reading {better.start} to {better.end} as well would bring "
            f"±{length(better.now_mm, READ)} to ±{length(better.then_mm, READ)}."
        )
    yield from against_job(job, survey.points)
    yield Z_AS_GIVEN + "." if any(r.reading.slant for r in survey.residuals) else "z is bracket.mount_face."


def _unchecked(survey: DistanceSurvey) -> list[str]:
    lonely = [residual.reading.name for residual in survey.residuals if residual.checked < UNCHECKED]
    return [f"Nothing checks {', '.join(lonely)}: a mistake there cannot be found."] if lonely else []


def written_places(job: Job) -> Mapping[str, tuple[float, float]]:
    """x and y of the mounts whose places the job gives itself."""
    mounts = job.mounts
    return {
        m.name: (float(m.given_x), float(m.given_y)) for m in mounts if m.given_x is not None and m.given_y is not None
    }


def against_job(job: Job, points: Sequence[Point]) -> Iterator[str]:
    """How far each place lies from what the job says, where it says something else than the survey can mean."""
    written = written_places(job)
    for point in points:
        if point.name not in written:
            continue
        off = math.dist((point.x_mm, point.y_mm), written[point.name])
        if off > point.within_95_mm:
            yield (
                f"The job puts {point.name} {length(off, READ)} from here, more than the survey's 95 %; a build uses "
                "what the job says until --write puts this into it."
            )
