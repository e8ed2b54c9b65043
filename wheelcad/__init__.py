"""wheelcad: missing-tooth crank trigger wheels for the home shop.

One YAML job file describes one conversion; from it come every file and every number the shop needs, each measured
back from what was written. A script uses these functions:

    job = load_job("configs/tarn-six.yaml")     # what was written, validated and frozen
    design = design_job(job)                    # every number that follows from it; design_wheel(job): the teeth alone
    for one in sweep(job, "wheel.slot.width", (5, 5.5, 6), design_wheel): ...  # many designs that differ in one value
    result = build_job("configs/tarn-six.yaml") # every file, whole or not at all, with its findings
    result = check_folder("outputs/tarn-six")   # the same files measured again
    ended = build_many(["a.yaml", "b.yaml"])    # many jobs, each with how it ended
    signal_of(job).report()                     # what sensor and controller will see
    budget_of(job).report()                     # how far off the timing may be
    measure("wheel.stl", job="tarn-six.yaml")   # a real wheel: what went wrong with it, what can be saved

All but `sweep` and `build_many`, which tell it of each job, raise a `wheelcad.errors.JobError` that holds every fault.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from wheelcad.build import build_job, check_folder
    from wheelcad.job.reader import load_job
    from wheelcad.many import build_many
    from wheelcad.measure import measure
    from wheelcad.parts.design import design_job
    from wheelcad.parts.wheel.design import design_wheel
    from wheelcad.signalled import budget_of, signal_of
    from wheelcad.sweeps import sweep

__all__ = [
    "budget_of",
    "build_job",
    "build_many",
    "check_folder",
    "design_job",
    "design_wheel",
    "load_job",
    "measure",
    "signal_of",
    "sweep",
]

_HOMES = {
    "budget_of": "wheelcad.signalled",
    "build_job": "wheelcad.build",
    "build_many": "wheelcad.many",
    "check_folder": "wheelcad.build",
    "design_job": "wheelcad.parts.design",
    "design_wheel": "wheelcad.parts.wheel.design",
    "load_job": "wheelcad.job.reader",
    "measure": "wheelcad.measure",
    "signal_of": "wheelcad.signalled",
    "sweep": "wheelcad.sweeps",
}


def __getattr__(name: str) -> Any:
    """Load a public function when it is first used, so that importing wheelcad costs nothing."""
    if name in _HOMES:
        import importlib

        return getattr(importlib.import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'wheelcad' has no attribute {name!r}")
