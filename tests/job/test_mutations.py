"""Random damage to good job files ends in a clean pass or in a JobError with a line: no traceback, and not without end.

200 mutations each time, 2,000 with -m slow, in one process, through reading and Design. A few of those that pass go
through the whole build as well. How fast any of it is, tests/bench measures; what is held here is processor time, this
process's and its children's, at many times what a sound job takes, as a guard against one that hangs or eats minutes.
A busy machine uses up no more of it.
"""

from __future__ import annotations

import os
import resource
import shutil
import signal
import subprocess
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
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

MOST_DESIGN_S = 30.0  # of processor, to read and design a job: some 300 times the usual
MOST_BUILD_S = 120.0  # of processor, to build it with all its processes: some 7 times the usual
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


class WithoutEndError(BaseException):
    """More processor was used than a job can take. No Exception: nothing on the way may take it for a job's fault."""


def _used_s() -> float:
    """Seconds of processor used by this process and by those children that have ended."""
    return sum(os.times()[:4])


@contextmanager
def _at_most(seconds: float) -> Iterator[None]:
    """Ends what this process does, or a child of it, after so many seconds of processor each, and counts them together.

    Raises WithoutEndError. A child that goes on for ever is ended by the system (RLIMIT_CPU); what waits is told. The
    signal comes again every second: code that is called back from C may swallow what is raised in it, and the system
    would then end the whole run.
    """

    def stop(*_: object) -> None:
        raise WithoutEndError(f"more than {seconds:g} s of processor")

    start, before, limit = _used_s(), signal.signal(signal.SIGPROF, stop), resource.getrlimit(resource.RLIMIT_CPU)
    own = resource.getrusage(resource.RUSAGE_SELF)
    most = int(own.ru_utime + own.ru_stime + seconds) + 5
    resource.setrlimit(resource.RLIMIT_CPU, (most if limit[1] < 0 else min(most, limit[1]), limit[1]))
    signal.setitimer(signal.ITIMER_PROF, seconds, 1.0)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0.0)
        signal.signal(signal.SIGPROF, before)
        resource.setrlimit(resource.RLIMIT_CPU, limit)
    if _used_s() - start > seconds:
        raise WithoutEndError(f"more than {seconds:g} s of processor, {_used_s() - start:.1f} s")


def _run(numbers: range, folder: Path) -> Counter[str]:
    outcomes: Counter[str] = Counter()
    wrong: list[str] = []
    path = folder / "job.yaml"
    _peak_kib(reset=True)
    for number in numbers:
        text = mutated(GOOD[number % len(GOOD)], number)
        path.write_text(text, encoding="utf-8", errors="surrogatepass", newline="")
        try:
            with _at_most(MOST_DESIGN_S):
                outcome = _outcome(path)
        except (Exception, WithoutEndError) as error:  # what a user must never see: collected, one run tells of all
            outcome = "traceback"
            wrong.append(f"{number}: {type(error).__name__}: {error}")
        if outcome.startswith("no line"):
            wrong.append(f"{number}: {outcome}")
        outcomes[outcome] += 1
    assert wrong == [], wrong  # said in words: a process of its own has no assertions that tell
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
            with _at_most(MOST_BUILD_S):
                result = wheelcad.build_job(path, out)
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
@pytest.mark.parametrize("first", range(4000, 4200, 50))
def test_a_part_goes_through_the_whole_build(first: int, tmp_path: Path) -> None:
    assert _afresh(_built, range(first, first + 50), 2, tmp_path) == 2


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


def _goes_on(_: object) -> None:
    while True:
        pass


def _run_without_end(folder: Path) -> None:
    wheelcad.design_job = _goes_on  # type: ignore[assignment]
    globals()["MOST_DESIGN_S"] = 0.5  # by then it is in there
    clean = next(n for n in range(100) if mutated(GOOD[n % len(GOOD)], n) == GOOD[n % len(GOOD)])
    _run(range(clean, clean + 1), folder)


def test_a_job_without_end_would_be_seen(tmp_path: Path) -> None:
    """In a process of its own, as all that is held to processor time: what the system ends is not the whole run."""
    with pytest.raises(AssertionError, match="WithoutEndError"):
        _afresh(_run_without_end, tmp_path)


def _child_of_little(work: str) -> None:
    with _at_most(0.2):
        subprocess.run([sys.executable, "-c", work], check=True)


def test_a_child_that_takes_too_much_would_be_seen() -> None:
    with pytest.raises(WithoutEndError):
        _afresh(_child_of_little, "import time\nwhile time.process_time() < 0.4: pass")


@pytest.mark.slow
def test_a_child_without_end_would_be_seen() -> None:
    """In a process of its own: the child may use as much as its parent has, and late in a run that is half an hour."""
    with pytest.raises(subprocess.CalledProcessError):
        _afresh(_child_of_little, "while True: pass")


def test_waiting_is_not_working() -> None:
    """A job that waits for its turn on a busy machine uses up nothing."""
    with _at_most(0.2):
        subprocess.run([sys.executable, "-Sc", "import time; time.sleep(0.5)"], check=True)
