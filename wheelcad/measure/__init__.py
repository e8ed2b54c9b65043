"""A real wheel from a mesh, a scan or a list of angles: `measure` for scripts, and the folder is called like it."""

from __future__ import annotations

import sys
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from wheelcad.measure.report import Measured


def measure(*files: str | Path, **asked: Any) -> Measured:
    """Measure the wheel in a file (or in several scans of one wheel): pattern, errors of every slot, what went wrong,
    what can be saved, unbalance (of a scan for each mm of thickness). `as_json()` is what `wheelcad measure --json`
    says.

    asked: the command's options by their names, all of them optional: job (the file it was meant to be), pattern
    ("36-1"), ratio (of the rotary table), dpi, diameter and bar (mm), face ("front", "back"), about ("bore", "rim"),
    turns ("clockwise", "anticlockwise"), report and write (files to write). Raises a JobError for what is no wheel,
    cannot be read or cannot be asked.
    """
    from dataclasses import fields

    from wheelcad.errors import Fault, JobValueError, nearest
    from wheelcad.measure.command import MeasureAsked
    from wheelcad.measure.command import measure as measure_files

    known = {field.name for field in fields(MeasureAsked)} - {"files"}
    for word in asked.keys() - known:
        near = nearest(word, known)
        raise JobValueError(
            Fault("is nothing that measure can be asked", file=word, hint=f"the nearest is {near}" if near else "")
        )
    if not files:
        raise JobValueError(Fault("a file to measure is needed", file="measure"))
    paths = {name: Path(value) for name in ("job", "report", "write") if (value := asked.get(name)) is not None}
    return measure_files(MeasureAsked(tuple(map(Path, files)), **{**asked, **paths}))


class _Callable(ModuleType):
    """`from wheelcad import measure` finds this folder once it is loaded; it does what the function does."""

    __call__ = staticmethod(measure)


sys.modules[__name__].__class__ = _Callable
