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
DRUM = """\
job: drum
engine: {cylinders: 4, max_speed: 6000}
wheel: {teeth: 36, missing: 1, outside_diameter: 120, thickness: 4, material: mild-steel, slot: {width: 5, depth: 6}}
pulley: {bore: 25, turned: [{length: 60, diameter: 108}, wheel, {length: 60, diameter: 108}]}
balance: {grade: G2.5, largest_drill: 6, faces: both}
"""
EDGE = """\
job: edge
wheel: {form: plate, teeth: 12, missing: 1, outside_diameter: 60, thickness: 4, bore: 45,
        slot: {width: 3, depth: 4, sides: parallel, floor: flat}}
shop: {rotary_table: {ratio: 40, diameter: 100, centre_height: 80},
       cutter: {diameter: 3, stick_out: 5, holder_diameter: 30}}
"""
TEXTS |= {"drum": DRUM, "edge": EDGE}
FLANGE = {"thread": None, "bolt": {"hole": 6.6, "offset": 20}, "body_diameter": 16}
GAPS = {"air_gap_range": [0.6, 1.0]}
MADE = {
    "z-flange": lambda: bracket_jobs.along_job(sensor={**FLANGE, **GAPS}, bracket={"bends": "hand"}),
    "z-behind": lambda: bracket_jobs.along_job(sensor={**FLANGE, **GAPS, "from": "back"}, bracket={"bends": "hand"}),
    "z-across": lambda: bracket_jobs.along_job(sensor={**FLANGE, "senses": "across"}, bracket={"adjust": 0}),
    "z-along": lambda: bracket_jobs.along_job(sensor={**FLANGE, "senses": "along-crank"}),
    "flat-barrel": lambda: bracket_jobs.flat_job(),
    "flat-flange": lambda: bracket_jobs.flat_job(sensor=FLANGE),
    "l-flange": lambda: bracket_jobs.in_job(),
    "l-outwards": lambda: bracket_jobs.in_job(sensor={"nose_length": 10.1}, bracket={"bends": "hand"}),
    "l-gap": lambda: bracket_jobs.in_job(sensor=GAPS, bracket={"bends": "hand", "adjust": 0}),
    "l-middle": lambda: bracket_jobs.along_job(bracket={"mounts": [{"x": 0, "y": 0, "hole": 9}]}),
    "l-bare": lambda: bracket_jobs.in_job(sensor={"body_diameter": None, "nose_length": None}),
    "l-tight": lambda: bracket_jobs.in_job(sensor={"nose_length": 4}),
    "l-bolt": lambda: bracket_jobs.in_job(sensor={"bolt": {"hole": 6.6, "offset": 24}, "senses": "along-crank"}),
    "l-low": lambda: bracket_jobs.in_job(bracket={"mount_face": -19.5}, sensor={"senses": "along-crank"}),
}
CHOSEN = Path(__file__).with_name("figure_jobs.txt")
RANDOM = {"bracket": bracket_jobs.random_job, "gauge": gauge_jobs.random_gauge_job}


@cache
def names() -> tuple[str, ...]:
    """Every job whose figures are kept."""
    return tuple(CHOSEN.read_text(encoding="utf-8").splitlines())


def job_named(name: str) -> Job:
    """The job of a name. A JobError where its file is refused."""
    if name in MADE:
        return MADE[name]()
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
