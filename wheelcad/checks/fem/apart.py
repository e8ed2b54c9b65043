"""The finite elements in a process of their own: beside everything else, one thread, whatever the mesher does.

with Apart() as fem, Apart() as changes:
    changes.propose(design, job)          # needs no file: start it as soon as there is a design
    fem.solve(folder, design, job)        # once bracket.step is written
    result = replace(fem.result(say), proposals=changes.result(say))
"""

from __future__ import annotations

import contextlib
import os
import pickle
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from wheelcad.checks.fem.model import FemError
from wheelcad.job.models import Job
from wheelcad.parts.bracket.model import BracketDesign

# one thread each: sums are then taken in the same order every time, and two processes share two cores
ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
Say = Callable[[str], None]


def _silent(_: str) -> None:
    """Say nothing."""


class Apart:
    """One process that solves one task."""

    def __enter__(self) -> Apart:
        command = [sys.executable, "-m", "wheelcad.checks.fem"]
        self._process = subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, env={**os.environ, **ONE_THREAD}
        )
        return self

    def __exit__(self, *_: object) -> None:
        if self._process.poll() is None:
            self._process.kill()
        for pipe in (self._process.stdin, self._process.stdout):
            if pipe is not None:
                with contextlib.suppress(BrokenPipeError):
                    pipe.close()
        self._process.wait()

    def solve(self, folder: Path, design: BracketDesign, job: Job) -> None:
        """Start on bracket.step in the folder; `result` gives a StiffnessResult."""
        self._start(("solve", folder.absolute(), design, job))

    def propose(self, design: BracketDesign, job: Job) -> None:
        """Start on the changes that would stiffen the bracket; `result` gives a tuple of Proposals."""
        self._start(("propose", None, design, job))

    def _start(self, task: tuple[Any, ...]) -> None:
        assert self._process.stdin is not None
        with contextlib.suppress(BrokenPipeError):  # the answer says why it went
            pickle.dump(task, self._process.stdin)
            self._process.stdin.close()

    def result(self, say: Say = _silent) -> Any:
        """Wait for the answer; `say` hears of progress. Raises FemError."""
        assert self._process.stdout is not None
        while True:
            try:
                kind, what = pickle.load(self._process.stdout)
            except (EOFError, pickle.UnpicklingError):
                raise FemError("the finite elements' process ended without an answer") from None
            if kind == "result":
                return what
            if kind == "error":
                raise FemError(str(what))
            say(str(what))
