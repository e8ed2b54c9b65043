"""The CAD kernel's own process: `python -m wheelcad.kernel`.

It starts importing the kernel at once, beside the reading of the job and the drawing of sheets, and then waits for
one task on its standard input. Answers go back as pickles: ("done", part), ("result", KernelResult) or
("error", words).
"""

from __future__ import annotations

import os
import pickle
import sys
from pathlib import Path
from typing import BinaryIO

from wheelcad.files.figures import KernelResult


def main() -> int:
    """Serve one task: (design, folder, whether to write before measuring)."""
    channel = os.fdopen(os.dup(1), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # the kernel likes to talk on standard output
    try:
        import cadquery  # noqa: F401
    except ImportError as error:
        _say(channel, "error", f"the CAD kernel cannot be loaded: {error}{_remedy(error)}")
        return 2
    try:
        design, folder, write = pickle.load(sys.stdin.buffer)
    except EOFError:  # the job was wrong: nothing to do
        return 0
    try:
        _say(channel, "result", _serve(design, folder, write, channel))
    except OSError as error:
        _say(channel, "error", f"{error.filename or 'a file'} cannot be written: {error.strerror}")
        return 2
    except Exception as error:  # whatever the kernel throws must reach the user as words
        _say(channel, "error", f"{type(error).__name__}: {error}")
        if os.environ.get("WHEELCAD_DEBUG"):
            raise
        return 2
    return 0


def _serve(design: object, folder: Path, write: bool, channel: BinaryIO) -> KernelResult:
    from wheelcad.checks.assembly import facing_turn_deg, step_meetings
    from wheelcad.checks.bracket_step import step_faces
    from wheelcad.checks.solids import step_figures
    from wheelcad.parts.design import Design
    from wheelcad.parts.solids import undrilled_wheel, write_solids

    assert isinstance(design, Design)
    if write:
        write_solids(design, folder, lambda name: _say(channel, "done", name))
    bracket = folder / "bracket.step"
    faces = step_faces(bracket) if bracket.exists() else ()
    assembly = folder / "assembly.step"
    meetings = step_meetings(assembly, facing_turn_deg(design)) if assembly.exists() else None
    return KernelResult(step_figures(folder), undrilled_wheel(design), faces, meetings)


def _say(channel: BinaryIO, kind: str, what: object) -> None:
    pickle.dump((kind, what), channel)
    channel.flush()


def _remedy(error: ImportError) -> str:
    return " (on Debian and Ubuntu: apt-get install libgl1)" if "libGL" in str(error) else ""


if __name__ == "__main__":
    sys.exit(main())
