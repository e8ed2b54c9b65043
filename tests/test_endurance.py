"""Memory stays flat over many builds in one process; `python -m tests.endurance 500` is the whole of it."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.conftest import ROOT
from tests.endurance import FLAT, growth


def test_growth_is_seen() -> None:
    assert growth([100.0] * 50) == 0
    assert growth([100.0 + 0.2 * n for n in range(50)]) > FLAT
    assert growth([100.0 + (n % 3) for n in range(50)]) < FLAT


@pytest.mark.slow
def test_fifty_builds_in_one_process_are_flat() -> None:
    """In a process of its own: this one holds what other tests left."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.endurance", "50", "small"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
