"""Sound jobs draw no false alarm: 60 by turns of the kinds of files in the usual run; 200 in the slow one, every second
of them whole and the others by turns.

`python -m tests.checks.sound` takes 1,000; the last result stands in result.json beside it.
"""

from __future__ import annotations

import json
from itertools import count, islice
from pathlib import Path

import pytest

from tests.checks.runs import RESULT
from tests.checks.sound import CUT, GROUPS, alarms_of, groups_of, sound_design, tried
from tests.checks.sound_jobs import random_text

LEAST_JOBS = 1000  # of the recorded runs
LOT = 10  # jobs of each slow test, so that two cores can share the 200
QUICK = ("bracket", "adapter", "cam", "blank", CUT, "paper")  # under half a second; the others every sixth time


def test_a_seed_is_a_job() -> None:
    assert random_text(7) == random_text(7) != random_text(8)
    texts = [random_text(seed) for seed in range(60)]
    for word in ("units: in", "units: mm", "plate,", "turned-down", "looks: along", "anticlockwise", "round", "radial"):
        assert 5 < sum(word in text for text in texts) < 55, word


def sound(first: int, number: int) -> list[int]:
    """The first so many seeds that make a job that can be."""
    return list(islice((seed for seed in count(first) if sound_design(seed) is not None), number))


def test_some_sound_jobs_draw_no_alarm(tmp_path: Path) -> None:
    taken = set()
    for turn, seed in enumerate(sound(0, 60)):
        design = sound_design(seed)
        assert design is not None
        held = groups_of(design)
        some = [group for group in held if (group in QUICK) == (turn % 6 > 0)] or held
        group = some[turn // 6 % len(some)]
        taken.add(group)
        folder = tmp_path / str(seed)
        folder.mkdir()
        assert alarms_of(group, design, folder) == [], (seed, group)
    assert len(taken) >= len(GROUPS) - 1


@pytest.mark.slow
@pytest.mark.parametrize("first", range(10_000, 12_000, 100))
def test_sound_jobs_draw_no_alarm(first: int) -> None:
    for turn, seed in enumerate(sound(first, LOT)):
        row = tried(seed, by_turns=turn % 2 == 1)
        assert row is not None
        assert row["alarms"] == [], seed


def test_the_last_long_run_drew_none() -> None:
    told = json.loads(RESULT.read_text(encoding="utf-8"))
    runs = [told[name] for name in told if name.startswith("sound")]
    assert sum(run["jobs"] for run in runs) >= LEAST_JOBS
    for run in runs:
        assert run["alarms"] == []
        assert run["jobs with an alarm"] == 0
