"""The process behind `fem.apart`: solves a bracket, or tries what would stiffen it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from wheelcad.apart import Say, serve
from wheelcad.checks.fem.model import FemError
from wheelcad.job.models import Job
from wheelcad.parts.bracket.model import BracketDesign


def _work(say: Say, kind: str, folder: Path, design: BracketDesign, job: Job) -> Any:
    if kind == "solve":
        from wheelcad.checks.fem.setup import bracket_stiffness

        return bracket_stiffness(folder, design, job)
    from wheelcad.checks.fem.proposals import proposals

    return proposals(design, job, say)


def _words(error: Exception) -> str:
    return str(error) if isinstance(error, FemError) else f"{type(error).__name__}: {error}"


if __name__ == "__main__":
    sys.exit(serve(_work, _words))
