"""Opens the STEP files again and asks the kernel what is in them (in the kernel's process), and judges the answers."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable
from pathlib import Path

from wheelcad.codes import Check
from wheelcad.files.figures import BodyFigures
from wheelcad.findings import Finding, holds


def step_figures(folder: Path, names: Iterable[str]) -> dict[str, BodyFigures]:
    """The kernel's figures of each NAME.step in the folder that it can read, by name."""
    from wheelcad.files.brep import KernelError, figures  # the kernel is loaded in its own process alone
    from wheelcad.files.step import read_step

    out = {}
    for name in names:
        with contextlib.suppress(KernelError, FileNotFoundError):  # `check_solids` tells of what is not here
            out[name] = figures(read_step(existing(folder / f"{name}.step")))
    return out


def existing(path: Path) -> Path:
    """The path, or FileNotFoundError: the kernel does not tell a missing file from a bad one."""
    if not path.exists():
        raise FileNotFoundError(path.name)
    return path


def check_solids(figures_of: dict[str, BodyFigures], wanted: list[str]) -> list[Finding]:
    """Every STEP file the design calls for is there and holds a valid solid; works on what `step_figures` found."""
    out = []
    for name in wanted:
        found = figures_of.get(name)
        said, good = "missing, or no STEP file that can be read", False
        if found is not None:
            good = found.valid and found.solids >= 1 and found.volume > 0
            said = f"{found.solids} solid{'s' if found.solids != 1 else ''}, {'valid' if found.valid else 'not valid'}"
        why = "the kernel's own check of the re-read file"
        out.append(holds(Check.VALID_SOLID, f"{name}.step", good, said, why, "OpenCASCADE shape check"))
    return out
