"""The whole build of the first demo against a process that only imports the heavy libraries. Run by hand:

    .venv/bin/python -m pytest tests/bench --benchmark-only --benchmark-enable

Wall time and peak memory of both, in the same run. Peak memory is the largest sum over the process and its children of
what each holds (proportional set size: shared pages count once), sampled from /proc every 20 ms (Linux), in runs of its
own: sampling takes a good part of a core from what it watches.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.conftest import ROOT

IMPORTS = [sys.executable, "-c", "import cadquery, trimesh, ezdxf"]


def build_command(out: Path) -> list[str]:
    """Build the first demo into `out`, no pictures or packet."""
    return [
        sys.executable,
        "-m",
        "wheelcad",
        "build",
        "configs/tarn-six.yaml",
        "--out",
        str(out),
        "--quiet",
        "--no-packet",
        "--no-fem",
    ]


def _family(pid: int) -> list[int]:
    out = [pid]
    for task in Path(f"/proc/{pid}/task").glob("*/children"):
        for child in task.read_text().split():
            out += _family(int(child))
    return out


def _resident(pid: int) -> int:
    """Bytes of the process that are its own or shared with nobody else counted here (proportional set size)."""
    try:
        for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
            if line.startswith("Pss:"):
                return int(line.split()[1]) * 1024
    except OSError:
        pass
    return 0


def run(command: list[str]) -> None:
    """The command and nothing beside it."""
    assert subprocess.run(command, cwd=ROOT).returncode == 0


def peak_mb(command: list[str]) -> float:
    """Peak memory in MB of a command and its children."""
    process = subprocess.Popen(command, cwd=ROOT)
    peak = 0
    while process.poll() is None:
        with contextlib.suppress(OSError):  # a process that has just ended
            peak = max(peak, sum(_resident(pid) for pid in _family(process.pid)))
        time.sleep(0.02)
    assert process.returncode == 0
    return peak / 1e6


MOST_TIMES_THE_IMPORTS = 2.0  # wall time and memory of a whole build against those of the bare imports


@pytest.mark.benchmark(group="whole build of the first demo")
def test_whole_build_against_imports_alone(benchmark: pytest.FixtureRequest, tmp_path: Path) -> None:
    command = build_command(tmp_path)
    imports = best_s(IMPORTS)
    benchmark.pedantic(run, args=(command,), rounds=5, warmup_rounds=1)  # type: ignore[attr-defined]
    times = benchmark.stats.stats.min / imports  # type: ignore[attr-defined]
    memory = min(peak_mb(command) for _ in range(3)) / min(peak_mb(IMPORTS) for _ in range(3))
    benchmark.extra_info.update(times_the_imports=times, memory_of_the_imports=memory)  # type: ignore[attr-defined]
    assert times < MOST_TIMES_THE_IMPORTS
    assert memory < MOST_TIMES_THE_IMPORTS


def best_s(command: list[str], rounds: int = 5) -> float:
    """Shortest wall time of a command, s, after one run that does not count."""
    out = []
    for _ in range(rounds + 1):
        start = time.perf_counter()
        run(command)
        out.append(time.perf_counter() - start)
    return min(out[1:])
