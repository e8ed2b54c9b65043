"""Measures cam.stl and cam-flat.dxf: the two edges of the target, one sound body, the outline that is cut."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from wheelcad.checks.wheel import EDGE_LIMIT_DEG, measure_teeth, sound_body
from wheelcad.codes import Check
from wheelcad.errors import JobError
from wheelcad.files.dxf import MILLIMETRES
from wheelcad.files.dxf_reader import read_cut_dxf
from wheelcad.files.stl import read_stl
from wheelcad.findings import OWN, Finding, at_most, holds
from wheelcad.parts.cam.design import CamDesign
from wheelcad.trade.frames import wrap_180
from wheelcad.words import count, fine

AREA_LIMIT = 1e-6  # relative, the file's outline against the design's: the file keeps nine places of a mm


def check_cam(folder: Path, cam: CamDesign) -> Iterator[Finding]:
    """All findings of the cam target's files."""
    yield sound_body(folder / "cam.stl")
    radius = cam.check_radius_mm
    try:
        edges = measure_teeth(read_stl(folder / "cam.stl"), radius, cam.sense).edges_deg
    except ValueError as error:
        yield holds(Check.CAM_EDGES, "cam.stl", False, str(error), "edges must come in pairs", OWN)
        return
    if len(edges) != 1:
        said = f"{len(edges)} raised parts"
        yield holds(Check.CAM_EDGES, "cam.stl", False, said, "one part stands out of the disc", OWN)
        return
    off = float(np.abs(wrap_180(edges[0] - np.array(cam.edges_at(radius)))).max())
    why = f"distance of either edge from theory at radius {fine(radius)}, half-way up the step"
    yield at_most(Check.CAM_EDGES, "cam.stl", off, "deg", EDGE_LIMIT_DEG, why, OWN)
    yield _flat(folder / "cam-flat.dxf", cam)


def _flat(path: Path, cam: CamDesign) -> Finding:
    """The cut outline encloses what the design's does, and every hole is there."""
    why = "outline and holes of the cutting file against the design"
    try:
        held = read_cut_dxf(path)
    except JobError as error:
        return holds(Check.CAM_FLAT, path.name, False, str(error), why, OWN)
    outlines, holes = held.loops.get("OUTLINE", []), held.circles.get("HOLES", [])
    if held.insunits != MILLIMETRES or len(outlines) != 1 or len(holes) != len(cam.openings) or held.strange:
        said = f"{count(len(outlines), 'outline')} and {count(len(holes), 'hole')}, unit code {held.insunits}"
        return holds(Check.CAM_FLAT, path.name, False, said, why, OWN)
    area = abs(outlines[0].area) - sum(np.pi * hole.radius**2 for hole in holes)
    wanted = cam.outline.area - sum(opening.loop.oriented().area for opening in cam.openings)
    return at_most(Check.CAM_FLAT, path.name, float(abs(area / wanted - 1)), "relative", AREA_LIMIT, why, OWN)
