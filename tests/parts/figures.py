"""Every number of a design, as a table that can be kept: to see that none changes unmeant.

    python -m tests.parts.figures          # writes figures.json anew; say in the commit why the numbers changed

No figure here is right because it stands here: what is right is held by tests/outside and by the tests of each part.
This one holds what they leave out still while something else is changed. A row is one field of one part, all its
entries together: how many, their sum, their sum weighted by their place, and the sum of their squares.
"""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Iterator, Mapping
from enum import Enum
from pathlib import Path
from typing import Any

import numpy as np

from tests.checks.sound import sound_design
from tests.conftest import DEMOS, demo_text
from tests.job.everything import PLATE, TURNED
from tests.unit_jobs import INCH_SIX
from wheelcad.findings import Finding
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import Design, design_job

FILE = Path(__file__).with_name("figures.json")
TEXTS = {**{name: demo_text(name) for name in DEMOS}, "moss-six": INCH_SIX, "turned": TURNED, "plate": PLATE}
SEEDS = tuple(range(3, 15))  # of the random sound jobs; one that the design refuses is left out
NAMES = (*TEXTS, *(f"sound-{seed}" for seed in SEEDS))
SAME = 1e-6  # relative and absolute: machines round differently, and sums of squares grow
DEEPEST = 12

Row = list[float]


def design_of(name: str) -> Design | None:
    """The design of one of NAMES; None where the random job is refused."""
    if name in TEXTS:
        return design_job(parse_job(TEXTS[name]))
    return sound_design(int(name.removeprefix("sound-")))


def figures(design: Design) -> dict[str, Row]:
    """The rows of a design, by the names of fields from the part down; findings by check, verdict and which number."""
    found: dict[str, list[float]] = {}
    for field in dataclasses.fields(design):
        for path, value in _numbers(getattr(design, field.name), field.name, 0):
            found.setdefault(path, []).append(value)
    return {path: _row(np.array(values)) for path, values in sorted(found.items())}


def _row(values: np.ndarray[Any, Any]) -> Row:
    place = np.arange(1, len(values) + 1)
    row = (len(values), values.sum(), (values * place).sum() / len(values), (values * values).sum())
    return [float(f"{float(value):.9g}") for value in row]


def _numbers(value: Any, path: str, deep: int) -> Iterator[tuple[str, float]]:
    """Every number in a value, in order, each under the name of the field that holds it."""
    if isinstance(value, Finding):
        at = f"findings {value.check} {value.verdict}"
        for which, number in (("measured", value.measured), ("limit", value.limit)):
            yield from _numbers(number, f"{at} {which}", deep)
    elif isinstance(value, bool | np.bool_):
        yield path, float(value)
    elif isinstance(value, int | float | np.number):
        yield path, float(value) if math.isfinite(value) else -1e9
    elif isinstance(value, np.ndarray) and value.dtype.kind in "fiub":
        for number in value.ravel().tolist():
            yield path, float(number)
    elif isinstance(value, Job | str | Enum | type) or deep > DEEPEST:
        return
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from _numbers(inner, f"{path}.{key}" if isinstance(key, str) else path, deep + 1)
    elif isinstance(value, tuple | list) and not hasattr(value, "_fields"):
        for inner in value:
            yield from _numbers(inner, path, deep + 1)
    elif dataclasses.is_dataclass(value) or hasattr(value, "_fields") or hasattr(value, "_vertices"):
        yield from _members(value, path, deep)


def _members(value: Any, path: str, deep: int) -> Iterator[tuple[str, float]]:
    fields = dataclasses.fields(value) if dataclasses.is_dataclass(value) else ()
    names = [field.name for field in fields] or list(getattr(value, "_fields", ())) or ["_vertices"]
    for name in names:
        yield from _numbers(getattr(value, name), f"{path}.{name}", deep + 1)
    for name in sorted(n for n in dir(type(value)) if isinstance(getattr(type(value), n), property)):
        told = getattr(value, name)
        if isinstance(told, bool | int | float | np.number | np.ndarray):
            yield from _numbers(told, f"{path}.{name}", deep + 1)


def all_figures() -> dict[str, dict[str, Row]]:
    """The rows of every design there is, by its name."""
    made = {name: design_of(name) for name in NAMES}
    return {name: figures(design) for name, design in made.items() if design is not None}


def kept() -> dict[str, dict[str, Row]]:
    """The rows of figures.json."""
    return dict(json.loads(FILE.read_text(encoding="utf-8")))


if __name__ == "__main__":
    rows = all_figures()
    lines = [
        f"{json.dumps(name)}: {{\n" + ",\n".join(f"{json.dumps(p)}: {json.dumps(row)}" for p, row in of.items()) + "\n}"
        for name, of in rows.items()
    ]
    FILE.write_text("{\n" + ",\n".join(lines) + "\n}\n", encoding="utf-8")
    print(f"{sum(map(len, rows.values()))} rows of {len(rows)} designs")
