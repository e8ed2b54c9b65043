"""Measures assembly.step and the parts' meshes together: no shared metal, the air gap, room through every travel.

Three ways, each where it is exact: common volumes and the nose's distance to a tooth by the kernel (`step_meetings`,
in its process); room between what stands and what turns from the meshes, the turning parts taken as the bodies they
sweep in a whole turn, which holds for every tooth that passes. Lengths mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.checks.bracket_folded import separate_bodies
from wheelcad.codes import Check
from wheelcad.files.figures import Meetings
from wheelcad.files.stl import read_stl
from wheelcad.findings import OWN, Finding, at_least, at_most, holds
from wheelcad.parts.bracket.clear import LEAST, turning_parts
from wheelcad.parts.bracket.model import BracketDesign
from wheelcad.parts.common.stack import Land
from wheelcad.parts.design import Design
from wheelcad.words import length

SUBJECT = "assembly.step"
KERNEL = "OpenCASCADE"
COMMON_LIMIT = 0.01  # mm³ of shared metal, the kernel's own noise on touching faces
GAP_LIMIT = 0.01  # mm between measured and wanted air gap
SAME_RADIUS = 0.01  # mm: slices that differ by less are one
SPACING = 0.5  # mm between points taken on a mesh, where it is nearest
NEARER = 0.001  # mm: what may be nearer by less is not looked for
SLICE = 0.25  # mm along the crank between slices of what turns
TRAVEL_STEPS = 5


def facing_turn_deg(design: Design) -> float:
    """How far to turn the wheel about +Z from cylinder 1 TDC, degrees anticlockwise, for its first tooth to face
    the sensor."""
    if design.job.sensor is None:
        return 0.0
    crank = design.job.sensor.at - float(design.wheel.teeth.tooth_centres_deg[0])
    return -design.wheel.sense * crank


def step_meetings(path: Path, turn_deg: float) -> Meetings:
    """What the kernel finds in the assembly: see `Meetings`. turn_deg: wheel turned about +Z so that a tooth faces the
    sensor, degrees anticlockwise seen from the front."""
    from wheelcad.files.brep import common_volume, distance, turned  # the kernel lives in its own process alone
    from wheelcad.files.step_named import read_named_step
    from wheelcad.files.stl_writer import triangles_of
    from wheelcad.parts.assembly.looks import LOOKS, LOOKS_ANGLE

    parts = read_named_step(path)
    shared = []
    for (a, first), (b, second) in combinations(parts, 2):
        if not _belong(a, b):
            volume = common_volume(first, second)
            if volume > 0:
                shared.append((a, b, volume))
    found = dict(parts)
    gap = math.nan
    if "sensor" in found and "wheel" in found:
        gap = distance(turned(found["wheel"], turn_deg), found["sensor"])
    meshes = {name: triangles_of(shape, LOOKS, LOOKS_ANGLE) for name, shape in parts}
    return Meetings(tuple(name for name, _ in parts), tuple(shared), gap, meshes)


def _belong(a: str, b: str) -> bool:
    """Nuts sit on threads: drawn as plain cylinders, the two share a surface or a thread's depth."""
    return any({a, b} == {"sensor" + x, "sensor nut" + y} for x in ("", " bolt") for y in ("", " 1", " 2"))


def check_assembly(meetings: Meetings, design: Design) -> Iterator[Finding]:
    """All findings of assembly.step, from what the kernel found in it."""
    sensor = design.job.sensor
    gap_mm = sensor.air_gap if sensor is not None else None
    worst = max(meetings.shared, key=lambda item: item[2], default=("", "", 0.0))
    said = f"{worst[0]} and {worst[1]}" if worst[2] > COMMON_LIMIT else "every pair of parts"
    yield holds(
        Check.PARTS,
        SUBJECT,
        len(set(meetings.names)) == len(meetings.names) and "wheel" in meetings.names,
        ", ".join(meetings.names),
        "every part is in the file under a name of its own",
        OWN,
    )
    yield at_most(Check.SHARED_METAL, SUBJECT, round(worst[2], 4), "mm3", COMMON_LIMIT,
                f"common volume of {said}", KERNEL)  # fmt: skip
    if gap_mm is not None and "sensor" in meetings.names:
        off = abs(meetings.gap - gap_mm)
        why = f"{length(meetings.gap, 3)} from the sensor to a tooth that faces it, {length(gap_mm, 3)} wanted"
        yield at_most(Check.ASSEMBLED_AIR_GAP, SUBJECT, round(off, 4), "mm", GAP_LIMIT, why, KERNEL)


def check_room(folder: Path, bracket: BracketDesign, design: Design) -> list[Finding]:
    """Least distance between the bracket's mesh and what the turning meshes sweep, through the slots' travel.

    OSError or ValueError when bracket.stl or wheel.stl cannot be read.
    """
    lands = tuple(land for land in turning_parts(design.job) if land.name != "ring")
    return [_room(folder, bracket, lands)]


@dataclass(frozen=True)
class Envelope:
    """What a mesh sweeps in a whole turn: slices [z_low, z_high] and the greatest radius in each."""

    z_low: Floats
    z_high: Floats
    radius: Floats


def envelope(triangles: Floats) -> Envelope:
    """The swept body of a mesh about the crank axis, in slices of SLICE mm; errs outwards by less than a slice."""
    r = np.hypot(triangles[:, :, 0], triangles[:, :, 1]).max(axis=1)
    low, high = triangles[:, :, 2].min(axis=1), triangles[:, :, 2].max(axis=1)
    edges = np.arange(low.min(), high.max() + SLICE, SLICE)
    radius = np.zeros(len(edges) - 1)
    first = np.clip(np.searchsorted(edges, low + 1e-6, side="right") - 1, 0, len(radius) - 1)
    last = np.clip(np.searchsorted(edges, high - 1e-6, side="left") - 1, 0, len(radius) - 1)
    for k in range(int((last - first).max()) + 1):
        within = first + k <= last
        np.maximum.at(radius, (first + k)[within], r[within])
    starts = np.flatnonzero(np.concatenate([[True], np.abs(np.diff(radius)) > SAME_RADIUS]))
    ends = np.append(starts[1:], len(radius))
    merged = np.maximum.reduceat(radius, starts)
    return Envelope(edges[starts], edges[ends], merged)


def _room(folder: Path, bracket: BracketDesign, lands: tuple[Land, ...]) -> Finding:
    """Least distance between the bracket's mesh and what the turning meshes sweep, through the slots' travel."""
    swept = envelope(read_stl(folder / "wheel.stl"))
    slices = Envelope(
        np.concatenate([swept.z_low, [land.z_back for land in lands]]),
        np.concatenate([swept.z_high, [land.z_front for land in lands]]),
        np.concatenate([swept.radius, [land.radius for land in lands]]),
    )
    plate = np.vstack(separate_bodies(read_stl(folder / "bracket.stl")))
    least, where, slide = math.inf, 0.0, bracket.slide
    for moved in np.linspace(slide.low, slide.high, TRAVEL_STEPS):
        near = least_room(plate + moved * np.array([slide.x, slide.y, 0.0]), slices, least)
        if near < least:
            least, where = near, float(moved)
    why = (
        f"least distance from the bracket to what wheel and pulley sweep in a whole turn, at {length(where)} of the "
        "slots' travel; nose left out"
    )
    return at_least(Check.ASSEMBLED_ROOM, "bracket.stl, wheel.stl", round(least, 3), "mm", LEAST, why, OWN)


def least_room(triangles: Floats, slices: Envelope, below: float = math.inf) -> float:
    """Least distance of a mesh (n, 3, 3) to swept slices, mm, to within SPACING / 2; at most `below`.

    A triangle is split in four as long as some point of it may be nearer by more than NEARER than the nearest corner of
    all: as long as `_least_on` does not forbid it. By the triangle's size alone a face along what turns, all of it as
    near, would be split to the end over its whole area.
    """
    while len(triangles):
        below = min(below, float(_distances(triangles.reshape(-1, 3), slices).min()))
        side = np.linalg.norm(triangles - np.roll(triangles, 1, axis=1), axis=2).max(axis=1)
        large = triangles[side > SPACING]
        nearer = large[_least_on(large, slices) < below - NEARER]
        triangles = _quartered(nearer, (nearer + np.roll(nearer, -1, axis=1)) / 2)
    return below


def _least_on(triangles: Floats, slices: Envelope) -> Floats:
    """No point of triangles (n, 3, 3) is nearer to the slices than this (n,), mm.

    A slice is a whole cylinder. The distance to it is convex: it nowhere lies below its tangent at a corner, and the
    tangent is least at one of the three corners.
    """
    x, y, z = np.moveaxis(triangles, 2, 0)
    r = np.hypot(x, y)
    out = np.full(len(triangles), math.inf)
    for low, high, reach in zip(slices.z_low, slices.z_high, slices.radius, strict=True):
        radial, axial = np.maximum(0.0, r - reach), z - np.clip(z, low, high)
        away = np.hypot(radial, axial)
        outward = np.divide(radial, r, out=np.zeros_like(r), where=radial > 0)
        pulled = np.stack([outward * x, outward * y, axial], axis=2)
        slope = np.divide(pulled, away[:, :, None], out=np.zeros_like(pulled), where=away[:, :, None] > 0)
        rise = np.einsum("nic,njc->nij", slope, triangles) - np.einsum("nic,nic->ni", slope, triangles)[:, :, None]
        np.minimum(out, (away[:, :, None] + rise).min(axis=2).max(axis=1), out=out)
    return out


def _quartered(corners: Floats, middles: Floats) -> Floats:
    """Triangles, by their corners and the middles of their sides (n, 3, 3) each, as the four these make of each."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    ab, bc, ca = middles[:, 0], middles[:, 1], middles[:, 2]
    four = [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)]
    return np.concatenate([np.stack(three, axis=1) for three in four])


def _distances(points: Floats, slices: Envelope) -> Floats:
    """Distance of each point (n, 3) to the nearest slice, mm; 0 inside one."""
    r, z = np.hypot(points[:, 0], points[:, 1]), points[:, 2]
    out = np.full(len(points), math.inf)
    for low, high, reach in zip(slices.z_low, slices.z_high, slices.radius, strict=True):
        axial = np.maximum(0.0, np.maximum(z - high, low - z))
        np.minimum(out, np.hypot(np.maximum(0.0, r - reach), axial), out=out)
    return out
