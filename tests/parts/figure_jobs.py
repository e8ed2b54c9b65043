"""The jobs whose every figure is kept: by name, so that a table can hold them.

tarn-six                      a job of TEXTS
tarn-six 17 x1.25             the same with its 18th number times 1.25: refused as often as not, which is kept too
tarn-six depth: 10=depth: 26  the same with other words for some of its own; more of them behind a semicolon
sound-7, bracket-7, gauge-7   random jobs by their seeds
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from tests.checks.sound_jobs import random_text
from tests.conftest import DEMOS, demo_text, edited
from tests.job.everything import PLATE, TURNED
from tests.parts import bracket_jobs, gauge_jobs
from tests.unit_jobs import INCH_SIX
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job

TEXTS = {**{name: demo_text(name) for name in DEMOS}, "moss-six": INCH_SIX, "turned": TURNED, "plate": PLATE}
NUMBER = re.compile(r"(?<![\w.\"'/-])-?\d+(?:\.\d+)?(?![\w.\"'/:])")
CHOSEN = Path(__file__).with_name("figure_jobs.txt")
RANDOM = {"bracket": bracket_jobs.random_job, "gauge": gauge_jobs.random_gauge_job}


@cache
def names() -> tuple[str, ...]:
    """Every job whose figures are kept."""
    return tuple(CHOSEN.read_text(encoding="utf-8").splitlines())


def job_named(name: str) -> Job:
    """The job of a name. A JobError where its file is refused."""
    base, _, change = name.partition(" ")
    kind, _, seed = base.partition("-")
    if kind in RANDOM:
        return RANDOM[kind](int(seed))
    text = random_text(int(seed)) if kind == "sound" else TEXTS[base]
    return parse_job(_changed(text, change) if change else text, f"{base}.yaml")


def _changed(text: str, change: str) -> str:
    """A text with one number of it times a factor, or with one word for another."""
    change = change.replace("\\n", "\n")
    if "=" in change:
        return edited(text, *((old, new) for old, new in (one.split("=") for one in change.split("; "))))
    which, factor = change.split(" x")
    found = numbers_of(text)[int(which)]
    value = float(found[0]) * float(factor)
    if "." not in found[0] and value == int(value):
        value = int(value)
    return f"{text[: found.start()]}{value:.7g}{text[found.end() :]}"


def numbers_of(text: str) -> list[re.Match[str]]:
    """The numbers that a job file gives, outside its comments."""
    bare = re.sub(r"#.*", lambda found: " " * len(found[0]), text)
    return list(NUMBER.finditer(bare))
