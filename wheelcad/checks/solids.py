"""Opens the STEP files again and asks the kernel what is in them (in the kernel's process), and judges the answers."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from wheelcad.files.figures import BodyFigures
from wheelcad.findings import Finding, holds


def step_figures(folder: Path, names: Iterable[str]) -> dict[str, BodyFigures]:
    """The kernel's figures of each NAME.step that is in the folder, by name."""
    from wheelcad.files.brep import figures  # the kernel is loaded in its own process alone
    from wheelcad.files.step import read_step

    paths = {name: folder / f"{name}.step" for name in names}
    return {name: figures(read_step(path)) for name, path in paths.items() if path.exists()}


def check_solids(figures_of: dict[str, BodyFigures], wanted: list[str]) -> list[Finding]:
    """Every STEP file the design calls for is there and holds a valid solid; works on what `step_figures` found."""
    out = []
    for name in wanted:
        found = figures_of.get(name)
        said, good = "missing", False
        if found is not None:
            good = found.valid and found.solids >= 1 and found.volume > 0
            said = f"{found.solids} solid{'s' if found.solids != 1 else ''}, {'valid' if found.valid else 'not valid'}"
        why = "the kernel's own check of the re-read file"
        out.append(holds("valid-solid", f"{name}.step", good, said, why, "OpenCASCADE shape check"))
    return out
