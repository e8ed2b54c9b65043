"""assembly.step and assembly.glb: written in the kernel's process, after the parts' own files."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import cadquery as cq
import numpy as np

from wheelcad.files.glb import Mesh, write_glb
from wheelcad.files.step_named import write_named_step
from wheelcad.files.stl_writer import triangles_of
from wheelcad.job.models import Job
from wheelcad.parts.assembly.looks import LOOKS, LOOKS_ANGLE
from wheelcad.parts.assembly.solid import Part, assembly_parts
from wheelcad.parts.bracket.model import BracketDesign


def write_assembly(
    job: Job, called: str, bracket: BracketDesign | None, folder: Path, built: Mapping[str, cq.Shape]
) -> None:
    """Write both files. called: the job's name, for the product; built: see `assembly_parts`."""
    parts = assembly_parts(job, bracket, built)
    write_named_step(folder / "assembly.step", [(p.name, p.solid) for p in parts], f"{called} assembly")
    write_glb(folder / "assembly.glb", [_mesh(part) for part in parts])


def _mesh(part: Part) -> Mesh:
    corners = triangles_of(part.solid, LOOKS, LOOKS_ANGLE).reshape(-1, 3)
    return Mesh(part.name, corners, np.arange(len(corners)).reshape(-1, 3), part.colour)
