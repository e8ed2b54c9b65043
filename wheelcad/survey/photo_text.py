"""What a survey by photographs says to a person: places, the face, each picture, and what to photograph better."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from wheelcad.job.models import Job
from wheelcad.survey.photos import BlockFace, PhotoSurvey
from wheelcad.survey.text import against_job, fixed, places, table, wrapped
from wheelcad.survey.words import clock
from wheelcad.words import Words, angle, count, length

FINE = 2  # decimals of a mm
FEW_PICTURES = 4
FEW_VIEWS = 3
NARROW_DEG = 25.0  # lines of sight that differ by less leave a place loose along them
POOR_MM = 1.0  # a place worse than this is remarked
LOOSE_PX = 1.0  # a picture that fits worse than this is blurred, or something in it is bent
LEAST_DEG = 0.1  # no glued card lies flatter
TILTED = 2.0  # times its own 95 % from which a tilt is told as one


def photo_text(job: Job, survey: PhotoSurvey) -> str:
    """The survey by photographs, for the terminal, in the job's unit."""
    words = Words(job.units)
    many = count(len(survey.points), "point")
    out = [f"{job.job}: {many} from {count(len(survey.photos), 'photograph')}", ""]
    out += places(survey.points, words, FINE)
    rows = [[seen.picture.file.name, str(seen.tags), f"{seen.reprojection_px:.2f}"] for seen in survey.photos]
    out += ["", *table(["picture", "tags", "fits to px"], rows), ""]
    lines = [*(_face(survey.face) if survey.face else []), *survey.said, *better(survey), *_bars(survey)]
    lines += against_job(job, survey.points)
    lines.append(
        f"The 95 % figures hold how well corners were seen and bars were read, and prints whose tags lie flat "
        f"to {length(0.1)} and whose edges stand no more than {length(0.2)} off their middles. They do not hold how "
        "well the disc sits on the crank and a card on its hole: off centre there is off by as much here."
    )
    return "\n".join([*out, *wrapped(words, lines)])


def _face(face: BlockFace) -> Iterator[str]:
    yield f"The block's face: z {length(face.z_mm, FINE)}, ± {length(face.within_95_mm, FINE)}."
    tilt = f"{angle(face.tilt_deg, 1)} ± {angle(max(face.tilt_95_deg, LEAST_DEG), 1)}"
    if face.tilt_deg > TILTED * max(face.tilt_95_deg, LEAST_DEG):
        falls = math.radians(face.falls_to_deg)
        way = clock(math.sin(falls), math.cos(falls))
        yield f"It leans {tilt} out of square to the crank, away from you towards {way}, as the cards lie on it."
    else:
        yield f"It is square to the crank as far as the cards can tell ({tilt})."


def better(survey: PhotoSurvey) -> Iterator[str]:
    """What to photograph better; empty where nothing would gain."""
    if len(survey.photos) < FEW_PICTURES:
        yield f"Only {count(len(survey.photos), 'picture')}: four to eight from different sides check each other."
    for point in survey.points:
        views = survey.views[point.name]
        if len(views) < FEW_VIEWS:
            files = " and ".join(survey.photos[k].picture.file.name for k in views)
            seen = "one picture" if len(views) == 1 else "two pictures"
            yield f"{point.name} is seen in {seen} only ({files}): take it into more, from other sides."
        elif survey.rays_deg[point.name] < NARROW_DEG:
            yield (
                f"{point.name} is seen from nearly one side in all pictures ({angle(survey.rays_deg[point.name], 0)} "
                "apart): take more from the left, right, above or below."
            )
        elif point.within_95_mm > POOR_MM:
            yield f"{point.name} is poorly fixed: closer pictures, from more sides, would mend that."
    for seen_in in survey.photos:
        if seen_in.reprojection_px > LOOSE_PX:
            yield f"{seen_in.picture.file.name} fits poorly: is it blurred, or a card not flat?"


def _bars(survey: PhotoSurvey) -> list[str]:
    if survey.bars.measured:
        return []
    return [
        "The bars were not given, so the print may be 3 % large or small and the 95 % figures hold that: measure bars "
        "A and B on the print and give them with --bars A,B."
    ]


def things(names: Sequence[str], words: Words, survey: PhotoSurvey) -> Iterator[str]:
    """Where things in the way are, and how the job is told."""
    for point in survey.points:
        if point.name in names:
            place = ", ".join(fixed(words, mm) for mm in (point.x_mm, point.y_mm, point.z_mm))
            yield (
                f"{point.name} in the way at x, y, z {place} {words.units}: --write puts it into bracket.obstacles, "
                "and its radius there is yours to mend."
            )
