"""The CAD kernel's own process: `python -m wheelcad.kernel`, and the end of it that others hold.

It starts importing the kernel at once, beside the reading of the job and the drawing of sheets, and then waits for
its one task: a design, a folder, and whether to write the solids before measuring them. The gauge, whose many letters
take as long as all else together, is made and measured in a fork beside the other parts.
"""

from __future__ import annotations

import contextlib
import gc
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from wheelcad.apart import Apart, Say, TaskError, beside, serve
from wheelcad.errors import BuildError, Fault

if TYPE_CHECKING:
    from wheelcad.files.figures import BodyFigures, KernelResult
    from wheelcad.parts.design import Design

ASIDE = "gauge"  # the part that is made in a fork


class Kernel(Apart):
    """The caller's end: give it (design, folder, whether to write), then ask for what it wrote and found."""

    def __init__(self) -> None:
        super().__init__("wheelcad.kernel", "the CAD kernel's process")

    def __enter__(self) -> Kernel:
        super().__enter__()
        return self

    def written(self, name: str, say: Say) -> None:
        """Wait until the files of the part, or of the assembly, are written. BuildError in the process's words."""
        try:
            self.wait_for(name, say)
        except TaskError as error:
            raise BuildError(Fault(str(error), file="build")) from None

    def result(self, say: Say) -> KernelResult:
        """Wait for what it measured. BuildError in its words when it could not do its task."""
        try:
            result: KernelResult = self.answer(say)
        except TaskError as error:
            raise BuildError(Fault(str(error), file="build")) from None
        return result


def _load() -> None:
    """Import the kernel, without what only a viewer needs.

    A binding asks whether the display toolkit is there by importing all of it, a third of the whole time; that a small
    part of it is there answers as well. Nothing loaded here is ever garbage, so it need not be looked through.
    """
    gc.disable()
    with contextlib.suppress(ImportError):  # another release may be packed otherwise: then it loads what it likes
        import vtkmodules.vtkCommonCore

        sys.modules.setdefault("vtk", vtkmodules.vtkCommonCore)
    import cadquery  # noqa: F401

    import wheelcad.parts.solids  # noqa: F401  # with all that a design is made of

    gc.freeze()
    gc.enable()


def _work(say: Say, design: Design, folder: Path, write: bool) -> KernelResult:
    from wheelcad.checks.assembly import facing_turn_deg, step_meetings
    from wheelcad.checks.bracket_step import step_faces
    from wheelcad.checks.solids import step_figures
    from wheelcad.files.figures import KernelResult
    from wheelcad.parts.solids import Solids, write_solids

    aside = beside(lambda: _aside(say, design, folder, write)) if ASIDE in design.parts else dict
    solids = Solids(design)
    if write:
        write_solids(solids, folder, say, leave_out=(ASIDE,))
    bracket = folder / "bracket.step"
    faces = step_faces(bracket) if bracket.exists() else ()
    assembly = folder / "assembly.step"
    meetings = step_meetings(assembly, facing_turn_deg(design)) if assembly.exists() else None
    figures = step_figures(folder, [name for name in design.parts if name != ASIDE])
    undrilled = solids.undrilled()
    return KernelResult(figures | aside(), undrilled, faces, meetings)


def _aside(say: Say, design: Design, folder: Path, write: bool) -> dict[str, BodyFigures]:
    from wheelcad.checks.solids import step_figures
    from wheelcad.parts.solids import Solids, write_part_meshes, write_part_step

    if not write:
        return step_figures(folder, [ASIDE])
    solids = Solids(design)
    shape = write_part_step(solids, ASIDE, folder)
    figures = beside(lambda: step_figures(folder, [ASIDE]))
    write_part_meshes(solids, ASIDE, shape, folder)
    say(ASIDE)
    return figures()


def _words(error: Exception) -> str:
    if isinstance(error, ImportError):
        remedy = " (on Debian and Ubuntu: apt-get install libgl1)" if "libGL" in str(error) else ""
        return f"the CAD kernel cannot be loaded: {error}{remedy}"
    if isinstance(error, OSError):
        return f"{error.filename or 'a file'} cannot be written: {error.strerror}"
    if isinstance(error, TaskError):
        return str(error)
    return f"{type(error).__name__}: {error}"


if __name__ == "__main__":
    sys.exit(serve(_work, _words, _load))
