"""The CAD kernel's own process: `python -m wheelcad.kernel`.

It starts importing the kernel at once, beside the reading of the job and the drawing of sheets, and then waits for
its one task: a design, a folder, and whether to write the solids before measuring them.
"""

from __future__ import annotations

import sys
from pathlib import Path

from wheelcad.apart import Say, serve
from wheelcad.files.figures import KernelResult


def _load() -> None:
    import cadquery  # noqa: F401


def _work(say: Say, design: object, folder: Path, write: bool) -> KernelResult:
    from wheelcad.checks.assembly import facing_turn_deg, step_meetings
    from wheelcad.checks.bracket_step import step_faces
    from wheelcad.checks.solids import step_figures
    from wheelcad.parts.design import Design
    from wheelcad.parts.solids import undrilled_wheel, write_solids

    assert isinstance(design, Design)
    if write:
        write_solids(design, folder, say)
    bracket = folder / "bracket.step"
    faces = step_faces(bracket) if bracket.exists() else ()
    assembly = folder / "assembly.step"
    meetings = step_meetings(assembly, facing_turn_deg(design)) if assembly.exists() else None
    return KernelResult(step_figures(folder), undrilled_wheel(design), faces, meetings)


def _words(error: Exception) -> str:
    if isinstance(error, ImportError):
        remedy = " (on Debian and Ubuntu: apt-get install libgl1)" if "libGL" in str(error) else ""
        return f"the CAD kernel cannot be loaded: {error}{remedy}"
    if isinstance(error, OSError):
        return f"{error.filename or 'a file'} cannot be written: {error.strerror}"
    return f"{type(error).__name__}: {error}"


if __name__ == "__main__":
    sys.exit(serve(_work, _words, _load))
