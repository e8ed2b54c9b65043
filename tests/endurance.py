"""Hundreds of builds in one process, whose memory must stay flat. Run by hand, the figures go into the closing note:

    python -m tests.endurance 500          # the three demos in turn: most of an hour
    python -m tests.endurance 500 small    # bare wheels, turned and plate: ten minutes

Without packet and finite elements, by one kernel's process that stays warm. Each build's ring is a little thinner than
the one before, so that its solids are made anew and what the session keeps is replaced over and over. Memory is what
this process and the kernel's hold between two builds (resident set size, Linux; what the C library keeps of memory that
was given back does not count, it differs from run to run by a tenth). What came out last stands in endurance.json.
"""

from __future__ import annotations

import contextlib
import ctypes
import datetime
import gc
import json
import os
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
WARM = {"demos": 15, "small": 90}  # builds until every library is loaded and what is kept is full
SMALL = (
    "job: plate\nengine: {turns: anticlockwise, cylinders: 4, firing_order: [1, 3, 4, 2], max_speed: 6000}\n"
    "wheel:\n  form: plate\n  teeth: 36\n  missing: 1\n  outside_diameter: 150\n  thickness: 5\n  bore: 40\n"
    "  slot: {width: 5, depth: 5}\nshop: {rotary_table: {ratio: 90, dial_step: 0.05}}\n",
    "job: turned\nengine: {turns: clockwise, cylinders: 6, firing_order: [1, 5, 3, 6, 2, 4], max_speed: 4000}\n"
    "wheel:\n  form: turned-down\n  teeth: 24\n  missing: 2\n  outside_diameter: 140\n  thickness: 8\n"
    "  slot: {width: 6, depth: 5}\npulley: {bore: 32, as_found: [{length: 30, diameter: 150}], "
    "turned: [wheel, {length: 22, diameter: 100}]}\n"
    "shop: {rotary_table: {ratio: 40}}\n",
)
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


def job_text(number: int, kind: str) -> str:
    """The job of a build: a demo, or a small one, with its ring thinned."""
    texts = SMALL if kind == "small" else [demo_text(name) for name in DEMOS]
    text = texts[number % len(texts)]
    found = re.search(r"^  thickness: (\S+)$", text, re.MULTILINE)
    assert found is not None
    thin = float(Fraction(found[1]) * (1 - THINNER * (number % ROUND)))
    return f"{text[: found.start(1)]}{thin:.7f}{text[found.end(1) :]}"


def held_mb(process: psutil.Process) -> float:
    """MB that a process holds. Of this one the C library first gives back what nothing uses any more."""
    if process.pid == os.getpid():
        gc.collect()
        with contextlib.suppress(AttributeError, OSError):  # another C library
            ctypes.CDLL(None).malloc_trim(0)
    return float(process.memory_info().rss / 1e6)


def endure(count: int, folder: Path, kind: str) -> tuple[list[float], list[float]]:
    """MB of this process and of the kernel's after each of so many builds, those that warm up left out."""
    own: list[float] = []
    kernels: list[float] = []
    start = time.monotonic()
    with Kernel() as kernel:
        here = psutil.Process()
        (there,) = here.children()
        for number in range(WARM[kind] + count):
            job = folder / "job.yaml"
            job.write_text(job_text(number, kind), encoding="utf-8")
            result = build_job(job, folder / "out", packet=False, fem=False, kernel=kernel)
            assert result.verdict != "fail", result.findings
            assert "wheel" not in kernel.reused or number >= ROUND
            del result
            if number >= WARM[kind]:
                own.append(held_mb(here))
                kernels.append(held_mb(there))
            if own and len(own) % REPORT_EVERY == 0:
                took = (time.monotonic() - start) / (number + 1)
                print(
                    f"{len(own)} builds, {took:.2f} s each: {own[-1]:.0f} MB, kernel {kernels[-1]:.0f} MB", flush=True
                )
    return own, kernels


def main() -> int:
    """Build as often as the command line says; 1 where memory grew by more than FLAT."""
    count = next((int(word) for word in sys.argv[1:] if word.isdigit()), WHOLE)
    kind = "small" if "small" in sys.argv else "demos"
    with tempfile.TemporaryDirectory(prefix="wheelcad-endurance-") as name:
        own, kernels = endure(count, Path(name), kind)
    grown = growth(own), growth(kernels)
    result = {
        "date": datetime.datetime.now(datetime.UTC).date().isoformat(),
        "builds": len(own),
        "grown": {"own": round(grown[0], 4), "kernel": round(grown[1], 4)},
        "at_the_end_mb": {"own": round(own[-1]), "kernel": round(kernels[-1])},
    }
    if len(own) >= WHOLE:
        known = json.loads(RESULT.read_text(encoding="utf-8")) if RESULT.exists() else {}
        RESULT.write_text(json.dumps({**known, kind: result}, indent=1) + "\n", encoding="utf-8")
    print(f"{len(own)} builds: this process {grown[0]:+.1%}, the kernel's {grown[1]:+.1%}; at most {FLAT:+.0%} is flat")
    return int(max(grown) > FLAT)


if __name__ == "__main__":
    sys.exit(main())
