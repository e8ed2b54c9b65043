"""A commented starter job that builds as it is: the answers to a few questions, and sizes in proportion to them."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import replace

from wheelcad import units as shop_units
from wheelcad.errors import Fault, JobValueError
from wheelcad.job.answers import AnswerError, read_answer
from wheelcad.job.models import DEVICE_NAMES, JOB_NAME
from wheelcad.job.schema import job_schema
from wheelcad.job.starter_sizes import quiet_below_rpm, sizes_for
from wheelcad.job.starter_text import FIRING_ORDERS, Writer, usual_pattern

__all__ = ["FIRING_ORDERS", "NAMED", "schema_text", "starter", "starter_text"]

UNITS = ("mm", "in")
NAMED = {
    "cylinders": "engine.cylinders",
    "pattern": "wheel.teeth",
    "diameter": "wheel.outside_diameter",
    "units": "units",
    "form": "wheel.form",
    "direction": "engine.turns",
    "sensor": "sensor.kind",
}
USUAL_MM, USUAL_IN = "160", "6 1/4"  # across the teeth, where nobody says


def starter_text(
    cylinders: int | str | None = None,
    pattern: str | None = None,
    diameter: float | str | None = None,
    units: str | None = None,
    form: str | None = None,
    *,
    name: str = "my-wheel",
    direction: str | None = None,
    sensor: str | None = None,
    given: Mapping[str, str] | None = None,
) -> str:
    """The text of a starter job. JobValueError, with every fault, for answers that make no job.

    pattern: teeth and missing ones, as 36-1. diameter: over the teeth, in `units` when bare. given: further values by
    dotted key, such as pulley.bore. What is None or not given is invented and marked so. The first line points editors
    at the schema, which belongs beside the job in a file called wheelcad-schema.json.
    """
    named = {
        "cylinders": cylinders, "pattern": pattern, "diameter": diameter, "units": units, "form": form,
        "direction": direction, "sensor": sensor,
    }  # fmt: skip
    said = {NAMED[key]: str(value) for key, value in named.items() if value is not None}
    return starter(name, said | dict(given or {})).text()


def starter(name: str, said: Mapping[str, str]) -> Writer:
    """The writer of the starter called `name` with the answers given by dotted key. JobValueError as starter_text."""
    faults: list[Fault] = []
    if not re.fullmatch(JOB_NAME.pattern, name) or len(name) > JOB_NAME.longest or name.lower() in DEVICE_NAMES:
        faults.append(Fault(f"should be {JOB_NAME.what}", ("name",), name))
    try:
        units = read_answer("units", said.get("units", "mm"), "mm").text
    except AnswerError:
        units = "mm"  # told below
    given: dict[str, str] = {}
    lengths: dict[str, float] = {}
    for key, text in said.items():
        try:
            answer = read_answer(key, text, units)
        except AnswerError as error:
            option = next((option for option, dotted in NAMED.items() if dotted == key), key)
            faults.append(Fault(str(error), (option,), text[:40], units=units))
            continue
        given[key] = answer.text
        if answer.value is not None:
            lengths[key] = answer.value
    if faults:
        raise JobValueError(faults)
    return _writer(name, units, given, lengths)


def _writer(name: str, units: str, given: Mapping[str, str], lengths: Mapping[str, float]) -> Writer:
    form, sensor = given.get("wheel.form", "turned-down"), given.get("sensor.kind", "hall")
    usual = USUAL_IN if units == "in" else USUAL_MM
    across = lengths.get("wheel.outside_diameter", shop_units.length_mm(usual, units))
    clockwise = given.get("engine.turns", "clockwise") == "clockwise"
    cylinders = int(given.get("engine.cylinders", "4"))
    teeth, missing = map(int, given.get("wheel.teeth", usual_pattern(cylinders)).split("-"))
    turned = form == "turned-down"
    try:
        sizes = sizes_for(teeth, across, units, clockwise, sensor == "reluctance", turned, lengths)
    except JobValueError as error:
        raise error.placed(lambda fault: replace(fault, units=units)) from None
    sizes = replace(sizes, max_speed=min(sizes.max_speed, quiet_below_rpm(cylinders)))
    return Writer(name, cylinders, teeth, missing, units, form, sensor, sizes, given)


def schema_text() -> str:
    """What belongs in wheelcad-schema.json beside the starter."""
    return json.dumps(job_schema(), indent=2, ensure_ascii=False) + "\n"
