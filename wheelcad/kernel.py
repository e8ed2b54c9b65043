"""The CAD kernel's own process: `python -m wheelcad.kernel`, and the end of it that others hold.

It starts importing the kernel at once, beside the reading of the job and the drawing of sheets, and then waits for
its one task: a design, a folder, whether to write the solids before measuring them, whether to work out how stiff the
bracket is, and which parts are there already. What takes long is done in forks, which share what is loaded: the gauge,
whose many letters take as long as all other parts together, the field that the sensor sees, and the bracket's finite
elements.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import math
import sys
import traceback
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from wheelcad.errors import BuildError, Fault, JobError, LibraryError
from wheelcad.libraries import hush, missing_words
from wheelcad.processes import OwnProcess, Say, TaskError, Tell, beside, serve
from wheelcad.surroundings import ONE_THREAD

if TYPE_CHECKING:
    from wheelcad.arrays import Floats
    from wheelcad.checks.fem.model import BracketProposals, StiffnessResult
    from wheelcad.files.figures import AssemblyFound, BodyFigures, KernelResult, PartFound
    from wheelcad.kept import KeptPart
    from wheelcad.parts.bracket.model import BracketDesign
    from wheelcad.parts.design import Design
    from wheelcad.parts.solids import Solids
    from wheelcad.signal.flux import Flux
    from wheelcad.signal.view import Solved
    from wheelcad.signalled import SignalSeen

Answer = TypeVar("Answer")
LATER = (  # what a task loads as it comes to it, and what is not loaded yet when the first one has been done
    "wheelcad.checks.everything",
    "wheelcad.checks.fem.mending",
    "wheelcad.checks.fem.setup",
    "wheelcad.parts.adapter.solid",
    "wheelcad.parts.assembly.solid_files",
    "wheelcad.parts.blank.solid",
    "wheelcad.parts.bracket.solid",
    "wheelcad.parts.cam.solid",
    "wheelcad.parts.gauge.solid",
    "wheelcad.parts.wheel.solid",
    "wheelcad.signal.field",
    "wheelcad.signalled",
    "lib3mf",
)
MISTAKE = "a mistake of the program's own"  # what an error is about that is neither the job's nor the machine's
LIBRARY = "a library that is missing"
MEASURED, SEEN, STIFFNESS, CHANGES = "measured", "what the sensor sees", "stiffness", "changes"


class KernelMistakeError(Exception):
    """The program made a mistake in the kernel's process; the traceback of there is its note."""


class Kernel(OwnProcess):
    """The caller's end: give it (design, folder, whether to write, whether to solve), then ask for what it found."""

    def __init__(self, lasts: bool = True) -> None:
        """lasts: whether more than one design may come: then what is made of each is kept for the next."""
        from wheelcad.kept import MOST_BYTES, Memo

        super().__init__("wheelcad.kernel", "the CAD kernel's process", ONE_THREAD, lasts=lasts)
        self.memo = Memo(MOST_BYTES if lasts else 0)
        self._known: dict[str, KeptPart] = {}
        self._seen: SignalSeen | None = None
        self._stiff: StiffnessResult | None = None
        self._stiff_key = ""
        self._fluxes: dict[Solved, Flux] = {}

    def start(self, design: Design, folder: Path, write: bool, solve: bool) -> None:
        """Hand over a design. write: whether its solids are written into the folder before they are measured; solve:
        whether the bracket's stiffness is worked out.

        Parts that this session has made already from the same numbers are not made again: their files are put there.
        """
        from wheelcad.kept import ASIDE, WHEEL, for_solids, part_keys, put_files, stiffness_key
        from wheelcad.parts.gauge.printing import write_gauge_3mf

        bare = for_solids(design)
        self._design, self._folder = design, folder
        self._keys = part_keys(bare) if write and self.memo.keeps else {}
        kept = {name: self.memo.get(key) for name, key in self._keys.items()}
        self._known = {name: one for name, one in kept.items() if one is not None}
        called = design.job.job
        for one in self._known.values():
            put_files(one, called, folder)
        if ASIDE in self._known and design.gauge is not None:
            write_gauge_3mf(folder, design.gauge, f"{called} {ASIDE}")
        mesh = self._known["wheel"].files[WHEEL] if "wheel" in self._known else None
        self._seen = None if mesh is None else self.memo.get(_seen_key(design, mesh))
        keeps = solve and bool(self._keys) and design.bracket is not None
        self._stiff_key = stiffness_key(design, bare) if keeps else ""
        self._stiff = self.memo.get(self._stiff_key) if keeps else None
        solve = solve and self._stiff is None
        self.give(design, bare, folder, write, solve, frozenset(self._known), self._seen is None, self._fluxes)

    @property
    def reused(self) -> tuple[str, ...]:
        """The parts of this task that were made by an earlier one."""
        return tuple(self._known)

    @property
    def has_all(self) -> bool:
        """Whether nothing of this task has to be made: every file of its solids is in the folder."""
        return bool(self._keys) and self._keys.keys() == self._known.keys()

    def written(self, name: str, say: Say) -> None:
        """Wait until the files of the part, or of the assembly, are written. BuildError in the process's words."""
        if name not in self._known:
            self._part(name, say)

    def result(self, say: Say) -> KernelResult:
        """Wait for what it measured. BuildError in its words when it could not do its task."""
        from wheelcad.kept import taken, together

        found: dict[str, PartFound | AssemblyFound] = self._part(MEASURED, say)
        for name in found:
            if name in self._keys:
                self.memo.put(self._keys[name], taken(name, self._design.job.job, found[name], self._folder))
        whole = found | {name: kept.found for name, kept in self._known.items()}
        return together(self._design.parts, whole)

    def seen(self, say: Say) -> SignalSeen:
        """Wait for what the sensor sees of the wheel written; only for a job that `signalled.can_be_seen`."""
        from wheelcad.kept import WHEEL

        if self._seen is None:
            self._seen, self._fluxes = self._part(SEEN, say)
            if self._keys:
                self.memo.put(_seen_key(self._design, (self._folder / WHEEL).read_bytes()), self._seen)
        return self._seen

    def stiffness(self, say: Say) -> StiffnessResult:
        """Wait for how stiff the bracket is, and what would stiffen it. FemError when that could not be worked out."""
        if self._stiff is not None:
            return self._stiff
        solved, changes = self._part(STIFFNESS, say), self._part(CHANGES, say)
        for answer in (solved, changes):
            if isinstance(answer, Exception):
                raise answer
        result: StiffnessResult = solved.mended_by(changes)
        if self._stiff_key:
            self.memo.put(self._stiff_key, result)
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


def _seen_key(design: Design, mesh: bytes) -> str:
    """The key of what the sensor sees. mesh: wheel.stl."""
    from wheelcad.hashed import hashed

    return hashed(SEEN, design.job, design.wheel, mesh)


def _load() -> None:
    """Import the kernel. Nothing loaded here is ever garbage, so it need not be looked through."""
    hush()
    gc.disable()
    from wheelcad.files.shapes_alone import import_shapes

    import_shapes()
    from OCP.OSD import OSD_ThreadPool

    import wheelcad.parts.solids  # noqa: F401  with all that a design is made of

    OSD_ThreadPool.DefaultPool_s(1)  # none but the one that asks: a fork would wait for threads that it does not have
    gc.freeze()
    gc.enable()


def _load_rest() -> None:
    """Import what tasks load as they go: a session that lasts gives its forks all of it. What is missing is told by
    the task that needs it."""
    gc.disable()
    for name in LATER:
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    gc.freeze()
    gc.enable()


def _work(
    tell: Tell,
    design: Design,
    bare: Design,
    folder: Path,
    write: bool,
    solve: bool,
    known: frozenset[str],
    see: bool,
    fluxes: Mapping[Solved, Flux],
) -> None:
    """bare: the design as solids are given it (`kept.for_solids`). known: parts whose files are in the folder already,
    with all that was found in them. see: whether it is not known yet what the sensor sees of the wheel; fluxes: what is
    known of its field (`signal.view.FLUXES`)."""
    from wheelcad.kept import ASIDE, ASSEMBLY
    from wheelcad.parts.solids import Solids, write_solids
    from wheelcad.signal import view
    from wheelcad.signalled import can_be_seen, seen_in

    solving = _Solving(design.bracket, folder) if solve and design.bracket is not None else None
    solids = Solids(bare, design.job.job)
    makes_aside = ASIDE in design.parts and ASIDE not in known
    aside = beside(lambda: _aside(tell, solids, folder, write)) if makes_aside else None
    seeing: list[Callable[[], None]] = []

    def seen() -> None:
        view.keep_fluxes(fluxes)
        tell(SEEN, (seen_in(folder, design.job, design.wheel), view.FLUXES))  # at once: there is work that waits for it

    def there(name: str) -> None:
        if name == "wheel" and see and can_be_seen(design.job):
            seeing.append(beside(seen))
        if name == "bracket" and solving is not None:
            solving.start()

    def done(name: str) -> None:
        tell(name)
        there(name)

    for name in design.parts:
        if name in known:
            there(name)
    if write:
        write_solids(solids, folder, done, leave_out={ASIDE, *known})
    else:  # they are there, or their checks will say so
        for name in design.parts:
            done(name)
    assembled = beside(lambda: _assembled(solids, folder)) if ASSEMBLY not in known else dict
    found = {**_found(solids, folder, known), **assembled()}
    tell(MEASURED, found if aside is None else {**found, ASIDE: aside()})
    for answer in seeing:  # told already; what went wrong is raised here
        answer()
    if solving is not None:
        solved, changes = solving.both()
        tell(STIFFNESS, solved)
        tell(CHANGES, changes)


def _assembled(solids: Solids, folder: Path) -> dict[str, AssemblyFound]:
    """What is in the assembly's files, by its name; nothing where there are none."""
    from wheelcad.checks.assembly import facing_turn_deg, step_meetings
    from wheelcad.checks.everything import judge_assembly
    from wheelcad.files.brep import KernelError
    from wheelcad.files.figures import AssemblyFound, Meetings
    from wheelcad.kept import ASSEMBLY

    if not (folder / "assembly.step").exists():
        return {}
    meetings = Meetings((), (), math.nan)
    with contextlib.suppress(KernelError):  # a file that cannot be read holds nothing, which its checks will say
        meetings = step_meetings(folder / "assembly.step", facing_turn_deg(solids.design))
    return {ASSEMBLY: AssemblyFound(meetings, tuple(judge_assembly(solids.design, meetings)))}


def _found(solids: Solids, folder: Path, known: frozenset[str]) -> dict[str, PartFound]:
    """What is in the files of all parts but the one made aside."""
    from wheelcad.checks.solids import step_figures
    from wheelcad.kept import ASIDE

    return {
        name: _judged(solids, name, folder, *step_figures(folder, [name]))
        for name in solids.design.parts
        if name != ASIDE and name not in known
    }


def _judged(
    solids: Solids, name: str, folder: Path, figures: dict[str, BodyFigures], meshes: dict[str, Floats]
) -> PartFound:
    """A part's files, after what the kernel read in its STEP file again."""
    from wheelcad.checks.bracket_step import check_step, step_faces
    from wheelcad.checks.everything import judge_solid, judge_volume
    from wheelcad.files.brep import KernelError
    from wheelcad.files.figures import FaceFigure, PartFound

    design, path = solids.design, folder / f"{name}.step"
    volume = tuple(judge_volume(folder, name, figures.get(name)))
    solid = tuple(finding for mesh in meshes.values() for finding in judge_solid(folder, design, name, mesh))
    found = PartFound(figures.get(name), volume, solid)
    if name == "bracket" and design.bracket is not None:
        faces: tuple[FaceFigure, ...] = ()
        with contextlib.suppress(KernelError):
            faces = step_faces(path) if path.exists() else ()
        found = replace(found, faces_judged=tuple(check_step(faces, design.bracket)))
    if name == "wheel":
        found = replace(found, undrilled=solids.undrilled(), before=solids.before_readings())
    return found


class _Solving:
    """The finite elements in two forks: what would stiffen the bracket at once, which has it on a coarse mesh, and the
    bracket on a finer one once it is written.

    Answers, or the FemError that says why there is none: a build goes on without them.
    """

    def __init__(self, bracket: BracketDesign, folder: Path) -> None:
        with contextlib.suppress(ImportError):  # whoever needs it will say so
            import scipy.sparse.linalg  # noqa: F401  its forks, and the field's, would each load it

        self._bracket, self._folder = bracket, folder
        self._changes = beside(self._propose)

    def _propose(self) -> BracketProposals:
        from wheelcad.checks.fem.mending import proposals

        return proposals(self._bracket)

    def _solve(self) -> StiffnessResult:
        from wheelcad.checks.fem.setup import bracket_fine

        return bracket_fine(self._folder, self._bracket)

    def start(self) -> None:
        """bracket.step is in the folder."""
        self._stiffness = beside(self._solve)

    def both(self) -> tuple[StiffnessResult | Exception, BracketProposals | Exception]:
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


def _aside(tell: Tell, solids: Solids, folder: Path, write: bool) -> PartFound:
    from wheelcad.checks.solids import step_figures
    from wheelcad.kept import ASIDE
    from wheelcad.parts.solids import write_part_meshes, write_part_step

    if not write:
        return _judged(solids, ASIDE, folder, *step_figures(folder, [ASIDE]))
    shape = write_part_step(solids, ASIDE, folder)
    read = beside(lambda: step_figures(folder, [ASIDE]))
    write_part_meshes(solids, ASIDE, shape, folder)
    tell(ASIDE)
    return _judged(solids, ASIDE, folder, *read())


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
    sys.exit(serve(_work, _words, _load, _load_rest))
