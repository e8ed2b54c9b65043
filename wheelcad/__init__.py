"""wheelcad: missing-tooth crank trigger wheels for the home shop.

One YAML job file describes one conversion; from it come every file and every number the shop needs, each measured
back from what was written. A script uses these functions:

    job = load_job("configs/tarn-six.yaml")     # what was written, validated and frozen
    design = design_job(job)                    # every number that follows from it
    result = build_job("configs/tarn-six.yaml") # every file, whole or not at all, with its findings
    result = check_folder("outputs/tarn-six")   # the same files measured again
    ended = build_many(["a.yaml", "b.yaml"])    # many jobs, each with how it ended

All but the last raise a `wheelcad.errors.JobError` that holds every fault found.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from wheelcad.build import build_job, check_folder
    from wheelcad.job.reader import load_job
    from wheelcad.many import build_many
    from wheelcad.parts.design import design_job

__all__ = ["build_job", "build_many", "check_folder", "design_job", "load_job"]

_HOMES = {
    "build_job": "wheelcad.build",
    "build_many": "wheelcad.many",
    "check_folder": "wheelcad.build",
    "design_job": "wheelcad.parts.design",
    "load_job": "wheelcad.job.reader",
}


def __getattr__(name: str) -> Any:
    """Load a public function when it is first used, so that importing wheelcad costs nothing."""
    if name in _HOMES:
        import importlib

        return getattr(importlib.import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'wheelcad' has no attribute {name!r}")
