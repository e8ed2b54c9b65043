"""Sizes that cannot be meant: more than five times outside what the trade uses.

They are refused, and the likely slip is named; `allow: [key]` says that one is meant. A job whose bare lengths are in
the other unit is told of that first and alone: everything else that would be said of it comes of it. The ranges are
common practice, no source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from typing import Any

from wheelcad.errors import Fault, Key
from wheelcad.job.models import Job, Step
from wheelcad.job.plausibility import dotted, meant_instead, round_figure, shown, written_values
from wheelcad.job.sizes import SIZES
from wheelcad.units import UnitError, parse
from wheelcad.words import about

HEAVIEST = 200.0  # kg; pulleys of this kind weigh 2 to 8 kg, the largest 40
DENSITY = 7.2e-6  # kg/mm³: grey iron, the lightest that pulleys are made of
_LENGTH = re.compile(r"\{([0-9.]+)\}")
_UNIT = re.compile(r"[A-Za-zµμ\"'″′”]")  # what only a text with a unit of its own, or a word, holds
LEAST_SUSPECTS = 2  # one length in the wrong unit is that length's slip, several are the job's


def impossible_sizes(job: Job) -> list[Fault]:
    """A fault for every size that cannot be meant and that `allow` does not name."""
    out = []
    for key, value in written_values(job):
        name = dotted(key)
        size = SIZES.get(name)
        if size is None or size.least <= value <= size.most or is_allowed(job, name):
            continue
        low, high = (round_figure(end, size.kind) for end in (size.least, size.most))
        why = f"cannot be meant: {_reason(size.why)}"
        allowed = f"{low} to {high}; if it is meant, `allow: [{name}]` at the top of the file"
        out.append(
            Fault(why, key, found=shown(value, size.kind), allowed=allowed, hint=meant_instead(job.units, value, size))
        )
    return out or _too_heavy(job)


def _reason(why: str) -> str:
    return _LENGTH.sub(lambda found: about(float(found[1])), why)


def _too_heavy(job: Job) -> list[Fault]:
    """Sizes that may each be meant, of a pulley that nobody lifts."""
    steps = job.pulley.as_found if job.pulley is not None else ()
    mass = DENSITY * sum(math.pi / 4 * step.diameter**2 * step.length for step in steps if isinstance(step, Step))
    if mass <= HEAVIEST or is_allowed(job, "pulley.as_found"):
        return []
    other = "mm" if job.units == "in" else "in"
    return [
        Fault(
            "cannot be meant: pulleys of this kind weigh 2 to 8 kg",
            ("pulley", "as_found"),
            found=f"{mass:.0f} kg of iron",
            allowed=f"at most {HEAVIEST:.0f} kg; if it is meant, `allow: [pulley.as_found]` at the top of the file",
            hint=f"are its lengths and diameters in {other}?",
        )
    ]


def is_allowed(job: Job, name: str) -> bool:
    """Whether `allow` names this dotted key or a section it lies in."""
    return any(name == key or name.startswith(f"{key}.") for key in job.allow)


def unit_slip(data: Mapping[str, Any], job_units: str) -> Fault | None:
    """The fault of a job whose bare lengths are in the other unit than `units` says; None where they are not.

    data: the file's values as written, before they are judged one by one. Lengths that carry a unit say nothing; those
    that are usual in both units say nothing either. What is left must speak for the other unit two to one.
    """
    allow = data.get("allow")
    if isinstance(allow, list) and "units" in allow:
        return None
    other = "mm" if job_units == "in" else "in"
    suspects, sound = [], 0
    for key, text in _bare(data, ()):
        usual = SIZES.get(dotted(key))
        if usual is None or usual.kind != "length":
            continue
        try:
            here, there = (abs(parse(text, "length", unit)) for unit in (job_units, other))
        except UnitError:
            continue
        fits_here, fits_there = (usual.low <= value <= usual.high for value in (here, there))
        sound += fits_here and not fits_there
        if fits_there and not fits_here:
            suspects.append((key, text))
    if len(suspects) < LEAST_SUSPECTS or len(suspects) <= 2 * sound:
        return None
    told = ", ".join(f"{dotted(key)} {text}" for key, text in suspects[:3])
    words = {"mm": "millimetres", "in": "inches"}
    return Fault(
        f"is {job_units}{'' if 'units' in data else ' where nothing is said'}, but the bare lengths are {words[other]}",
        ("units",),
        found=told + (f" and {len(suspects) - 3} more" if len(suspects) > 3 else ""),
        allowed=f"units: {other} for such lengths; if they are meant, `allow: [units]`",
        hint=f"write `units: {other}` below `job:`" + ("" if "units" not in data else f" in place of {job_units}"),
    )


def _bare(value: Any, key: Key) -> Iterator[tuple[Key, Any]]:
    """Every value of the file's that is no section and no list, with its path."""
    if isinstance(value, Mapping):
        for name, inner in value.items():
            yield from _bare(inner, (*key, str(name)))
    elif isinstance(value, list | tuple):
        for i, inner in enumerate(value):
            yield from _bare(inner, (*key, i))
    elif isinstance(value, int | float) or (isinstance(value, str) and not _UNIT.search(value)):
        yield key, value
