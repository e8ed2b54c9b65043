"""Builds, checks and the chart against processes that only import what they need. By hand, on a quiet machine:

    python -m pytest tests/bench/test_build.py --benchmark-only --benchmark-enable -s

Each line is a ratio of medians out of one run, the reference timed between the others. Peak memory is the largest sum
over a process and its children of what each holds (proportional set size: shared pages count once), sampled from /proc
every 20 ms (Linux), in runs of its own: sampling takes a good part of a core from what it watches. Where Python may not
write bytecode, run `python -m compileall wheelcad` first: an installed wheelcad is compiled.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from statistics import median

import psutil
import pytest

from tests.conftest import ROOT, demo_text, edited

SIX = "configs/tarn-six.yaml"
KERNEL = (sys.executable, "-c", "import cadquery, trimesh, ezdxf")
LIGHT = (sys.executable, "-c", "import typer, pydantic, numpy, ruamel.yaml")
WHEELCAD = (sys.executable, "-m", "wheelcad")
PLAIN = ("--no-packet", "--no-fem", "--quiet")
MANY = 100
MOST_PEAK = 2**30  # bytes, of all processes together
LONGEST_S = 10.0
# One process that stays: the job is built, then built again, and only the second time counts.
WARM = """
import sys, time
from wheelcad import build_job
from wheelcad.kernel import Kernel
with Kernel() as kernel:
    for _ in range(2):
        start = time.monotonic()
        build_job(sys.argv[1], sys.argv[2], packet=False, fem=False, kernel=kernel)
        print(time.monotonic() - start)
"""


@dataclass(frozen=True)
class Ratio:
    """limit: of the command's median to the reference's. share: what counts of it. says: it prints its time."""

    command: tuple[str, ...]
    limit: float
    reference: tuple[str, ...] = KERNEL
    rounds: int = 5
    share: float = 1.0
    says: bool = False


RATIOS = {
    "build without packet and elements": Ratio((*WHEELCAD, "build", SIX, "--out", "{out}", *PLAIN), 1.0),
    "whole build": Ratio((*WHEELCAD, "build", SIX, "--out", "{out}", "--quiet"), 1.8),
    "check": Ratio((*WHEELCAD, "check", "{built}", "--quiet"), 1.0),
    "rebuild in a warm session": Ratio((sys.executable, "-c", WARM, SIX, "{out}"), 0.4, says=True),
    "each of 100 jobs": Ratio(
        (*WHEELCAD, "build", "{many}", "--out", "{out}", "--workers", "2", *PLAIN), 0.15, rounds=1, share=1 / MANY
    ),
    "120-2 of 300 mm": Ratio((*WHEELCAD, "build", "{large}", "--out", "{out}", *PLAIN), 1.5),
    "chart": Ratio((str(Path(sys.executable).with_name("wheelcad")), "chart", SIX), 1.25, LIGHT, rounds=25),
}


@pytest.fixture(scope="module")
def places(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """What stands for the words in braces: jobs and folders."""
    folder = tmp_path_factory.mktemp("bench")
    many = [folder / f"job-{number}.yaml" for number in range(MANY)]
    for number, path in enumerate(many):
        changes = ("job: tarn-six", f"job: job-{number}"), ("max_speed: 5200", f"max_speed: {4000 + 10 * number}")
        path.write_text(edited(demo_text("tarn-six"), *changes), encoding="utf-8")
    large = folder / "large.yaml"
    large.write_text(
        "job: large\nengine: {turns: clockwise, cylinders: 6, firing_order: [1, 5, 3, 6, 2, 4], max_speed: 3000}\n"
        "wheel: {form: plate, teeth: 120, missing: 2, outside_diameter: 300, thickness: 4, bore: 80, "
        "slot: {width: 3.5, depth: 5, floor: flat}}\nshop: {rotary_table: {ratio: 90, dial_step: 0.05}}\n",
        encoding="utf-8",
    )
    run([*WHEELCAD, "build", SIX, "--out", str(folder / "built"), "--quiet"])
    return {
        "{many}": [str(path) for path in many],
        "{large}": [str(large)],
        "{out}": [str(folder / "out")],
        "{built}": [str(folder / "built" / "tarn-six")],
    }


def run(command: list[str], says: bool = False) -> float:
    """Seconds that a command took, or that it says it took."""
    start = time.monotonic()
    done = subprocess.run(command, cwd=ROOT, stdout=subprocess.PIPE, text=True, check=True)
    return float(done.stdout.split()[-1]) if says else time.monotonic() - start


def peak_bytes(command: list[str]) -> int:
    """Peak memory of a command and its children."""
    process = psutil.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL)
    peak = 0
    while process.poll() is None:
        with contextlib.suppress(psutil.Error):  # a process that has just ended
            family = [process, *process.children(recursive=True)]
            peak = max(peak, sum(one.memory_full_info().pss for one in family))
        time.sleep(0.02)
    assert process.returncode == 0
    return peak


def filled(command: tuple[str, ...], places: dict[str, list[str]]) -> list[str]:
    return [word for part in command for word in places.get(part, [part])]


@pytest.mark.benchmark
@pytest.mark.parametrize("name", RATIOS)
def test_ratio(benchmark: pytest.FixtureRequest, name: str, places: dict[str, list[str]]) -> None:
    wanted = RATIOS[name]
    command = filled(wanted.command, places)
    took, reference = [], []
    run(list(wanted.reference))  # files are in memory from here on
    for _ in range(wanted.rounds):
        reference.append(run(list(wanted.reference)))
        took.append(run(command, wanted.says) * wanted.share)
    ratio = median(took) / median(reference)
    print(f"{name}: {median(took):.2f} s, {ratio:.2f} of its imports (at most {wanted.limit})")
    benchmark.extra_info["ratio"] = ratio  # type: ignore[attr-defined]
    benchmark.pedantic(lambda: None)  # type: ignore[attr-defined]
    assert ratio <= wanted.limit


@pytest.mark.benchmark
def test_peak_memory_of_a_whole_build(benchmark: pytest.FixtureRequest, places: dict[str, list[str]]) -> None:
    peak = max(peak_bytes(filled(RATIOS["whole build"].command, places)) for _ in range(3))
    print(f"peak of all processes together: {peak / 2**20:.0f} MiB")
    benchmark.pedantic(lambda: None)  # type: ignore[attr-defined]
    assert peak <= MOST_PEAK


@pytest.mark.benchmark
@pytest.mark.parametrize("paper", ["A4", "A3", "Letter", "Tabloid"])
@pytest.mark.parametrize("demo", ["tarn-six", "fell-twin", "beck-four"])
def test_no_job_takes_long(benchmark: pytest.FixtureRequest, tmp_path: Path, demo: str, paper: str) -> None:
    path = tmp_path / "job.yaml"
    path.write_text(f"paper: {paper}\n{demo_text(demo)}", encoding="utf-8")
    took = run([*WHEELCAD, "build", str(path), "--out", str(tmp_path), "--quiet"])
    print(f"{demo} on {paper}: {took:.1f} s")
    benchmark.pedantic(lambda: None)  # type: ignore[attr-defined]
    assert took <= LONGEST_S
