"""assembly.step and assembly.glb: every part where it stands on the engine, the right way round. Lengths mm.

Both show the same parts by the same names; each part's coarse mesh is held against the design as the part's own files
are, with the room that so coarse a mesh needs. Fasteners are usual proportions: of them only the axis is checked.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.checks.bracket_metal import check_bracket_metal
from wheelcad.checks.mesh import extent_off
from wheelcad.checks.metal import MetalBody, adapter_body, lands_body, wheel_body
from wheelcad.checks.sections import check_body
from wheelcad.codes import Check
from wheelcad.errors import DesignError, Faults
from wheelcad.files.glb_reader import read_glb
from wheelcad.findings import OWN, Finding, at_most, holds
from wheelcad.parts.assembly.looks import LOOKS
from wheelcad.parts.common.openings import bolt_openings, bore_opening
from wheelcad.parts.common.stack import as_found_lands
from wheelcad.parts.design import Design
from wheelcad.parts.sensor.design import SensorPlace, sensor_body, sensor_place
from wheelcad.words import length

STEP, GLB = "assembly.step", "assembly.glb"
SHOWN_LIMIT = 0.12  # the shown mesh's deflection, and a little for chords
SINGLE = 0.005  # corners of glb, metres in single precision, against those of the solid


def glb_meshes(path: Path) -> dict[str, Floats]:
    """Triangles (n, 3, 3) in mm of every part of a GLB, by name. ValueError when it is none."""
    return {mesh.name: mesh.points[mesh.triangles] for mesh in read_glb(path)}


def check_shown(name: str, meshes: Mapping[str, Floats], design: Design) -> Iterator[Finding]:
    """Every part of one file against the design."""
    wanted = _bodies(design)
    yield _names(name, meshes, design, wanted)
    for part, body in wanted.items():
        if part in meshes:
            yield from check_body(f"{name}, {part}", meshes[part], body, SHOWN_LIMIT)
    if design.bracket is not None:
        plates = [mesh for part, mesh in meshes.items() if part == "bracket" or part.startswith("gusset")]
        if plates:
            yield from check_bracket_metal(f"{name}, bracket", np.concatenate(plates), design.bracket, SHOWN_LIMIT)
        yield from _bolts(name, meshes, design.bracket.mount_points)
    yield from _sensor(name, meshes, design)


def check_glb(folder: Path, design: Design) -> list[Finding]:
    """assembly.glb on its own."""
    return list(check_shown(GLB, glb_meshes(folder / GLB), design))


def check_same_places(folder: Path, solids: Mapping[str, Floats]) -> list[Finding]:
    """The parts of assembly.glb in the same places as in assembly.step. solids: its meshes."""
    meshes = glb_meshes(folder / GLB)
    same = sorted(meshes) == sorted(solids)
    off = max((extent_off(meshes[part], solids[part]) for part in meshes), default=0.0) if same else float("inf")
    why = "corners of every part's box against assembly.step's"
    return [at_most(Check.SHOWN_SAME, GLB, off, "mm", SINGLE, why, OWN)]


def _bodies(design: Design) -> dict[str, MetalBody]:
    """What turns, part by part."""
    out = {"wheel": wheel_body(design.wheel, design.blank, design.balance.holes)}
    if design.wheel.form != "plate":
        return out
    if design.adapter is not None:
        out["adapter"] = adapter_body(design.adapter)
    lands, pulley = as_found_lands(design.job), design.job.pulley
    if lands and pulley is not None:
        bore = [bore_opening(pulley.bore / 2)] if pulley.bore is not None else []
        recess = (pulley.recess.diameter / 2, pulley.recess.depth) if pulley.recess is not None else None
        out["pulley"] = lands_body(lands, [*bore, *bolt_openings(design.job, Faults())], recess)
    return out


def _names(name: str, meshes: Mapping[str, Floats], design: Design, turning: Mapping[str, MetalBody]) -> Finding:
    """The parts that must be there; of the sensor and its fasteners as many as its place and size allow."""
    wanted = {*turning, *(("sensor",) if _place(design) is not None else ())}
    if design.bracket is not None:
        wanted |= {"bracket", *(f"gusset {n}" for n in range(1, len(design.bracket.gussets) + 1))}
        wanted |= {f"mount bolt {n}" for n in range(1, len(design.bracket.mount_points) + 1)}
    loose = {part for part in meshes if re.fullmatch(r"sensor (bolt|nut)( \d)?", part)}
    said = ", ".join(sorted(meshes)) or "none"
    good = set(meshes) - loose == wanted
    return holds(Check.SHOWN_PARTS, name, good, said, f"every part by its name: {', '.join(sorted(wanted))}", OWN)


def _bolts(name: str, meshes: Mapping[str, Floats], points: Sequence[tuple[float, float]]) -> list[Finding]:
    """Mount bolts on the axes of the block's threads."""
    off = 0.0
    for number, (x, y) in enumerate(points, 1):
        mesh = meshes.get(f"mount bolt {number}")
        if mesh is not None:
            corners = mesh.reshape(-1, 3)[:, :2]
            middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
            off = max(off, float(np.hypot(*(middle - (x, y)))))
    why = "axes of the mount bolts against the threads in the block"
    return [at_most(Check.SHOWN_SAME, f"{name}, mount bolts", off, "mm", SHOWN_LIMIT, why, OWN)]


def _place(design: Design) -> SensorPlace | None:
    if design.job.sensor is None:
        return None
    try:
        return sensor_place(design.job, design.job.sensor)
    except DesignError:  # a size is missing: then it is not shown
        return None


def _sensor(name: str, meshes: Mapping[str, Floats], design: Design) -> list[Finding]:
    """The sensor's nose: its axis, its diameter and where it ends."""
    place, mesh = _place(design), meshes.get("sensor")
    if place is None or mesh is None or design.job.sensor is None:
        return []
    look, points = np.array(place.look), mesh.reshape(-1, 3) - np.array(place.face)
    along = points @ look
    across = points - along[:, None] * look
    nose = across[along > place.nose_length - LOOKS]
    radius = sensor_body(design.job.sensor, place).diameter / 2
    far = float(np.linalg.norm(nose, axis=1).max()) if len(nose) else float("inf")
    axis = float(np.linalg.norm((nose.min(axis=0) + nose.max(axis=0)) / 2)) if len(nose) else float("inf")
    off = max(abs(float(along.max()) - place.nose_length), abs(far - radius), axis)
    why = f"end, radius and axis of the nose, which ends {length(place.nose_length)} before its mounting face"
    return [at_most(Check.SHOWN_SAME, f"{name}, sensor", off, "mm", SHOWN_LIMIT, why, OWN)]
