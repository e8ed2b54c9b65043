"""Random damage to good job files ends in a clean pass or in a JobError with a line: no traceback, and not at length.

200 mutations each time, 2,000 with -m slow, in one process, through reading and Design. A few of those that pass go
through the whole build as well.
"""

from __future__ import annotations

import resource
import shutil
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import pytest

import wheelcad
from tests.conftest import DEMOS, demo_text
from tests.job import everything
from tests.job.mutate import mutated
from wheelcad.errors import JobError
from wheelcad.job.plausibility import likely_slips
from wheelcad.job.reader import load_job
from wheelcad.job.starter import starter_text

LONGEST = 10.0  # seconds
MOST_KIB = 1 << 20  # of memory: 1 GiB
GOOD = [*map(demo_text, DEMOS), starter_text(8, "24-2", 5.5, "in", "plate"), everything.TURNED, everything.PLATE]


def _outcome(path: Path) -> str:
    """clean, or the kind of JobError; anything else is raised. Every fault must say its line."""
    try:
        job = load_job(path)
        likely_slips(job)
        wheelcad.design_job(job)
    except JobError as error:
        missing = [fault for fault in error.faults if fault.line < 1 or fault.column < 1 or fault.file != str(path)]
        return f"no line: {missing[0].dotted} {missing[0].message}" if missing else type(error).__name__
    return "clean"


def _peak_kib(reset: bool = False) -> int:
    """Peak memory of this process in KiB, since the last reset where the system forgets it; 0 where it cannot say."""
    try:
        if reset:
            Path("/proc/self/clear_refs").write_text("5")
        status = Path("/proc/self/status").read_text()
    except OSError:
        return 0
    return int(status.split("VmHWM:")[1].split()[0])


def _run(numbers: range, folder: Path) -> Counter[str]:
    outcomes: Counter[str] = Counter()
    wrong: list[str] = []
    path = folder / "job.yaml"
    _peak_kib(reset=True)
    for number in numbers:
        text = mutated(GOOD[number % len(GOOD)], number)
        path.write_text(text, encoding="utf-8", errors="surrogatepass", newline="")
        start = time.perf_counter()
        try:
            outcome = _outcome(path)
        except Exception as error:  # what a user must never see: collected, so that one run tells of all
            outcome = "traceback"
            wrong.append(f"{number}: {type(error).__name__}: {error}")
        took = time.perf_counter() - start
        if took > LONGEST or outcome.startswith("no line"):
            wrong.append(f"{number}: {outcome}, {took:.1f} s")
        outcomes[outcome] += 1
    assert wrong == []
    assert _peak_kib() < MOST_KIB
    return outcomes


def _afresh(work: Callable[..., Any], *args: object) -> Any:
    """Work done in a process of its own: one that ran other tests has, as have its children, those tests' memory."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        return pool.submit(work, *args).result()


def test_200_mutations(tmp_path: Path) -> None:
    outcomes = _afresh(_run, range(200), tmp_path)
    # the mutations must reach every stage, or they show nothing
    assert outcomes["clean"] >= 20
    assert outcomes["DesignError"] >= 10
    assert outcomes["JobValueError"] >= 30
    assert outcomes["JobSyntaxError"] >= 20


@pytest.mark.slow
@pytest.mark.parametrize("first", range(200, 2200, 250))
def test_2000_mutations(first: int, tmp_path: Path) -> None:
    _afresh(_run, range(first, first + 250), tmp_path)


def _built(numbers: range, wanted: int, folder: Path) -> int:
    """How many of the mutated jobs that pass were built whole; those refused must leave nothing behind."""
    path, out = folder / "job.yaml", folder / "outputs"
    built = 0
    for number in numbers:
        path.write_text(mutated(GOOD[number % len(GOOD)], number), encoding="utf-8", errors="surrogatepass", newline="")
        if _outcome(path) == "clean":
            if built == wanted:
                continue
            start = time.perf_counter()
            result = wheelcad.build_job(path, out)
            assert time.perf_counter() - start < LONGEST, number
            assert {path.name for path in (out / result.job.job).iterdir()} == set(result.files)
            shutil.rmtree(out)
            built += 1
        else:
            with pytest.raises(JobError):
                wheelcad.build_job(path, out)
        assert not list(folder.rglob("*/*")), number
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss < MOST_KIB  # of the largest process
    return built


def test_what_is_refused_leaves_nothing_behind(tmp_path: Path) -> None:
    assert _afresh(_built, range(3000, 3020), 0, tmp_path) == 0


@pytest.mark.slow
@pytest.mark.parametrize("first", range(4000, 4400, 50))
def test_a_part_goes_through_the_whole_build(first: int, tmp_path: Path) -> None:
    assert _afresh(_built, range(first, first + 50), 5, tmp_path) == 5


def test_a_mutation_is_the_same_every_time() -> None:
    assert [mutated(GOOD[0], n) for n in range(30)] == [mutated(GOOD[0], n) for n in range(30)]
    assert sum(mutated(GOOD[0], n) != GOOD[0] for n in range(300)) > 270


def test_a_traceback_and_a_fault_without_a_line_would_be_seen(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stumbles(_: object) -> None:
        raise ZeroDivisionError

    def forgets(_: object) -> None:
        raise JobError("somewhere")

    monkeypatch.setattr(wheelcad, "design_job", stumbles, raising=False)
    with pytest.raises(AssertionError, match="ZeroDivisionError"):
        _run(range(40), tmp_path)
    monkeypatch.setattr(wheelcad, "design_job", forgets, raising=False)
    with pytest.raises(AssertionError, match="no line"):
        _run(range(40), tmp_path)
