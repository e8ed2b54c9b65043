"""Sound jobs draw no false alarm: one whole, ten by their quick files in the usual run, 200 whole in the slow one.

`python -m tests.checks.sound` takes 1,000.
"""

from __future__ import annotations

from itertools import count, islice
from pathlib import Path

import pytest

from tests.checks.sound import alarms, cheap_alarms, sound_design
from tests.checks.sound_jobs import random_text


def test_a_seed_is_a_job() -> None:
    assert random_text(7) == random_text(7) != random_text(8)
    texts = [random_text(seed) for seed in range(60)]
    for word in ("units: in", "units: mm", "plate,", "turned-down", "looks: along", "anticlockwise", "round", "radial"):
        assert 5 < sum(word in text for text in texts) < 55, word


def sound(first: int, number: int) -> list[int]:
    """The first so many seeds that make a job that can be."""
    return list(islice((seed for seed in count(first) if sound_design(seed) is not None), number))


def _quiet(seed: int, folder: Path) -> None:
    design = sound_design(seed)
    assert design is not None
    assert alarms(design, folder) == []


def test_some_sound_jobs_draw_no_alarm(tmp_path: Path) -> None:
    first, *others = sound(0, 11)
    for seed in others:
        folder = tmp_path / str(seed)
        folder.mkdir()
        design = sound_design(seed)
        assert design is not None
        assert cheap_alarms(design, folder) == [], seed
    _quiet(first, tmp_path)


@pytest.mark.slow
def test_sound_jobs_draw_no_alarm(tmp_path: Path) -> None:
    for seed in sound(10_000, 200):
        folder = tmp_path / str(seed)
        folder.mkdir()
        _quiet(seed, folder)
