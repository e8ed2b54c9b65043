"""Opens the STEP files again and asks the kernel what is in them (in the kernel's process), and judges the answers."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator
from pathlib import Path

from wheelcad.arrays import Floats
from wheelcad.codes import Check
from wheelcad.files.figures import BodyFigures
from wheelcad.findings import Finding, holds


def step_figures(folder: Path, names: Iterable[str]) -> tuple[dict[str, BodyFigures], dict[str, Floats]]:
    """The kernel's figures of each NAME.step in the folder that it can read, by name, and its mesh, (n, 3, 3) mm."""
    from wheelcad.files.brep import MESH_ANGLE, MESH_DEFLECTION, KernelError, figures  # loaded in its own process alone
    from wheelcad.files.step import read_step
    from wheelcad.files.stl_writer import triangles_of

    out, meshes = {}, {}
    for name in names:
        with contextlib.suppress(KernelError, FileNotFoundError):  # `check_solids` tells of what is not here
            shape = read_step(existing(folder / f"{name}.step"))
            out[name] = figures(shape)
            meshes[name] = triangles_of(shape, MESH_DEFLECTION, MESH_ANGLE)
    return out, meshes


def existing(path: Path) -> Path:
    """The path, or FileNotFoundError: the kernel does not tell a missing file from a bad one."""
    if not path.exists():
        raise FileNotFoundError(path.name)
    return path


def check_solids(figures_of: dict[str, BodyFigures], wanted: list[str]) -> Iterator[Finding]:
    """Every STEP file the design calls for is there and holds a valid solid; works on what `step_figures` found."""
    for name in wanted:
        found = figures_of.get(name)
        said, good = "missing, or no STEP file that can be read", False
        if found is not None:
            good = found.valid and found.solids >= 1 and found.volume > 0
            said = f"{found.solids} solid{'s' if found.solids != 1 else ''}, {'valid' if found.valid else 'not valid'}"
        why = "the kernel's own check of the re-read file"
        yield holds(Check.VALID_SOLID, f"{name}.step", good, said, why, "OpenCASCADE shape check")
