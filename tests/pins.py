"""Every number of many designs, and every finding on their files, as they were last approved: digests in pins.json.

    python -m tests.pins            what differs from the pins
    python -m tests.pins --pin      approve all as it is now

A pin proves no number right: that is what the other tests are for. It tells that a number has changed where nobody
meant to change one.
"""

from __future__ import annotations

import dataclasses
import hashlib
import json
import sys
import tempfile
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from tests.checks.sound import CUT, GROUPS, findings_of, groups_of, sound_design
from tests.conftest import DEMOS, demo_text
from tests.job.everything import PLATE, TURNED
from tests.unit_jobs import INCH_SIX
from wheelcad.job.models import Job
from wheelcad.job.reader import parse_job
from wheelcad.parts.design import Design, design_job

PINS = Path(__file__).resolve().parent / "pins.json"
FIGURES = 6  # significant ones: more would tell one processor from another
SOUND = 24  # seeds of tests.checks.sound_jobs, of which about half can be
TEXTS = {name: demo_text(name) for name in DEMOS} | {"inch-six": INCH_SIX, "turned-all": TURNED, "plate-all": PLATE}
SECTIONS = ("wheel", "blank", "adapter", "gauge", "bracket", "balance", "indexing", "ignition", "cam", "findings")


@lru_cache(maxsize=2)
def design_of(name: str) -> Design:
    """The design of a job by its name: one of TEXTS or sound-N."""
    if name in TEXTS:
        return design_job(parse_job(TEXTS[name], f"{name}.yaml"))
    design = sound_design(int(name.removeprefix("sound-")))
    assert design is not None
    return design


@lru_cache(maxsize=1)
def sound_names() -> tuple[str, ...]:
    """The seeds that make a job that can be."""
    return tuple(f"sound-{seed}" for seed in range(SOUND) if sound_design(seed) is not None)


def digest(value: Any) -> str:
    """The first figures of a hash of all numbers and words in a value."""
    return hashlib.sha256(json.dumps(_plain(value)).encode()).hexdigest()[:10]


def _plain(value: Any) -> Any:
    if isinstance(value, Job):
        return ""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if isinstance(value, np.ndarray):
        return _plain(value.tolist())
    if isinstance(value, bool | str) or value is None:
        return value
    if isinstance(value, int | float | np.number):
        return f"{float(value):.{FIGURES}g}" if abs(float(value)) > 1e-9 else "0"
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [_plain(item) for item in (sorted(value, key=str) if isinstance(value, set | frozenset) else value)]
    return _plain(vars(value)) if hasattr(value, "__dict__") else str(value)


def sections(name: str) -> dict[str, str]:
    """A design's digests by section."""
    design = design_of(name)
    return {section: digest(getattr(design, section)) for section in SECTIONS if getattr(design, section) is not None}


def measured(name: str, group: str) -> str:
    """The digest of what is found on a design's files of one kind (see tests.checks.sound.GROUPS)."""
    with tempfile.TemporaryDirectory(prefix="pins-") as folder:
        found = findings_of(group, design_of(name), Path(folder))
    return digest([[f.check, f.subject, f.limit, f.verdict, f.unit, _coarse(f.measured)] for f in found])


def _coarse(value: object) -> object:
    """A measured number to three figures, or to a millionth: meshes differ in their last ones."""
    return f"{round(value, 6):.3g}" if isinstance(value, int | float) else value


FILES = {
    "tarn-six": GROUPS, "fell-twin": ("wheel", "bracket", "adapter", "drawings"),
    "beck-four": ("wheel", CUT, "drawings"),
}  # fmt: skip


def files() -> list[tuple[str, str]]:
    """The kinds of files that are pinned: these of the demos, one of each sound job."""
    out = [(name, group) for name, some in FILES.items() for group in groups_of(design_of(name)) if group in some]
    for turn, name in enumerate(sound_names()):
        held = groups_of(design_of(name))
        out.append((name, held[turn % len(held)]))
    return out


def now() -> Iterator[tuple[str, str]]:
    """Every pin's name and digest as it is now."""
    for name in (*TEXTS, *sound_names()):
        for section, found in sections(name).items():
            yield f"{name}: {section}", found
    for name, group in files():
        yield f"{name}: files of {group}", measured(name, group)


def main(words: list[str]) -> int:
    """The command."""
    held = json.loads(PINS.read_text(encoding="utf-8")) if PINS.exists() else {}
    found = dict(now())
    for key in sorted({*held, *found}):
        if held.get(key) != found.get(key):
            print(f"{key}: {held.get(key, 'new')} -> {found.get(key, 'gone')}")
    if "--pin" in words:
        PINS.write_text(json.dumps(found, indent=0, sort_keys=True) + "\n", encoding="utf-8")
        return 0
    return int(held != found)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
