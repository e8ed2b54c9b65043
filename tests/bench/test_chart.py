"""The chart against a process that only imports the libraries it needs. Run by hand, as test_build.py is.

Both in the same run. Where Python may not write bytecode, run `python -m compileall wheelcad` first: an installed
wheelcad is compiled.
"""

from __future__ import annotations

import subprocess
import sys
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


@pytest.mark.benchmark(group="the chart of the first demo")
@pytest.mark.parametrize("what", COMMANDS)
def test_chart_against_imports_alone(benchmark: pytest.FixtureRequest, what: str) -> None:
    benchmark.pedantic(run, args=(COMMANDS[what],), rounds=25, warmup_rounds=2)  # type: ignore[attr-defined]
