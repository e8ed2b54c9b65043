"""wheelcad: missing-tooth crank trigger wheels for the home shop.

One YAML job file describes one conversion; from it come every file and every number the shop needs, each measured
back from what was written. A script uses three functions:

    job = load_job("configs/tarn-six.yaml")     # what was written, validated and frozen
    design = design_job(job)                    # every number that follows from it
    result = build_job("configs/tarn-six.yaml") # every file, whole or not at all, with its findings

All raise a `wheelcad.errors.JobError` that holds every fault found.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from wheelcad.build import build_job
    from wheelcad.job.reader import load_job
    from wheelcad.parts.design import design_job

__all__ = ["build_job", "design_job", "load_job"]

_HOMES = {
    "build_job": "wheelcad.build",
    "design_job": "wheelcad.parts.design",
    "load_job": "wheelcad.job.reader",
}


def __getattr__(name: str) -> Any:
    """Load the three public functions when they are first used, so that importing wheelcad costs nothing."""
    if name in _HOMES:
        import importlib

        return getattr(importlib.import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'wheelcad' has no attribute {name!r}")
