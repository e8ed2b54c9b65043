"""What the slower parts read of a job is what `READS` says, and a kept outcome is the one worked out anew."""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

from tests.conftest import ROOT
from tests.job.everything import PLATE, TURNED
from wheelcad.errors import DesignError
from wheelcad.job.edit import put_text
from wheelcad.job.models import Job, Sensor
from wheelcad.job.reader import parse_job
from wheelcad.parts.balance.design import design_balance
from wheelcad.parts.bracket.design import design_bracket
from wheelcad.parts.bracket.judge import bracket_findings
from wheelcad.parts.design import design_job
from wheelcad.parts.gauge.design import design_gauge
from wheelcad.parts.kept import READS, Memory
from wheelcad.parts.places import settled
from wheelcad.parts.wheel.design import design_wheel

TEXTS = {path.stem: path.read_text(encoding="utf-8") for path in sorted((ROOT / "configs").glob("*.yaml"))}
TEXTS |= {"turned": TURNED, "plate": PLATE}  # every key there is
SEEN: set[str] = set()


class Watched(Job):
    """A job that notes what is read of it."""

    def __getattribute__(self, name: str) -> Any:
        if name in Job.model_fields or name == "source":
            SEEN.add(name)
        return super().__getattribute__(name)


class WatchedSensor(Sensor):
    """Its sensor."""

    def __getattribute__(self, name: str) -> Any:
        if name in Sensor.model_fields:
            SEEN.add(f"sensor.{name}")
        return super().__getattribute__(name)


@contextmanager
def watched(job: Job) -> Iterator[Job]:
    job = settled(job).with_source(job.source)
    if job.sensor is not None:
        sensor = job.sensor.model_copy()
        object.__setattr__(sensor, "__class__", WatchedSensor)
        job = job.model_copy(update={"sensor": sensor})
    object.__setattr__(job, "__class__", Watched)
    yield job


def _is_said(name: str, said: tuple[str, ...]) -> bool:
    whole = name.split(".")[0]
    return name in said or whole in said or ("." not in name and any(one.startswith(f"{name}.") for one in said))


LONG = pytest.mark.slow  # its obstacles are moved about one after another
NAMES = [pytest.param(name, marks=LONG) if name == "turned" else name for name in TEXTS]


@pytest.mark.parametrize("name", NAMES)
def test_the_parts_read_nothing_else_of_a_job(name: str) -> None:
    with watched(parse_job(TEXTS[name])) as job:
        wheel, bracket = design_wheel(job), design_bracket(job)
        parts = {
            "bracket": lambda: design_bracket(job),
            "bracket findings": lambda: bracket_findings(bracket) if bracket is not None else None,
            "gauge": lambda: design_gauge(job, wheel),
            "balance": lambda: design_balance(job, wheel),
        }
        assert set(parts) == set(READS)
        for part, make in parts.items():
            SEEN.clear()
            make()
            if part == "bracket findings":  # for jobs of the same file, with brackets elsewhere
                SEEN.discard("source")
            assert [seen for seen in sorted(SEEN) if not _is_said(seen, READS[part])] == [], part


CHANGES = [
    ("sensor.air_gap", ["0.7", "1", "1.2"]),
    ("sensor.at", ["300 deg", "311 deg", "60 deg"]),
    ("title", ["x", "y"]),
    ("wheel.slot.width", ["6.5", "7", "5"]),
    ("wheel.outside_diameter", ["159", "161", "170"]),
    ("balance.grade", ["G6.3", "G16"]),
    ("bracket.width", ["40", "48", "20"]),
    ("engine.max_speed", ["6000 rpm", "4000 rpm"]),
    ("gauge.covers", ["180 deg", "360 deg"]),
    ("bracket.plate.thickness", ["3/16 in", "4.7625", "5"]),
    ("shop.cutter.diameter", ["5", "6"]),
    ("sensor.face_diameter", ["5", "6"]),
    ("survey.read_to", ["0.5", "1"]),
    ("tolerances.gap_hot", ["0.1", "0.3"]),
    ("sensor.looks", ["along", "in"]),
    ("units", ["in", "mm"]),
]


def outcome(text: str, kept: Memory | None) -> Any:
    """What a text comes to, with or without what is kept."""
    try:
        design = design_job(parse_job(text), kept)
    except DesignError as error:
        return [str(fault) for fault in error.faults]
    bracket = design.bracket
    hz = None if bracket is None else (bracket.first_frequency_hz, bracket.asked.job == design.job)
    gauge = re.sub(" at 0x[0-9a-f]+", "", repr(design.gauge))
    return design.findings, design.balance.report(), gauge, hz, design.left_out


def test_one_design_after_another_is_as_each_alone() -> None:
    text, kept, dice = TEXTS["tarn-six"], Memory(), random.Random(22)
    for _ in range(12):
        key, values = dice.choice(CHANGES)
        try:
            changed = put_text(text, tuple(key.split(".")), dice.choice(values))
            parse_job(changed)
        except Exception:  # a change that makes no job: nothing to compare
            continue
        text = changed
        assert outcome(text, kept) == outcome(text, None), key
