"""Measures gauge.3mf: the unit, the bodies, that it is the gauge of gauge.stl laid face down, and the printer's bed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from wheelcad.arrays import Floats
from wheelcad.checks.mesh import mesh_moments
from wheelcad.codes import Check
from wheelcad.files.stl import read_stl
from wheelcad.files.threemf import Body3mf, merged, read_3mf
from wheelcad.findings import OWN, Finding, at_most, holds
from wheelcad.parts.gauge.model import GaugeDesign
from wheelcad.parts.gauge.printing import as_printed
from wheelcad.trade.printing import BED_MARGIN_MM, shrinkage_scale, usable_bed
from wheelcad.words import length

PRINT = "gauge.3mf"
SAME_MM = 0.001  # corners of gauge.3mf against those of gauge.stl, laid down
VOLUME_LIMIT = 1e-4  # relative, between the two


def check_gauge_print(folder: Path, design: GaugeDesign) -> Iterator[Finding]:
    """All findings of gauge.3mf. ValueError when it cannot be read."""
    unit, bodies = read_3mf(folder / PRINT)
    triangles = read_stl(folder / "gauge.stl")
    names = ", ".join(body.name for body in bodies)
    stands = unit == "MilliMeter" and len(bodies) == design.pieces and all(body.name for body in bodies)
    said = f"{unit}, {len(bodies)} of {design.pieces}: {names}"
    yield holds(
        Check.GAUGE_PRINT_BODIES, PRINT, stands, said, "states millimetres, every piece by its name", "3MF core"
    )
    if len(bodies) != design.pieces:
        return
    off = max(_apart(body.triangles, want) for body, want in zip(bodies, as_printed(design, triangles), strict=True))
    yield at_most(Check.GAUGE_PRINT_SAME, PRINT, off, "mm", SAME_MM, "corners against gauge.stl, front face down", OWN)
    wanted = mesh_moments(triangles).volume * shrinkage_scale(design.shrinkage) ** 2
    rest = abs(sum(mesh_moments(body.triangles).volume for body in bodies) / wanted - 1)
    why = f"volume against gauge.stl, {100 * design.shrinkage:g} % shrinkage allowed for in x and y"
    yield at_most(Check.GAUGE_PRINT_VOLUME, PRINT, rest, "relative", VOLUME_LIMIT, why, OWN)
    low = max(abs(float(body.triangles[:, :, 2].min())) for body in bodies)
    yield at_most(Check.GAUGE_PRINT_STANDS, PRINT, low, "mm", SAME_MM, "every piece stands on the bed, at z = 0", OWN)
    yield from _on_bed(bodies, design)


def _apart(found: Floats, wanted: Floats) -> float:
    """Largest distance between the corners of the same triangles; infinite when their numbers differ."""
    corners, rows = merged(wanted)
    same: Floats = corners[rows]
    return float(np.abs(found - same).max()) if found.shape == same.shape else float("inf")


def _on_bed(bodies: list[Body3mf], design: GaugeDesign) -> list[Finding]:
    if design.bed is None:
        return []
    sizes = [np.ptp(body.triangles.reshape(-1, 3), axis=0) for body in bodies]
    room = usable_bed(design.bed)
    over = max(float(max(x - room[0], y - room[1])) for x, y, _ in sizes)
    largest = " × ".join(length(float(v), 1) for v in max(sizes, key=lambda s: float(s[0] * s[1])))
    why = f"largest piece {largest} on a bed of {length(design.bed[0])} × {length(design.bed[1])}; above 0 it "
    why += f"leaves less than {length(BED_MARGIN_MM)} of bed on a side, which a slicer's skirt needs"
    return [at_most(Check.GAUGE_PRINT_BED, PRINT, over, "mm", 0.0, why, "shop.printer", "warn")]
