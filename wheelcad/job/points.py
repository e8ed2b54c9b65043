"""Names that a job gives to points and keys of its own: whether what a reading, the clock or `allow` names is there."""

from __future__ import annotations

import re

from wheelcad.errors import Fault, Faults, nearest
from wheelcad.job.models import Job
from wheelcad.job.survey import BOLT, CENTRE

_BOLT = re.compile(rf"{BOLT}[0-9]+")

HOW_MANY = "pulley.bolts.count says how many bolts there are"


def is_reserved(name: str) -> bool:
    """Whether readings call something else than a mount by this name."""
    return name == CENTRE or _BOLT.fullmatch(name) is not None


def point_names(job: Job) -> list[str]:
    """Every point a reading may name: centre, the pulley's bolts, the bracket's mounts."""
    count = job.bolts.count if job.bolts is not None else 0
    return [CENTRE, *(f"{BOLT}{n}" for n in range(1, count + 1)), *(mount.name for mount in job.mounts)]


def survey_faults(job: Job) -> list[Fault]:
    """Readings and clock places of points there are not, and mounts that neither x and y nor readings place."""
    faults = Faults()
    survey, names = job.survey, point_names(job)
    if survey is not None:
        for i, reading in enumerate(survey.readings):
            for word, name in (("from", reading.from_), ("to", reading.to)):
                if name not in names:
                    hint = HOW_MANY if _BOLT.match(name) else _hint(name, names)
                    why = "names a point there is not"
                    faults.add(("survey", "readings", i, word), why, found=name, allowed=", ".join(names), hint=hint)
            if reading.from_ == reading.to:
                faults.add(("survey", "readings", i), "goes from a point to itself", found=reading.to)
        mounts = [mount.name for mount in job.mounts]
        for name in survey.clock:
            if name not in mounts:
                key = ("survey", "clock", name)
                faults.add(key, "is no mount's name", found=name, allowed=", ".join(mounts), hint=_hint(name, mounts))
    _unplaced(job, faults)
    return list(faults)


def _unplaced(job: Job, faults: Faults) -> None:
    read = {name for r in (job.survey.readings if job.survey is not None else ()) for name in (r.from_, r.to)}
    for i, mount in enumerate(job.mounts):
        missing = [word for word, value in (("x", mount.given_x), ("y", mount.given_y)) if value is None]
        if not missing or (len(missing) == 2 and mount.name in read):
            continue
        key = ("bracket", "mounts", i)
        if len(missing) == 1:
            faults.add(key, f"has no {missing[0]}", allowed="both x and y, or neither and `survey` readings to it")
        else:
            allowed = f"x and y, or survey.readings such as {{from: centre, to: {mount.name}, is: 158.6}}"
            faults.add(key, "has no x and y, and `survey` has no reading to it", found=mount.name, allowed=allowed)


def unknown_allowed(job: Job) -> list[Fault]:
    """Entries of `allow` that are no key of the job file."""
    if not job.allow:
        return []
    from wheelcad.job import describe  # only a job that allows something waits for the list of keys

    known = describe.every_key()
    return [
        Fault(
            "names a key there is not",
            ("allow", i),
            found=key,
            allowed="keys such as pulley.as_found",
            hint=_home(key, known) or _hint(key, known),
        )
        for i, key in enumerate(job.allow)
        if key not in known
    ]


def _home(key: str, known: list[str]) -> str:
    """The whole key for its last word alone."""
    whole = [name for name in known if name.split(".")[-1] == key]
    return f"did you mean {' or '.join(f'`{name}`' for name in whole[:3])}?" if whole else ""


def _hint(word: str, words: list[str]) -> str:
    likely = nearest(word, words)
    return f"did you mean `{likely}`?" if likely else ""
