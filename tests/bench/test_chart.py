"""The chart against a process that only imports the libraries it needs. Run by hand, as test_build.py is.

Both in the same run. Where Python may not write bytecode, run `python -m compileall wheelcad` first: an installed
wheelcad is compiled.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.conftest import ROOT

COMMANDS = {
    "imports alone": [sys.executable, "-c", "import typer, pydantic, numpy, ruamel.yaml"],
    "chart": [str(Path(sys.executable).with_name("wheelcad")), "chart", "configs/tarn-six.yaml"],
}


def run(command: list[str]) -> None:
    """The command, its words thrown away."""
    assert subprocess.run(command, cwd=ROOT, stdout=subprocess.DEVNULL).returncode == 0


MOST_TIMES_THE_IMPORTS = 2.0


@pytest.mark.benchmark(group="the chart of the first demo")
def test_chart_against_imports_alone(benchmark: pytest.FixtureRequest) -> None:
    took = []
    for _ in range(26):
        start = time.perf_counter()
        run(COMMANDS["imports alone"])
        took.append(time.perf_counter() - start)
    benchmark.pedantic(run, args=(COMMANDS["chart"],), rounds=25, warmup_rounds=2)  # type: ignore[attr-defined]
    times = benchmark.stats.stats.min / min(took[1:])  # type: ignore[attr-defined]
    benchmark.extra_info["times_the_imports"] = times  # type: ignore[attr-defined]
    assert times < MOST_TIMES_THE_IMPORTS
