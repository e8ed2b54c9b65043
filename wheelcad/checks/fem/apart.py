"""The finite elements in a process of their own: beside everything else, one thread, whatever the mesher does.

with Apart() as fem, Apart() as changes:
    changes.propose(design, job)          # needs no file: start it as soon as there is a design
    fem.solve(folder, design, job)        # once bracket.step is written
    result = replace(fem.result(say), proposals=changes.result(say))
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from wheelcad import apart
from wheelcad.checks.fem.model import FemError
from wheelcad.job.models import Job
from wheelcad.parts.bracket.model import BracketDesign

# one thread each: sums are then taken in the same order every time, and two processes share two cores
ONE_THREAD = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")


def _silent(_: str) -> None:
    """Say nothing."""


class Apart(apart.Apart):
    """One process that solves one task."""

    def __init__(self) -> None:
        super().__init__("wheelcad.checks.fem", "the finite elements' process", ONE_THREAD)

    def __enter__(self) -> Apart:
        super().__enter__()
        return self

    def solve(self, folder: Path, design: BracketDesign, job: Job) -> None:
        """Start on bracket.step in the folder; `result` gives a StiffnessResult."""
        self.give("solve", folder.absolute(), design, job)

    def propose(self, design: BracketDesign, job: Job) -> None:
        """Start on the changes that would stiffen the bracket; `result` gives a tuple of Proposals."""
        self.give("propose", None, design, job)

    def result(self, say: apart.Say = _silent) -> Any:
        """Wait for the answer; `say` hears of progress. Raises FemError."""
        try:
            return self.answer(say)
        except apart.TaskError as error:
            raise FemError(str(error)) from None
