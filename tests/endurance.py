"""Hundreds of builds in one process, whose memory must stay flat. Run by hand, the figures go into the closing note:

    python -m tests.endurance 500

The three demos in turn, without packet and finite elements, by one kernel's process that stays warm. Each build's ring
is a little thinner than the one before, so that its solids are made anew and what the session keeps is replaced over
and over. Memory is what this process and the kernel's hold between two builds (resident set size, Linux). What came out
last stands in endurance.json.
"""

from __future__ import annotations

import gc
import json
import re
import sys
import tempfile
import time
from fractions import Fraction
from pathlib import Path

import psutil

from tests.conftest import DEMOS, demo_text
from wheelcad.build import build_job
from wheelcad.kernel import Kernel

FLAT = 0.05  # share by which the end may lie over the beginning
WARM = 15  # builds until every library is loaded and what is kept is full
THINNER = Fraction(1, 10_000)  # of the ring's thickness from one build to the next, begun again after ROUND builds
ROUND = 150
REPORT_EVERY = 25
WHOLE = 500  # builds, from which on the result is kept
RESULT = Path(__file__).with_suffix(".json")


def growth(held: list[float]) -> float:
    """By which share the last fifth lies over the first fifth, each by its mean."""
    part = max(1, len(held) // 5)
    first, last = held[:part], held[-part:]
    return sum(last) / len(last) / (sum(first) / len(first)) - 1


def job_text(number: int) -> str:
    """The job of a build: a demo with its ring thinned."""
    text = demo_text(DEMOS[number % len(DEMOS)])
    found = re.search(r"^  thickness: (\S+)$", text, re.MULTILINE)
    assert found is not None
    thin = float(Fraction(found[1]) * (1 - THINNER * (number % ROUND)))
    return f"{text[: found.start(1)]}{thin:.7f}{text[found.end(1) :]}"


def endure(count: int, folder: Path) -> tuple[list[float], list[float]]:
    """MB of this process and of the kernel's after each of so many builds, those that warm up left out."""
    own: list[float] = []
    kernels: list[float] = []
    start = time.monotonic()
    with Kernel() as kernel:
        here = psutil.Process()
        (there,) = here.children()
        for number in range(WARM + count):
            job = folder / f"{DEMOS[number % len(DEMOS)]}.yaml"
            job.write_text(job_text(number), encoding="utf-8")
            result = build_job(job, folder / "out", packet=False, fem=False, kernel=kernel)
            assert result.verdict != "fail", result.findings
            assert "wheel" not in kernel.reused or number >= ROUND
            del result
            gc.collect()
            if number >= WARM:
                own.append(here.memory_info().rss / 1e6)
                kernels.append(there.memory_info().rss / 1e6)
            if number >= WARM and len(own) % REPORT_EVERY == 0:
                took = (time.monotonic() - start) / (number + 1)
                print(
                    f"{len(own)} builds, {took:.2f} s each: {own[-1]:.0f} MB, kernel {kernels[-1]:.0f} MB", flush=True
                )
    return own, kernels


def main() -> int:
    """Build as often as the command line says; 1 where memory grew by more than FLAT."""
    with tempfile.TemporaryDirectory(prefix="wheelcad-endurance-") as name:
        own, kernels = endure(int(sys.argv[1]) if len(sys.argv) > 1 else WHOLE, Path(name))
    grown = growth(own), growth(kernels)
    result = {
        "builds": len(own),
        "grown": {"own": round(grown[0], 4), "kernel": round(grown[1], 4)},
        "at_the_end_mb": {"own": round(own[-1]), "kernel": round(kernels[-1])},
    }
    if len(own) >= WHOLE:
        RESULT.write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")
    print(f"{len(own)} builds: this process {grown[0]:+.1%}, the kernel's {grown[1]:+.1%}; at most {FLAT:+.0%} is flat")
    return int(max(grown) > FLAT)


if __name__ == "__main__":
    sys.exit(main())
