"""The CAD kernel's own process: `python -m wheelcad.kernel`, and the end of it that others hold.

It starts importing the kernel at once, beside the reading of the job and the drawing of sheets, and then waits for
its one task: a design, a folder, whether to write the solids before measuring them, and whether to work out how stiff
the bracket is. What takes long is done in forks, which share what is loaded: the gauge, whose many letters take as long
as all other parts together, the field that the sensor sees, and the bracket's finite elements.
"""

from __future__ import annotations

import contextlib
import gc
import math
import sys
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from wheelcad.apart import Apart, Say, TaskError, Tell, beside, serve
from wheelcad.errors import BuildError, Fault, JobError, LibraryError
from wheelcad.libraries import hush, missing_words
from wheelcad.surroundings import ONE_THREAD

if TYPE_CHECKING:
    from wheelcad.arrays import Floats
    from wheelcad.checks.fem.model import Proposals, StiffnessResult
    from wheelcad.files.figures import BodyFigures, FaceFigure, KernelResult
    from wheelcad.parts.bracket.model import BracketDesign
    from wheelcad.parts.design import Design
    from wheelcad.parts.solids import Solids
    from wheelcad.signalled import Seen

    Read = tuple[dict[str, BodyFigures], dict[str, Floats]]  # figures and meshes of STEP files, by name

Answer = TypeVar("Answer")
ASIDE = "gauge"  # the part that is made in a fork
MISTAKE = (
    "a mistake of the program's own"  # what an error is about that neither the job nor the machine is to blame for
)
LIBRARY = "a library that is missing"
MEASURED, SEEN, STIFFNESS, CHANGES = "measured", "what the sensor sees", "stiffness", "changes"


class KernelMistakeError(Exception):
    """The program made a mistake in the kernel's process; the traceback of there is its note."""


class Kernel(Apart):
    """The caller's end: give it (design, folder, whether to write, whether to solve), then ask for what it found."""

    def __init__(self) -> None:
        super().__init__("wheelcad.kernel", "the CAD kernel's process", ONE_THREAD)

    def __enter__(self) -> Kernel:
        super().__enter__()
        return self

    def written(self, name: str, say: Say) -> None:
        """Wait until the files of the part, or of the assembly, are written. BuildError in the process's words."""
        self._part(name, say)

    def result(self, say: Say) -> KernelResult:
        """Wait for what it measured. BuildError in its words when it could not do its task."""
        result: KernelResult = self._part(MEASURED, say)
        return result

    def seen(self, say: Say) -> Seen:
        """Wait for what the sensor sees of the wheel written; only for a job that `signalled.can_be_seen`."""
        seen: Seen = self._part(SEEN, say)
        return seen

    def stiffness(self, say: Say) -> StiffnessResult:
        """Wait for how stiff the bracket is, and what would stiffen it. FemError when that could not be worked out."""
        solved, changes = self._part(STIFFNESS, say), self._part(CHANGES, say)
        for answer in (solved, changes):
            if isinstance(answer, Exception):
                raise answer
        result: StiffnessResult = solved.mended_by(changes)
        return result

    def _part(self, name: str, say: Say) -> Any:
        try:
            return self.wait_for(name, say)
        except TaskError as error:
            if error.about == MISTAKE:
                told = KernelMistakeError(str(error).rstrip().rsplit("\n", 1)[-1])
                told.add_note(str(error))  # for the file that holds the details
                raise told from None
            if error.about == LIBRARY:
                raise LibraryError(Fault(str(error), file="build")) from None
            if error.about:
                raise BuildError(Fault(str(error), key=(error.about,))) from None
            raise BuildError(Fault(str(error), file="build")) from None


def _load() -> None:
    """Import the kernel, without what only a viewer needs.

    A binding asks whether the display toolkit is there by importing all of it, a third of the whole time; that a small
    part of it is there answers as well. Nothing loaded here is ever garbage, so it need not be looked through.
    """
    hush()
    gc.disable()
    with contextlib.suppress(ImportError):  # another release may be packed otherwise: then it loads what it likes
        import vtkmodules.vtkCommonCore

        sys.modules.setdefault("vtk", vtkmodules.vtkCommonCore)
    import cadquery  # noqa: F401

    import wheelcad.parts.solids  # noqa: F401  # with all that a design is made of

    gc.freeze()
    gc.enable()


def _work(tell: Tell, design: Design, folder: Path, write: bool, solve: bool) -> None:
    solving = _Solving(design.bracket, folder) if solve and design.bracket is not None else None
    aside = beside(lambda: _aside(tell, design, folder, write)) if ASIDE in design.parts else _nothing
    from wheelcad.parts.solids import Solids, write_solids
    from wheelcad.signalled import can_be_seen, seen_in

    seeing: list[Callable[[], Seen]] = []

    def done(name: str) -> None:
        tell(name)
        if name == "wheel" and can_be_seen(design.job):
            seeing.append(beside(lambda: seen_in(folder, design.job, design.wheel)))
        if name == "bracket" and solving is not None:
            solving.start()

    solids = Solids(design)
    if write:
        write_solids(solids, folder, done, leave_out=(ASIDE,))
    else:  # they are there, or their checks will say so
        for name in design.parts:
            done(name)
    tell(MEASURED, _measured(solids, folder, aside))
    for seen in seeing:
        tell(SEEN, seen())
    if solving is not None:
        solved, changes = solving.both()
        tell(STIFFNESS, solved)
        tell(CHANGES, changes)


def _nothing() -> Read:
    return {}, {}


def _measured(solids: Solids, folder: Path, aside: Callable[[], Read]) -> KernelResult:
    from wheelcad.checks.assembly import facing_turn_deg, step_meetings
    from wheelcad.checks.bracket_step import step_faces
    from wheelcad.checks.solids import step_figures
    from wheelcad.files.brep import KernelError
    from wheelcad.files.figures import KernelResult, Meetings

    design, bracket, assembly = solids.design, folder / "bracket.step", folder / "assembly.step"
    faces: tuple[FaceFigure, ...] = ()
    meetings = None
    with contextlib.suppress(KernelError):  # a file that cannot be read holds nothing, which its checks will say
        faces = step_faces(bracket) if bracket.exists() else ()
    if assembly.exists():
        meetings = Meetings((), (), math.nan)
        with contextlib.suppress(KernelError):
            meetings = step_meetings(assembly, facing_turn_deg(design))
    figures, meshes = step_figures(folder, [name for name in design.parts if name != ASIDE])
    undrilled = solids.undrilled()
    more, meshed = aside()
    return KernelResult(figures | more, undrilled, faces, meetings, solids.before_readings(), meshes=meshes | meshed)


class _Solving:
    """The finite elements in two forks: what would stiffen the bracket at once, which has it on a coarse mesh, and the
    bracket on a finer one once it is written.

    Answers, or the FemError that says why there is none: a build goes on without them.
    """

    def __init__(self, bracket: BracketDesign, folder: Path) -> None:
        self._bracket, self._folder = bracket, folder
        self._changes = beside(self._propose)

    def _propose(self) -> Proposals:
        from wheelcad.checks.fem.mending import proposals

        return proposals(self._bracket)

    def _solve(self) -> StiffnessResult:
        from wheelcad.checks.fem.setup import bracket_fine

        return bracket_fine(self._folder, self._bracket)

    def start(self) -> None:
        """bracket.step is in the folder."""
        self._stiffness = beside(self._solve)

    def both(self) -> tuple[StiffnessResult | Exception, Proposals | Exception]:
        """Wait for how stiff the bracket is, and for what would stiffen it."""
        fine, changes = _or_why_not(self._stiffness), _or_why_not(self._changes)
        if isinstance(fine, Exception) or isinstance(changes, Exception):
            return fine, changes
        from wheelcad.checks.fem.setup import joined

        base = changes.base_mesh
        return _or_why_not(lambda: joined(self._folder, self._bracket, fine, base)), changes


def _or_why_not(answer: Callable[[], Answer]) -> Answer | Exception:
    from wheelcad.checks.fem.model import FemError

    try:
        return answer()
    except FemError as error:
        return error
    except ImportError as error:
        return FemError(missing_words(error) or str(error))
    except Exception as error:  # whatever a solver throws must reach the user as words
        return FemError(f"{type(error).__name__}: {error}")


def _aside(tell: Tell, design: Design, folder: Path, write: bool) -> Read:
    from wheelcad.checks.solids import step_figures
    from wheelcad.parts.solids import Solids, write_part_meshes, write_part_step

    if not write:
        return step_figures(folder, [ASIDE])
    solids = Solids(design)
    shape = write_part_step(solids, ASIDE, folder)
    figures = beside(lambda: step_figures(folder, [ASIDE]))
    write_part_meshes(solids, ASIDE, shape, folder)
    tell(ASIDE)
    return figures()


def _words(error: Exception) -> tuple[str, str]:
    if isinstance(error, ImportError):  # perhaps of the kernel itself: nothing that needs it can be imported here
        said = missing_words(error)
        return (said, LIBRARY) if said else (f"the CAD kernel cannot be loaded: {error}", "")
    from wheelcad.files.brep import KernelError
    from wheelcad.parts.solids import PartError

    if isinstance(error, PartError):
        part, said = error.args
        return f"the {part} could not be made; the CAD kernel said {said}", part
    if isinstance(error, OSError):
        return f"{error.filename or 'a file'} cannot be written: {error.strerror}", ""
    if isinstance(error, TaskError | KernelError | JobError):
        return str(error), ""
    return "".join(traceback.format_exception(error)), MISTAKE


if __name__ == "__main__":
    sys.exit(serve(_work, _words, _load))
