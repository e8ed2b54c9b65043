"""The written solids of every part against the design: STL as it stands, STEP as the kernel read it again.

STEP's faces are meshed anew from what the file holds, as finely as the STL, so that one measure serves both.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.checks.bracket_metal import check_bracket_metal
from wheelcad.checks.mesh import extent_off, mesh_moments, section_segments
from wheelcad.checks.metal import MetalBody, adapter_body, blank_body, cam_body, wheel_body
from wheelcad.checks.sections import MESH_LIMIT, away_from, check_body
from wheelcad.codes import Check
from wheelcad.files.stl import read_stl
from wheelcad.findings import OWN, Finding, at_most
from wheelcad.parts.design import Design
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.words import count, quantity

GAUGE_LIMIT = 0.03  # mm: gauge.stl's bolt holes are opened to be nowhere undersize, two meshes lie off each
GAUGE_VOLUME = 0.002  # relative
STEP_HOLE_LIMIT = 0.001  # mm: a STEP file's cylinders are exact
HOLE_NEAR, HOLE_CORNERS = 0.2, 6  # corners this much of the radius off its circle are the hole's; fewer are no hole
APART = 0.05  # mm between heights of the gauge that are cut


def bodies(design: Design) -> dict[str, MetalBody]:
    """Where the metal of each turned or flat part should be."""
    out = {"wheel": wheel_body(design.wheel, design.blank, design.balance.holes)}
    if design.blank is not None:
        out["blank"] = blank_body(design.blank)
    if design.adapter is not None:
        out["adapter"] = adapter_body(design.adapter)
    if design.cam is not None:
        out["cam"] = cam_body(design.cam)
    return out


def check_stl(folder: Path, name: str, design: Design) -> list[Finding]:
    """NAME.stl of a turned or flat part, or of the bracket. OSError or ValueError when it cannot be read."""
    return _check(f"{name}.stl", name, read_stl(folder / f"{name}.stl"), design)


def check_step_solid(name: str, triangles: Floats, design: Design, folder: Path) -> list[Finding]:
    """NAME.step, meshed as re-read; the gauge's against gauge.stl."""
    if name == "gauge" and design.gauge is not None:
        same = same_body("gauge.step", triangles, read_stl(folder / "gauge.stl"))
        return same + _gauge_holes("gauge.step", triangles, design.gauge)
    return _check(f"{name}.step", name, triangles, design)


def _check(file: str, name: str, triangles: Floats, design: Design) -> list[Finding]:
    if name == "bracket" and design.bracket is not None:
        return list(check_bracket_metal(file, triangles, design.bracket))
    found: Mapping[str, MetalBody] = bodies(design)
    return check_body(file, triangles, found[name]) if name in found else []


def _gauge_holes(name: str, triangles: Floats, design: GaugeDesign) -> list[Finding]:
    """The bolt holes of the re-read solid: the furthest corners of its mesh lie on the very cylinders, the
    others on their chords. A hole that is elsewhere reaches further out as well."""
    if not design.holes:
        return []
    level = design.seat.z + 0.25 * design.thickness_mm  # below the marks, above the holes' first layers
    points = section_segments(triangles, level)[0].reshape(-1, 2)
    worst = 0.0
    for hole in design.holes:
        away = np.hypot(*(points - (hole.x, hole.y)).T)
        own = away[np.abs(away - hole.radius) < HOLE_NEAR * hole.radius]
        worst = max(worst, abs(float(own.max()) - hole.radius) if len(own) >= HOLE_CORNERS else float("inf"))
    why = f"the furthest corner round each of {count(len(design.holes), 'bolt hole')} to its circle"
    return [at_most(Check.GAUGE_HOLE_SIZE, name, worst, "mm", STEP_HOLE_LIMIT, why, OWN)]


def same_body(name: str, found: Floats, wanted: Floats) -> list[Finding]:
    """Two meshes of one body: over all, volume, and sections between every two heights at which the other has faces."""
    off = extent_off(found, wanted)
    for z in _cuts(wanted):
        one, two = section_segments(found, z)[0], section_segments(wanted, z)[0]
        if not len(one) or not len(two):
            off = float("inf") if len(one) != len(two) else off
            continue
        off = max(off, float(away_from(one.reshape(-1, 2), two).max()), float(away_from(two.reshape(-1, 2), one).max()))
    volume, same = mesh_moments(found).volume, mesh_moments(wanted).volume
    why = f"volume {quantity(volume, 'volume')} against {quantity(same, 'volume')} of gauge.stl"
    return [
        at_most(Check.SAME_BODY, name, off, "mm", GAUGE_LIMIT, "sections and extent against gauge.stl", OWN),
        at_most(Check.VOLUME, name, abs(volume / same - 1), "relative", GAUGE_VOLUME, why, OWN),
    ]


def _cuts(triangles: Floats) -> list[float]:
    """Heights half-way between every two of a mesh's level faces."""
    level = np.ptp(triangles[:, :, 2], axis=1) < 1e-4
    faces = np.unique(np.round(triangles[level][:, :, 2], 3))
    return [float((low + high) / 2) for low, high in itertools.pairwise(faces) if high - low > APART]


__all__ = ["MESH_LIMIT", "bodies", "check_step_solid", "check_stl", "same_body"]
