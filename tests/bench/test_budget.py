"""Speed and memory of the timing budget and the gap map, beyond start-up. By hand, see DEVELOPERS.md."""

from __future__ import annotations

import resource
import subprocess
import sys
import time

from tests.conftest import demo_text
from tests.signal.wheels import edges_of, job_of
from wheelcad.job.reader import parse_job
from wheelcad.parts.options.row import option_of
from wheelcad.parts.options.timing import timing_of
from wheelcad.signal.budget import budget_of
from wheelcad.signal.gapmap import gap_map
from wheelcad.signal.inputs import inputs_of
from wheelcad.signal.quick import quick_report
from wheelcad.signal.report import signal_of

WHEELS = 200_000
MOST_S, MOST_BYTES = 2.0, 2**30


def cpu_s() -> float:
    """CPU seconds of this process: other work on the machine does not count."""
    return time.process_time()


def test_two_hundred_thousand_wheels(benchmark) -> None:  # type: ignore[no-untyped-def]
    """60-2 on a V8, the whole budget with shares and the best change."""
    job = job_of(8, teeth=60, missing=2)
    signal = signal_of(job, edges_of(job), field=False)
    started = cpu_s()
    budget_of(job, signal, count=WHEELS).report()
    assert cpu_s() - started < MOST_S
    benchmark.pedantic(lambda: budget_of(job, signal, count=WHEELS).report(), rounds=3)


def test_memory_of_two_hundred_thousand_wheels() -> None:
    """Peak resident memory of a process of its own less that before the budget."""
    code = (
        "import resource;from tests.bench.test_budget import peak_growth;"
        "print(peak_growth())"
    )  # fmt: skip
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert int(ran.stdout) < MOST_BYTES


def peak_growth() -> int:
    """Bytes by which the greatest resident size grows while the budget is worked out."""
    job = job_of(8, teeth=60, missing=2)
    signal = signal_of(job, edges_of(job), field=False)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    budget_of(job, signal, count=WHEELS).report()
    return 1024 * (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before)


def test_a_gap_map(benchmark) -> None:  # type: ignore[no-untyped-def]
    """36-1: under 1 s."""
    job = job_of(6)
    edges = edges_of(job)
    inputs = inputs_of(job, edges)
    started = cpu_s()
    assert gap_map(edges, inputs) is not None
    assert cpu_s() - started < 1.0
    benchmark.pedantic(lambda: gap_map(edges, inputs), rounds=3)


def test_a_live_figure(benchmark) -> None:  # type: ignore[no-untyped-def]
    """The design page's, from a job to its numbers: under 50 ms."""
    job = parse_job(demo_text("tarn-six"))
    quick_report(job, edges_of(job))
    started = cpu_s()
    quick_report(job, edges_of(job))
    assert cpu_s() - started < 0.05
    benchmark.pedantic(lambda: quick_report(job, edges_of(job)), rounds=5)


def test_a_thousand_patterns(benchmark) -> None:  # type: ignore[no-untyped-def]
    """The column of `options`: under 1 s for a thousand."""
    job = parse_job(demo_text("tarn-six"))
    options = [option_of(job, (n, m)) for m in range(1, 16) for n in range(max(12, m + 2), 80)][:1000]
    started = cpu_s()
    figures = timing_of(job, options)
    assert cpu_s() - started < 1.0
    assert sum(figure is not None for figure in figures) > 700
    benchmark.pedantic(lambda: timing_of(job, options), rounds=3)
